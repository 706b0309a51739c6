"""Turns a scenario into its report: every sowing in every medium, and what to do.

The report is plain JSON values in the format "seedling-costs-report/2" (core/FORMATS.md describes
every key). Numbers have full precision and are never rounded for display.
"""

import math
from collections.abc import Sequence

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.highs import solve as solve_natively
from pennyflat.buying.milp import Solve
from pennyflat.buying.needs import needs_of
from pennyflat.buying.plan import Plan, Planner, run
from pennyflat.buying.shopping import item_of, recommendation
from pennyflat.buying.turns import Turn, turns_of
from pennyflat.comparing.comparison import Comparison, EachAsUsed, Report, Till
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
    """A report from `compared` with the plan added: a new one that the caller may change."""
    media = [name for name in best.media for _ in scenario.media]
    rows = [
        _copy(row) | {"in_plan": row["medium"] == medium}
        for row, medium in zip(report["comparisons"], media, strict=True)
    ]
    found = recommendation(scenario, best, turns)
    return report | {"comparisons": rows, "recommendation": found}


def compared(scenario: Scenario) -> Report:
    """
    The report without a plan, which needs no search: `recommendation` is None.

    Its `comparisons` are cached for the next report and must not be changed.
    """
    report: Report = {
        "format": FORMAT,
        "currency": scenario.currency,
        "comparisons": [],
        "verdicts": [],
        "rescues": [],
        "recommendation": None,
    }
    for sowing, row in zip(scenario.sowings, _outcome.table(scenario), strict=True):
        needed = [one for one, _ in row]
        report["comparisons"] += [compared_row for _, compared_row in row]
        report["verdicts"].append(verdict(sowing, needed, scenario.currency))
        rescues = (rescue(scenario, sowing, one, needed) for one in needed)
        report["rescues"] += filter(None, rescues)
    return report


def at_the_till(scenario: Scenario, needed: Requirement) -> tuple[Till | None, Said | None]:
    """
    Money paid for one ready sowing alone: whole packages, packets and trays, and the trips.

    `left_over_litres` are of the medium itself, or of all ingredients of a blend. If limits make a
    need impossible, None and a sentence that says so.

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
    till: Till = {
        "paid": basket.total,
        "per_seedling": basket.total / needed.wanted,
        "trips": basket.trips_paid,
        "left_over_litres": math.fsum(
            left["amount"]
            for left in basket.left_over
            if left["measure"] == "L" and left["item"] in own
        ),
        "left_over": basket.left_over,
        "packages": [
            {"item": line.item, "store": line.package.store, **item_of(line)}
            for line in basket.lines
        ],
    }
    return till, None


def _out_of_reach(lack, wanted):
    if lack["measure"] in GOODS:
        return say(
            "The limits leave {item} short by {short_by:.3g}, so {wanted} seedlings"
            " cannot be had this way.",
            item=lack["item"],
            short_by=Amount(lack["short_by"], GOODS[lack["measure"]]),
            wanted=wanted,
        )
    return say(
        "The limits leave {count:,.0f} {item} too few, so {wanted} seedlings cannot be had this"
        " way.",
        item=lack["item"],
        count=lack["short_by"],
        wanted=wanted,
    )


def rows_of(report: Report, row: int) -> list[Comparison]:
    """The rows of a report for one sowing, given by its number: one for each medium, in order."""
    count = len(report["comparisons"]) // len(report["verdicts"])
    return report["comparisons"][row * count : (row + 1) * count]


def to_draw(scenario: Scenario, sowing: Sowing) -> dict[str, tuple[TrayCells, tuple[Bag, ...]]]:
    """What there is to draw for one sowing, by medium; see `pennyflat.comparing.picture`."""
    [row] = _drawn.table(scenario, [sowing])
    return {medium.name: found for medium, found in zip(scenario.media, row, strict=True)}


@Kept
def _outcome(scenario, sowing, medium):
    """One sowing in one medium: its requirement and its row of the report."""
    needed = requirement(scenario, sowing, medium)
    till = at_the_till(scenario, needed) if needed.ready else (None, None)
    return needed, _comparison(needed, *till)


@Kept
def _drawn(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return tray_cells(sowing, medium, needed), bags(scenario, needed)


def _copy(value):
    """A copy of plain JSON values that the caller may change."""
    if isinstance(value, dict):
        return {key: _copy(part) for key, part in value.items()}
    return [_copy(part) for part in value] if isinstance(value, list) else value


def _comparison(needed, till, why_not):
    """A row of the report; keys that are not named here are taken from the requirement."""
    each = needed.each
    row = {key: getattr(needed, key, None) for key in Comparison.__annotations__}
    return row | {
        "why_not": needed.why_not or why_not,
        "medium_litres": needed.litres.get(needed.medium, 0.0),
        "as_used": each and {key: getattr(each, key) for key in EachAsUsed.__annotations__},
        "at_the_till": till,
        "in_plan": False,
        "not_counted": list(needed.not_counted),
    }
