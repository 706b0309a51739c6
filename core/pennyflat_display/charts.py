"""The contents of all charts: plain columns and a few properties of Bokeh's models, without Bokeh.

Figures are made in figures/, for the page during the build. Afterwards only the data of their
sources, the ends of their axes and some words change: {name of a model: {property: value}}. Axes
keep their `ends`, {axis: end}, while the numbers stay in range, so that nothing jumps while a price
is being typed.
"""

from collections import defaultdict
from datetime import date
from itertools import accumulate, chain, pairwise, zip_longest
from math import inf, isfinite, nan

from pennyflat.comparing.till import Curves, paid_for
from pennyflat_display import places
from pennyflat_display.chart_parts import (
    axis,
    clipped,
    filled,
    key,
    round_ticks,
    row,
    rows,
    steady,
    ticks_between,
    together,
)
from pennyflat_display.money import amount, each, number, percent, short, whole_percent

PARTS = {
    "medium": "mix",
    "feed": "feed",
    "seed": "seed",
    "container": "container",
    "energy": "energy",
    "labour": "labour",
}
"""The parts of a ready seedling's cost, in the order shown: the report's key to ours."""
MARKS = {
    "emerge": "circle",
    "feed": "diamond",
    "pot on": "square",
    "thin": "inverted_triangle",
    "plant out": "triangle",
    "stall": "x",
}
"""Bokeh's marker for each drawn step of the calendar; they differ in shape, not only in colour."""

COSTS, STEPS, CALENDAR, SWINGS = "chart-cost", "chart-steps", "chart-calendar", "chart-swings"
EDGES = tuple(f"{part} {side}" for part in PARTS for side in ("from", "to"))
COST_COLUMNS = {f"{COSTS} bars": ("y", "name y", "name", "end", "total", *EDGES)}
STEP_COLUMNS = {
    f"{STEPS} first": ("x", "y"),
    f"{STEPS} second": ("x", "y"),
    f"{STEPS} wanted": ("x", "top", "note"),
    f"{STEPS} crossings": ("x", "y", "note"),
}
CALENDAR_COLUMNS = {
    f"{CALENDAR} bars": ("y", "from", "to"),
    f"{CALENDAR} harden": ("y", "from", "to"),
    f"{CALENDAR} names": ("x", "y", "name"),
    f"{CALENDAR} marks": ("x", "y", "marker"),
}
SWING_COLUMNS = {
    f"{SWINGS} low": ("y", "from", "to"),
    f"{SWINGS} high": ("y", "from", "to"),
    f"{SWINGS} entered": ("x", "from", "to"),
    f"{SWINGS} names": ("x", "y", "name"),
    f"{SWINGS} stalls": ("x", "y", "note"),
}
"""Columns of each chart's data sources, by their names."""

NOTHING = Curves(0, 1, {}, ())
"""No lines while the plan is being worked out: an old line would be wrong."""

CURVES, STAKES = "chart-emergence", "chart-stakes"
MOST_LINES = 6
"""Most curves drawn."""
LINES = {f"{CURVES} {place}": ("day", "low", "share", "high") for place in range(MOST_LINES)}
BARS = {f"{STAKES} bars": ("y", "name y", "name", "low", "high", "middle")}
"""Columns of each data source, by its name."""
ROOM = 1.6
"""How much longer than the highest middle cost the axis may be to include a high end."""


class Charts:
    """The contents of a set of figures, and what they were last told."""

    def __init__(self, words):
        self._words = words
        self._ends = defaultdict(lambda: 1)
        self._told = {}

    def shown(self, sowing=None, plans=(), matters=None, trial=None):
        """
        The contents of the figures, {name of a model: {property: value}}; none for an empty figure.

        `sowing` is a crop, its rows of the report, its `Curves` or None, and the `Currency`;
        `plans` are `Dated` calendars; `matters` is the answer of `what_matters` and its `Currency`;
        `trial` is a crop of the report on trials and its `Currency`.
        """
        shown = {}
        if trial is not None:
            shown |= _curves(*trial, self._words) | _ranges(*trial, self._words)
        if sowing is not None:
            crop, compared, curves, currency = sowing
            shown |= timeline(plans, self._words)
            shown |= cost_bars(compared, crop, currency, self._words, self._ends)
            shown |= staircase(curves, crop, currency, self._words, self._ends)
        if matters is not None:
            shown |= swings(*matters, self._words)
        return shown

    def news(self, shown):
        """The part of these contents that the figures have not been told yet."""
        changed = {}
        for name, values in shown.items():
            told = self._told.setdefault(name, {})
            fresh = {key: value for key, value in values.items() if told.get(key, told) != value}
            if fresh:
                told |= fresh
                changed[name] = fresh
        return changed


