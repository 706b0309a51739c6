"""Answers at the shelf, against the comparison and the till worked out anew for each number."""

import random
from dataclasses import replace
from math import inf

import pytest

from pennyflat.assumptions import what_matters
from pennyflat.bag_sizes import big_bag, next_year, unit_price_ladder
from pennyflat.cost import requirement
from pennyflat.cover import cheapest_cover
from pennyflat.demo import DEMO
from pennyflat.lean_mixes import extra_week, remedies_compared
from pennyflat.needs import needs_of
from pennyflat.package import Deal, Package
from pennyflat.price_to_beat import price_to_beat
from pennyflat.scenario import Feed, Medium, PotOn, Scenario, Sowing, Store, read
from tests.strategies import random_scenario


def scenario_of(*media, feed=None, **sowing):
    given = {"crop": "leek", "wanted": 50, "cell_ml": 85, "weeks": 6, "germination": 1.0}
    return Scenario(
        format="seedling-costs/1",
        title="",
        currency="EUR",
        stores=(Store("Lane"),),
        media=media,
        ingredients=(),
        sowings=(Sowing(**given | sowing),),
        feed=feed,
    )


def bag(size, price, **more):
    return Package("Lane", size, "L", price, **more)


def each(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return needed.costs.total / needed.expected_ready


def till(scenario, sowing, medium, wanted):
    """Money at the till for a number wanted; infinite where limits make it impossible."""
    needed = requirement(scenario, replace(sowing, wanted=wanted), medium)
    covers = [cheapest_cover(n, tax=scenario.tax) for n in needs_of(scenario, [needed])]
    return inf if any(c.short_by for c in covers) else sum(c.paid for c in covers)


def with_medium(scenario, changed):
    media = tuple(changed if m.name == changed.name else m for m in scenario.media)
    return replace(scenario, media=media)


def test_the_ladder_ranks_deals_among_single_packages():
    mix = Medium("Mix", 6, packages=(bag(10, 5.0, deal=Deal(3, 12.0)), bag(40, 18.0)))
    scenario = replace(scenario_of(mix), tax=0.1)

    ladder = unit_price_ladder(scenario, mix)

    assert [(r.package.size, r.take) for r in ladder.rungs] == [(10, 3), (40, 1), (10, 1)]
    assert [r.per_litre for r in ladder.rungs] == pytest.approx([0.44, 0.495, 0.55])
    assert [r.more for r in ladder.rungs] == pytest.approx([0, 0.125, 0.25])
    assert "3 x 10 L" in ladder.sentence


def test_a_blend_has_no_ladder():
    demo = read(DEMO)
    with pytest.raises(ValueError, match="mixed"):
        unit_price_ladder(demo, demo.medium("Home blend"))


def test_the_big_bag_wins_exactly_where_its_till_is_lower():
    compared = 0
    for seed in range(12):
        scenario = random_scenario(random.Random(seed), media=3, sowings=2)
        for sowing in scenario.sowings:
            for medium in scenario.media:
                found = big_bag(scenario, sowing, medium, up_to=150)
                if found is not None:
                    compared += 1
                    check_wins(scenario, sowing, medium, found)
    assert compared > 10


def check_wins(scenario, sowing, medium, found):
    largest = max(package.size for package in medium.packages)
    biggest = tuple(package for package in medium.packages if package.size == largest)
    big = replace(medium, packages=biggest)
    others = replace(medium, packages=tuple(p for p in medium.packages if p not in biggest))
    wins = {n for first, last in found.wins for n in range(first, last + 1)}
    for wanted in range(1, found.up_to + 1):
        alone = till(with_medium(scenario, big), sowing, big, wanted)
        without = till(with_medium(scenario, others), sowing, others, wanted)
        if alone < without - 1e-9:
            assert wanted in wins
        elif alone > without + 1e-9 or alone == without == inf:
            assert wanted not in wins
    if found.always_from is not None:
        assert set(range(found.always_from, found.up_to + 1)) <= wins


def test_the_big_bag_sentence_names_its_numbers():
    # 1 L fills 10 cells of 85 mL at a fill loss of 0.15, one seedling each: 10 L at 3.00 do for
    # 100, so from 101 on the 50 L at 5.00 cost less.
    mix = Medium("Mix", 6, packages=(bag(10, 3.0), bag(50, 5.0)))
    scenario = scenario_of(mix)

    found = big_bag(scenario, scenario.sowings[0], mix, up_to=500)

    assert found.wins == ((101, 500),) and found.always_from == 101
    assert found.sentence == "For leek, 50 L of Mix costs less at the till from 101 on."


def test_one_size_only_leaves_nothing_to_compare():
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),))
    scenario = scenario_of(mix)

    assert big_bag(scenario, scenario.sowings[0], mix) is None


