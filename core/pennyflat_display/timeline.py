"""The timeline of the calendar: one bar for each sowing, from sowing to planting out.

Days are whole numbers from `date.toordinal`. Marks differ in shape, not only in colour.
"""

from datetime import date

from pennyflat_display import places
from pennyflat_display.chart_parts import add, axis, columns, key, rows, together

FIGURE = "chart-calendar"
ROW_HEIGHT = 58
"""Height of a bar with its label. [px]"""

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
        key(FIGURE, words.text("calendar.chart"), []),
        _sources(found),
        rows(FIGURE, len(found), ROW_HEIGHT, 40),
        axis(f"{FIGURE} x", ticks, start=first - 3, end=last + 3),
    )


def _sources(found):
    data = {name: columns(*names) for name, names in COLUMNS.items()}
    bars, harden, names, marks = data.values()
    for i, plan in enumerate(found):
        steps = {step.what: step.on.toordinal() for step in plan.plan.steps}
        y, start, end = -i - 0.68, steps["sow"], max(steps.values())
        add(bars, y, start, end)
        if "harden off" in steps and "plant out" in steps:
            add(harden, y, steps["harden off"], steps["plant out"])
        add(names, start, -i - 0.26, plan.crop)
        points = [(steps[what], what) for what in MARKS if what in steps and what != "feed"]
        points += [(feeding.on.toordinal(), "feed") for feeding in plan.plan.feedings]
        for day, what in points:
            add(marks, day, y, MARKS[what])
    return {name: {"data": held} for name, held in data.items()}


def _ticks(first, last):
    """The first of each month, and the fifteenth if there are few."""
    days = [day for day in range(first, last + 1) if date.fromordinal(day).day in (1, 15)]
    firsts = [day for day in days if date.fromordinal(day).day == 1]
    return firsts if len(firsts) > 3 else days
