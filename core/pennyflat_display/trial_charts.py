"""The charts of trials: the answer as a range for each mix, and emergence day by day.

The ranges are costs of a ready seedling or, if the answer is about emergence, shares that come up.
"""

from itertools import zip_longest
from math import nan

from pennyflat_display.chart_parts import (
    add,
    axis,
    clipped,
    columns,
    key,
    round_ticks,
    rows,
    together,
)
from pennyflat_display.money import each, number, percent, short, with_percent_sign

CURVES, COSTS = "chart-emergence", "chart-stakes"
ROW_HEIGHT = 58
"""Height of a bar with its label. [px]"""
MOST_LINES = 6
"""Most curves drawn."""
CORNERS = ("day", "low", "share", "high")
COLUMNS = {
    **{f"{CURVES} {place}": CORNERS for place in range(MOST_LINES)},
    f"{COSTS} bars": ("y", "name y", "name", "low", "high", "middle"),
}
"""Columns of each data source, by its name."""
ROOM = 1.6
"""How much longer than the highest middle cost the axis may be to include a high end."""


def trial_charts(crop, currency, words):
    """
    The results of one crop: {name of a model: {property: value}}.

    Parameters
    ----------
    crop : dict
        One of the `crops` in the report on trials.
    currency : Currency
    words : module
        Like `pennyflat_display.words`.
    """
    return _curves(crop, currency, words) | _picture(crop, currency, words)


def curves_of(crop):
    """The mixes of a crop whose curves are drawn."""
    return [mix for mix in crop["mixes"] if mix["curve"]][:MOST_LINES]


def counted_of(crop):
    """The mixes of a crop in which seedlings were counted."""
    return [mix for mix in crop["mixes"] if mix["sown"]]


def money_of(crop):
    """The money of a crop's sowing, or None."""
    return next(iter(crop["money"]), None)


def is_about_money(crop):
    """Whether the answer, and so the picture, is about the cost of a seedling."""
    return crop["answer"] is not None and crop["answer"]["by"] == "cost"


def range_of(mix, currency, words):
    """A cost's 80 % range in words."""
    if mix["low"] is None:
        return words.text("bench.not_ready")
    high = words.text("bench.no_end") if mix["high"] is None else each(mix["high"], currency)
    return words.text("bench.range", low=each(mix["low"], currency), high=high)


def whole_percent(share, currency):
    """A share as a percentage without decimals."""
    return with_percent_sign(number(share * 100, currency, 0), currency)


def interval(ends, currency, words):
    """A range of shares in words."""
    low, high = (whole_percent(end, currency) for end in ends)
    return words.text("bench.interval", low=low, high=high)


def _curves(crop, currency, words):
    mixes = curves_of(crop)
    end = max((mix["curve"][-1][0] for mix in mixes), default=10) * 1.1
    curves = [mix["curve"] for mix in mixes] + [[]] * MOST_LINES
    shares = {share: percent(share, currency) for share in (0, 0.25, 0.5, 0.75, 1)}
    days = round_ticks(end, lambda day: short(day, currency))
    names = [clipped(mix["medium"]) for mix in mixes] + [""] * MOST_LINES
    return together(
        key(CURVES, words.text("bench.curves", crop=crop["crop"]), names[:MOST_LINES]),
        *(
            {f"{CURVES} {place}": {"data": corners(curves[place], end)}}
            for place in range(MOST_LINES)
        ),
        axis(f"{CURVES} x", days, end=end, label=words.text("column.day")),
        axis(f"{CURVES} y", shares, end=1),
    )


def _picture(crop, currency, words):
    if is_about_money(crop):
        title = words.text("bench.money_title", crop=crop["crop"])
        shown = _costs(money_of(crop)["mixes"], currency, words)
    else:
        title = words.text("bench.share_title", crop=crop["crop"])
        shown = _shares(counted_of(crop), currency, words)
    return together(key(COSTS, title, []), shown)


def _shares(mixes, currency, words):
    """The share that comes up in each mix."""
    data = columns(*COLUMNS[f"{COSTS} bars"])
    for i, mix in enumerate(mixes):
        low, high = mix["jeffreys_95"]
        found = interval((low, high), currency, words)
        named = words.text("bench.bar", medium=mix["medium"], range=found)
        add(data, -i - 0.68, -i - 0.26, named, low, high, mix["share"])
    ticks = {share: percent(share, currency) for share in (0, 0.25, 0.5, 0.75, 1)}
    return _ranges(data, len(mixes), ticks, 1.05, words.text("axis.comes_up"))


def _costs(mixes, currency, words):
    known = [mix for mix in mixes if mix["low"] is not None]
    ends = [mix["high"] or 0 for mix in known]
    middles = [mix["middle"] or mix["low"] for mix in known]
    end = min(max(ends, default=1), ROOM * max(middles, default=1)) or 1
    data = columns(*COLUMNS[f"{COSTS} bars"])
    for i, mix in enumerate(mixes):
        named = words.text("bench.bar", medium=mix["medium"], range=range_of(mix, currency, words))
        is_known = mix["low"] is not None
        low, high = (mix["low"], min(mix["high"] or end, end)) if is_known else (nan, 0)
        middle = mix["middle"] if mix["middle"] is not None else nan
        add(data, -i - 0.68, -i - 0.26, named, low, high, middle)
    ticks = round_ticks(end * 1.05, lambda value: each(value, currency))
    label = words.text("axis.each", symbol=currency.symbol)
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
