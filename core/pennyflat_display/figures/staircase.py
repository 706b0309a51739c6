"""The figure of staircase.py, without data."""

from pennyflat_display.figures import parts
from pennyflat_display.staircase import COLUMNS, FIGURE

DASHES = {"first": "solid", "second": [7, 4]}


def figure():
    """Two staircases, the number wanted, and where the lines cross."""
    made = parts.blank(FIGURE, 300)
    made.xgrid.visible = False
    *steps, wanted, crossings = parts.sources(COLUMNS)
    lines = []
    for (ink, dash), source in zip(DASHES.items(), steps, strict=True):
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
