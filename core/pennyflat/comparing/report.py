"""Turns a scenario into its report: every sowing in every medium, and what to do.

The report is plain JSON values in the format "seedling-costs-report/2" (core/FORMATS.md describes
every key). Numbers have full precision and are never rounded for display.
"""

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, TypedDict

from pennyflat.buying.basket import LeftOver, cheapest_basket
from pennyflat.buying.highs import solve as solve_natively
from pennyflat.buying.milp import Solve
from pennyflat.buying.needs import needs_of
from pennyflat.buying.plan import Plan, Planner, run
from pennyflat.buying.shopping import Item, Recommendation, item_of, recommendation
from pennyflat.buying.turns import Turn, turns_of
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.growing.lean_mixes import Rescue, all_run_out, rescue
from pennyflat.growing.outcomes import Kept
from pennyflat.scenario.records import Scenario, Sowing, expect_scenario
from pennyflat.sentences import GOODS, Amount, Money, Said, phrase, say

FORMAT = "seedling-costs-report/2"

DECIDERS = {
    "medium": phrase("its mix costs less"),
    "feed": phrase("it needs less feed"),
    "seed": phrase("its seed costs less"),
    "container": phrase("its trays cost less"),
    "energy": phrase("it needs less light and heat"),
    "labour": phrase("it needs less work"),
    "emergence": phrase("more of its seeds come up"),
}
"""What can decide between two media, with the wording as a reason in a sentence."""

SAME = 1e-9
"""Difference in money below which two costs count as the same. [currency]"""


class PackageBought(Item):
    """A number of packages of one kind, and where."""

    store: str


class Till(TypedDict):
    """Money paid for one sowing alone."""

    paid: float
    per_seedling: float
    trips: float
    left_over_litres: float
    left_over: list[LeftOver]
    packages: list[PackageBought]


class Comparison(TypedDict):
    """One sowing in one medium."""

    crop: str
    medium: str
    ready: bool
    why_not: str | None
    stalls_in_week: float | None
    price_per_litre: float
    litres_per_cell: float
    ready_share: float
    cells: int
    seeds: int
    medium_litres: float
    hungry_weeks: float
    feedings: int
    solution_litres: float
    feed_amount: float
    expected_ready: float
    as_used: dict[str, float] | None
    """Cost of a ready seedling by what it pays for, as in `Costs`, and their `total`. [currency]"""
    at_the_till: Till | None
    in_plan: bool
    not_counted: list[str]


class Verdict(TypedDict):
    """Which medium costs least as used for one sowing."""

    crop: str
    wanted: int
    cheapest: str | None
    each: float | None
    runner_up: str | None
    saves: float | None
    decided_by: str | None
    sentence: str


class Report(TypedDict):
    """The report of `compare`."""

    format: str
    currency: str
    comparisons: list[Comparison]
    """Sowings outermost, in scenario order."""
    verdicts: list[Verdict]
    rescues: list[Rescue]
    recommendation: Recommendation | None
    """None until there is a plan."""


