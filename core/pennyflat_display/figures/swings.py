"""The figure of swings.py, without data."""

from pennyflat_display.figures.parts import blank, colour, key, sources, without_y, words
from pennyflat_display.swings import COLUMNS, FIGURE, SIDES

STYLES = {"low": ("seed", "right_diagonal_line"), "high": ("container", " ")}
"""Colour and hatch of each side."""


def figure():
    """Bars on both sides of a line."""
    made = without_y(blank(FIGURE, 240, y=(-1, 0)))
    *sides, entered, names, stalls = sources(COLUMNS).values()
    bars = []
    for side, source in zip(SIDES, sides, strict=True):
        name, hatch = STYLES[side]
        bar = made.hbar(
            y="y", left="from", right="to", height=0.4, source=source,
            hatch_pattern=hatch, hatch_scale=8, line_width=1,
        )  # fmt: skip
        colour(bar.glyph, fill_color=name, line_color="ink", hatch_color="ink")
        bars.append(bar)
    key(made, bars)
    line = made.segment(x0="x", x1="x", y0="from", y1="to", source=entered, line_width=2)
    colour(line.glyph, line_color="ink")
    words(made, names, x="x", y="y", text="name")
    words(made, stalls, size="13px", bold=True, x="x", y="y", text="note", x_offset=7)
    return made
