"""The figure of swings.py, without data."""

from pennyflat_display.figures.parts import bars, colour, key, row_figure, sources, words
from pennyflat_display.swings import COLUMNS, FIGURE


def figure():
    """Bars on both sides of a line."""
    made = row_figure(FIGURE, 240)
    low, high, entered, names, stalls = sources(COLUMNS)
    lower = bars(made, low, "seed", "from", "to", hatch="right_diagonal_line", height=0.4)
    higher = bars(made, high, "container", "from", "to", height=0.4)
    key(made, [lower, higher])
    line = made.segment(x0="x", x1="x", y0="from", y1="to", source=entered, line_width=2)
    colour(line.glyph, line_color="ink")
    words(made, names, x="x", y="y", text="name")
    words(made, stalls, size="13px", bold=True, x="x", y="y", text="note", x_offset=7)
    return made
