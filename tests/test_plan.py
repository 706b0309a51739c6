"""The plan against trying every choice and scipy's milp, and the shopping report."""

import random
from dataclasses import replace
from itertools import product

import pytest

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.highs import solve
from pennyflat.buying.mix_model import STEPS
from pennyflat.buying.needs import needs_of
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import shop
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import Feed, Medium, Scenario, Sowing, Store, Tray
from tests.milp import least_plan
from tests.strategies import random_scenario, whole_scenario

PLANS = 1500
"""Random plans compared with scipy's milp. [count]"""


def best_of(planner):
    return run(planner.best(), solve)


def varied(seed, *, limits, most=4):
    rng = random.Random(seed)
    return whole_scenario(
        rng,
        media=rng.randint(1, most),
        sowings=rng.randint(1, most),
        wanted=rng.choice([40, 120, 300]),
        limits=limits,
    )


def test_a_litre_that_is_short_counts_as_a_thousand_millilitres():
    assert STEPS["L"] == 1000 * STEPS["mL"] == 1000 * STEPS["g"]


@pytest.mark.against("scipy")
@pytest.mark.parametrize("first", range(0, PLANS, 500))
def test_the_plan_costs_what_scipy_finds(first):
    met = 0
    for seed in range(first, first + 500):
        scenario = varied(seed, limits=seed % 3 == 0)
        planner = Planner(scenario)
        best = best_of(planner)
        rows = [list(row.values()) for row in planner.rows if row]

        expected = least_plan(scenario, rows) if rows else 0.0
        assert best.proven, seed
        assert (expected is None) == bool(best.basket.unmet), seed
        if expected is not None:
            assert best.weighed_cost == pytest.approx(expected, abs=2e-6), seed
            met += 1
    assert met > 0.9 * 500


@pytest.mark.parametrize("first", range(0, 100, 50))
def test_no_choice_of_mixes_is_better(first):
    for seed in range(first, first + 50):
        planner = Planner(varied(seed, limits=True, most=3))
        best = best_of(planner)

        choices = product(*[row or [None] for row in planner.rows])
        least = min((planner.of(choice) for choice in choices), key=lambda plan: plan.order)
        assert best.order[:4] == pytest.approx(least.order[:4], abs=2e-6), seed


@pytest.mark.parametrize("seed", range(12))
def test_the_plan_costs_no_more_than_one_mix_or_each_its_own(seed):
    planner = Planner(random_scenario(random.Random(seed), media=5, sowings=4, limits=False))
    best = best_of(planner)

    assert best.weighed_cost <= planner.start().weighed_cost + 1e-6


@pytest.mark.parametrize("seed", range(20))
def test_money_is_that_of_the_basket_for_the_mixes_chosen(seed):
    scenario = varied(seed, limits=False)
    best = best_of(Planner(scenario))
    chosen = [pick for pick in best.picks if pick]
    counts = scenario.left_over_counts
    basket = cheapest_basket(
        needs_of(scenario, chosen),
        stores=scenario.stores,
        tax=scenario.tax,
        left_over_counts=counts,
    )

    assert best.basket.total == pytest.approx(basket.total)
    assert best.with_the_rest == pytest.approx(basket.total + sum(pick.rest for pick in chosen))
    worth = sum(left["worth"] for left in basket.left_over)
    assert best.weighed_cost <= best.with_the_rest - counts * worth + 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_the_cheapest_as_used_wins_where_all_is_used_up(seed):
    """Without trips, limits, deals and stock; any number of cells fills whole trays of one."""
    found = whole_scenario(random.Random(seed), media=4, sowings=3, limits=False)

    def plain(row):
        packages = tuple(replace(package, deal=None) for package in row.packages)
        return replace(row, packages=packages, stock=0.0)

    scenario = replace(
        found,
        left_over_counts=1.0,
        stores=tuple(replace(store, trip_cost=0.0) for store in found.stores),
        media=tuple(map(plain, found.media)),
        ingredients=tuple(map(plain, found.ingredients)),
        feed=found.feed and plain(found.feed),
        trays=tuple(replace(tray, cells=1, price=tray.price / 50, have=0) for tray in found.trays),
        sowings=tuple(
            replace(
                sowing,
                presprout=False,
                pot_on=None,
                remedy="feed",
                seed_stock=0,
                seed_packets=tuple(replace(packet, deal=None) for packet in sowing.seed_packets),
            )
            for sowing in found.sowings
        ),
    )
    planner = Planner(scenario)
    best = best_of(planner)

    for row, pick in zip(planner.rows, best.picks, strict=True):
        if row:
            least = min(needed.costs.total for needed in row.values())
            assert pick.costs.total == pytest.approx(least, abs=1e-6)


