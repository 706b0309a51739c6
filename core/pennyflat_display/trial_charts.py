"""The charts of trials: the answer as a range for each mix, and emergence day by day.

The ranges are costs of a ready seedling or, if the answer is about emergence, shares that come up.
"""

from itertools import zip_longest
from math import nan

from pennyflat_display.chart_parts import (
    axis,
    clipped,
    filled,
    key,
    round_ticks,
    row,
    rows,
    together,
)
from pennyflat_display.money import each, percent, short, whole_percent

CURVES, COSTS = "chart-emergence", "chart-stakes"
MOST_LINES = 6
"""Most curves drawn."""
LINES = {f"{CURVES} {place}": ("day", "low", "share", "high") for place in range(MOST_LINES)}
BARS = {f"{COSTS} bars": ("y", "name y", "name", "low", "high", "middle")}
"""Columns of each data source, by its name."""
ROOM = 1.6
"""How much longer than the highest middle cost the axis may be to include a high end."""


def trial_charts(crop, currency, words):
    """The results of one of the `crops` in the report on trials: {model: {property: value}}."""
    return _curves(crop, currency, words) | _ranges(crop, currency, words)


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


def interval(ends, currency, words):
    """A range of shares in words."""
    low, high = (whole_percent(end, currency) for end in ends)
    return words.text("bench.interval", low=low, high=high)


def _curves(crop, currency, words):
    mixes = curves_of(crop)
    end = max((mix["curve"][-1][0] for mix in mixes), default=10) * 1.1
    rest = MOST_LINES - len(mixes)
    names = [clipped(mix["medium"]) for mix in mixes] + [""] * rest
    lines = [corners(mix["curve"], end) for mix in mixes] + [[]] * rest
    days = round_ticks(end, lambda day: short(day, currency))
    return together(
        key(CURVES, words.text("bench.curves", crop=crop["crop"]), names),
        filled(LINES, *lines),
        axis(f"{CURVES} x", days, end, label=words.text("column.day")),
        axis(f"{CURVES} y", _share_ticks(currency), 1),
    )


def _ranges(crop, currency, words):
    if is_about_money(crop):
        mixes, title = money_of(crop)["mixes"], "bench.money_title"
        end = _end_of(mixes)
        ranges = [(range_of(mix, currency, words), *_cost(mix, end)) for mix in mixes]
        end *= 1.05
        ticks = round_ticks(end, lambda value: each(value, currency))
        label = words.text("axis.each", symbol=currency.symbol)
    else:
        mixes, title, end = counted_of(crop), "bench.share_title", 1.05
        shares = [(*mix["jeffreys_95"], mix["share"]) for mix in mixes]
        ranges = [(interval(found[:2], currency, words), *found) for found in shares]
        ticks, label = _share_ticks(currency), words.text("axis.comes_up")
    bars = [
        (*row(i), words.text("bench.bar", medium=mix["medium"], range=said), *ends)
        for i, (mix, (said, *ends)) in enumerate(zip(mixes, ranges, strict=True))
    ]
    return together(
        filled(BARS, bars),
        key(COSTS, words.text(title, crop=crop["crop"])),
        rows(COSTS, max(len(mixes), 1), 58),
        axis(f"{COSTS} x", ticks, end, label=label),
    )


def _end_of(mixes):
    """The highest cost to show."""
    known = [mix for mix in mixes if mix["low"] is not None]
    most = max((mix["high"] or 0 for mix in known), default=1)
    return min(most, ROOM * max((mix["middle"] or mix["low"] for mix in known), default=1)) or 1


def _cost(mix, end):
    """The low, high and middle cost of a mix as drawn."""
    middle = nan if mix["middle"] is None else mix["middle"]
    if mix["low"] is None:
        return nan, 0, middle
    return mix["low"], min(mix["high"] or end, end), middle


def _share_ticks(currency):
    return {share: percent(share, currency) for share in (0, 0.25, 0.5, 0.75, 1)}


def corners(curve, end):
    """The corners of a curve's steps: each level holds until the next observation."""
    found = []
    for look, (day, *_) in zip_longest(curve, curve[1:], fillvalue=(end,)):
        found += [look, (day, *look[1:])]
    return found
