"""The timeline of the calendar: one bar for each sowing, from sowing to planting out.

Days are whole numbers from `date.toordinal`. The figure is made once; afterwards its data and the
ends of its axes change. Marks differ in shape, not only in colour.
"""

from datetime import date

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, FixedTicker, Range1d

import places
from chart_parts import FONT, add, columns

ROW_HEIGHT = 58
"""Height of a bar and its label. [px]"""

MARKS = {
    "emerge": "circle",
    "feed": "diamond",
    "pot on": "square",
    "thin": "inverted_triangle",
    "plant out": "triangle",
    "stall": "x",
}
"""Bokeh's marker for each step that is drawn."""
BAR, NAME, MARK = ("y", "from", "to"), ("x", "y", "name"), ("x", "y", "marker")
"""Columns of what is drawn."""


class Timeline:
    """The figure, kept in step with the calendars."""

    def __init__(self, blank_figure, colour):
        self.figure = made = blank_figure("chart-calendar", 120, Range1d(0, 1), Range1d(-1, 0))
        made.yaxis.visible = False
        made.ygrid.visible = False
        self._bars = ColumnDataSource(columns(*BAR))
        self._harden = ColumnDataSource(columns(*BAR))
        self._names = ColumnDataSource(columns(*NAME))
        self._marks = ColumnDataSource(columns(*MARK))
        edges = {"y": "y", "left": "from", "right": "to", "height": 0.34, "line_width": 1}
        bar = made.hbar(source=self._bars, **edges)
        harden = made.hbar(
            source=self._harden, hatch_pattern="right_diagonal_line", hatch_scale=8, **edges
        )
        name = made.text(
            x="x", y="y", text="name", source=self._names, text_font=value(FONT),
            text_font_size="14px", text_baseline="middle",
        )  # fmt: skip
        mark = made.scatter(
            x="x", y="y", marker="marker", source=self._marks, size=13, line_width=1.5
        )
        colour(bar.glyph, fill_color="feed", line_color="ink")
        colour(harden.glyph, fill_color="seed", line_color="ink", hatch_color="ink")
        colour(name.glyph, text_color="ink")
        colour(mark.glyph, fill_color="second", line_color="ink")

    def update(self, plans):
        """Show the calendars there are; each a `dates.Plan`."""
        shown = [plan for plan in plans if plan.plan and plan.plan.steps]
        if not shown:
            return  # the page hides it
        self._draw(shown)
        days = [step.on.toordinal() for plan in shown for step in plan.plan.steps]
        first, last = min(days), max(days)
        figure = self.figure
        figure.x_range.update(start=first - 3, end=last + 3)
        figure.y_range.update(start=-len(shown), end=0)
        figure.update(height=ROW_HEIGHT * len(shown) + 40)
        ticks = _ticks(first, last)
        figure.xaxis[0].ticker = FixedTicker(ticks=ticks)
        figure.xaxis[0].major_label_overrides = {tick: _tick_words(tick) for tick in ticks}

    def _draw(self, shown):
        bars, harden = columns(*BAR), columns(*BAR)
        names, marks = columns(*NAME), columns(*MARK)
        for i, plan in enumerate(shown):
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
        self._bars.data, self._harden.data = bars, harden
        self._names.data, self._marks.data = names, marks


def _ticks(first, last):
    """The first of each month, with the fifteenth where there are few."""
    days = [day for day in range(first, last + 1) if date.fromordinal(day).day in (1, 15)]
    firsts = [day for day in days if date.fromordinal(day).day == 1]
    return firsts if len(firsts) > 3 else days


def _tick_words(ordinal):
    return places.short_day(date.fromordinal(ordinal))
