"""Answers at the shelf, against the comparison and the till worked out anew for each number."""

import random
from dataclasses import replace
from math import inf

import pytest

from pennyflat.chances.proportion import jeffreys_interval
from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.bag_sizes import big_bag, next_year, unit_price_ladder
from pennyflat.comparing.report import at_the_till, compared
from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Deal, Package
from pennyflat.scenario.records import Counts, Feed, Medium, PotOn, Scenario, Sowing, Store
from tests.strategies import random_scenario


def scenario_of(*media, feed=None, **sowing):
    given = {"crop": "leek", "wanted": 50, "cell_ml": 85, "weeks": 6, "germination": 1.0}
    return Scenario(
        format="seedling-costs/2",
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
    found, _ = at_the_till(scenario, needed)
    return found["paid"] if found else inf


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


def test_nothing_is_advised_beyond_its_limit():
    deal = Deal(3, 12.0)
    mix = Medium("Mix", 6, packages=(bag(10, 5.0, deal=deal, limit=2), bag(40, 8.0, limit=0)))
    scenario = scenario_of(mix)

    ladder = unit_price_ladder(scenario, mix)

    assert [(r.package.size, r.take) for r in ladder.rungs] == [(10, 1)]
    assert unit_price_ladder(scenario, replace(mix, packages=mix.packages[1:])) is None
    assert big_bag(scenario, scenario.sowings[0], mix) is None
    assert next_year(scenario, replace(mix, next_year_share=1.0), 9.0) is None


def test_ways_that_cost_the_same_on_paper_are_equal_on_the_ladder():
    # 1.10 for 10 L and 3.30 for 30 L are both 0.11 a litre, in binary fractions they are not
    mix = Medium("Mix", 6, packages=(bag(10, 1.1), bag(30, 3.3)))

    ladder = unit_price_ladder(scenario_of(mix), mix)

    assert 1.1 / 10 != 3.3 / 30
    assert [r.more for r in ladder.rungs] == [0, 0]
    assert [r.package.size for r in ladder.rungs] == [10, 30]


def test_a_blend_has_no_ladder():
    demo = read(DEMO)

    assert unit_price_ladder(demo, demo.medium("Home blend")) is None


def test_the_big_bag_wins_exactly_where_its_till_is_lower():
    compared = 0
    for seed in range(8):
        scenario = random_scenario(random.Random(seed), media=3, sowings=2)
        for sowing in scenario.sowings:
            for medium in scenario.media:
                found = big_bag(scenario, sowing, medium, up_to=90)
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


def test_the_big_bag_by_hand():
    # 1 L fills 10 cells of 85 mL at a fill loss of 0.15, one seedling each: 10 L at 3.00 do for
    # 100, so from 101 on the 50 L at 5.00 cost less.
    mix = Medium("Mix", 6, packages=(bag(10, 3.0), bag(50, 5.0)))
    scenario = scenario_of(mix)

    found = big_bag(scenario, scenario.sowings[0], mix, up_to=500)

    assert found.wins == ((101, 500),) and found.always_from == 101


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


def test_next_year_buys_all_that_is_needed_in_the_cheapest_way_per_litre():
    # 40 L at once: two deals of 3 x 10 L, 14.00, where one bag of 40 L costs 11.00
    mix = Medium("Mix", 6, packages=(bag(10, 5.0, deal=Deal(3, 7.0)), bag(40, 11.0)))

    found = next_year(scenario_of(mix), replace(mix, next_year_share=0.1), 40.0)

    assert (found.least_now, found.least_per_litre, found.left_over) == (11.0, 14.0, 20.0)
    # a tenth of 40 L later is there in the second way, 5.00 in the first: 16.00 against 14.00
    assert found.over_the_years == (16.0, 14.0) and found.pays

    dearer = replace(mix, next_year_share=0.6)
    # 24 L later: 7.00 in the first way, 4 L short in the second, 5.00: 18.00 against 19.00
    found = next_year(scenario_of(mix), dearer, 40.0)
    assert found.over_the_years == (18.0, 19.0) and not found.pays


def test_no_question_of_next_year_where_the_cheapest_per_litre_is_bought_anyway():
    mix = Medium("Mix", 6, packages=(bag(10, 6.0), bag(40, 11.0)), next_year_share=1.0)

    assert next_year(scenario_of(mix), mix, 35.0) is None


def test_what_matters_is_the_cost_at_each_end_sorted_by_the_difference():
    demo = read(DEMO)
    tomato, starter = demo.sowings[0], demo.medium("Seed starter mix")

    found = what_matters(demo, tomato, starter)

    by_name = {swing.name: swing for swing in found.swings}
    widths = [swing.width for swing in found.swings]
    assert widths == sorted(widths, reverse=True)
    assert len(by_name) == 5
    assert found.each == pytest.approx(each(demo, tomato, starter))
    germination = by_name["germination"]
    low = each(demo, replace(tomato, germination=germination.low), starter)
    assert germination.each_low == pytest.approx(low) and germination.low == pytest.approx(0.78)


def test_known_emergence_is_what_is_varied():
    demo = read(DEMO)
    lettuce, bulk = demo.sowings[1], demo.medium("Bulk potting mix")
    assert "lettuce" in bulk.emergence

    swings = {swing.name: swing for swing in what_matters(demo, lettuce, bulk).swings}

    assert swings["germination"].entered == bulk.emergence["lettuce"]
    assert swings["germination"].each_low > swings["germination"].each_high


def test_of_pre_sprouted_seed_it_is_the_towel_that_is_varied():
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),), emergence={"leek": 0.6})
    scenario = scenario_of(mix, presprout=True, germination=0.8, seed_price=0.1)
    (sowing,) = scenario.sowings

    swings = {swing.name: swing for swing in what_matters(scenario, sowing, mix).swings}

    found = swings["germination"]
    assert (found.entered, found.low, found.high) == pytest.approx((0.8, 0.7, 0.9))
    # a seed costs 0.10 / germination for each that sprouts; 0.95 of those take
    assert found.each_low - found.each_high == pytest.approx((0.1 / 0.7 - 0.1 / 0.9) / 0.95)


