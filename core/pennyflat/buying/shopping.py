"""The plan as a report: what to do, what to buy and where, and what it costs.

The shopping list is plain JSON values in the format "seedling-costs-shopping/2". Its head is the
recommendation, which is in the report of `compare` too. core/FORMATS.md describes every key.
"""

from collections.abc import Sequence
from math import fsum, isfinite
from typing import NotRequired, TypedDict

from pennyflat.buying.basket import BasketLine, LeftOver, Shortfall
from pennyflat.buying.highs import solve as solve_natively
from pennyflat.buying.milp import Solve
from pennyflat.buying.plan import Plan, Planner, run
from pennyflat.buying.turns import Turn, turns_of
from pennyflat.growing.lean_mixes import all_run_out
from pennyflat.growing.outcomes import requirement_of
from pennyflat.scenario.package import SEEDS, TRAYS, Package, label_of
from pennyflat.scenario.records import Scenario, expect_scenario
from pennyflat.sentences import Listed, Money, Said, say

FORMAT = "seedling-costs-shopping/2"


class PlanRow(TypedDict):
    """What to do about one sowing; with numbers if it has a medium, else with `why_not`."""

    member: NotRequired[str]
    """In a club's order."""
    crop: str
    wanted: int
    medium: str | None
    cells: NotRequired[int]
    seeds: NotRequired[int]
    feedings: NotRequired[int]
    each_as_used: NotRequired[float]
    why_not: NotRequired[str | None]


class Item(TypedDict):
    """A number of packages of one kind."""

    item: str
    size: float
    unit: str
    count: int
    paid: float


class Bill(TypedDict):
    """What is bought at one store."""

    goes: NotRequired[list[str]]
    """Who goes there, in a club's order."""
    store: str
    trip_cost: float
    subtotal: float
    items: list[Item]


class Recommendation(TypedDict):
    """What to do, in numbers and in a sentence."""

    plan: list[PlanRow]
    to_pay: float
    with_the_rest: float
    per_ready_seedling: float | None
    weighed_cost: float
    not_counted: list[str]
    proven: bool
    at_least: float | None
    turns: list[Turn]
    sentence: str


class ShoppingList(TypedDict):
    """The report of `shop`."""

    format: str
    currency: str
    plan: list[PlanRow]
    stores: list[Bill]
    packages_paid: float
    trips_paid: float
    total: float
    left_over: list[LeftOver]
    unmet: list[Shortfall]
    with_the_rest: float
    weighed_cost: float
    over_budget_by: float
    proven: bool
    at_least: float | None
    recommendation: Recommendation


def shop(scenario: Scenario, *, solve: Solve = solve_natively) -> ShoppingList:
    """
    The shopping list of a scenario.

    `solve` solves the choice of mixes; see `pennyflat.buying.plan.run`. core/FORMATS.md describes
    the report, whose money is in the scenario's currency. A TypeError if given anything but a
    `Scenario`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> bill = shop(read(DEMO))
    >>> [(item["item"], item["count"]) for item in bill["stores"][0]["items"]][:2]
    [('Seed starter mix', 1), ('Soluble feed 20-20-20', 1)]
    """
    expect_scenario(scenario, "shop")
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    return shopping_list(scenario, best, run(turns_of(planner, best), solve))


def shopping_list(scenario: Scenario, plan: Plan, turns: Sequence[Turn] = ()) -> ShoppingList:
    """The report of a plan, as from `shop`; `turns` are those of `pennyflat.buying.turns`."""
    head, basket = recommendation(scenario, plan, turns), plan.basket
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "plan": head["plan"],
        "stores": [_bill(store, cost, lines) for store, cost, lines in _by_store(basket)],
        "packages_paid": basket.packages_paid,
        "trips_paid": basket.trips_paid,
        "total": basket.total,
        "left_over": basket.left_over,
        "unmet": basket.unmet,
        "with_the_rest": head["with_the_rest"],
        "weighed_cost": head["weighed_cost"],
        "over_budget_by": basket.over_budget_by,
        "proven": head["proven"],
        "at_least": head["at_least"],
        "recommendation": head,
    }


def _by_store(basket):
    """(store, cost of the trip, lines) of a basket."""
    for store, cost in basket.trips.items():
        yield store, cost, [line for line in basket.lines if line.package.store == store]


def _bill(store, trip_cost, lines):
    return {
        "store": store,
        "trip_cost": trip_cost,
        "subtotal": fsum(line.paid for line in lines),
        "items": list(map(item_of, lines)),
    }


def item_of(line: BasketLine) -> Item:
    """A line of a basket as it appears in a report."""
    package = line.package
    return {
        "item": line.item,
        "size": package.size,
        "unit": package.unit,
        "count": line.count,
        "paid": line.paid,
    }


def recommendation(scenario: Scenario, plan: Plan, turns: Sequence[Turn] = ()) -> Recommendation:
    """What to do, in numbers and in a sentence; `turns` are those of `pennyflat.buying.turns`."""
    counted = [name for pick in plan.picks if pick for name in pick.not_counted]
    return {
        "plan": list(map(_row, scenario.sowings, plan.picks, plan.why_not)),
        "to_pay": plan.basket.total,
        "with_the_rest": plan.with_the_rest,
        "per_ready_seedling": plan.with_the_rest / plan.wanted if plan.wanted else None,
        "weighed_cost": plan.weighed_cost,
        "not_counted": list(dict.fromkeys(counted)),
        "proven": plan.proven,
        "at_least": plan.at_least if isfinite(plan.at_least) else None,
        "turns": list(turns),
        "sentence": _sentence(scenario, plan),
    }


def _row(sowing, pick, why_not):
    if pick is None:
        return {"crop": sowing.crop, "wanted": sowing.wanted, "medium": None, "why_not": why_not}
    copied = ("crop", "wanted", "medium", "cells", "seeds", "feedings")
    return {name: getattr(pick, name) for name in copied} | {"each_as_used": pick.each.total}


def _sentence(scenario, plan):
    """What to buy, where, and how much to pay."""
    if not any(plan.picks):
        tried = [one for row in requirement_of.table(scenario) for one in row]
        if any(one.ready for one in tried):
            return say("The mix chosen brings no crop to transplanting: choose another.")
        if all_run_out(tried):
            return say("Every mix runs out of feed: there is nothing to buy yet.")
        return say("No mix here brings a crop to transplanting: there is nothing to buy yet.")
    if not plan.basket.lines:
        return say("Everything needed is at home: there is nothing to buy.")
    stores = []
    for store, _, lines in _by_store(plan.basket):
        items = tuple(line_said(line.count, line.item, line.package) for line in lines)
        stores.append(say("{items} at {store}", items=Listed(items, "and"), store=store))
    total = Money(plan.basket.total, scenario.currency)
    return say("Buy {stores}: {total}.", stores=Listed(tuple(stores), ";"), total=total)


def line_said(count: int, item: str, package: Package) -> Said:
    """A number of packages of one kind, in a sentence."""
    gaps = {"count": count, "item": item, "label": label_of(package)}
    if package.unit == TRAYS:
        return say("{count} × {item}", **gaps)
    if package.unit == SEEDS:
        return say("{count} × {item}, {seeds} seeds", **gaps, seeds=package.size)
    return say("{count} × {item} {label}", **gaps)
