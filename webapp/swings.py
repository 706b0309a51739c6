"""The chart of what matters: the cost of a ready seedling at a low and a high value of each guess.

The widest bar is on top. The side of the low value is hatched, that of the high value plain, and a
line stands at the cost as entered. The figure is made once; afterwards its data and the ends of its
axes change.
"""

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, FixedTicker, Range1d

from chart_parts import FONT, add, columns
from money import each
from questions import assumed
from words import text

ROW_HEIGHT = 54
"""Height of a bar and its label. [px]"""
ROUND = (1, 2, 5, 10)
"""Distances of ticks, times a power of ten."""


class Swings:
    """The figure, kept in step with the answer to the question of what matters."""

    def __init__(self, blank_figure, colour):
        self.figure = made = blank_figure("chart-swings", 240, Range1d(0, 1), Range1d(-1, 0))
        made.yaxis.visible = False
        made.ygrid.visible = False
        self._sides = {side: ColumnDataSource(columns("y", "from", "to")) for side in _SIDES}
        self._names = ColumnDataSource(columns("x", "y", "name"))
        self._stalls = ColumnDataSource(columns("x", "y", "note"))
        self._entered = ColumnDataSource(columns("x", "from", "to"))
        for side, (colour_name, hatch) in _SIDES.items():
            bar = made.hbar(
                y="y",
                left="from",
                right="to",
                height=0.4,
                source=self._sides[side],
                hatch_pattern=hatch,
                hatch_scale=8,
                line_width=1,
            )
            colour(bar.glyph, fill_color=colour_name, line_color="ink", hatch_color="ink")
        line = made.segment(x0="x", x1="x", y0="from", y1="to", source=self._entered, line_width=2)
        words = {"text_font": value(FONT), "text_baseline": "middle"}
        name = made.text(
            x="x", y="y", text="name", source=self._names, text_font_size="14px", **words
        )
        stalls = made.text(
            x="x",
            y="y",
            text="note",
            x_offset=7,
            source=self._stalls,
            text_font_size="13px",
            text_font_style="bold",
            **words,
        )
        colour(line.glyph, line_color="ink")
        colour(name.glyph, text_color="ink")
        colour(stalls.glyph, text_color="ink")

    def update(self, found, currency):
        """Show an answer of `pennyflat.assumptions.what_matters`; None leaves all as it is."""
        if found is None:
            return  # the page hides it
        costs = [found.each]
        costs += [c for s in found.swings for c in (s.each_low, s.each_high) if c is not None]
        ticks = _ticks(min(costs), max(costs))
        start, end = ticks[0], ticks[-1]
        self._draw(found, start, currency)
        figure, rows = self.figure, len(found.swings)
        figure.x_range.update(start=start, end=end)
        figure.y_range.update(start=-rows, end=0)
        figure.update(height=ROW_HEIGHT * rows + 56)
        axis = figure.xaxis[0]
        axis.ticker = FixedTicker(ticks=ticks)
        axis.major_label_overrides = {tick: each(tick, currency) for tick in ticks}
        axis.axis_label = text("axis.each", symbol=currency.symbol)

    def _draw(self, found, start, currency):
        sides = {side: columns("y", "from", "to") for side in _SIDES}
        names, stalls = columns("x", "y", "name"), columns("x", "y", "note")
        entered = columns("x", "from", "to")
        for place, swing in enumerate(found.swings):
            y, unit = -place - 0.68, swing.range.unit
            said = [assumed(end, unit, currency) for end in (swing.low, swing.high)]
            what = text(f"matters.{swing.range.name}")
            gaps = {"what": what, "low": said[0], "high": said[1]}
            add(names, start, -place - 0.26, text("matters.from_to", **gaps))
            add(entered, found.each, y - 0.28, y + 0.28)
            ends = zip(_SIDES, (swing.each_low, swing.each_high), said, strict=True)
            for side, cost, value_said in ends:
                if cost is None:
                    note = text("matters.not_ready_at", value=value_said)
                    add(stalls, found.each, y, note)
                elif cost != found.each:
                    add(sides[side], y, min(cost, found.each), max(cost, found.each))
        for side, data in sides.items():
            self._sides[side].data = data
        self._names.data, self._stalls.data = names, stalls
        self._entered.data = entered


_SIDES = {"low": ("seed", "right_diagonal_line"), "high": ("container", " ")}
"""Colour and hatch of each side, by the names of charts.py."""


def _ticks(least, most):
    """
    Round numbers from below the least to above the most.

    Examples
    --------
    >>> _ticks(0.184, 0.231)
    [0.18, 0.2, 0.22, 0.24]
    """
    span = max(most - least, most * 0.02, 1e-9)
    size = 10.0
    while size > span / 3:
        size /= 10
    gap = next(size * step for step in ROUND if span / (size * step) <= 4)
    first, last = int(least // gap), int(-(-most // gap))
    return [float(f"{i * gap:.10g}") for i in range(first, last + 1)]
