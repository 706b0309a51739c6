"""The joint choice of mixes against trying every choice and HiGHS, and the shopping report."""

import random
from dataclasses import replace
from itertools import product

import pytest

from pennyflat.basket import cheapest_basket
from pennyflat.cost import requirement
from pennyflat.demo import DEMO
from pennyflat.mix_search import least_choice
from pennyflat.needs import needs_of
from pennyflat.package import Package
from pennyflat.plan import best_plan, own_mix_plan, shop, single_mix_plans
from pennyflat.scenario import Medium, Scenario, Sowing, Store, read
from tests.milp import least_plan
from tests.strategies import random_scenario


def ready_options(scenario):
    rows = [
        [requirement(scenario, p, m) for m in scenario.media if p.medium in (None, m.name)]
        for p in scenario.sowings
    ]
    rows = [[needed for needed in row if needed.ready] for row in rows]
    return [row for row in rows if row]


def value(scenario, picks):
    """(what is short [L and kg], packages + trips + rest [currency]) of a choice."""
    basket = cheapest_basket(needs_of(scenario, picks), stores=scenario.stores, tax=scenario.tax)
    short = sum(s.short_by * (1 if s.measure == "L" else 1e-3) for s in basket.unmet)
    return short, basket.total + sum(needed.costs.besides_packages for needed in picks)


@pytest.mark.parametrize("seed", range(150))
def test_no_choice_of_mixes_is_better(seed):
    rng = random.Random(seed)
    scenario = random_scenario(
        rng, media=rng.randint(1, 4), sowings=rng.randint(1, 4), wanted=rng.choice([40, 150, 500])
    )
    rows = ready_options(scenario)

    choice = least_choice(scenario, rows)

    assert choice.proven
    every = (value(scenario, picks) for picks in product(*rows))
    best = min((round(short, 6), money) for short, money in every)
    assert value(scenario, choice.picks) == pytest.approx(best, abs=2e-6)


@pytest.mark.parametrize("seed", range(30))
def test_the_plan_costs_what_highs_finds(seed):
    scenario = random_scenario(random.Random(seed), media=7, sowings=6, limits=False)
    rows = ready_options(scenario)

    choice = least_choice(scenario, rows)

    assert choice.proven
    _, money = value(scenario, choice.picks)
    assert money == pytest.approx(least_plan(scenario, rows), abs=1e-5)
    assert money == pytest.approx(choice.at_least, abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_a_search_that_stops_early_says_so_and_its_bound_holds(seed):
    scenario = random_scenario(random.Random(seed), media=6, sowings=6, limits=False)
    rows = ready_options(scenario)

    early = least_choice(scenario, rows, most_branches=3)
    late = least_choice(scenario, rows)

    least = value(scenario, late.picks)[1]
    assert late.proven
    assert early.at_least <= least + 1e-6 <= value(scenario, early.picks)[1] + 2e-6
    if not early.proven:
        assert early.at_least < value(scenario, early.picks)[1]


def test_some_searches_do_stop_early():
    scenario = random_scenario(random.Random(0), media=6, sowings=6, limits=False)

    assert not least_choice(scenario, ready_options(scenario), most_branches=1).proven


@pytest.mark.parametrize("seed", range(20))
def test_the_best_plan_costs_no_more_than_one_mix_or_each_its_own(seed):
    scenario = random_scenario(random.Random(seed), media=5, sowings=4, limits=False)

    best = best_plan(scenario).plan

    assert best.with_the_rest <= own_mix_plan(scenario).with_the_rest + 1e-6
    for _, plan in single_mix_plans(scenario):
        assert best.with_the_rest <= plan.with_the_rest + 1e-6


def scenario_of(media, sowings, **more):
    return Scenario(
        format="seedling-costs/1",
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


def test_one_big_bag_is_shared_although_each_crop_alone_would_buy_small():
    # Ten cells of 85 mL at a fill loss of 0.15 take 1 L. Alone a crop buys 1 L at 3.00; three
    # together take 3 L, for which one bag at 8.00 is cheaper than three at 9.00.
    small = Medium("Small", 6, packages=(Package("Lane", 1, "L", 3.0),))
    big = Medium("Big", 6, packages=(Package("Lane", 20, "L", 8.0),))
    scenario = scenario_of([small, big], [lettuce(crop=c) for c in ("lettuce", "kale", "leek")])

    report = shop(scenario)

    assert [row["medium"] for row in report["plan"]] == ["Big"] * 3
    assert report["total"] == 8.0 and report["proven"]
    own = report["other_plans"]["each_its_own"]
    assert [row["medium"] for row in own["plan"]] == ["Small"] * 3
    assert own["total"] == 9.0


def test_starter_for_the_fussy_crop_and_bulk_for_the_rest():
    starter = Medium("Starter", 6, packages=(Package("Lane", 5, "L", 6.0),))
    bulk = Medium("Bulk", 6, packages=(Package("Lane", 50, "L", 9.0),), emergence={"celery": 0.02})
    celery = lettuce(crop="celery", seed_price=0.5)
    scenario = scenario_of([starter, bulk], [celery, lettuce(wanted=400)])

    report = shop(scenario)

    assert [row["medium"] for row in report["plan"]] == ["Starter", "Bulk"]
    assert report["total"] == 15.0
    assert report["with_the_rest"] == pytest.approx(15.0 + 10 * 0.5)
    assert [row["medium"] for row in report["other_plans"]["one_mix"]] == ["Starter", "Bulk"]


def test_a_sowing_that_no_mix_brings_through_is_named_and_nothing_is_bought_for_it():
    lean = Medium("Lean", 2, packages=(Package("Lane", 5, "L", 6.0),))
    scenario = scenario_of(
        [lean], [lettuce(remedy="none"), lettuce(crop="kale", medium="Lean", weeks=2)]
    )

    report = shop(scenario)

    stalled, kept = report["plan"]
    assert stalled["medium"] is None and "week 2" in stalled["why_not"]
    assert kept == {"crop": "kale", "medium": "Lean"}
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


def test_the_report_has_the_keys_of_the_format():
    report = shop(read(DEMO))

    assert list(report) == [
        "format", "currency", "plan", "stores", "packages_paid", "trips_paid", "total",
        "with_the_rest", "over_budget_by", "left_over", "unmet", "proven", "at_least",
        "other_plans",
    ]  # fmt: skip
    assert report["format"] == "seedling-costs-shopping/1"
    for bill in report["stores"]:
        assert list(bill) == ["store", "trip_cost", "subtotal", "items"]
        assert bill["subtotal"] == pytest.approx(sum(item["paid"] for item in bill["items"]))
        for item in bill["items"]:
            assert list(item) == ["item", "size", "unit", "count", "paid"]
    assert report["total"] == pytest.approx(report["packages_paid"] + report["trips_paid"])


def test_nothing_to_raise_is_an_empty_list():
    empty = replace(read(DEMO), sowings=())

    report = shop(empty)

    assert report["plan"] == [] and report["total"] == 0 and report["with_the_rest"] == 0
