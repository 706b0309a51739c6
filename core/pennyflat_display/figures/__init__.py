"""The figures of the charts, made with Bokeh during the build and in a notebook.

The browser's Python has none of this. Plain columns, one folder up, hold a figure's contents.
"""

from bokeh.core.properties import value
from bokeh.models import PlainText

from pennyflat_display.figures.drawn import all_figures


class Figures:
    """All figures, empty until `show`; each named after its place on the page."""

    def __init__(self):
        self.all = all_figures()
        found = {model for figure in self.all for model in figure.references() if model.name}
        self.models = {model.name: model for model in found}

    def put_on_paper(self):
        """Make them look as on paper: on white, with title and key (see parts.py)."""
        for made in self.all:
            for model in made.references():
                for tag in model.tags:
                    model.update(**tag["paper"])

    def show(self, news):
        """Apply the output of `charts.Charts.news`, as the page does."""
        for name, values in news.items():
            self.models[name].update(**{key: _as_bokeh(key, v) for key, v in values.items()})


def _as_bokeh(key, told):
    """A property as Bokeh has it; other text than `PlainText` would be searched for TeX."""
    if key in ("axis_label", "text"):
        return PlainText(told)
    if key == "major_label_overrides":
        return {tick: PlainText(words) for tick, words in told}
    return value(told) if key == "label" else told
