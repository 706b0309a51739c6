"""The figure of timeline.py, without data."""

from pennyflat_display.figures.parts import blank, colour, sources, without_y, words
from pennyflat_display.timeline import COLUMNS, FIGURE


def figure():
    """Bars from sowing to planting out, with marks for the steps in between."""
    made = without_y(blank(FIGURE, 120, y=(-1, 0)))
    bars, harden, names, marks = sources(COLUMNS).values()
    edges = {"y": "y", "left": "from", "right": "to", "height": 0.34, "line_width": 1}
    bar = made.hbar(source=bars, **edges)
    hardening = made.hbar(
        source=harden, hatch_pattern="right_diagonal_line", hatch_scale=8, **edges
    )
    words(made, names, x="x", y="y", text="name")
    mark = made.scatter(x="x", y="y", marker="marker", source=marks, size=13, line_width=1.5)
    colour(bar.glyph, fill_color="feed", line_color="ink")
    colour(hardening.glyph, fill_color="seed", line_color="ink", hatch_color="ink")
    colour(mark.glyph, fill_color="second", line_color="ink")
    return made