@pytest.mark.parametrize("germination", [0.004, 0.001, 0.05, 0.97, 1.0])
def test_ends_of_a_swing_lie_around_what_is_entered(germination):
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),))
    scenario = scenario_of(mix, germination=germination)

    for swing in what_matters(scenario, scenario.sowings[0], mix).swings:
        assert swing.low <= swing.entered <= swing.high


@pytest.mark.parametrize("in_mix", [True, False])
def test_what_was_counted_is_varied_as_far_as_the_count_leaves_it_open(in_mix):
    counted = Counts(17, 20)
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),), emergence={"leek": counted} if in_mix else {})
    scenario = scenario_of(mix, germination=0.9 if in_mix else counted, seed_price=0.1)
    (sowing,) = scenario.sowings

    swings = {swing.name: swing for swing in what_matters(scenario, sowing, mix).swings}

    found = swings["germination"]
    assert (found.low, found.high) == jeffreys_interval(17, 20, level=0.8)
    assert found.entered == pytest.approx(17.5 / 21)
    known = replace(mix, emergence={"leek": found.low})
    assert found.each_low == pytest.approx(each(with_medium(scenario, known), sowing, known))


@pytest.mark.parametrize("pace", [1.0, 1.25, 0.8])
def test_a_week_more_is_a_week_whatever_the_pace(pace):
    demo = read(DEMO)
    tomato, starter = demo.sowings[0], replace(demo.media[0], pace=pace, feeds_for_weeks=520)
    scenario = with_medium(demo, starter)

    swings = {swing.name: swing for swing in what_matters(scenario, tomato, starter).swings}

    found = swings["weeks in the tray"]
    now = requirement(scenario, tomato, starter).each.total
    lit = scenario.energy.light_watts * scenario.energy.hours_per_day * 7 / 1000
    week = lit * scenario.energy.tariff / scenario.energy.cells / (0.88 * 0.95)
    assert found.entered == pytest.approx(6 * pace)
    assert found.each_high - now == pytest.approx(week)
    assert now - found.each_low == pytest.approx(week)


