"""Every turn is true: solved again on both sides of its share, price or number."""

import random
import re
from collections import Counter
from dataclasses import replace
from itertools import product
from math import inf

import pytest

from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.turns import AHEAD, STEPS, turns_of
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import Medium, Scenario, SeedPacket, Sowing, Store
from tests.strategies import random_scenario, whole_scenario

SMALL = 40
"""Random scenarios whose turns are solved again. [count]"""


PLAIN = 30
"""Scenarios of round numbers whose turns are solved again, and searched by trying all. [count]"""


def small(seed):
    rng = random.Random(seed)
    if seed % 2:
        return replace(
            whole_scenario(rng, media=3, sowings=2, wanted=40, limits=False), left_over_counts=0.0
        )
    return random_scenario(rng, media=3, sowings=2, wanted=40, limits=False)


def plain(seed):
    """A scenario of few round numbers, in which choices win in turn; a cell takes a litre."""
    rng = random.Random(seed)
    stores = Store("Lane", rng.choice([0.0, 2.0])), Store("Depot", rng.choice([0.0, 3.0]))

    def mix(name):
        size, each = rng.choice([5, 10, 15, 20]), rng.choice([0.6, 0.8, 1.0, 1.2])
        limit = rng.choice([None, None, 2, 3])
        bag = Package(rng.choice(stores).name, size, "L", round(size * each, 2), limit=limit)
        return Medium(name, 9, fill_loss=0.0, packages=(bag,))

    sowings = tuple(
        Sowing(crop, rng.choice([4, 5, 6]), 1000, 4, 1.0, seed_price=rng.choice([0.0, 0.05]))
        for crop in ("kale", "leek")[: rng.randint(1, 2)]
    )
    return Scenario(
        "seedling-costs/2", "", "EUR", stores, tuple(map(mix, ("Fine", "Rough", "Bulk"))), (),
        sowings=sowings, assurance=None, left_over_counts=rng.choice([0.0, 0.0, 0.5]),
    )  # fmt: skip


def cost(scenario, media):
    """Weighed cost of a choice of mixes, if it can be had. [currency]"""
    return cost_in(Planner(scenario), media)


def cost_in(planner, media):
    plan = planner.of(media)
    return inf if plan.basket.unmet else plan.weighed_cost


def least(scenario):
    """What the cheapest of all choices costs. [currency]"""
    planner = Planner(scenario)
    rows = [row or [None] for row in planner.rows]
    return min(cost_in(planner, media) for media in product(*rows))


def is_less(one, other):
    """Whether it is less by a cent or more."""
    return one < other - 0.01 + 1e-6


def is_beaten(scenario, now):
    """Whether another choice costs less."""
    return is_less(least(scenario), cost(scenario, now))


def at_share(scenario, share):
    return replace(scenario, left_over_counts=share)


def at_price(scenario, turn, price):
    def priced(row):
        packages = tuple(
            replace(package, price=price)
            if (package.store, package.size, package.unit)
            == (turn["store"], turn["size"], turn["unit"])
            and row.name == turn["item"]
            else package
            for package in row.packages
        )
        return replace(row, packages=packages)

    return replace(
        scenario,
        media=tuple(map(priced, scenario.media)),
        ingredients=tuple(map(priced, scenario.ingredients)),
        feed=scenario.feed and priced(scenario.feed),
    )


def wanting(scenario, crop, number):
    (place,) = (i for i, sowing in enumerate(scenario.sowings) if sowing.crop == crop)
    sowings = list(scenario.sowings)
    sowings[place] = replace(sowings[place], wanted=number)
    return replace(scenario, sowings=tuple(sowings))


def check_left_over(scenario, now, turn):
    share = turn["share"]
    percent = int(re.search(r"(\d+) %", turn["sentence"])[1])
    assert percent - 1 < 100 * share <= percent
    for later in (share, percent / 100, (share + 1) / 2, 1.0):
        assert is_beaten(at_share(scenario, later), now), later
    used_up = at_share(scenario, 1.0)
    assert cost(used_up, turn["media"]) == pytest.approx(least(used_up), abs=1e-6)
    assert not is_beaten(at_share(scenario, share - 2 / STEPS), now)


def check_without_trip(scenario, now, turn):
    stores = tuple(
        replace(store, trip_cost=0.0) if store.name == turn["store"] else store
        for store in scenario.stores
    )
    free = replace(scenario, stores=stores)

    assert cost(free, turn["media"]) == pytest.approx(least(free), abs=1e-6)
    assert is_beaten(free, now)


def check_price(scenario, now, turn):
    for price in (turn["price"], turn["price"] / 2, 0.0):
        assert is_beaten(at_price(scenario, turn, price), now)
    at = at_price(scenario, turn, turn["price"])
    assert cost(at, turn["media"]) == pytest.approx(least(at), abs=1e-6)
    above = at_price(scenario, turn, round(turn["price"] + 0.01, 2))
    assert not is_beaten(above, now)


def check_number(scenario, now, turn):
    crop, first, last = turn["crop"], turn["from"], turn["checked_to"]
    for number in range(first, last + 1):
        at = wanting(scenario, crop, number)
        assert is_less(cost(at, turn["media"]), cost(at, now)), number
    at = wanting(scenario, crop, first)
    assert cost(at, turn["media"]) == pytest.approx(least(at), abs=1e-6)
    assert not is_beaten(wanting(scenario, crop, first - 1), now)
    assert ("checked up to" in turn["sentence"]) == (last == most(scenario, crop))
    if last < most(scenario, crop):
        after = wanting(scenario, crop, last + 1)
        assert not is_less(cost(after, turn["media"]), cost(after, now))


