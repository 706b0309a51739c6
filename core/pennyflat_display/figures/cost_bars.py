"""The figure of cost_bars.py, without data."""

from pennyflat_display.cost_bars import COLUMNS, FIGURE, PARTS
from pennyflat_display.figures.parts import blank, colour, key, sources, without_y, words

HATCHES = {
    "medium": " ",
    "feed": "right_diagonal_line",
    "seed": "dot",
    "container": "cross",
    "energy": "vertical_line",
    "labour": "horizontal_line",
}
"""Bokeh's hatch pattern for each part of the cost."""


def figure():
    """Stacked bars with the name of the mix above and the total at the end."""
    made = without_y(blank(FIGURE, 240, y=(-1, 0)))
    [source] = sources(COLUMNS).values()
    bars = []
    for part in PARTS:
        bar = made.hbar(
            y="y", left=f"{part} from", right=f"{part} to", height=0.44, source=source,
            hatch_pattern=HATCHES[part], hatch_scale=8, hatch_weight=1, line_width=1,
        )  # fmt: skip
        colour(bar.glyph, fill_color=part, line_color="ink", hatch_color="ink")
        bars.append(bar)
    key(made, bars)
    words(made, source, x=0, y="name y", text="name")
    words(made, source, bold=True, x="end", y="y", text="total", x_offset=7)
    return made
