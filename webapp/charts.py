"""The charts: what a ready seedling costs, and what is paid at the till as the number grows.

Figures are made once; afterwards only the data of their sources, the ends of their axes and their
colours change. Axes keep their ends while the numbers stay within reach, so that nothing jumps
while a price is typed. Every part has a hatch pattern of its own: colour is never the only
difference.

A chart that is saved as a picture is on white in the light scheme and has its title and key, which
on the page stand around it. Each model's tag says what it has then: shell/keep.js reads it.
"""

from math import floor, inf, isfinite, log10, nan

from bokeh.core.properties import value
from bokeh.models import ColumnDataSource, FixedTicker, Legend, LegendItem, Range1d
from bokeh.plotting import figure

from answer import PARTS, comparisons, shown_sowing, used_parts
from bench_charts import BenchCharts
from chart_parts import FONT, columns
from money import amount, each, number, short
from swings import Swings
from timeline import Timeline
from words import counted, text

ROW_HEIGHT = 54
"""Height of a bar and its label. [px]"""
NO_CURVES = {"wanted": 0, "up_to": 1, "lines": {}, "stretches": ()}
"""While the plan is worked out, no line is drawn: none is an old one."""

MOST_NAME = 42
"""Longest name written in a chart. [characters]"""
WHITE = "#ffffff"

LIGHT = {
    "ink": "#2b2118",
    "soft": "#65573f",
    "line": "#d8cbb4",
    "medium": "#9a6a3f",
    "feed": "#8fc27a",
    "seed": "#f3cf63",
    "container": "#a9bccb",
    "energy": "#f0a27a",
    "labour": "#c4afd8",
    "first": "#2f6b3a",
    "second": "#a4491f",
}
DARK = {
    "ink": "#f2e9da",
    "soft": "#c3b59f",
    "line": "#4d4235",
    "medium": "#b98a5c",
    "feed": "#5f9a4d",
    "seed": "#c9a032",
    "container": "#6f8799",
    "energy": "#c9713f",
    "labour": "#8f77ab",
    "first": "#8fd19a",
    "second": "#f0a27a",
}
"""Colours by what they show, for each of the two schemes; style.css has the same."""

HATCHES = {
    "medium": " ",
    "feed": "right_diagonal_line",
    "seed": "dot",
    "container": "cross",
    "energy": "vertical_line",
    "labour": "horizontal_line",
}
"""Bokeh's hatch pattern for each part of the cost."""


