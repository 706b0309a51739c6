"""What a package is worth to the plan, against every choice of mixes with it and without it."""

import random
from collections import Counter
from dataclasses import replace
from itertools import product
from math import inf

import pytest

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.cover import least_price
from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.worth import worth_of
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Deal, Package, amount_in
from pennyflat.scenario.records import Medium, Scenario, Sowing, Store
from tests.strategies import random_scenario, whole_scenario

ENOUGH = 100
"""Random scenarios, one package of each. [count]"""


def small(seed):
    rng = random.Random(seed)
    make = whole_scenario if seed % 2 else random_scenario
    found = make(rng, media=3, sowings=2, wanted=40, limits=seed % 4 < 2)
    return found if seed % 4 == 3 else replace(found, left_over_counts=0.0)


def places_of(scenario):
    for kind in ("media", "ingredients"):
        for number, row in enumerate(getattr(scenario, kind)):
            yield from ((kind, number, place) for place in range(len(row.packages)))
    if scenario.feed:
        yield from (("feed", place) for place in range(len(scenario.feed.packages)))


def row_of(scenario, place):
    return scenario.feed if place[0] == "feed" else getattr(scenario, place[0])[place[1]]


def with_package(scenario, place, **changed):
    row = row_of(scenario, place)
    packages = list(row.packages)
    packages[place[-1]] = replace(packages[place[-1]], **changed)
    row = replace(row, packages=tuple(packages))
    if place[0] == "feed":
        return replace(scenario, feed=row)
    rows = list(getattr(scenario, place[0]))
    rows[place[1]] = row
    return replace(scenario, **{place[0]: tuple(rows)})


def choices(planner):
    return product(*[row or [None] for row in planner.rows])


def least_without(scenario, place):
    """Weighed cost of the cheapest plan without a package, and whether one can be had."""
    if scenario.left_over_counts:  # valued as with it: still on sale, but nowhere one would go
        scenario = replace(
            with_package(scenario, place, store="Moon"),
            stores=(*scenario.stores, Store("Moon", 1e6)),
        )
    else:
        scenario = with_package(scenario, place, limit=0)
    planner = Planner(scenario)
    least = min(
        (plan for plan in map(planner.of, choices(planner)) if not plan.basket.unmet),
        key=lambda plan: plan.weighed_cost,
        default=None,
    )
    return inf if least is None or least.weighed_cost > 1e5 else least.weighed_cost


def least_with(scenario, place):
    """Weighed cost of the cheapest plan in which at least one of a package is bought."""
    planner, row = Planner(scenario), row_of(scenario, place)
    package, counts = row.packages[place[-1]], scenario.left_over_counts
    trips = sum(store.trip_cost for store in scenario.stores if store.name == package.store)
    stores = [
        replace(store, trip_cost=0.0) if store.name == package.store else store
        for store in scenario.stores
    ]
    ways = [(1, package.price)]
    ways += [(package.deal.take, package.deal.pay)] if package.deal else []
    least = inf
    for choice in choices(planner):
        plan = planner.of(choice)
        needs = planner.needs(plan.picks)
        seen = {need.key for need in needs}
        at_home = planner.left_at_home(plan.picks)
        home = sum(left for key, left in at_home.items() if key not in seen)
        served = [i for i, need in enumerate(needs) if need.packages == row.packages]
        served = [i for i in served if needs[i].item == row.name] or [None]
        for (take, pay), at in product(ways, served):
            if package.limit is not None and package.limit < take:
                continue
            wasted, changed = 0.0, list(needs)
            if at is None:
                wasted = max(
                    take * amount_in(package, measure) * least_price(row.packages, measure, tax)
                    for tax in [scenario.tax]
                    for item, measure, packages in planner.left_at_home(plan.picks)
                    if (item, packages) == (row.name, row.packages)
                )
            else:
                need = needs[at]
                packages = list(row.packages)
                if package.limit is not None:
                    packages[place[-1]] = replace(package, limit=package.limit - take)
                stock = need.stock + take * amount_in(package, need.measure)
                changed[at] = replace(need, stock=stock, packages=tuple(packages))
            basket = cheapest_basket(
                changed, stores=stores, tax=scenario.tax, left_over_counts=counts
            )
            if basket.unmet:
                continue
            left = sum(left["worth"] for left in basket.left_over) + home + wasted
            paid = basket.total + pay * (1 + scenario.tax) + trips
            least = min(least, paid + plan.rest - counts * left)
    return least


def verdict_of(found):
    """Whether the plan buys it, and what is said of it."""
    if found.template.endswith("worth it."):
        return True, "worth"
    starts = {
        "It costs the same": (True, "same"),
        "Your crops need it": (True, "only"),
        "It would cost the same": (False, "same"),
        "No better": (False, "worse"),
        "Nothing you raise": (False, "unused"),
        "What is at home": (False, "enough"),
        "It is not to be had": (False, "gone"),
    }
    [verdict] = [found_so for start, found_so in starts.items() if found.startswith(start)]
    return verdict


def check(scenario, place):
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    found = run(worth_of(planner, best, place), solve)
    if best.basket.unmet or not any(best.picks):
        assert found is None
        return "none"
    row = row_of(scenario, place)
    bought = sum(
        line.count
        for line in best.basket.lines
        if line.item == row.name and line.package == row.packages[place[-1]]
    )
    is_bought, verdict = verdict_of(found)
    if Counter(row.packages)[row.packages[place[-1]]] == 1:
        assert is_bought == (bought > 0)
    if is_bought:
        without = least_without(scenario, place)
        assert (verdict == "only") == (without == inf)
        if without < inf:
            saves = without - best.weighed_cost
            assert saves >= -2e-6
            assert (verdict == "worth") == (saves >= 0.01 - 2e-6)
        if verdict == "worth":
            assert found.gaps["saves"].amount == pytest.approx(saves, abs=2e-6)
            assert "others" in found.gaps or scenario.left_over_counts
    elif verdict in ("worse", "same"):
        more = least_with(scenario, place) - best.weighed_cost
        assert (verdict == "worse") == (more >= 0.01 - 1e-4)
        if verdict == "worse":
            assert found.gaps["more"].amount == pytest.approx(more, abs=1e-4)
    return verdict


