"""The bars of a ready seedling's cost in each mix, one part of the cost after another."""

from math import nan

from pennyflat_display.chart_parts import (
    axis,
    clipped,
    columns,
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
ROW_HEIGHT = 54
"""Height of a bar with its label. [px]"""
EDGES = tuple(f"{part} {side}" for part in PARTS for side in ("from", "to"))
COLUMNS = {f"{FIGURE} bars": ("y", "name y", "name", "end", "total", *EDGES)}
"""Columns of each data source, by its name."""


class CostBars:
    """The contents of the figure; it remembers the end of its axis."""

    def __init__(self):
        self._end = 1

    def show(self, found, crop, currency, words):
        """The comparisons of one sowing: {name of a model: {property: value}}."""
        used = used_parts(found)
        names = [
            words.text(f"column.{name}") if part in used else "" for part, name in PARTS.items()
        ]
        most = max((row["as_used"]["total"] for row in found if row["as_used"]), default=0)
        self._end = steady(self._end, most * 1.28)
        ticks = round_ticks(self._end, lambda value: each(value, currency))
        label = words.text("axis.each", symbol=currency.symbol)
        return together(
            {f"{FIGURE} bars": {"data": _bars(found, currency, words)}},
            key(FIGURE, words.text("answer.chart", crop=crop), names),
            rows(FIGURE, len(found), ROW_HEIGHT, 56),
            axis(f"{FIGURE} x", ticks, end=self._end, label=label),
        )


def used_parts(rows):
    """The parts of the cost that any of the mixes has, in the order shown."""
    found = [row["as_used"] for row in rows if row["as_used"]]
    return tuple(key for key in PARTS if any(costs[key] for costs in found))


def _bars(found, currency, words):
    data = columns(*COLUMNS[f"{FIGURE} bars"])
    for i, row in enumerate(found):
        used, end = row["as_used"], 0.0
        data["y"].append(-i - 0.68)
        data["name y"].append(-i - 0.26)
        data["name"].append(clipped(row["medium"]))
        for part in PARTS:
            start, end = end, end + (used[part] if used else 0.0)
            data[f"{part} from"].append(start if used else nan)
            data[f"{part} to"].append(end if used else nan)
        data["end"].append(end)
        total = each(used["total"], currency) if used else _not_ready(row, currency, words)
        data["total"].append(total)
    return data


def _not_ready(row, currency, words):
    if row["stalls_in_week"] is None:
        return words.text("answer.not_ready")
    week = words.text("answer.stalls", week=short(row["stalls_in_week"], currency))
    return words.text("answer.not_ready_why", why=week)