def most(scenario, crop):
    """Up to which number of seedlings of a crop turns are looked for."""
    return sum(AHEAD * sowing.wanted for sowing in scenario.sowings if sowing.crop == crop)


CHECKS = {
    "left_over": check_left_over,
    "without_trip": check_without_trip,
    "price": check_price,
    "number": check_number,
}


def checked(scenario):
    """The turns of a scenario, each of which was found true."""
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    found = run(turns_of(planner, best), solve)
    for turn in found:
        assert turn["media"] != list(best.media), turn
        assert ("each" in turn) == (turn["kind"] in ("left_over", "without_trip")), turn
        assert "each" not in turn or turn["each"] < turn["instead_of"], turn
        CHECKS[turn["kind"]](scenario, best.media, turn)
    return found


def kinds(turns):
    return Counter(turn["kind"] for turn in turns)


@pytest.mark.parametrize("first", range(0, SMALL, 10))
def test_every_turn_is_true(first):
    met = Counter()
    for seed in range(first, first + 10):
        scenario = small(seed)
        if len({sowing.crop for sowing in scenario.sowings}) == 2:
            met.update(kinds(checked(scenario)))

    assert sum(met.values()) >= 3


def test_no_turn_of_a_plain_scenario_comes_before_the_one_that_is_told():
    met = Counter()
    for seed in range(PLAIN):
        scenario = plain(seed)
        planner = Planner(scenario)
        if (best := run(planner.best(), solve)).basket.unmet:
            continue
        turns = checked(scenario)
        met.update(kinds(turns))
        told = {turn["crop"]: turn["from"] for turn in turns if turn["kind"] == "number"}
        for sowing in scenario.sowings:
            end = told.get(sowing.crop, most(scenario, sowing.crop) + 1)
            for number in range(sowing.wanted + 1, end):
                assert not is_beaten(wanting(scenario, sowing.crop, number), best.media), seed

    assert min(met[kind] for kind in CHECKS) >= 2, met


def test_the_example_has_every_kind_that_a_grower_can_act_on():
    assert set(kinds(checked(read(DEMO)))) == {"left_over", "price", "number"}


def test_no_turn_where_there_is_one_mix_only():
    demo = read(DEMO)
    alone = replace(demo, media=demo.media[:1])

    assert checked(alone) == []


def test_a_price_turn_is_about_one_mix_although_another_has_the_same_package():
    bag = Package("Lane", 1, "L", 5.0)
    mixes = (
        Medium("Bulk", 6, packages=(Package("Lane", 20, "L", 8.0),)),
        Medium("Kale mix", 6, packages=(bag,), unfit_for=("leek",)),
        Medium("Leek mix", 6, packages=(bag,), unfit_for=("kale",)),
    )
    sowings = tuple(Sowing(crop, 10, 85, 4, 1.0) for crop in ("kale", "leek"))
    scenario = Scenario("seedling-costs/2", "", "EUR", (Store("Lane"),), mixes, (), sowings=sowings)
    planner = Planner(scenario)
    best = run(planner.best(), solve)

    (turn,) = (turn for turn in run(turns_of(planner, best), solve) if turn["kind"] == "price")

    # Ten cells of 85 mL take 1 L: 8.00 for both in bulk, 10.00 in mixes of their own.
    assert turn["price"] == 2.99
    check_price(scenario, best.media, turn)


def leek_in(mixes, wanted, cell_ml, stores, **more):
    sowing = Sowing("leek", wanted, cell_ml, 4, 1.0, **more)
    return Scenario(
        "seedling-costs/2", "", "EUR", stores, mixes, (), sowings=(sowing,), assurance=None
    )


def test_the_sums_without_a_trip_are_those_that_decide():
    small = Medium("Small", 9, fill_loss=0.0, packages=(Package("Lane", 10, "L", 5.0),))
    big = Medium("Big", 9, fill_loss=0.0, packages=(Package("Depot", 50, "L", 9.0),))
    stores = Store("Lane"), Store("Depot", 7.0)
    scenario = replace(leek_in((small, big), 90, 100, stores), left_over_counts=1.0)

    (turn,) = (turn for turn in checked(scenario) if turn["kind"] == "without_trip")

    # By hand: 9 L used of 10 L for 5.00 leave 0.50 worth; of 50 L for 9.00, 7.38 worth.
    assert "Big: 1.62 EUR against 4.50 EUR in all, leftovers taken off." in turn["sentence"]
    assert (turn["each"], turn["instead_of"]) == pytest.approx((1.62 / 90, 4.5 / 90))


def test_a_price_turn_is_about_a_mix_although_a_seed_packet_is_dearer():
    packets = SeedPacket("Lane", 3.0, seeds=100), SeedPacket("Lane", 3.5, seeds=250)
    fine = Medium("Fine", 9, packages=(Package("Lane", 10, "L", 2.0),))
    rough = Medium("Rough", 9, packages=(Package("Lane", 20, "L", 2.9),), emergence={"leek": 0.5})
    scenario = leek_in((fine, rough), 80, 50, (Store("Lane"),), seed_packets=packets)

    (turn,) = (turn for turn in checked(scenario) if turn["kind"] == "price")

    # By hand: 2.00 + 3.00 for 80 seeds against the price + 3.50 for 160 seeds.
    assert (turn["item"], turn["price"]) == ("Rough", 1.49)
