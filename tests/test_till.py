"""Money at the till number by number, against what the report says for each number."""

import random
from dataclasses import replace
from math import inf
from time import process_time

import pytest

from pennyflat.chances.probability import MOST_TRIALS
from pennyflat.comparing import till
from pennyflat.comparing.bag_sizes import big_bag
from pennyflat.comparing.report import at_the_till, compared
from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import (
    Counts,
    Feed,
    Ingredient,
    Medium,
    Part,
    Scenario,
    SeedPacket,
    Sowing,
    Store,
    Tray,
)
from tests.strategies import random_scenario


def paid(scenario, sowing, medium, wanted):
    needed = requirement(scenario, replace(sowing, wanted=wanted), medium)
    found, _ = at_the_till(scenario, needed) if needed.ready else (None, None)
    return found["paid"] if found else inf


def with_all_that_is_bought(rng, *, stores):
    """A random scenario with packets, trays, counts and towels."""
    scenario = random_scenario(rng, media=2, sowings=2, stores=stores, wanted=25)
    tray = Tray("72 cells", 72, 3.6, 4, have=rng.choice([0, 1]), store="Store 1")
    packets = (
        SeedPacket("Store 0", 3.2, 30),
        SeedPacket("Store 2", 5.1, 70, limit=rng.choice([None, 2])),
    )
    changes = (
        {"seed_packets": packets, "seed_stock": rng.choice([0, 20])},
        {"presprout": True},
        {"germination": Counts(17, 20)},
    )
    sowings = tuple(
        replace(sowing, **rng.choice(changes), **({"remedy": "feed", "pot_on": None}))
        if rng.random() < 0.7
        else sowing
        for sowing in scenario.sowings
    )
    assurance = rng.choice([0.9, 0.9, None])
    return replace(scenario, sowings=sowings, trays=(tray,), assurance=assurance)


@pytest.mark.parametrize("seed", range(12))
def test_the_steps_are_what_the_report_says_for_every_number(seed):
    rng = random.Random(seed)
    # with nine shops more cost a trip than their choices are gone through one by one
    scenario = with_all_that_is_bought(rng, stores=3 if seed % 3 else 9)
    for sowing in scenario.sowings:
        for medium in scenario.media:
            steps = till.steps_at_the_till(scenario, sowing, medium)
            if not requirement(scenario, sowing, medium).ready:
                assert steps == ()
                continue
            for wanted in range(1, till.look_ahead(sowing.wanted) + 1):
                exact = paid(scenario, sowing, medium, wanted)
                assert till.paid_for(steps, wanted) == pytest.approx(exact, abs=1e-6)


def test_searching_all_shops_at_once_comes_to_the_same_steps(monkeypatch):
    scenario = with_all_that_is_bought(random.Random(5), stores=5)
    needed = [
        found
        for sowing in scenario.sowings
        for medium in scenario.media
        if (found := requirement(scenario, sowing, medium)).ready
    ]
    one_by_one = [till.till_steps(scenario, one, 120) for one in needed]
    monkeypatch.setattr(till, "MOST_TRIPS", -1)

    assert needed and one_by_one == [till.till_steps(scenario, one, 120) for one in needed]


def test_packets_trays_and_trips_make_steps_of_their_own():
    # 12 mL a cell and no loss: 10 L fill 833 cells. 20 seeds a packet, 30 cells a tray with one at
    # home, the trays at a shop that is 4.00 away: from 21 on a second packet, from 31 on a tray.
    mix = Medium("Mix", 6, fill_loss=0, packages=(Package("Lane", 10, "L", 5.0),))
    leek = Sowing(
        "leek", 40, 12, 4, 1.0, seed_packets=(SeedPacket("Lane", 2.0, 20),), tray="30 cells"
    )
    scenario = scenario_of(mix, sowing=leek)
    tray = Tray("30 cells", 30, 3.0, 4, have=1, store="Far")
    scenario = replace(scenario, trays=(tray,), stores=(Store("Lane"), Store("Far", 4.0)))

    steps = till.till_steps(scenario, requirement(scenario, leek, mix), 45)

    assert [(step.wanted, step.paid) for step in steps] == [
        (1, 7.0), (21, 9.0), (31, 16.0), (41, 18.0)
    ]  # fmt: skip


def scenario_of(*media, sowing, **changes):
    return Scenario(
        format="seedling-costs/2", title="", currency="EUR", stores=(Store("Lane"),), media=media,
        ingredients=(), sowings=(sowing,), assurance=None, **changes,
    )  # fmt: skip


def test_the_small_bag_that_wins_again_far_ahead_is_found():
    # 0.1 / 0.85 L a cell, eight in ten ready: 10 L do for 68, 20 L for 136, 25 L for 169, 30 L for
    # 204. 16.10 is less than 18.40 for two small bags, 27.60 for three less than 32.20.
    mix = Medium("Mix", 6, packages=(Package("Lane", 10, "L", 9.2), Package("Lane", 25, "L", 16.1)))
    leek = Sowing("leek", 60, 100, 4, 0.8)
    scenario = scenario_of(mix, sowing=leek)

    found = big_bag(scenario, leek, mix)

    assert found.up_to == 240
    assert found.wins == ((69, 169), (205, 240)) and found.always_from == 205


