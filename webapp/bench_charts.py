"""The charts of the trial bench: emergence day by day, and the cost of a ready seedling as a range.

Both are blank until trials are shown; lines and bars are made the first time. Mixes differ by the
dash of their line, not only by colour; style.css has the same for the key.
"""

from itertools import zip_longest
from math import nan

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, FixedTicker, Range1d

from bench_view import MOST_LINES, curves_of, money_of, range_of
from chart_parts import FONT, columns
from languages import spoken
from money import each, percent, short
from words import text

ROW_HEIGHT = 58
"""Height of a bar and its label. [px]"""
STYLES = (
    ("first", "solid"),
    ("second", [7, 4]),
    ("ink", [2, 3]),
    ("first", [10, 3, 2, 3]),
    ("second", "solid"),
    ("ink", [14, 4]),
)
"""Colour and dash of the curves, in the order of the mixes."""
COLUMNS = ("day", "low", "share", "high")
ROOM = 1.6
"""How much longer than the highest middle cost the axis may be for the sake of a high end."""


class BenchCharts:
    """The two figures, kept in step with the bench."""

    def __init__(self, blank_figure, colour, set_axis):
        self._colour, self._set_axis = colour, set_axis
        self.curves = blank_figure("chart-emergence", 300, Range1d(0, 10), Range1d(0, 1))
        self.costs = blank_figure("chart-stakes", 120, Range1d(0, 1), Range1d(-1, 0))
        self.costs.yaxis.visible = self.costs.ygrid.visible = False
        self._lines, self._shown = [], None

    def update(self, work):
        """Show the results of the crop chosen; True where new marks wait for their colours."""
        crop = work.bench.shown()
        now = crop, spoken(), work.currency
        if crop is None or (self._shown and self._shown[0] is crop and self._shown == now):
            return False
        is_new = not self._lines
        if is_new:
            self._make_curves()
            self._make_costs()
        self._shown = now
        self._update_curves(curves_of(crop), work.currency)
        money = money_of(crop)
        self._update_costs(money["mixes"] if money else [], work.currency)
        return is_new

    def _make_curves(self):
        for name, dash in STYLES[:MOST_LINES]:
            source = ColumnDataSource(columns(*COLUMNS))
            # Corners and no step glyphs: Bokeh 3.9's area of steps never ends drawing no points.
            band = self.curves.varea(x="day", y1="low", y2="high", source=source, fill_alpha=0.13)
            line = self.curves.line(x="day", y="share", source=source, line_width=3, line_dash=dash)
            self._colour(band.glyph, fill_color=name)
            self._colour(line.glyph, line_color=name)
            self._lines.append(source)

    def _make_costs(self):
        self._bars = ColumnDataSource(columns("y", "name y", "name", "low", "high", "middle"))
        common = {"source": self._bars, "text_font": value(FONT), "text_baseline": "middle"}
        bar = self.costs.hbar(
            y="y", left="low", right="high", height=0.34, source=self._bars, line_width=1,
            hatch_pattern="right_diagonal_line", hatch_scale=8,
        )  # fmt: skip
        mark = self.costs.scatter(
            x="middle", y="y", source=self._bars, marker="diamond", size=15, line_width=2
        )
        name = self.costs.text(x=0, y="name y", text="name", text_font_size="14px", **common)
        self._colour(bar.glyph, fill_color="feed", line_color="ink", hatch_color="ink")
        self._colour(mark.glyph, fill_color="second", line_color="ink")
        self._colour(name.glyph, text_color="ink")

    def _update_curves(self, mixes, currency):
        last = max((mix["curve"][-1][0] for mix in mixes), default=10)
        end = last * 1.1
        for place, source in enumerate(self._lines):
            curve = mixes[place]["curve"] if place < len(mixes) else []
            source.data = _corners(curve, end)
        self._set_axis(self.curves.xaxis[0], self.curves.x_range, end, lambda v: short(v, currency))
        ticks = [0, 0.25, 0.5, 0.75, 1]
        axis = self.curves.yaxis[0]
        axis.ticker = FixedTicker(ticks=ticks)
        axis.major_label_overrides = {tick: percent(tick, currency) for tick in ticks}
        self.curves.xaxis[0].axis_label = text("column.day")

    def _update_costs(self, mixes, currency):
        known = [mix for mix in mixes if mix["low"] is not None]
        ends = [mix["high"] or 0 for mix in known]
        middles = [mix["middle"] or mix["low"] for mix in known]
        end = min(max(ends, default=1), ROOM * max(middles, default=1)) or 1
        rows = columns(*self._bars.data)
        for i, mix in enumerate(mixes):
            is_known = mix["low"] is not None
            rows["y"].append(-i - 0.68)
            rows["name y"].append(-i - 0.26)
            named = text("bench.bar", medium=mix["medium"], range=range_of(mix, currency))
            rows["name"].append(named)
            rows["low"].append(mix["low"] if is_known else nan)
            rows["high"].append(min(mix["high"] or end, end) if is_known else 0)
            rows["middle"].append(mix["middle"] if mix["middle"] is not None else nan)
        self._bars.data = rows
        self.costs.update(height=ROW_HEIGHT * max(len(mixes), 1) + 56)
        self.costs.y_range.update(start=-max(len(mixes), 1), end=0)
        self._set_axis(
            self.costs.xaxis[0], self.costs.x_range, end * 1.05, lambda v: each(v, currency)
        )
        self.costs.xaxis[0].axis_label = text("axis.each", symbol=currency.symbol)


def _corners(curve, end):
    """The corners of a curve's steps, by column: each level holds until the next look."""
    corners = []
    for look, (day, *_) in zip_longest(curve, curve[1:], fillvalue=(end,)):
        corners += [look, [day, *look[1:]]]
    found = zip(*corners, strict=True) if corners else ((),) * len(COLUMNS)
    return dict(zip(COLUMNS, map(list, found), strict=True))
