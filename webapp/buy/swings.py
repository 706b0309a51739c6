"""The chart of what matters: the cost of a ready seedling at a low and a high value of each guess.

The widest bar is on top. The low side is hatched, the high side plain, and a line marks the cost as
entered.
"""

from buy.questions import assumed
from page.chart_parts import add, axis, columns, rows, ticks_between, together
from reader.money import each
from reader.words import text

FIGURE = "chart-swings"
ROW_HEIGHT = 54
"""Height of a bar with its label. [px]"""
SIDES = ("low", "high")
COLUMNS = {
    **{f"{FIGURE} {side}": ("y", "from", "to") for side in SIDES},
    f"{FIGURE} entered": ("x", "from", "to"),
    f"{FIGURE} names": ("x", "y", "name"),
    f"{FIGURE} stalls": ("x", "y", "note"),
}
"""Columns of each data source, by its name."""


def swings(found, currency):
    """
    An answer of `what_matters`: {name of a model: {property: value}}.

    Nothing for None: the page then hides the figure.
    """
    if found is None:
        return {}
    costs = [found.each]
    costs += [c for s in found.swings for c in (s.each_low, s.each_high) if c is not None]
    ticks = ticks_between(min(costs), max(costs))
    words = {tick: each(tick, currency) for tick in ticks}
    label = text("axis.each", symbol=currency.symbol)
    return together(
        _sources(found, ticks[0], currency),
        rows(FIGURE, len(found.swings), ROW_HEIGHT, 56),
        axis(f"{FIGURE} x", words, start=ticks[0], end=ticks[-1], label=label),
    )


def _sources(found, start, currency):
    data = {name: columns(*names) for name, names in COLUMNS.items()}
    *sides, entered, names, stalls = data.values()
    for place, swing in enumerate(found.swings):
        y, unit = -place - 0.68, swing.range.unit
        said = [assumed(end, unit, currency) for end in (swing.low, swing.high)]
        what = text(f"matters.{swing.range.name}")
        gaps = {"what": what, "low": said[0], "high": said[1]}
        add(names, start, -place - 0.26, text("matters.from_to", **gaps))
        add(entered, found.each, y - 0.28, y + 0.28)
        ends = zip(sides, (swing.each_low, swing.each_high), said, strict=True)
        for side, cost, value_said in ends:
            if cost is None:
                add(stalls, found.each, y, text("matters.not_ready_at", value=value_said))
            elif cost != found.each:
                add(side, y, min(cost, found.each), max(cost, found.each))
    return {name: {"data": held} for name, held in data.items()}
