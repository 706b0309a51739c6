"""The bars of a ready seedling's cost in each mix, one part of the cost after another."""

from itertools import accumulate, chain, pairwise
from math import nan

from pennyflat_display.chart_parts import (
    axis,
    clipped,
    filled,
    key,
    round_ticks,
    rows,
    steady,
    together,
)
from pennyflat_display.money import each, short

PARTS = {
    "medium": "mix",
    "feed": "feed",
    "seed": "seed",
    "container": "container",
    "energy": "energy",
    "labour": "labour",
}
"""The parts of a ready seedling's cost, in the order shown: the report's key to ours."""
FIGURE = "chart-cost"
EDGES = tuple(f"{part} {side}" for part in PARTS for side in ("from", "to"))
COLUMNS = {f"{FIGURE} bars": ("y", "name y", "name", "end", "total", *EDGES)}
"""Columns of each data source, by its name."""


def cost_bars(found, crop, currency, words, ends):
    """
    The comparisons of one sowing: {name of a model: {property: value}}.

    `ends` has the ends of axes, which this changes: {axis: end}.
    """
    used = used_parts(found)
    names = [words.text(f"column.{name}") if part in used else "" for part, name in PARTS.items()]
    most = max((row["as_used"]["total"] for row in found if row["as_used"]), default=0)
    ends[FIGURE] = steady(ends[FIGURE], most * 1.28)
    ticks = round_ticks(ends[FIGURE], lambda cost: each(cost, currency))
    label = words.text("axis.each", symbol=currency.symbol)
    return together(
        filled(COLUMNS, [_bar(i, row, currency, words) for i, row in enumerate(found)]),
        key(FIGURE, words.text("answer.chart", crop=crop), names),
        rows(FIGURE, len(found)),
        axis(f"{FIGURE} x", ticks, ends[FIGURE], label=label),
    )


def used_parts(rows):
    """The parts of the cost that any of the mixes has, in the order shown."""
    found = [row["as_used"] for row in rows if row["as_used"]]
    return tuple(key for key in PARTS if any(costs[key] for costs in found))


def _bar(i, row, currency, words):
    used, place = row["as_used"], (-i - 0.68, -i - 0.26, clipped(row["medium"]))
    if not used:
        return *place, 0.0, _not_ready(row, currency, words), *[nan] * len(EDGES)
    edges = list(accumulate((used[part] for part in PARTS), initial=0.0))
    return *place, edges[-1], each(used["total"], currency), *chain(*pairwise(edges))


def _not_ready(row, currency, words):
    if row["stalls_in_week"] is None:
        return words.text("answer.not_ready")
    week = words.text("answer.stalls", week=short(row["stalls_in_week"], currency))
    return words.text("answer.not_ready_why", why=week)