def cost_bars(found, crop, currency, words, ends):
    """The bars of a ready seedling's cost in each mix, from the comparisons of one sowing."""
    used = used_parts(found)
    names = [words.text(f"column.{name}") if part in used else "" for part, name in PARTS.items()]
    most = max((one["as_used"]["total"] for one in found if one["as_used"]), default=0)
    end = ends[COSTS] = steady(ends[COSTS], most * 1.28)
    return together(
        filled(COST_COLUMNS, [_bar(i, one, currency, words) for i, one in enumerate(found)]),
        key(COSTS, words.text("answer.chart", crop=crop), names),
        rows(COSTS, len(found)),
        axis(
            f"{COSTS} x",
            round_ticks(end, lambda cost: each(cost, currency)),
            end,
            label=words.text("axis.each", symbol=currency.symbol),
        ),
    )


def used_parts(found):
    """The parts of the cost that any of the mixes has, in the order shown."""
    costs = [one["as_used"] for one in found if one["as_used"]]
    return tuple(part for part in PARTS if any(one[part] for one in costs))


def _bar(i, found, currency, words):
    used, place = found["as_used"], (*row(i), clipped(found["medium"]))
    if used:
        edges = list(accumulate((used[part] for part in PARTS), initial=0.0))
        return *place, edges[-1], each(used["total"], currency), *chain(*pairwise(edges))
    why = words.text("answer.not_ready")
    if found["stalls_in_week"] is not None:
        week = words.text("answer.stalls", week=short(found["stalls_in_week"], currency))
        why = words.text("answer.not_ready_why", why=week)
    return *place, 0.0, why, *[nan] * len(EDGES)


def staircase(curves, crop, currency, words, ends):
    """The money at the till as the number of seedlings grows, from the `Curves` of a sowing."""
    x, y, curves = f"{STEPS} x", f"{STEPS} y", curves or NOTHING
    paid = [step.paid for steps in curves.lines.values() for step in steps if isfinite(step.paid)]
    ends[x] = steady(ends[x], curves.up_to)
    ends[y] = steady(ends[y], max(paid, default=1) * 1.2)
    decimals = 0 if ends[y] > 8 else currency.decimals
    across = round_ticks(ends[x], lambda value: short(value, currency, 4))
    up = round_ticks(ends[y], lambda value: amount(value, currency, decimals))
    names, lines = zip(*[*curves.lines.items(), ("", ()), ("", ())][:2], strict=True)
    wanted = words.counted("chart.wanted", curves.wanted, count=number(curves.wanted, currency, 0))
    crossings, named = [], -inf
    for at in curves.stretches[1:]:
        is_clear = at.first - named > ends[x] / 8  # else its number would be over the one before
        named = at.first if is_clear else named
        note = number(at.first, currency, 0) if is_clear else ""
        crossings.append((at.first, paid_for(curves.lines[at.medium], at.first), note))
    return together(
        filled(
            STEP_COLUMNS,
            *(_stair(steps, curves.up_to) for steps in lines),
            [(curves.wanted, ends[y], wanted)],
            crossings,
        ),
        key(STEPS, words.text("answer.steps", crop=crop), map(clipped, names)),
        axis(x, across, ends[x], label=words.text("axis.wanted")),
        axis(y, up, ends[y]),
    )


def _stair(steps, up_to):
    """Corners of a staircase, with a gap where nothing is available."""
    corners = [(step.wanted, step.paid if step.paid < inf else nan) for step in steps]
    return corners + [(up_to, paid) for _, paid in corners[-1:]]


