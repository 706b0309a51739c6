"""The charts of the trial bench: its answer as a range for each mix, and emergence day by day.

The ranges are costs of a ready seedling or, if the answer is about emergence, shares that come up.
Both are blank until trials are shown.
"""

from itertools import zip_longest
from math import nan

from page.chart_parts import add, axis, columns, round_ticks, rows, together
from reader.languages import spoken
from reader.money import each, percent, short
from reader.words import text
from trials.view import (
    MOST_LINES,
    counted_of,
    curves_of,
    interval,
    is_about_money,
    money_of,
    range_of,
)

CURVES, COSTS = "chart-emergence", "chart-stakes"
ROW_HEIGHT = 58
"""Height of a bar with its label. [px]"""
CORNERS = ("day", "low", "share", "high")
COLUMNS = {
    **{f"{CURVES} {place}": CORNERS for place in range(MOST_LINES)},
    f"{COSTS} bars": ("y", "name y", "name", "low", "high", "middle"),
}
"""Columns of each data source, by its name."""
ROOM = 1.6
"""How much longer than the highest middle cost the axis may be to include a high end."""


class BenchCharts:
    """The contents of the two figures; renewed for another crop, language or currency."""

    def __init__(self):
        self._of, self._shown = None, {}

    def show(self, work):
        """The chosen crop's results: {name of a model: {property: value}}."""
        crop = work.bench.shown()
        now = crop, spoken(), work.currency
        if crop is not None and (self._of is None or self._of[0] is not crop or self._of != now):
            self._of = now
            self._shown = _curves(curves_of(crop), work.currency) | _picture(crop, work.currency)
        return dict(self._shown)


def _curves(mixes, currency):
    end = max((mix["curve"][-1][0] for mix in mixes), default=10) * 1.1
    curves = [mix["curve"] for mix in mixes] + [[]] * MOST_LINES
    shares = {share: percent(share, currency) for share in (0, 0.25, 0.5, 0.75, 1)}
    days = round_ticks(end, lambda day: short(day, currency))
    return together(
        *(
            {f"{CURVES} {place}": {"data": corners(curves[place], end)}}
            for place in range(MOST_LINES)
        ),
        axis(f"{CURVES} x", days, end=end, label=text("column.day")),
        axis(f"{CURVES} y", shares, end=1),
    )


def _picture(crop, currency):
    if is_about_money(crop):
        return _costs(money_of(crop)["mixes"], currency)
    return _shares(counted_of(crop), currency)


def _shares(mixes, currency):
    """The share that comes up in each mix."""
    data = columns(*COLUMNS[f"{COSTS} bars"])
    for i, mix in enumerate(mixes):
        low, high = mix["jeffreys_95"]
        found = interval((low, high), currency)
        named = text("bench.bar", medium=mix["medium"], range=found)
        add(data, -i - 0.68, -i - 0.26, named, low, high, mix["share"])
    ticks = {share: percent(share, currency) for share in (0, 0.25, 0.5, 0.75, 1)}
    return _ranges(data, len(mixes), ticks, 1.05, text("axis.comes_up"))


def _costs(mixes, currency):
    known = [mix for mix in mixes if mix["low"] is not None]
    ends = [mix["high"] or 0 for mix in known]
    middles = [mix["middle"] or mix["low"] for mix in known]
    end = min(max(ends, default=1), ROOM * max(middles, default=1)) or 1
    data = columns(*COLUMNS[f"{COSTS} bars"])
    for i, mix in enumerate(mixes):
        named = text("bench.bar", medium=mix["medium"], range=range_of(mix, currency))
        is_known = mix["low"] is not None
        low, high = (mix["low"], min(mix["high"] or end, end)) if is_known else (nan, 0)
        middle = mix["middle"] if mix["middle"] is not None else nan
        add(data, -i - 0.68, -i - 0.26, named, low, high, middle)
    ticks = round_ticks(end * 1.05, lambda value: each(value, currency))
    label = text("axis.each", symbol=currency.symbol)
    return _ranges(data, len(mixes), ticks, end * 1.05, label)


def _ranges(data, count, ticks, end, label):
    return together(
        {f"{COSTS} bars": {"data": data}},
        rows(COSTS, max(count, 1), ROW_HEIGHT, 56),
        axis(f"{COSTS} x", ticks, end=end, label=label),
    )


def corners(curve, end):
    """The corners of a curve's steps, by column: each level holds until the next observation."""
    found = columns(*CORNERS)
    for look, (day, *_) in zip_longest(curve, curve[1:], fillvalue=(end,)):
        add(found, *look)
        add(found, day, *look[1:])
    return found