def test_sums_that_are_equal_on_paper_are_equal():
    # 0.10 and 0.20 for the feed against 0.30, which binary fractions put below their sum
    lean = Medium("Lean", 2, packages=(Package("Lane", 50, "L", 0.1),))
    rich = Medium("Rich", 9, packages=(Package("Lane", 50, "L", 0.3),))
    feed = Feed("Feed", 1, 10.0, (Package("Lane", 1, "kg", 0.2),), g_per_litre=0.5)
    leek = Sowing("leek", 10, 100, 4, 1.0)
    scenario = scenario_of(lean, rich, sowing=leek, feed=feed)

    steps = {mix.name: till.steps_at_the_till(scenario, leek, mix) for mix in (lean, rich)}

    assert 0.1 + 0.2 > 0.3
    assert steps["Lean"] == steps["Rich"] == (till.Step(1, 0.3),)
    assert till.stretches(steps, 40) == (till.Stretch(1, 40, "Lean"),)


def test_a_mix_for_which_nothing_is_bought_costs_nothing():
    # 40 L of the blend at home fill the 160 cells of 100 mL that are considered at most
    blend = Medium("Blend", 6, fill_loss=0, parts=(Part("Coir", 1),), stock=40.0)
    mix = Medium("Mix", 6, packages=(Package("Lane", 50, "L", 5.0),))
    coir = Ingredient("Coir", (Package("Lane", 10, "L", 3.0),))
    leek = Sowing("leek", 40, 100, 4, 1.0)
    scenario = replace(scenario_of(blend, mix, sowing=leek), ingredients=(coir,))

    found = till.curves(scenario, compared(scenario), 0, "Mix")

    assert found.lines["Blend"] == (till.Step(1, 0.0),)
    assert found.stretches == (till.Stretch(1, 160, "Blend"),)


def test_what_the_stock_just_covers_is_not_bought():
    # 36 cells of 100 mL with a tenth lost take the 4 L at home; a share of what 22 cells take
    # would be more by rounding
    blend = Medium("Blend", 6, fill_loss=0.1, parts=(Part("Coir", 1),), stock=4.0)
    coir = Ingredient("Coir", (Package("Lane", 10, "L", 3.0),))
    leek = Sowing("leek", 22, 100, 4, 1.0)
    scenario = replace(scenario_of(blend, sowing=leek), ingredients=(coir,))

    steps = till.till_steps(scenario, requirement(scenario, leek, blend), 60)

    assert steps == (till.Step(1, 0.0), till.Step(37, 3.0))
    assert [paid(scenario, leek, blend, wanted) for wanted in (36, 37)] == [0.0, 3.0]


def test_for_very_many_no_steps_are_drawn():
    mix = Medium("Mix", 6, packages=(Package("Lane", 8, "L", 6.0),))
    for wanted, drawn in ((till.MOST_DRAWN, {"Mix"}), (till.MOST_DRAWN + 1, set())):
        scenario = scenario_of(mix, sowing=Sowing("leek", wanted, 25, 4, 1.0))

        assert till.curves(scenario, compared(scenario), 0, "Mix").lines.keys() == drawn


def test_a_stock_that_suffices_but_for_rounding_is_not_added_to():
    # 170 cells of 25 mL with 15 % lost take 5 L, in binary fractions a little more
    blend = Medium("Blend", 6, fill_loss=0.15, parts=(Part("Coir", 1),), stock=5.0)
    coir = Ingredient("Coir", (Package("Lane", 8, "L", 6.0),))
    leek = Sowing("leek", 170, 25, 4, 1.0)
    scenario = replace(scenario_of(blend, sowing=leek), ingredients=(coir,))

    assert requirement(scenario, leek, blend).litres["Blend"] > 5
    assert [paid(scenario, leek, blend, wanted) for wanted in (170, 171)] == [0.0, 6.0]


def test_numbers_that_would_take_too_many_cells_cannot_be_had():
    mix = Medium("Mix", 6, packages=(Package("Lane", 100, "m3", 50.0),))
    rare = Sowing("leek", 1, 1, 4, 0.001)
    scenario = replace(scenario_of(mix, sowing=rare), assurance=0.9)

    first, last = till.till_steps(scenario, requirement(scenario, rare, mix), till.MOST_WANTED)

    assert (first.wanted, first.paid, last.paid) == (1, 50.0, inf)
    most = requirement(scenario, replace(rare, wanted=last.wanted - 1), mix)
    assert most.ready and most.cells <= MOST_TRIALS
    assert not requirement(scenario, replace(rare, wanted=last.wanted), mix).ready


def test_limits_and_thousands_of_seedlings_do_not_hang():
    demo = read(DEMO)
    sizes = ((7, 3.31), (11, 5.03), (16.3, 7.41))
    bags = tuple(Package("Corner shop", size, "L", cost, limit=500) for size, cost in sizes)
    mix = replace(demo.media[0], packages=bags)
    many = replace(demo.sowings[0], wanted=5000)
    scenario = replace(demo, media=(mix, *demo.media[1:]))

    start = process_time()
    steps = till.steps_at_the_till(scenario, many, mix)

    assert process_time() - start < 30
    assert till.paid_for(steps, 5000) == pytest.approx(paid(scenario, many, mix, 5000))
