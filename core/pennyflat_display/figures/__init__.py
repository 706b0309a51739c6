"""The figures of the charts, made with Bokeh during the build and in a notebook.

The browser's Python has none of this. Plain columns, one folder up, hold a figure's contents. Mixes
differ in the dash of their line, not only in colour; lines-key.html has the same.
"""

from bokeh.core.properties import value
from bokeh.models import PlainText

from pennyflat_display import charts
from pennyflat_display.figures import parts

HATCHES = {
    "medium": None,
    "feed": "right_diagonal_line",
    "seed": "dot",
    "container": "cross",
    "energy": "vertical_line",
    "labour": "horizontal_line",
}
"""Bokeh's hatch pattern for each part of the cost."""

STYLES = (
    ("first", "solid"),
    ("second", [7, 4]),
    ("ink", [2, 3]),
    ("first", [10, 3, 2, 3]),
    ("second", [7, 2, 2, 2, 2, 2]),
    ("ink", [14, 4]),
)
"""Colour and dash of lines, in the order of the mixes."""

SLANTED = HATCHES["feed"]


class Figures:
    """All figures, empty until `show`; each named after its place on the page."""

    def __init__(self):
        self.all = costs(), steps(), calendar(), matters(), emergence(), stakes()
        found = {model for figure in self.all for model in figure.references() if model.name}
        self.models = {model.name: model for model in found}

    def put_on_paper(self):
        """Make them look as on paper: on white, with title and key (see parts.py)."""
        for made in self.all:
            for model in made.references():
                for tag in model.tags:
                    model.update(**tag["paper"])

    def show(self, news):
        """Apply the output of `charts.Charts.news`, as the page does."""
        for name, values in news.items():
            self.models[name].update(**{key: _as_bokeh(key, v) for key, v in values.items()})


def _as_bokeh(key, told):
    """A property as Bokeh has it; other text than `PlainText` would be searched for TeX."""
    if key in ("axis_label", "text"):
        return PlainText(told)
    if key == "major_label_overrides":
        return {tick: PlainText(words) for tick, words in told}
    return value(told) if key == "label" else told


def costs():
    """Stacked bars with the name of the mix above and the total at the end."""
    made = parts.row_figure(charts.COSTS, 240)
    [source] = parts.sources(charts.COST_COLUMNS)
    bars = [
        parts.bars(made, source, part, f"{part} from", f"{part} to", hatch=hatch, height=0.44)
        for part, hatch in HATCHES.items()
    ]
    parts.key(made, bars)
    parts.words(made, source, x=0, y="name y", text="name")
    parts.words(made, source, bold=True, x="end", y="y", text="total", x_offset=7)
    return made


def steps():
    """Two staircases, the number wanted, and where the lines cross."""
    made, lines = parts.blank(charts.STEPS, 300), []
    made.xgrid.visible = False
    *stairs, wanted, crossings = parts.sources(charts.STEP_COLUMNS)
    for source, (ink, dash) in zip(stairs, STYLES[:2], strict=True):
        line = made.step(x="x", y="y", source=source, mode="after", line_width=3, line_dash=dash)
        parts.colour(line.glyph, line_color=ink)
        lines.append(line)
    parts.key(made, lines)
    upright = made.segment(
        x0="x", x1="x", y0=0, y1="top", source=wanted, line_width=1.5, line_dash="dotted"
    )
    parts.colour(upright.glyph, line_color="soft")
    small = {"size": "13px", "baseline": "top", "text": "note", "x": "x"}
    parts.words(made, wanted, ink="soft", y="top", x_offset=5, **small)
    parts.marks(made, crossings, x="x", y="y", marker="diamond", size=15, line_width=2)
    parts.words(made, crossings, bold=True, y="y", text_align="center", y_offset=10, **small)
    return made


def calendar():
    """Bars from sowing to planting out, with marks for the steps in between."""
    made = parts.row_figure(charts.CALENDAR, 120)
    growing, harden, names, marks = parts.sources(charts.CALENDAR_COLUMNS)
    parts.bars(made, growing, "feed", "from", "to", height=0.34)
    parts.bars(made, harden, "seed", "from", "to", hatch=SLANTED, height=0.34)
    parts.words(made, names, x="x", y="y", text="name")
    parts.marks(made, marks, x="x", y="y", marker="marker", size=13, line_width=1.5)
    return made


def matters():
    """Bars on both sides of a line."""
    made = parts.row_figure(charts.SWINGS, 240)
    low, high, entered, names, stalls = parts.sources(charts.SWING_COLUMNS)
    lower = parts.bars(made, low, "seed", "from", "to", hatch=SLANTED, height=0.4)
    higher = parts.bars(made, high, "container", "from", "to", height=0.4)
    parts.key(made, [lower, higher])
    line = made.segment(x0="x", x1="x", y0="from", y1="to", source=entered, line_width=2)
    parts.colour(line.glyph, line_color="ink")
    parts.words(made, names, x="x", y="y", text="name")
    parts.words(made, stalls, size="13px", bold=True, x="x", y="y", text="note", x_offset=7)
    return made


def emergence():
    """A line for each mix with a band around it."""
    made, lines = parts.blank(charts.CURVES, 300), []
    for source, (ink, dash) in zip(parts.sources(charts.LINES), STYLES, strict=True):
        # Corners instead of steps: in Bokeh 3.9, a step area without points never stops drawing.
        band = made.varea(x="day", y1="low", y2="high", source=source, fill_alpha=0.13)
        line = made.line(x="day", y="share", source=source, line_width=3, line_dash=dash)
        parts.colour(band.glyph, fill_color=ink)
        parts.colour(line.glyph, line_color=ink)
        lines.append(line)
    parts.key(made, lines)
    return made


def stakes():
    """A bar from each mix's low to high cost, and a mark at the middle."""
    made = parts.row_figure(charts.STAKES, 120)
    [source] = parts.sources(charts.BARS)
    parts.bars(made, source, "feed", "low", "high", hatch=SLANTED, height=0.34)
    parts.marks(made, source, x="middle", y="y", marker="diamond", size=15, line_width=2)
    parts.words(made, source, x=0, y="name y", text="name")
    return made