class Charts:
    """All figures, kept in step with a `Work`."""

    def __init__(self, work):
        self._painted = []
        self.costs = self._make_costs()
        self.steps = self._make_steps()
        self.calendar = Timeline(self._blank, self._colour)
        self.bench = BenchCharts(self._blank, self._colour, _set_axis)
        self._dark = False
        self.swings = Swings(self._blank, self._colour)
        self.update(work)
        self.paint(dark=False)

    @property
    def figures(self):
        """All of them; each is drawn into the element whose id is its name."""
        others = (self.calendar.figure, self.swings.figure, self.bench.curves, self.bench.costs)
        return self.costs, self.steps, *others

    def show(self, conversation):
        """Show what a conversation has come to, in its colours."""
        if conversation.dark != self._dark:
            self.paint(dark=conversation.dark)
        self.update(conversation.work)

    def update(self, work):
        """Show the answer of the sowing that is shown in detail."""
        if self.bench.update(work):
            self.paint(dark=self._dark)
        row = shown_sowing(work)
        if row is None:
            return  # the page hides both until there is an answer
        if "calendar" in work.opened:
            from dates import plans_of  # not at the start, where there are no days yet

            self.calendar.update(plans_of(work))
        if "matters" in work.errand.answers:
            self.swings.update(work.errand.answers["matters"][1], work.errand.currency)
        currency = work.answer_currency
        crop = work.report["verdicts"][row]["crop"]
        self._update_costs(comparisons(work, row), crop, currency)
        self._update_steps(work.curves() or NO_CURVES, crop, currency)

    def paint(self, *, dark):
        """Take the colours of one of the two schemes."""
        self._dark = dark
        colours = DARK if dark else LIGHT
        for model, names in self._painted:
            model.update(**{attribute: colours[name] for attribute, name in names.items()})

    def _colour(self, model, **names):
        model.tags = [{attribute: LIGHT[name] for attribute, name in names.items()}]
        self._painted.append((model, names))

    def _title_and_key(self, made, marks):
        """What a saved chart has besides; returns a function that sets their words."""
        key = Legend(
            items=[],
            orientation="horizontal",
            location="left",
            spacing=14,
            margin=0,
            padding=0,
            label_text_font=FONT,
            label_text_font_size="13px",
            border_line_color=None,
            background_fill_color=None,
        )
        made.add_layout(key, "below")
        made.title.update(text_font=FONT, text_font_size="15px")
        self._colour(key, label_text_color="ink")
        self._colour(made.title, text_color="ink")
        for model in (key, made.title):
            model.update(visible=False, tags=[model.tags[0] | {"visible": True}])

        def write(title, names):
            """names: that of each mark by its place, "" for one that is not shown."""
            shown = [item.label.value for item in key.items]
            if made.title.text == title and shown == [name for name in names if name]:
                return
            made.title.text = title
            key.items = [
                LegendItem(label=value(name), renderers=[mark])
                for mark, name in zip(marks, names, strict=True)
                if name
            ]

        return write

    def _blank(self, name, height, x_range, y_range):
        made = figure(
            name=name,
            height=height,
            sizing_mode="stretch_width",
            x_range=x_range,
            y_range=y_range,
            tools="",
            toolbar_location=None,
            background_fill_color=None,
            border_fill_color=None,
            outline_line_color=None,
            min_border=4,
            min_border_right=30,
            tags=[{"background_fill_color": WHITE, "border_fill_color": WHITE, "min_border": 14}],
        )
        made.grid.grid_line_color = None
        for axis in made.axis:
            axis.ticker = FixedTicker(ticks=[])
            axis.minor_tick_line_color = None
            axis.axis_label_text_font = axis.major_label_text_font = FONT
            axis.axis_label_text_font_style = "normal"
            axis.axis_label_text_font_size = axis.major_label_text_font_size = "13px"
            self._colour(
                axis,
                axis_label_text_color="soft",
                major_label_text_color="soft",
                axis_line_color="line",
                major_tick_line_color="line",
            )
        for grid in made.grid:
            self._colour(grid, grid_line_color="line")
        return made

    def _make_costs(self):
        made = self._blank("chart-cost", 240, Range1d(0, 1), Range1d(-1, 0))
        made.yaxis.visible = False
        made.ygrid.visible = False
        self._bars, bars = ColumnDataSource(_no_bars()), []
        for part in PARTS:
            bar = made.hbar(
                y="y",
                left=f"{part} from",
                right=f"{part} to",
                height=0.44,
                source=self._bars,
                hatch_pattern=HATCHES[part],
                hatch_scale=8,
                hatch_weight=1,
                line_width=1,
            )
            self._colour(bar.glyph, fill_color=part, line_color="ink", hatch_color="ink")
            bars.append(bar)
        self._write_costs = self._title_and_key(made, bars)
        common = {"source": self._bars, "text_font": value(FONT), "text_baseline": "middle"}
        name = made.text(x=0, y="name y", text="name", text_font_size="14px", **common)
        total = made.text(
            x="end",
            y="y",
            text="total",
            x_offset=7,
            text_font_size="14px",
            text_font_style="bold",
            **common,
        )
        self._colour(name.glyph, text_color="ink")
        self._colour(total.glyph, text_color="ink")
        return made

    def _update_costs(self, rows, crop, currency):
        self._bars.data = _bars(rows, currency)
        used = used_parts(rows)
        names = [text(f"column.{name}") if key in used else "" for key, name in PARTS.items()]
        self._write_costs(text("answer.chart", crop=crop), names)
        chart = self.costs
        height = ROW_HEIGHT * len(rows) + 56
        if chart.height != height:
            chart.update(height=height)
            chart.y_range.update(start=-len(rows), end=0)
        most = max((row["as_used"]["total"] for row in rows if row["as_used"]), default=0)
        end = steady(chart.x_range.end, most * 1.28)
        _set_axis(chart.xaxis[0], chart.x_range, end, lambda v: each(v, currency))
        _label(chart.xaxis[0], text("axis.each", symbol=currency.symbol))

    def _make_steps(self):
        made = self._blank("chart-steps", 300, Range1d(0, 1), Range1d(0, 1))
        made.xgrid.visible = False
        self._lines, lines = [], []
        for place, dash in (("first", "solid"), ("second", [7, 4])):
            source = ColumnDataSource(columns("x", "y"))
            line = made.step(
                x="x", y="y", source=source, mode="after", line_width=3, line_dash=dash
            )
            self._colour(line.glyph, line_color=place)
            self._lines.append(source)
            lines.append(line)
        self._write_steps = self._title_and_key(made, lines)
        self._wanted = ColumnDataSource(columns("x", "top", "note"))
        wanted = made.segment(
            x0="x", x1="x", y0=0, y1="top", source=self._wanted, line_width=1.5, line_dash="dotted"
        )
        note = made.text(
            x="x",
            y="top",
            text="note",
            source=self._wanted,
            text_font=value(FONT),
            x_offset=5,
            text_font_size="13px",
            text_baseline="top",
            text_align="left",
        )
        self._crossings = ColumnDataSource(columns("x", "y", "note"))
        mark = made.scatter(
            x="x", y="y", source=self._crossings, marker="diamond", size=15, line_width=2
        )
        count = made.text(
            x="x",
            y="y",
            text="note",
            source=self._crossings,
            text_font=value(FONT),
            text_font_size="13px",
            text_font_style="bold",
            text_align="center",
            text_baseline="top",
            y_offset=10,
        )
        self._colour(wanted.glyph, line_color="soft")
        self._colour(note.glyph, text_color="soft")
        self._colour(mark.glyph, fill_color="second", line_color="ink")
        self._colour(count.glyph, text_color="ink")
        return made

    def _update_steps(self, curves, crop, currency):
        chart, lines = self.steps, list(curves["lines"].items())
        names = [_clipped(name) for name in curves["lines"]]
        self._write_steps(text("answer.steps", crop=crop), [*names, "", ""][: len(self._lines)])
        x_end = steady(chart.x_range.end, curves["up_to"])
        paid = [s.paid for _, found in lines for s in found if isfinite(s.paid)]
        y_end = steady(chart.y_range.end, max(paid, default=1) * 1.2)
        for source, (_, found) in zip(self._lines, [*lines, *([("", ())] * 2)], strict=False):
            source.data = _staircase(found, curves["up_to"])
        wanted = curves["wanted"]
        self._wanted.data = {
            "x": [wanted],
            "top": [y_end],
            "note": [counted("chart.wanted", wanted, count=number(wanted, currency, 0))],
        }
        crossings = curves["stretches"][1:]
        self._crossings.data = {
            "x": [crossing.first for crossing in crossings],
            "y": [_paid_at(curves["lines"][c.medium], c.first) for c in crossings],
            "note": [number(crossing.first, currency, 0) for crossing in crossings],
        }
        _set_axis(chart.xaxis[0], chart.x_range, x_end, lambda v: short(v, currency, 4))
        places = 0 if y_end > 8 else currency.decimals
        _set_axis(chart.yaxis[0], chart.y_range, y_end, lambda v: amount(v, currency, places))
        _label(chart.xaxis[0], text("axis.wanted"))