def scenario_of(media, sowings, **more):
    return Scenario(
        format="seedling-costs/2",
        title="",
        currency="EUR",
        stores=(Store("Lane"), Store("Depot", 4.0)),
        media=tuple(media),
        ingredients=(),
        sowings=tuple(sowings),
        **more,
    )


def lettuce(**more):
    given = {"crop": "lettuce", "wanted": 10, "cell_ml": 85, "weeks": 4, "germination": 1.0}
    return Sowing(**given | more)


@pytest.mark.parametrize("seed", range(60))
def test_at_equal_money_fewer_packages_then_less_left_over(seed):
    """Mixes at the same price a litre in bags of many sizes: much is equal in money."""
    rng = random.Random(seed)
    media = [
        Medium(
            f"Mix {number}",
            6,
            packages=tuple(
                Package("Lane", size, "L", size * 0.5)
                for size in rng.sample([2, 4, 5, 6, 8, 10], 2)
            ),
        )
        for number in range(3)
    ]
    sowings = [lettuce(crop=crop, wanted=rng.randint(5, 60)) for crop in ("kale", "leek")]
    planner = Planner(scenario_of(media, sowings, left_over_counts=rng.choice([0.0, 0.3, 1.0])))
    best = best_of(planner)

    every = [planner.of(choice) for choice in product(*planner.rows)]
    least = min(round(plan.weighed_cost, 6) for plan in every)
    tied = [plan for plan in every if plan.weighed_cost < least + 2e-6]
    assert best.weighed_cost == pytest.approx(least, abs=2e-6)
    assert best.packages == min(plan.packages for plan in tied)
    left = [plan.order[-1] for plan in tied if plan.packages == best.packages]
    assert best.order[-1] == pytest.approx(min(left), abs=1e-5)


def test_one_big_bag_is_shared_although_each_crop_alone_would_buy_small():
    # Ten cells of 85 mL at a fill loss of 0.15 take 1 L. Alone a crop buys 1 L at 3.00; three
    # together take 3 L, for which one bag at 8.00 is cheaper than three at 9.00.
    small = Medium("Small", 6, packages=(Package("Lane", 1, "L", 3.0),))
    big = Medium("Big", 6, packages=(Package("Lane", 20, "L", 8.0),))
    scenario = scenario_of([small, big], [lettuce(crop=c) for c in ("lettuce", "kale", "leek")])

    report = shop(scenario)

    assert [row["medium"] for row in report["plan"]] == ["Big"] * 3
    assert report["total"] == 8.0 and report["proven"]


def test_leftovers_that_count_lead_to_the_bigger_bag():
    small = Medium("Small", 6, packages=(Package("Lane", 1, "L", 3.0),))
    big = Medium("Big", 6, packages=(Package("Lane", 20, "L", 8.0),))

    bills = [
        shop(scenario_of([small, big], [lettuce()], left_over_counts=share))
        for share in (0.0, 0.6, 1.0)
    ]

    # By hand: 1 L of 20 L at 0.40 a litre leaves 19 L worth 7.60.
    assert [bill["plan"][0]["medium"] for bill in bills] == ["Small", "Small", "Big"]
    assert [bill["weighed_cost"] for bill in bills] == pytest.approx([3.0, 3.0, 0.4])
    (turn,) = [t for t in bills[0]["recommendation"]["turns"] if t["kind"] == "left_over"]
    # By hand: 3.00 = 8.00 - share x 7.60.
    assert turn["share"] == pytest.approx(5 / 7.6, abs=1e-2)
    assert shop(scenario_of([small, big], [lettuce()], left_over_counts=0.67))["plan"][0][
        "medium"
    ] == "Big"  # fmt: skip


def test_starter_for_the_fussy_crop_and_bulk_for_the_rest():
    starter = Medium("Starter", 6, packages=(Package("Lane", 5, "L", 6.0),))
    bulk = Medium("Bulk", 6, packages=(Package("Lane", 50, "L", 9.0),), emergence={"celery": 0.02})
    celery = lettuce(crop="celery", seed_price=0.5)
    scenario = scenario_of([starter, bulk], [celery, lettuce(wanted=400)])

    report = shop(scenario)

    assert [row["medium"] for row in report["plan"]] == ["Starter", "Bulk"]
    assert report["total"] == 15.0
    assert report["with_the_rest"] == pytest.approx(15.0 + 10 * 0.5)


def test_a_sowing_that_no_mix_brings_through_is_named_and_nothing_is_bought_for_it():
    lean = Medium("Lean", 2, packages=(Package("Lane", 5, "L", 6.0),))
    scenario = scenario_of(
        [lean], [lettuce(remedy="none"), lettuce(crop="kale", medium="Lean", weeks=2)]
    )

    report = shop(scenario)

    stalled, kept = report["plan"]
    assert stalled["medium"] is None and "week 2" in stalled["why_not"]
    assert (kept["crop"], kept["medium"], kept["cells"]) == ("kale", "Lean", 10)
    assert report["total"] == 6.0