@pytest.mark.parametrize(
    ("keeps", "share", "pays", "totals"),
    [
        # 10 L needed: 10 L at 6.00 or 40 L at 11.00, which leaves 30 L.
        (1, 1.0, True, (12.0, 11.0)),
        (1, 0.0, False, (6.0, 11.0)),
        (0, 1.0, False, (6.0, 11.0)),
        (3, 1.0, True, (24.0, 11.0)),
        (1, 0.5, True, (12.0, 11.0)),
    ],
)
def test_a_leftover_pays_if_it_keeps_and_is_used(keeps, share, pays, totals):
    mix = Medium(
        "Mix", 6, packages=(bag(10, 6.0), bag(40, 11.0)), keeps_seasons=keeps, next_year_share=share
    )

    found = next_year(scenario_of(mix), mix, 10.0)

    assert (found.least_now, found.least_per_litre, found.left_over) == (6.0, 11.0, 30.0)
    assert found.over_the_years == totals and found.pays is pays
    assert found.years == keeps + 1
    assert "5.00 EUR more now" in found.sentence


def test_no_question_of_next_year_where_the_cheapest_per_litre_is_bought_anyway():
    mix = Medium("Mix", 6, packages=(bag(10, 6.0), bag(40, 11.0)), next_year_share=1.0)

    assert next_year(scenario_of(mix), mix, 35.0) is None


@pytest.mark.parametrize("seed", range(25))
def test_at_the_price_to_beat_both_mixes_tie(seed):
    scenario = random_scenario(random.Random(seed), media=3, sowings=2)
    for sowing in scenario.sowings:
        for loser in scenario.media:
            for winner in scenario.media:
                if loser is not winner:
                    check_tie(scenario, sowing, loser, winner)


def check_tie(scenario, sowing, loser, winner):
    found = price_to_beat(scenario, sowing, loser, winner)
    if found is None or not loser.packages:
        return
    place = loser.packages.index(found.package)

    def sold_at(price, deal):
        packages = list(loser.packages)
        packages[place] = replace(found.package, price=price, deal=deal)
        return replace(loser, packages=tuple(packages))

    aim = each(scenario, sowing, winner)
    move = sowing.pot_on if sowing.remedy == "pot_on" else None
    if found.price is not None and (move is None or loser.name != move.medium):
        only = replace(loser, packages=(replace(found.package, price=found.price),))
        changed = with_medium(scenario, only)
        assert each(changed, sowing, only) == pytest.approx(aim, abs=1e-9)
    goal = till(scenario, sowing, winner, sowing.wanted)
    at_the_till = found.price_at_the_till
    if goal == inf:
        assert at_the_till is None
        return

    def till_at(price):
        changed = sold_at(price, None)
        return till(with_medium(scenario, changed), sowing, changed, sowing.wanted)

    if at_the_till is None:
        assert till_at(0.0) > goal
    elif at_the_till == inf:
        assert till_at(1e6) <= goal + 1e-6
    else:
        assert till_at(at_the_till) == pytest.approx(goal, abs=1e-6)
        assert till_at(at_the_till + 0.01) > goal + 1e-6


def test_even_a_gift_may_be_too_dear():
    # Half the seedlings come up in the one, so its seed alone costs more than the other in all.
    weak = Medium("Weak", 6, packages=(bag(10, 3.0),), emergence={"leek": 0.5})
    good = Medium("Good", 6, packages=(bag(10, 0.5),))
    scenario = scenario_of(weak, good, seed_price=1.0)

    found = price_to_beat(scenario, scenario.sowings[0], weak, good)

    assert found.per_litre is None and found.price is None
    assert "even as a gift" in found.sentence