def timeline(plans, words):
    """A bar for each existing calendar, each a `Dated`; days are as from `date.toordinal`."""
    found = [plan for plan in plans if plan.plan and plan.plan.steps]
    if not found:
        return {}  # the page hides it
    bars, harden, names, marks = [], [], [], []
    for i, plan in enumerate(found):
        steps = {step.what: step.on.toordinal() for step in plan.plan.steps}
        (y, name_y), start = row(i), steps["sow"]
        bars.append((y, start, max(steps.values())))
        if "harden off" in steps and "plant out" in steps:
            harden.append((y, steps["harden off"], steps["plant out"]))
        names.append((start, name_y, plan.crop))
        points = [(steps[what], what) for what in MARKS if what in steps and what != "feed"]
        points += [(feeding.on.toordinal(), "feed") for feeding in plan.plan.feedings]
        marks += [(day, y, MARKS[what]) for day, what in points]
    days = [step.on.toordinal() for plan in found for step in plan.plan.steps]
    first, last = min(days), max(days)
    return together(
        key(CALENDAR, words.text("calendar.chart")),
        filled(CALENDAR_COLUMNS, bars, harden, names, marks),
        rows(CALENDAR, len(found), 58, 40),
        axis(f"{CALENDAR} x", _day_ticks(first, last), last + 3, start=first - 3),
    )


def _day_ticks(first, last):
    """The first of each month, and the fifteenth if there are few."""
    days = [date.fromordinal(day) for day in range(first, last + 1)]
    firsts, middles = ([on for on in days if on.day == day] for day in (1, 15))
    shown = firsts if len(firsts) > 3 else sorted(firsts + middles)
    return {on.toordinal(): places.short_day(on) for on in shown}


def swings(found, currency, words):
    """
    The cost at a low and a high value of each guess, the widest on top; from `what_matters`.

    The low side is hatched, the high side plain, and a line marks the cost as entered.
    """
    if found is None:
        return {}  # the page hides it
    costs = [cost for swing in found.swings for cost in (swing.each_low, swing.each_high)]
    known = [found.each, *(cost for cost in costs if cost is not None)]
    ticks = ticks_between(min(known), max(known))
    sides, entered, names, stalls = ([], []), [], [], []
    for i, swing in enumerate(found.swings):
        y, name_y = row(i)
        said = [assumed(v, swing.unit, currency, words) for v in (swing.low, swing.high)]
        gaps = {"what": words.text(f"matters.{swing.name}"), "low": said[0], "high": said[1]}
        names.append((ticks[0], name_y, words.text("matters.from_to", **gaps)))
        entered.append((found.each, y - 0.28, y + 0.28))
        costs = (swing.each_low, swing.each_high)
        for side, cost, value in zip(sides, costs, said, strict=True):
            if cost is None:
                stalls.append((found.each, y, words.text("matters.not_ready_at", value=value)))
            elif cost != found.each:
                side.append((y, min(cost, found.each), max(cost, found.each)))
    gaps = {"crop": found.crop, "medium": found.medium, "each": each(found.each, currency)}
    keys = [words.text(f"matters.key_{side}") for side in ("low", "high")]
    written = {tick: each(tick, currency) for tick in ticks}
    label = words.text("axis.each", symbol=currency.symbol)
    return together(
        key(SWINGS, words.text("matters.table", **gaps), keys),
        filled(SWING_COLUMNS, *sides, entered, names, stalls),
        rows(SWINGS, len(found.swings)),
        axis(f"{SWINGS} x", written, ticks[-1], start=ticks[0], label=label),
    )


def assumed(value, unit, currency, words):
    """
    The text of an assumption's value; all are shares except weeks.

    >>> from pennyflat_display import words
    >>> from pennyflat_display.money import currency_of
    >>> euro = currency_of("EUR")
    >>> assumed(0.78, "1", euro, words), assumed(1.5, "weeks", euro, words)
    ('78%', '1.5 weeks')
    """
    if unit == "weeks":
        return words.counted("matters.weeks", value, value=short(value, currency))
    return percent(value, currency)


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
        key(STAKES, words.text(title, crop=crop["crop"])),
        rows(STAKES, max(len(mixes), 1), 58),
        axis(f"{STAKES} x", ticks, end, label=label),
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
