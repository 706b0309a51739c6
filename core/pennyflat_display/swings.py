"""The chart of what matters: the cost of a ready seedling at a low and a high value of each guess.

The widest bar is on top. The low side is hatched, the high side plain, and a line marks the cost as
entered.
"""

from pennyflat_display.chart_parts import axis, filled, key, rows, ticks_between, together
from pennyflat_display.money import each, percent, short

FIGURE = "chart-swings"
SIDES = ("low", "high")
COLUMNS = {
    **{f"{FIGURE} {side}": ("y", "from", "to") for side in SIDES},
    f"{FIGURE} entered": ("x", "from", "to"),
    f"{FIGURE} names": ("x", "y", "name"),
    f"{FIGURE} stalls": ("x", "y", "note"),
}
"""Columns of each data source, by its name."""


def swings(found, currency, words):
    """An answer of `what_matters`, or None: {name of a model: {property: value}}."""
    if found is None:
        return {}  # the page hides it
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
        rows(FIGURE, len(found.swings)),
        axis(f"{FIGURE} x", written, ticks[-1], start=ticks[0], label=label),
    )


def assumed(value, unit, currency, words):
    """
    The text of an assumption's value; all are shares except weeks.

    Examples
    --------
    >>> from pennyflat_display import words
    >>> from pennyflat_display.money import currency_of
    >>> euro = currency_of("EUR")
    >>> assumed(0.78, "1", euro, words), assumed(1.5, "weeks", euro, words)
    ('78%', '1.5 weeks')
    """
    if unit == "weeks":
        return words.counted("matters.weeks", value, value=short(value, currency))
    return percent(value, currency)


def _sources(found, start, currency, words):
    sides, entered, names, stalls = ([], []), [], [], []
    for place, swing in enumerate(found.swings):
        y = -place - 0.68
        said = [assumed(v, swing.range.unit, currency, words) for v in (swing.low, swing.high)]
        gaps = {"what": words.text(f"matters.{swing.range.name}"), "low": said[0], "high": said[1]}
        names.append((start, -place - 0.26, words.text("matters.from_to", **gaps)))
        entered.append((found.each, y - 0.28, y + 0.28))
        costs = (swing.each_low, swing.each_high)
        for side, cost, value in zip(sides, costs, said, strict=True):
            if cost is None:
                stalls.append((found.each, y, words.text("matters.not_ready_at", value=value)))
            elif cost != found.each:
                side.append((y, min(cost, found.each), max(cost, found.each)))
    return filled(COLUMNS, *sides, entered, names, stalls)
