"""What the charts show: plain columns and a few properties of Bokeh's models, without Bokeh.

The figures themselves are made when the page is built (figures/, app.py). Afterwards only the data
of their sources, the ends of their axes and some words change. Axes keep their ends while the
numbers stay within reach, so that nothing jumps while a price is typed.
"""

from buy.swings import swings
from compare.cost_bars import CostBars
from compare.staircase import Staircase
from grow.dates import plans_of
from grow.timeline import timeline
from trials.charts import BenchCharts


class Charts:
    """What the figures show, kept in step with a `Work`."""

    def __init__(self):
        self._costs, self._steps, self._bench = CostBars(), Staircase(), BenchCharts()
        self._told = {}

    def news(self, work):
        """
        What the figures show of the sowing that is looked at, where it has changed.

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
        """What there is to show; the page hides the figures of anything else."""
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
