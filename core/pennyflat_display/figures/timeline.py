"""The figure of timeline.py, without data."""

from pennyflat_display.figures.parts import bars, marks, row_figure, sources, words
from pennyflat_display.timeline import COLUMNS, FIGURE


def figure():
    """Bars from sowing to planting out, with marks for the steps in between."""
    made = row_figure(FIGURE, 120)
    growing, harden, names, steps = sources(COLUMNS)
    bars(made, growing, "feed", "from", "to", height=0.34)
    bars(made, harden, "seed", "from", "to", hatch="right_diagonal_line", height=0.34)
    words(made, names, x="x", y="y", text="name")
    marks(made, steps, x="x", y="y", marker="marker", size=13, line_width=1.5)
    return made