def test_a_medium_that_is_chosen_is_kept_although_another_costs_less():
    dear = Medium("Dear", 6, packages=(Package("Depot", 5, "L", 6.0),))
    cheap = Medium("Cheap", 6, packages=(Package("Lane", 5, "L", 1.0),))

    report = shop(scenario_of([dear, cheap], [lettuce(medium="Dear")], budget=5.0))

    assert (report["packages_paid"], report["trips_paid"], report["total"]) == (6.0, 4.0, 10.0)
    assert report["over_budget_by"] == 5.0
    (left,) = report["left_over"]
    assert left["item"] == "Dear" and left["measure"] == "L"
    assert left["amount"] == pytest.approx(4.0) and left["worth"] == pytest.approx(4.8)


def test_limits_lead_to_another_mix_before_anything_is_left_unmet():
    scarce = Medium("Scarce", 6, packages=(Package("Lane", 0.5, "L", 0.1, limit=1),))
    plenty = Medium("Plenty", 6, packages=(Package("Lane", 5, "L", 9.0),))

    both = shop(scenario_of([scarce, plenty], [lettuce()]))
    one = shop(scenario_of([scarce], [lettuce()]))

    assert both["plan"][0]["medium"] == "Plenty" and both["unmet"] == []
    (lack,) = one["unmet"]
    assert lack["item"] == "Scarce" and lack["short_by"] == pytest.approx(0.5)
    assert one["total"] == 0.1


def test_of_two_mixes_that_cannot_be_had_the_one_that_is_less_short_is_chosen():
    near = Medium("Near", 6, packages=(Package("Lane", 0.9, "L", 50.0, limit=1),))
    far = Medium("Far", 6, packages=(Package("Lane", 0.1, "L", 0.1, limit=1),))
    feed = Feed("Feed", 1, 100.0, (Package("Lane", 50, "g", 1.0, limit=1),), g_per_litre=1.0)
    scenario = scenario_of([near, far], [lettuce()], feed=feed)

    report = shop(scenario)

    assert report["plan"][0]["medium"] == "Near"
    assert report["unmet"][0]["short_by"] == pytest.approx(0.1)


def test_trays_are_bought_whole_for_all_sowings_together_and_kept():
    mix = Medium("Mix", 6, packages=(Package("Lane", 50, "L", 5.0),))
    tray = Tray("20 cells", 20, 2.0, uses=4, have=1, store="Lane")
    sowings = [lettuce(crop=crop, wanted=15, tray="20 cells") for crop in ("kale", "leek")]

    report = shop(scenario_of([mix], sowings, trays=(tray,), tax=0.1))

    # By hand: 30 cells take 2 trays; 1 is in stock; both keep 3 of 4 uses at 2.20.
    assert report["total"] == pytest.approx((5.0 + 2.0) * 1.1)
    trays = next(left for left in report["left_over"] if left["item"] == "20 cells")
    assert (trays["amount"], trays["worth"]) == (2, pytest.approx(2 * 0.75 * 2.2))


def test_the_report_has_the_keys_of_the_format():
    report = shop(read(DEMO))

    assert list(report) == [
        "format", "currency", "plan", "stores", "packages_paid", "trips_paid", "total",
        "left_over", "unmet", "with_the_rest", "weighed_cost", "over_budget_by", "proven",
        "at_least", "recommendation",
    ]  # fmt: skip
    assert report["format"] == "seedling-costs-shopping/2"
    for bill in report["stores"]:
        assert list(bill) == ["store", "trip_cost", "subtotal", "items"]
        assert bill["subtotal"] == pytest.approx(sum(item["paid"] for item in bill["items"]))
        for item in bill["items"]:
            assert list(item) == ["item", "size", "unit", "count", "paid"]
    for left in report["left_over"]:
        assert list(left) == ["item", "amount", "measure", "worth"]
    assert report["total"] == pytest.approx(report["packages_paid"] + report["trips_paid"])
    assert list(report["recommendation"]) == [
        "plan", "to_pay", "with_the_rest", "per_ready_seedling", "weighed_cost", "not_counted",
        "proven", "at_least", "turns", "sentence",
    ]  # fmt: skip


def test_nothing_to_raise_is_an_empty_list():
    empty = replace(read(DEMO), sowings=())

    report = shop(empty)

    assert report["plan"] == [] and report["total"] == 0 and report["with_the_rest"] == 0


def test_where_time_runs_out_the_plan_says_so_and_gives_a_bound():
    scenario = random_scenario(random.Random(3), media=4, sowings=4, limits=False)
    best = best_of(Planner(scenario))

    def stopped(model):
        answer = solve(model)
        return answer | {"proven": False, "bound": answer["bound"] - 1.0}

    late = run(Planner(scenario).best(), stopped)

    assert not late.proven
    assert late.at_least <= best.weighed_cost <= late.weighed_cost