def compare(scenario: Scenario, *, solve: Solve = solve_natively) -> Report:
    """
    What one transplant-ready seedling costs, for every sowing in every medium, and what to do.

    The report has `comparisons` in scenario order, sowings outermost; `verdicts`, one per sowing,
    as used; `rescues`, one per comparison that is not ready but could be; `recommendation`, the
    plan and what would change it, as from `pennyflat.shop`. `solve` solves the choice of mixes (see
    `pennyflat.buying.plan.run`). TypeError if given anything but a `Scenario`.

    >>> from pennyflat import DEMO, read
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
    table = _outcome.table(scenario)
    needed = [[one for one, _ in row] for row in table]
    rows = list(zip(scenario.sowings, needed, strict=True))
    rescues = (rescue(scenario, sowing, one, row) for sowing, row in rows for one in row)
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "comparisons": [compared_row for row in table for _, compared_row in row],
        "verdicts": [verdict(sowing, row, scenario.currency) for sowing, row in rows],
        "rescues": [found for found in rescues if found],
        "recommendation": None,
    }


def at_the_till(scenario: Scenario, needed: Requirement) -> tuple[Till | None, Said | None]:
    """
    Money paid for one ready sowing alone: whole packages, packets and trays, and the trips.

    `left_over_litres` are of the medium itself, or of all ingredients of a blend. If limits make a
    need impossible, None and a sentence that says so.
    """
    needs = needs_of(scenario, [needed])
    basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
    for lack in basket.unmet:
        gaps: dict[str, Any] = {"item": lack["item"], "wanted": needed.wanted}
        gaps["count"] = lack["short_by"]
        if is_measured := lack["measure"] in GOODS:
            gaps["short_by"] = Amount(lack["short_by"], GOODS[lack["measure"]])
        return None, say(
            "The limits leave {item} short by {short_by:.3g}, so {wanted} seedlings"
            " cannot be had this way."
            if is_measured
            else "{item}: the limits leave {count:,.0f} too few, so {wanted} seedlings cannot be"
            " had this way.",
            **gaps,
        )
    medium = scenario.medium(needed.medium)
    own = {part.ingredient for part in medium.parts} or {medium.name}
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


def rows_of(report: Report, row: int) -> list[Comparison]:
    """The rows of a report for one sowing, given by its number: one for each medium, in order."""
    count = len(report["comparisons"]) // len(report["verdicts"])
    return report["comparisons"][row * count : (row + 1) * count]


@Kept
def _outcome(scenario, sowing, medium):
    """One sowing in one medium: its requirement, and its row of the report with the same keys."""
    needed = requirement(scenario, sowing, medium)
    till, why_not = at_the_till(scenario, needed) if needed.ready else (None, None)
    return needed, {key: getattr(needed, key, None) for key in Comparison.__annotations__} | {
        "why_not": needed.why_not or why_not,
        "medium_litres": needed.litres.get(needed.medium, 0.0),
        "as_used": needed.each and asdict(needed.each) | {"total": needed.each.total},
        "at_the_till": till,
        "in_plan": False,
        "not_counted": list(needed.not_counted),
    }


def _copy(value):
    """A copy of plain JSON values that the caller may change."""
    if isinstance(value, dict):
        return {key: _copy(part) for key, part in value.items()}
    return [_copy(part) for part in value] if isinstance(value, list) else value


def verdict(sowing: Sowing, requirements: Sequence[Requirement], currency: str) -> Verdict:
    """
    Which medium costs least as used for one sowing, by how much, and why.

    The `requirements` are of this sowing in each of the scenario's media; `currency` is a code. The
    keys are those of `verdicts` in core/FORMATS.md.

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.comparing.report import compared
    >>> found = compared(read(DEMO))["verdicts"][0]
    >>> found["cheapest"], found["decided_by"]
    ('Bulk potting mix', 'medium')
    """
    ready = [(one.each.total, one) for one in requirements if one.each]
    ready.sort(key=lambda found: found[0])
    rows: list[Any] = [*ready, (None, None), (None, None)]
    (each, best), (other, second) = rows[:2]
    saved = effects(best, second) if second else {}
    found: Verdict = {
        "crop": sowing.crop,
        "wanted": sowing.wanted,
        "cheapest": best and best.medium,
        "each": each,
        "runner_up": second and second.medium,
        "saves": second and other - each,
        "decided_by": max(saved, key=saved.__getitem__, default=None),
        "sentence": "",
    }
    found["sentence"] = _sentence(found, all_run_out(requirements), currency)
    return found


def effects(first: Requirement, second: Requirement) -> dict[str, float]:
    """
    What makes one medium cheaper than another per ready seedling, part by part.

    A cost per ready seedling is a cost per cell divided by the share of cells that end ready. The
    difference of two such quotients is split into the part due to each cost per cell, at the mean
    of both shares, and the part due to the shares, at the mean of both costs; the parts add up to
    the whole. [The midpoint split of a difference of products: Kitagawa 1955, J. Am. Stat. Assoc.
    50, 1168-1194, from memory.]

    Returns by key of `DECIDERS` what it saves in the first medium, both being ready; negative if it
    costs more. [currency]

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.growing.cost import requirement
    >>> demo = read(DEMO)
    >>> lettuce = demo.sowings[1]
    >>> lean, rich = (requirement(demo, lettuce, medium) for medium in demo.media[:2])
    >>> {part: round(saves, 4) for part, saves in effects(lean, rich).items() if saves}
    {'medium': -0.0126, 'feed': -0.0005, 'emergence': 0.0263}
    """
    mean_cells = (1 / first.ready_share + 1 / second.ready_share) / 2
    more_cells = 1 / second.ready_share - 1 / first.ready_share
    one, other = first.costs.each(first.cells), second.costs.each(second.cells)
    mine, theirs = asdict(one), asdict(other)
    saved = {part: (theirs[part] - mine[part]) * mean_cells for part in mine}
    return saved | {"emergence": more_cells * (one.total + other.total) / 2}


def _sentence(found, is_lean, currency):
    """The verdict in one plain sentence."""
    gaps = {"crop": found["crop"], "cheapest": found["cheapest"], "other": found["runner_up"]}
    if found["cheapest"] is None:
        if is_lean:
            return say("For {crop}, every mix runs out of feed before transplanting.", **gaps)
        return say("For {crop}, no mix here brings seedlings to transplanting.", **gaps)
    gaps["each"] = Money(found["each"], currency)
    if found["runner_up"] is None:
        return say(
            "For {crop}, only {cheapest} brings seedlings to transplanting, at {each} per ready"
            " seedling.",
            **gaps,
        )
    if found["saves"] < SAME:
        return say(
            "For {crop}, {cheapest} and {other} cost the same as used, {each} per ready seedling.",
            **gaps,
        )
    return say(
        "For {crop}, {cheapest} costs least as used at {each} per ready seedling, {saves} less than"
        " {other}, mainly because {reason}.",
        **gaps,
        saves=Money(found["saves"], currency),
        reason=DECIDERS[found["decided_by"]],
    )
