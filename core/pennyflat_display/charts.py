"""The contents of all charts: plain columns and a few properties of Bokeh's models, without Bokeh.

Figures are made in figures/, for the page during the build. Afterwards only the data of their
sources, the ends of their axes and some words change. Axes keep their ends while the numbers stay
in range, so that nothing jumps while a price is being typed.
"""

from collections import defaultdict

from pennyflat_display.plan_charts import cost_bars, staircase, swings, timeline
from pennyflat_display.trial_charts import trial_charts


class Charts:
    """The contents of a set of figures, and what they were last told."""

    def __init__(self, words):
        self._words = words
        self._ends = defaultdict(lambda: 1)
        self._told = {}

    def shown(self, sowing=None, plans=(), matters=None, trial=None):
        """
        The contents of the figures, {name of a model: {property: value}}; none for an empty figure.

        `sowing` is a crop, its rows of the report, its `Curves` or None, and the `Currency`;
        `plans` are `Dated` calendars; `matters` is the answer of `what_matters` and its `Currency`;
        `trial` is a crop of the report on trials and its `Currency`.
        """
        shown = {}
        if trial is not None:
            shown |= trial_charts(*trial, self._words)
        if sowing is not None:
            crop, compared, curves, currency = sowing
            shown |= timeline(plans, self._words)
            shown |= cost_bars(compared, crop, currency, self._words, self._ends)
            shown |= staircase(curves, crop, currency, self._words, self._ends)
        if matters is not None:
            shown |= swings(*matters, self._words)
        return shown

    def news(self, shown):
        """The part of these contents that the figures have not been told yet."""
        changed = {}
        for name, values in shown.items():
            told = self._told.setdefault(name, {})
            fresh = {key: value for key, value in values.items() if told.get(key, told) != value}
            if fresh:
                told |= fresh
                changed[name] = fresh
        return changed
