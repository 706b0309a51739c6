"""The figure of cost_bars.py, without data."""

from pennyflat_display.cost_bars import COLUMNS, FIGURE
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


def figure():
    """Stacked bars with the name of the mix above and the total at the end."""
    made = parts.row_figure(FIGURE, 240)
    [source] = parts.sources(COLUMNS)
    parts.key(
        made,
        [
            parts.bars(made, source, part, f"{part} from", f"{part} to", hatch=hatch, height=0.44)
            for part, hatch in HATCHES.items()
        ],
    )
    parts.words(made, source, x=0, y="name y", text="name")
    parts.words(made, source, bold=True, x="end", y="y", text="total", x_offset=7)
    return made