def steady(end, needed):
    """
    Where an axis ends: where it did, unless the numbers outgrow it or use less than half of it.

    Examples
    --------
    >>> steady(1, 0.27), steady(0.3, 0.27), steady(0.3, 0.31), steady(0.3, 0.16)
    (0.3, 0.3, 0.4, 0.3)
    """
    if not needed > 0:
        return end
    if end * 0.45 <= needed <= end:
        return end
    size = 10 ** floor(log10(needed))
    steps = (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
    return next(float(f"{step * size:.10g}") for step in steps if step * size >= needed * 0.9999999)


def _bars(rows, currency):
    data = _no_bars()
    for i, row in enumerate(rows):
        used, end = row["as_used"], 0.0
        data["y"].append(-i - 0.68)
        data["name y"].append(-i - 0.26)
        data["name"].append(_clipped(row["medium"]))
        for part in PARTS:
            start, end = end, end + (used[part] if used else 0.0)
            data[f"{part} from"].append(start if used else nan)
            data[f"{part} to"].append(end if used else nan)
        data["end"].append(end)
        data["total"].append(each(used["total"], currency) if used else _not_ready(row, currency))
    return data


def _no_bars():
    edges = [f"{part} {side}" for part in PARTS for side in ("from", "to")]
    return columns("y", "name y", "name", "end", "total", *edges)


def _not_ready(row, currency):
    if row["stalls_in_week"] is None:
        return text("answer.not_ready")
    week = text("answer.stalls", week=short(row["stalls_in_week"], currency))
    return text("answer.not_ready_why", why=week)


def _staircase(found, up_to):
    """Corners of a staircase; a gap where nothing can be had."""
    xs = [step.wanted for step in found]
    ys = [step.paid if step.paid < inf else nan for step in found]
    return {"x": [*xs, *([up_to] if xs else [])], "y": [*ys, *ys[-1:]]}


def _paid_at(found, wanted):
    return [step.paid for step in found if step.wanted <= wanted][-1]


def _set_axis(axis, ends, end, written):
    """Ticks at round numbers from 0 to the end, written in the currency's way."""
    size = 10 ** floor(log10(end / 2)) if end else 1
    gap = next(m * size for m in (1, 2, 5, 10) if end / (m * size) <= 5)
    ticks = [float(f"{i * gap:.10g}") for i in range(int(end / gap + 1e-9) + 1)]
    labels = {tick: written(tick) if tick else "0" for tick in ticks}
    if axis.ticker.ticks != ticks:
        axis.ticker.update(ticks=ticks)
    if axis.major_label_overrides != labels:
        axis.update(major_label_overrides=labels)
    if ends.end != end:
        ends.update(end=end)


def _label(axis, label):
    if axis.axis_label != label:
        axis.update(axis_label=label)


def _clipped(name):
    return name if len(name) <= MOST_NAME else name[: MOST_NAME - 1] + "…"
