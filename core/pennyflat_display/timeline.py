"""The timeline of the calendar: one bar for each sowing, from sowing to planting out.

Days are whole numbers from `date.toordinal`. Marks differ in shape, not only in colour.
"""

from datetime import date

from pennyflat_display import places
from pennyflat_display.chart_parts import axis, filled, key, rows, together

FIGURE = "chart-calendar"
MARKS = {
    "emerge": "circle",
    "feed": "diamond",
    "pot on": "square",
    "thin": "inverted_triangle",
    "plant out": "triangle",
    "stall": "x",
}
"""Bokeh's marker for each drawn step."""
COLUMNS = {
    f"{FIGURE} bars": ("y", "from", "to"),
    f"{FIGURE} harden": ("y", "from", "to"),
    f"{FIGURE} names": ("x", "y", "name"),
    f"{FIGURE} marks": ("x", "y", "marker"),
}
"""Columns of each data source, by its name."""


def timeline(plans, words):
    """The existing calendars, each a `Dated`: {name of a model: {property: value}}."""
    found = [plan for plan in plans if plan.plan and plan.plan.steps]
    if not found:
        return {}  # the page hides it
    days = [step.on.toordinal() for plan in found for step in plan.plan.steps]
    first, last = min(days), max(days)
    ticks = {day: places.short_day(date.fromordinal(day)) for day in _ticks(first, last)}
    return together(
        key(FIGURE, words.text("calendar.chart")),
        _sources(found),
        rows(FIGURE, len(found), 58, 40),
        axis(f"{FIGURE} x", ticks, last + 3, start=first - 3),
    )


def _sources(found):
    bars, harden, names, marks = [], [], [], []
    for i, plan in enumerate(found):
        steps = {step.what: step.on.toordinal() for step in plan.plan.steps}
        y, start, end = -i - 0.68, steps["sow"], max(steps.values())
        bars.append((y, start, end))
        if "harden off" in steps and "plant out" in steps:
            harden.append((y, steps["harden off"], steps["plant out"]))
        names.append((start, -i - 0.26, plan.crop))
        points = [(steps[what], what) for what in MARKS if what in steps and what != "feed"]
        points += [(feeding.on.toordinal(), "feed") for feeding in plan.plan.feedings]
        marks += [(day, y, MARKS[what]) for day, what in points]
    return filled(COLUMNS, bars, harden, names, marks)


def _ticks(first, last):
    """The first of each month, and the fifteenth if there are few."""
    days = [day for day in range(first, last + 1) if date.fromordinal(day).day in (1, 15)]
    firsts = [day for day in days if date.fromordinal(day).day == 1]
    return firsts if len(firsts) > 3 else days
