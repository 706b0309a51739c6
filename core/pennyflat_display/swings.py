"""The chart of what matters: the cost of a ready seedling at a low and a high value of each guess.

The widest bar is on top. The low side is hatched, the high side plain, and a line marks the cost as
entered.
"""

from pennyflat_display.chart_parts import add, axis, columns, key, rows, ticks_between, together
from pennyflat_display.money import each, percent, short

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


def swings(found, currency, words):
    """
    An answer of `what_matters`: {name of a model: {property: value}}.

    Nothing for None: the page then hides the figure.
    """
    if found is None:
        return {}
    costs = [found.each]
    costs += [c for s in found.swings for c in (s.each_low, s.each_high) if c is not None]
    ticks = ticks_between(min(costs), max(costs))
    written = {tick: each(tick, currency) for tick in ticks}
    label = words.text("axis.each", symbol=currency.symbol)
    each_now = each(found.each, currency)
    title = words.text("matters.table", crop=found.crop, medium=found.medium, each=each_now)
    return together(
        key(FIGURE, title, [words.text(f"matters.key_{side}") for side in SIDES]),
        _sources(found, ticks[0], currency, words),
        rows(FIGURE, len(found.swings), ROW_HEIGHT, 56),
        axis(f"{FIGURE} x", written, start=ticks[0], end=ticks[-1], label=label),
    )


def assumed(value, unit, currency, words):
    """
    The text of an assumption's value; all are shares except weeks.

    Examples
    --------
    >>> from pennyflat_display import words
    >>> from pennyflat_display.money import CURRENCIES
    >>> euro = CURRENCIES["EUR"]
    >>> assumed(0.78, "1", euro, words), assumed(1.5, "weeks", euro, words)
    ('78%', '1.5 weeks')
    """
    if unit == "weeks":
        return words.counted("matters.weeks", value, value=short(value, currency))
    return percent(value, currency)


def _sources(found, start, currency, words):
    data = {name: columns(*names) for name, names in COLUMNS.items()}
    *sides, entered, names, stalls = data.values()
    for place, swing in enumerate(found.swings):
        y, unit = -place - 0.68, swing.range.unit
        said = [assumed(end, unit, currency, words) for end in (swing.low, swing.high)]
        what = words.text(f"matters.{swing.range.name}")
        gaps = {"what": what, "low": said[0], "high": said[1]}
        add(names, start, -place - 0.26, words.text("matters.from_to", **gaps))
        add(entered, found.each, y - 0.28, y + 0.28)
        ends = zip(sides, (swing.each_low, swing.each_high), said, strict=True)
        for side, cost, value_said in ends:
            if cost is None:
                note = words.text("matters.not_ready_at", value=value_said)
                add(stalls, found.each, y, note)
            elif cost != found.each:
                add(side, y, min(cost, found.each), max(cost, found.each))
    return {name: {"data": held} for name, held in data.items()}
