"""What the figures share: blank ones, colours, title and key of a saved picture.

Each model that changes while the page is in use has a name: its figure's and a word. Every part has
its own hatch pattern, so that colour is never the only difference.

A saved chart is on white in the light scheme and includes its title and key, which are beside it on
the page. Each model's tag holds its properties in each scheme, and on paper, for shell/drawing.js.
Texts are `PlainText`, since Bokeh searches other text for TeX.
"""

from bokeh.core.properties import value
from bokeh.models import (
    ColumnDataSource,
    FixedTicker,
    Grid,
    Legend,
    LegendItem,
    LinearAxis,
    NoOverlap,
    PlainText,
    Range1d,
    Title,
)
from bokeh.plotting import figure

FONT = "system-ui, sans-serif"
WHITE = "#ffffff"

COLOURS = {
    "ink": ("#2b2118", "#f2e9da"),
    "soft": ("#65573f", "#c3b59f"),
    "line": ("#d8cbb4", "#4d4235"),
    "medium": ("#9a6a3f", "#b98a5c"),
    "feed": ("#8fc27a", "#5f9a4d"),
    "seed": ("#f3cf63", "#c9a032"),
    "container": ("#a9bccb", "#6f8799"),
    "energy": ("#f0a27a", "#c9713f"),
    "labour": ("#c4afd8", "#8f77ab"),
    "first": ("#2f6b3a", "#8fd19a"),
    "second": ("#a4491f", "#f0a27a"),
}
"""Colours by meaning, in the light and in the dark scheme; style.css has the same."""
LIGHT, DARK = ({name: pair[i] for name, pair in COLOURS.items()} for i in (0, 1))


def colour(model, *, on_paper=None, **names):
    """Colour a model: {property: name of a colour}; `on_paper` adds properties for pictures."""
    light, dark = ({key: scheme[name] for key, name in names.items()} for scheme in (LIGHT, DARK))
    model.tags = [{"light": light, "dark": dark, "paper": light | (on_paper or {})}]
    model.update(**light)


def blank(name, height):
    """A figure without marks."""
    made = figure(
        name=name,
        height=height,
        sizing_mode="stretch_width",
        x_range=Range1d(name=f"{name} x"),
        y_range=Range1d(name=f"{name} y"),
        x_axis_type=None,
        y_axis_type=None,
        title=Title(text=PlainText(""), name=f"{name} title", visible=False),
        tools="",
        toolbar_location=None,
        background_fill_color=None,
        border_fill_color=None,
        outline_line_color=None,
        min_border=4,
        min_border_top=8,
        min_border_right=30,
    )
    white = {"background_fill_color": WHITE, "border_fill_color": WHITE}
    colour(made, on_paper=white | {"min_border_top": 14, "min_border_bottom": 14})
    made.title.update(text_font=FONT, text_font_size="15px")
    colour(made.title, on_paper={"visible": True}, text_color="ink")
    for side, place in (("x", "below"), ("y", "left")):
        axis = LinearAxis(
            name=f"{name} {side} axis",
            ticker=FixedTicker(ticks=[], name=f"{name} {side} ticks"),
            major_label_policy=NoOverlap(min_distance=6),
            minor_tick_line_color=None,
            axis_label_text_font=FONT,
            axis_label_text_font_size="13px",
            axis_label_text_font_style="normal",
            major_label_text_font=FONT,
            major_label_text_font_size="13px",
        )
        text = dict.fromkeys(("axis_label_text_color", "major_label_text_color"), "soft")
        colour(axis, axis_line_color="line", major_tick_line_color="line", **text)
        made.add_layout(axis, place)
        grid = Grid(dimension=0 if side == "x" else 1, axis=axis, grid_line_color=None)
        made.add_layout(grid, "center")
    return made


def row_figure(name, height):
    """A figure whose rows need no axis."""
    made = blank(name, height)
    made.yaxis.visible = made.ygrid.visible = False
    return made


def key(made, marks):
    """Give a figure the key for saved charts; `chart_parts.key` fills it."""
    items = [
        LegendItem(label=value(""), renderers=[mark], name=f"{made.name} key {place}")
        for place, mark in enumerate(marks)
    ]
    legend = Legend(
        items=items,
        orientation="horizontal",
        location="left",
        spacing=14,
        margin=0,
        padding=0,
        label_text_font=FONT,
        label_text_font_size="13px",
        border_line_color=None,
        background_fill_color=None,
        visible=False,
    )
    colour(legend, on_paper={"visible": True}, label_text_color="ink")
    made.add_layout(legend, "below")


def sources(columns):
    """Sources without rows, from {name: names of columns}."""
    return [
        ColumnDataSource({column: [] for column in names}, name=name)
        for name, names in columns.items()
    ]


def bars(made, source, fill, left, right, *, hatch=None, height):
    """Bars in the rows of a figure, from one column of its source to another."""
    drawn = made.hbar(
        y="y", left=left, right=right, height=height, source=source,
        hatch_pattern=hatch, hatch_scale=8, line_width=1,
    )  # fmt: skip
    colour(drawn.glyph, fill_color=fill, line_color="ink", hatch_color="ink")
    return drawn


def marks(made, source, **options):
    """Marks in a figure, as given by its source."""
    drawn = made.scatter(source=source, **options)
    colour(drawn.glyph, fill_color="second", line_color="ink")


def words(made, source, *, size="14px", bold=False, ink="ink", baseline="middle", **options):
    """Texts in a figure, as given by its source."""
    written = made.text(
        source=source,
        text_font=value(FONT),
        text_font_size=size,
        text_font_style="bold" if bold else "normal",
        text_baseline=baseline,
        level="annotation",  # otherwise they end where the bars do
        **options,
    )
    colour(written.glyph, text_color=ink)