@pytest.mark.parametrize("first", range(0, ENOUGH, 20))
def test_it_is_what_trying_every_choice_with_and_without_it_finds(first):
    met = Counter()
    for seed in range(first, first + 20):
        scenario = small(seed)
        places = list(places_of(scenario))
        met[check(scenario, random.Random(seed).choice(places))] += 1
        lines = [line.package for line in run(Planner(scenario).best(), solve).basket.lines]
        bought = [p for p in places if row_of(scenario, p).packages[p[-1]] in lines]
        if bought:
            met[check(scenario, bought[0])] += 1

    assert met["worth"] >= 3 and met["worse"] >= 3


@pytest.mark.parametrize("place", list(places_of(read(DEMO))))
def test_it_is_true_of_the_example(place):
    assert check(read(DEMO), place) in ("worth", "worse", "only")


def one_crop(*packages, **more):
    """Ten cells of 85 mL, 1 L of mix from the bag at a fill loss of 0.15."""
    kale = Sowing("kale", 10, 85, 4, 1.0, **more)
    return Scenario(
        format="seedling-costs/2",
        title="",
        currency="EUR",
        stores=(Store("Lane"), Store("Depot", 4.0)),
        media=(Medium("Mix", 6, packages=packages),),
        ingredients=(),
        sowings=(kale,),
    )


def worth(scenario, number, row=0):
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    return run(worth_of(planner, best, ("media", row, number)), solve)


def test_a_tie_is_called_one_on_both_sides():
    bags = Package("Lane", 1, "L", 3.0), Package("Lane", 2, "L", 3.0)

    taken, other = worth(one_crop(*bags), 0), worth(one_crop(*bags), 1)

    assert taken == "It costs the same as 1 × Mix 2 L."
    assert other == "It would cost the same as what the plan buys."


def test_by_hand_what_it_saves():
    # 1 L is needed: 1 L at 3.00, or 0.5 L at 2.00 twice.
    scenario = one_crop(Package("Lane", 1, "L", 3.0), Package("Lane", 0.5, "L", 2.0))

    taken, other = worth(scenario, 0), worth(scenario, 1)

    assert taken.gaps["saves"].amount == pytest.approx(1.0)
    assert taken == "1.00 EUR less than with 2 × Mix 0.5 L: worth it."
    assert other.gaps["more"].amount == pytest.approx(1.0)
    assert other.gaps["less"].amount == pytest.approx(1.0)  # 4.00 a litre against 3.00
    assert other == "No better: 1 L of Mix for 3.00 EUR is 1.00 EUR less per L."


def test_packages_in_other_measures_are_compared_by_the_unit_on_the_label():
    litres, quarts = Package("Lane", 10, "L", 3.0), Package("Lane", 10, "qt_dry", 4.0)
    gaps = worth(one_crop(litres, quarts), 1).gaps

    assert gaps["per"] == "qt_dry"
    assert gaps["less"].amount == pytest.approx(0.4 - 0.3 * 1.101220942715)  # L/dry quart, NIST


def test_the_trip_counts():
    # 0.50 at the depot with a trip of 4.00.
    scenario = one_crop(Package("Lane", 1, "L", 3.0), Package("Depot", 1, "L", 0.5))

    found = worth(scenario, 1)

    assert found.gaps["more"].amount == pytest.approx(1.5)
    assert found.startswith("No better for your crops: one L costs 2.50 EUR less")


def test_what_nothing_else_can_replace():
    found = worth(one_crop(Package("Lane", 1, "L", 3.0)), 0)

    assert verdict_of(found) == (True, "only")


def test_what_costs_far_more_is_still_another_way():
    found = worth(one_crop(Package("Lane", 1, "L", 0.01), Package("Lane", 1, "L", 50_000.0)), 0)

    assert verdict_of(found) == (True, "worth")
    assert found.gaps["saves"].amount == pytest.approx(49_999.99)


def test_what_cannot_be_used_or_had_or_is_at_home():
    bag = Package("Lane", 1, "L", 3.0)
    scenario = one_crop(bag, replace(bag, size=2, limit=0))
    lean = Medium("Lean", 2, packages=(bag,))
    home = replace(scenario.media[0], stock=5.0)

    with_lean = replace(scenario, media=(*scenario.media, lean))
    assert verdict_of(worth(scenario, 1)) == (False, "gone")
    assert verdict_of(worth(with_lean, 0, row=1)) == (False, "unused")
    assert verdict_of(worth(replace(scenario, media=(home,)), 0)) == (False, "enough")


def test_a_deal_is_weighed_as_a_deal():
    # 2 L of 0.5 L bags at 2.00, three for 4.00: 4 bags cost 6.00; one of 2 L costs 5.00.
    small_bag = Package("Lane", 0.5, "L", 2.0, deal=Deal(3, 4.0))
    scenario = one_crop(small_bag, Package("Lane", 2, "L", 5.0))
    scenario = replace(scenario, sowings=(replace(scenario.sowings[0], wanted=20),))

    found = worth(scenario, 0)

    assert found.gaps["more"].amount == pytest.approx(1.0)
