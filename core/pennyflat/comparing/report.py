"""Turns a scenario into its report: every sowing in every medium, and what to do.

The report is plain JSON values in the format "seedling-costs-report/2" (core/FORMATS.md describes
every key). Numbers have full precision and are never rounded for display.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.highs import solve as solve_natively
from pennyflat.buying.milp import Solve
from pennyflat.buying.needs import needs_of
from pennyflat.buying.plan import Plan, Planner, run
from pennyflat.buying.shopping import lines_of, recommendation
from pennyflat.buying.turns import Turn, turns_of
from pennyflat.comparing.comparison import Comparison, Report, Till
from pennyflat.comparing.picture import Bag, TrayCells, bags, tray_cells
from pennyflat.comparing.verdict import verdict
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.growing.lean_mixes import rescue
from pennyflat.growing.medium import parts_per_litre
from pennyflat.growing.outcomes import Kept
from pennyflat.scenario.records import Scenario, Sowing, expect_scenario
from pennyflat.sentences import GOODS, Amount, Said, say

FORMAT = "seedling-costs-report/2"


def compare(scenario: Scenario, *, solve: Solve = solve_natively) -> Report:
    """
    What one transplant-ready seedling costs, for every sowing in every medium, and what to do.

    Parameters
    ----------
    scenario : Scenario
    solve : callable, optional
        Solves the choice of mixes; see `pennyflat.buying.plan.run`. HiGHS by default.

    Returns
    -------
    dict
        The report: `comparisons` in scenario order, sowings outermost; `verdicts`, one per sowing,
        as used; `rescues`, one per comparison that is not ready but could be; `recommendation`, the
        plan and what would change it, as from `pennyflat.shop`.

    Raises
    ------
    TypeError
        If given anything but a `Scenario`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> report = compare(read(DEMO))
    >>> for row in report["comparisons"][:3]:
    ...     print(row["medium"], round(row["as_used"]["total"], 3), row["at_the_till"]["paid"])
    Seed starter mix 0.193 18.7
    Bulk potting mix 0.168 22.9
    Home blend 0.188 53.3
    >>> report["recommendation"]["to_pay"]
    31.3
    """
    expect_scenario(scenario, "compare")
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    return with_plan(compared(scenario), scenario, best, run(turns_of(planner, best), solve))


def with_plan(report: Report, scenario: Scenario, best: Plan, turns: Sequence[Turn]) -> Report:
    """
    A report from `compared` with the plan added.

    Parameters
    ----------
    report : dict
    scenario : Scenario
    best : Plan
    turns : list of dict

    Returns
    -------
    dict
        A new report that the caller may change.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> best = run(Planner(demo).best(), solve_natively)
    >>> report = with_plan(compared(demo), demo, best, [])
    >>> [row["medium"] for row in report["comparisons"] if row["in_plan"]] == list(best.media)
    True
    """
    media = [name for name in best.media for _ in scenario.media]
    rows = [
        _copy(row) | {"in_plan": row["medium"] == medium}
        for row, medium in zip(report["comparisons"], media, strict=True)
    ]
    found = recommendation(scenario, best, turns)
    return report | {"comparisons": rows, "recommendation": found}


def compared(scenario: Scenario) -> Report:
    """
    The report without a plan, which needs no search.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    dict
        As from `compare`; `recommendation` is None and nothing is `in_plan`. Its `comparisons` are
        cached for the next report and must not be changed.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> len(compared(read(DEMO))["comparisons"])
    9
    """
    comparisons, verdicts, rescues = [], [], []
    table = _outcome.table(scenario)
    for sowing, row in zip(scenario.sowings, table, strict=True):
        comparisons += [outcome.row for outcome in row]
        needed = [outcome.needed for outcome in row]
        verdicts.append(verdict(sowing, needed, scenario.currency))
        found = (rescue(scenario, sowing, one, needed) for one in needed)
        rescues += [rescued for rescued in found if rescued]
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "comparisons": comparisons,
        "verdicts": verdicts,
        "rescues": rescues,
        "recommendation": None,
    }


def at_the_till(scenario: Scenario, needed: Requirement) -> tuple[Till | None, Said | None]:
    """
    Money paid for one sowing alone: whole packages, packets and trays, and the trips.

    Parameters
    ----------
    scenario : Scenario
    needed : Requirement
        Of a sowing that is ready.

    Returns
    -------
    till : dict or None
        `paid`, of which `trips`; `per_seedling` wanted [currency]; `left_over_litres` of the medium
        itself, or of all ingredients of a blend [L]; `left_over`, every item with its worth; the
        `packages`. None if limits make a need impossible.
    why_not : str or None
        A sentence in that case.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> till, _ = at_the_till(demo, starter)
    >>> [(line["item"], line["count"], line["paid"]) for line in till["packages"]]
    [('Seed starter mix', 1, 5.9), ('Soluble feed 20-20-20', 1, 6.4), ('tomato seed', 2, 6.4)]
    """
    needs = needs_of(scenario, [needed])
    basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
    for lack in basket.unmet:
        return None, _out_of_reach(lack, needed.wanted)
    medium = scenario.medium(needed.medium)
    own = set(parts_per_litre(medium)) if medium.parts else {medium.name}
    lines = lines_of(basket)
    till: Till = {
        "paid": basket.total,
        "per_seedling": basket.total / needed.wanted,
        "trips": basket.trips_paid,
        "left_over_litres": math.fsum(
            left.amount for left in basket.left_over if left.measure == "L" and left.item in own
        ),
        "left_over": lines["left_over"],
        "packages": [
            {"item": line["item"], "store": store["store"], **line}
            for store in lines["stores"]
            for line in store["items"]
        ],
    }
    return till, None


def _out_of_reach(lack, wanted):
    if lack.measure in GOODS:
        return say(
            "The limits leave {item} short by {short_by:.3g}, so {wanted} seedlings"
            " cannot be had this way.",
            item=lack.item,
            short_by=Amount(lack.short_by, GOODS[lack.measure]),
            wanted=wanted,
        )
    return say(
        "The limits leave {count:,.0f} {item} too few, so {wanted} seedlings cannot be had this"
        " way.",
        item=lack.item,
        count=lack.short_by,
        wanted=wanted,
    )


def rows_of(report: Report, row: int) -> list[Comparison]:
    """
    The rows of a report for one sowing.

    Parameters
    ----------
    report : dict
        From `compared`.
    row : int
        The sowing's number.

    Returns
    -------
    list of dict
        One for each medium, in order.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> {found["crop"] for found in rows_of(compared(read(DEMO)), 1)}
    {'lettuce'}
    """
    count = len(report["comparisons"]) // len(report["verdicts"])
    return report["comparisons"][row * count : (row + 1) * count]


def to_draw(scenario: Scenario, sowing: Sowing) -> dict[str, tuple[TrayCells, tuple[Bag, ...]]]:
    """
    What there is to draw for one sowing.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
        One of the scenario's.

    Returns
    -------
    dict of str to (TrayCells, tuple of Bag)
        By medium, in the scenario's order; see `pennyflat.comparing.picture`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> tray, [bag] = to_draw(demo, demo.sowings[0])["Bulk potting mix"]
    >>> tray.cells, round(bag.litres, 1)
    (77, 56.6)
    """
    [row] = _drawn.table(scenario, [sowing])
    return {medium.name: found for medium, found in zip(scenario.media, row, strict=True)}


@dataclass(frozen=True, slots=True)
class _Outcome:
    """One sowing in one medium: its requirement and its row of the report."""

    needed: Requirement
    row: dict


@Kept
def _outcome(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    till = at_the_till(scenario, needed) if needed.ready else (None, None)
    return _Outcome(needed, _comparison(needed, *till))


@Kept
def _drawn(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return tray_cells(sowing, medium, needed), bags(scenario, needed)


def _copy(row):
    """A copy of a row that the caller may change."""
    used, till = row["as_used"], row["at_the_till"]
    if till:
        till = till | {
            name: [dict(line) for line in till[name]] for name in ("packages", "left_over")
        }
    return row | {
        "as_used": used and dict(used),
        "at_the_till": till,
        "not_counted": list(row["not_counted"]),
    }


def _comparison(needed, till, why_not):
    each = needed.each
    return {
        "crop": needed.crop,
        "medium": needed.medium,
        "ready": needed.ready,
        "why_not": needed.why_not or why_not,
        "stalls_in_week": needed.stalls_in_week,
        "price_per_litre": needed.price_per_litre,
        "litres_per_cell": needed.litres_per_cell,
        "ready_share": needed.ready_share,
        "cells": needed.cells,
        "seeds": needed.seeds,
        "medium_litres": needed.litres.get(needed.medium, 0.0),
        "hungry_weeks": needed.hungry_weeks,
        "feedings": needed.feedings,
        "solution_litres": needed.solution_litres,
        "feed_amount": needed.feed_amount,
        "expected_ready": needed.expected_ready,
        "as_used": each
        and {
            "medium": each.medium,
            "feed": each.feed,
            "seed": each.seed,
            "container": each.container,
            "energy": each.energy,
            "labour": each.labour,
            "total": each.total,
        },
        "at_the_till": till,
        "in_plan": False,
        "not_counted": list(needed.not_counted),
    }
