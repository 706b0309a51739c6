"""The contents of the charts: plain columns and a few properties of Bokeh's models, without Bokeh.

The build makes the figures themselves (figures/, app.py). Afterwards only the data of their
sources, the ends of their axes and some words change. Axes keep their ends while the numbers stay
in range, so that nothing jumps while a price is being typed.
"""

from buy.swings import swings
from compare.cost_bars import CostBars
from compare.staircase import Staircase
from grow.dates import plans_of
from grow.timeline import timeline
from trials.charts import BenchCharts


class Charts:
    """The contents of the figures, kept up to date with a `Work`."""

    def __init__(self):
        self._costs, self._steps, self._bench = CostBars(), Staircase(), BenchCharts()
        self._told = {}

    def news(self, work):
        """
        Changes in the figures for the displayed sowing.

        Parameters
        ----------
        work : Work

        Returns
        -------
        dict
            {name of a model: {property: value}}; for a source of data, {"data": {column: list}}.
        """
        changed = {}
        for name, values in self._shown(work).items():
            told = self._told.setdefault(name, {})
            fresh = {key: value for key, value in values.items() if told.get(key, told) != value}
            if fresh:
                told |= fresh
                changed[name] = fresh
        return changed

    def _shown(self, work):
        """What to show; the page hides all other figures."""
        shown = self._bench.show(work)
        row = work.row_shown
        if row is None:
            return shown
        shown |= timeline(plans_of(work))
        if "matters" in work.errand.answers:
            shown |= swings(work.errand.answers["matters"][1], work.errand.currency)
        currency = work.answer_currency
        crop = work.report["verdicts"][row]["crop"]
        shown |= self._costs.show(work.compared(row), crop, currency)
        return shown | self._steps.show(work.curves(), crop, currency)
