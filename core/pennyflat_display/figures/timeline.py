"""The figure of timeline.py, without data."""

from pennyflat_display.figures import parts
from pennyflat_display.timeline import COLUMNS, FIGURE


def figure():
    """Bars from sowing to planting out, with marks for the steps in between."""
    made = parts.row_figure(FIGURE, 120)
    growing, harden, names, steps = parts.sources(COLUMNS)
    parts.bars(made, growing, "feed", "from", "to", height=0.34)
    parts.bars(made, harden, "seed", "from", "to", hatch="right_diagonal_line", height=0.34)
    parts.words(made, names, x="x", y="y", text="name")
    parts.marks(made, steps, x="x", y="y", marker="marker", size=13, line_width=1.5)
    return made