def test_what_matters_is_the_cost_at_each_end_sorted_by_the_difference():
    demo = read(DEMO)
    tomato, starter = demo.sowings[0], demo.medium("Seed starter mix")

    found = what_matters(demo, tomato, starter)

    by_name = {swing.range.name: swing for swing in found.swings}
    widths = [swing.width for swing in found.swings]
    assert widths == sorted(widths, reverse=True)
    assert len(by_name) == 6
    assert found.each == pytest.approx(each(demo, tomato, starter))
    germination = by_name["germination"]
    low = each(demo, replace(tomato, germination=germination.low), starter)
    assert germination.each_low == pytest.approx(low) and germination.low == pytest.approx(0.78)
    price = by_name["price of the mix"]
    assert price.each_high - found.each == pytest.approx(found.each - price.each_low)


def test_known_emergence_is_what_is_varied():
    demo = read(DEMO)
    lettuce, bulk = demo.sowings[1], demo.medium("Bulk potting mix")
    assert "lettuce" in bulk.emergence

    swings = {swing.range.name: swing for swing in what_matters(demo, lettuce, bulk).swings}

    assert swings["germination"].entered == bulk.emergence["lettuce"]
    assert swings["germination"].each_low > swings["germination"].each_high


def test_the_price_of_a_blend_is_that_of_its_ingredients():
    demo = read(DEMO)

    found = what_matters(demo, demo.sowings[0], demo.medium("Home blend"))

    price = next(s for s in found.swings if s.range.name == "price of the mix")
    assert price.each_low < found.each < price.each_high


def test_an_assumption_that_may_stall_the_seedlings_matters_most():
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),))
    scenario = scenario_of(mix, remedy="none", weeks=6)

    found = what_matters(scenario, scenario.sowings[0], mix)

    assert found.swings[0].width == inf
    assert "no seedling is ready" in found.sentence


def test_remedies_are_ranked_by_cost_and_those_that_do_not_help_come_last():
    lean = Medium("Lean", 2, packages=(bag(10, 2.0),))
    rich = Medium("Rich", 8, packages=(bag(10, 9.0),))
    feed = Feed("Feed", 1, 10.0, (Package("Lane", 1, "kg", 8.0),), g_per_litre=0.5)
    scenario = scenario_of(lean, rich, feed=feed, pot_on=PotOn("Rich", 300.0))
    (sowing,) = scenario.sowings

    found = remedies_compared(scenario, sowing, lean)

    assert [r.by for r in found.remedies] == ["feed", "richer_mix", "pot_on"]
    costs = [r.each for r in found.remedies]
    assert costs[0] == pytest.approx(each(scenario, sowing, lean))
    assert costs[1] == pytest.approx(each(scenario, sowing, rich))
    assert costs[2] == pytest.approx(each(scenario, replace(sowing, remedy="pot_on"), lean))
    assert costs == sorted(costs)
    assert remedies_compared(scenario, sowing, rich) is None

    bare = replace(scenario, feed=None, sowings=(replace(sowing, pot_on=None),))
    last = remedies_compared(bare, bare.sowings[0], lean).remedies
    assert [(r.by, r.each is None) for r in last] == [
        ("richer_mix", False),
        ("feed", True),
        ("pot_on", True),
    ]
    assert all(r.why_not for r in last[1:])


def test_a_week_more_adds_light_and_feed_or_is_too_much():
    demo = read(DEMO)
    tomato, starter = demo.sowings[0], demo.medium("Seed starter mix")

    found = extra_week(demo, tomato, starter)

    later = each(demo, replace(tomato, weeks=tomato.weeks + 1), starter)
    assert found.each_later == pytest.approx(later)
    assert found.adds.total == pytest.approx(later - found.each)
    assert found.adds.energy > 0 and found.adds.feed > 0 and found.adds.seed == 0

    mix = Medium("Mix", 6, packages=(bag(10, 3.0),))
    bare = scenario_of(mix, remedy="none")
    stalled = extra_week(bare, bare.sowings[0], mix)
    assert stalled.each_later is None and "too much" in stalled.sentence
