"""The figure of swings.py, without data."""

from pennyflat_display.figures import parts
from pennyflat_display.swings import COLUMNS, FIGURE


def figure():
    """Bars on both sides of a line."""
    made = parts.row_figure(FIGURE, 240)
    low, high, entered, names, stalls = parts.sources(COLUMNS)
    lower = parts.bars(made, low, "seed", "from", "to", hatch="right_diagonal_line", height=0.4)
    higher = parts.bars(made, high, "container", "from", "to", height=0.4)
    parts.key(made, [lower, higher])
    line = made.segment(x0="x", x1="x", y0="from", y1="to", source=entered, line_width=2)
    parts.colour(line.glyph, line_color="ink")
    parts.words(made, names, x="x", y="y", text="name")
    parts.words(made, stalls, size="13px", bold=True, x="x", y="y", text="note", x_offset=7)
    return made
