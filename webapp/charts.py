"""The charts of the current work: which of its answers `pennyflat_display.charts` shows."""

from grow.dates import plans_of
from pennyflat_display import charts
from reader import words


class Charts(charts.Charts):
    """The contents of the figures, kept up to date with a `Work`."""

    def __init__(self):
        super().__init__(words)

    def news(self, work):
        """Changes in the figures for the displayed sowing; the page hides all other figures."""
        trial, row, found = work.bench.shown(), work.row_shown, {}
        if trial:
            found["trial"] = trial, work.currency
        if row is not None:
            crop, curves = work.report["verdicts"][row]["crop"], work.curves()
            found["sowing"] = crop, work.compared(row), curves, work.answer_currency
            found["plans"] = plans_of(work)
            if matters := work.errand.answers.get("matters"):
                found["matters"] = matters[1], work.errand.currency
        return super().news(self.shown(**found))
