"""The figures of the charts, made with Bokeh when the page is built and in a notebook.

The browser's Python has none of this. What a figure shows is said in plain columns: there is a
module of the same name, one folder up, for each.
"""

from bokeh.core.properties import value
from bokeh.models import PlainText

from figures import bench_charts, cost_bars, staircase, swings, timeline

PLAIN = ("axis_label", "text")
"""Properties that are words, which Bokeh would search for TeX."""


class Figures:
    """All figures, empty until they are shown something; each named after its place on the page."""

    def __init__(self):
        self.all = (
            cost_bars.figure(),
            staircase.figure(),
            timeline.figure(),
            swings.figure(),
            bench_charts.curves(),
            bench_charts.costs(),
        )
        found = {model for figure in self.all for model in figure.references() if model.name}
        self.models = {model.name: model for model in found}

    def show(self, news):
        """Apply what `charts.Charts.news` says, as the page does."""
        for name, values in news.items():
            self.models[name].update(**{key: _as_bokeh(key, v) for key, v in values.items()})


def _as_bokeh(key, told):
    if key in PLAIN:
        return PlainText(told)
    if key == "major_label_overrides":
        return {tick: PlainText(words) for tick, words in told}
    return value(told) if key == "label" else told