def test_an_assumption_that_may_stall_the_seedlings_matters_most():
    mix = Medium("Mix", 6, packages=(bag(10, 3.0),))
    scenario = scenario_of(mix, remedy="none", weeks=6)

    found = what_matters(scenario, scenario.sowings[0], mix)

    assert found.swings[0].width == inf


def test_remedies_are_ranked_by_cost_and_those_that_do_not_help_come_last():
    lean = Medium("Lean", 2, packages=(bag(10, 2.0),))
    rich = Medium("Rich", 8, packages=(bag(10, 9.0),))
    feed = Feed("Feed", 1, 10.0, (Package("Lane", 1, "kg", 8.0),), g_per_litre=0.5)
    scenario = scenario_of(lean, rich, feed=feed, pot_on=PotOn("Rich", 300.0))
    (sowing,) = scenario.sowings

    found = remedies_compared(scenario, sowing, lean)

    assert [r.by for r in found.remedies] == ["feed", "other_medium", "pot_on"]
    costs = [r.each for r in found.remedies]
    assert costs[0] == pytest.approx(each(scenario, sowing, lean))
    assert costs[1] == pytest.approx(each(scenario, sowing, rich))
    assert costs[2] == pytest.approx(each(scenario, replace(sowing, remedy="pot_on"), lean))
    assert costs == sorted(costs)
    assert remedies_compared(scenario, sowing, rich) is None

    bare = replace(scenario, feed=None, sowings=(replace(sowing, pot_on=None),))
    last = remedies_compared(bare, bare.sowings[0], lean).remedies
    assert [(r.by, r.each is None) for r in last] == [
        ("other_medium", False),
        ("feed", True),
        ("pot_on", True),
    ]
    assert all(r.why_not for r in last[1:])


def test_the_report_and_the_question_know_the_same_rescue():
    # nothing feeds: a mix for 1, 4 and 2 weeks, potted on into the third, six weeks in all
    one, four, two = (
        Medium(name, weeks, packages=(bag(10, 5.0),))
        for name, weeks in (("One", 1), ("Four", 4), ("Two", 2))
    )
    scenario = scenario_of(one, four, two, remedy="pot_on", pot_on=PotOn("Two", 300.0))
    (sowing,) = scenario.sowings
    rescues = {found["medium"]: found for found in compared(scenario)["rescues"]}

    assert set(rescues) == {"One", "Two"}
    for medium in (one, two):
        best = remedies_compared(scenario, sowing, medium).remedies[0]
        found = rescues[medium.name]
        assert (found["by"], found["with"]) == (best.by, best.with_what) == ("other_medium", "Four")
        assert found["each"] == best.each == pytest.approx(each(scenario, sowing, four))


@pytest.mark.parametrize("seed", range(20))
def test_any_rescue_is_the_cheapest_remedy(seed):
    scenario = random_scenario(random.Random(seed), media=4, sowings=3)
    scenario = replace(scenario, feed=None) if seed % 2 else scenario
    rescues = iter(compared(scenario)["rescues"])
    for sowing in scenario.sowings:
        for medium in scenario.media:
            if requirement(scenario, sowing, medium).ready:
                continue
            best = remedies_compared(scenario, sowing, medium).remedies[0]
            found = next(rescues)
            assert found["each"] == best.each
            assert found["by"] == (None if best.each is None else best.by)
    assert next(rescues, None) is None


def test_potting_on_after_transplanting_is_no_remedy():
    lean = Medium("Lean", 2, packages=(bag(10, 2.0),))
    feed = Feed("Feed", 1, 10.0, (Package("Lane", 1, "kg", 8.0),), g_per_litre=0.5)
    scenario = scenario_of(lean, feed=feed, pot_on=PotOn("Lean", 300.0, at_week=6))

    found = {r.by: r for r in remedies_compared(scenario, scenario.sowings[0], lean).remedies}

    assert found["pot_on"].each is None and "not come before" in found["pot_on"].why_not
    assert found["feed"].each is not None
