"""The figures of trial_charts.py, without data.

Mixes differ in the dash of their line, not only in colour; lines-key.html has the same for the key.
"""

from pennyflat_display.figures import parts
from pennyflat_display.trial_charts import BARS, COSTS, CURVES, LINES

STYLES = (
    ("first", "solid"),
    ("second", [7, 4]),
    ("ink", [2, 3]),
    ("first", [10, 3, 2, 3]),
    ("second", [7, 2, 2, 2, 2, 2]),
    ("ink", [14, 4]),
)
"""Colour and dash of the curves, in the order of the mixes."""


def curves():
    """A line for each mix with a band around it."""
    made, lines = parts.blank(CURVES, 300), []
    for source, (ink, dash) in zip(parts.sources(LINES), STYLES, strict=True):
        # Corners instead of steps: in Bokeh 3.9, a step area without points never stops drawing.
        band = made.varea(x="day", y1="low", y2="high", source=source, fill_alpha=0.13)
        line = made.line(x="day", y="share", source=source, line_width=3, line_dash=dash)
        parts.colour(band.glyph, fill_color=ink)
        parts.colour(line.glyph, line_color=ink)
        lines.append(line)
    parts.key(made, lines)
    return made


def costs():
    """A bar from each mix's low to high cost, and a mark at the middle."""
    made = parts.row_figure(COSTS, 120)
    [source] = parts.sources(BARS)
    parts.bars(made, source, "feed", "low", "high", hatch="right_diagonal_line", height=0.34)
    parts.marks(made, source, x="middle", y="y", marker="diamond", size=15, line_width=2)
    parts.words(made, source, x=0, y="name y", text="name")
    return made
