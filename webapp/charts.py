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
        return super().news(self.shown(**_looked_at(work)))


def _looked_at(work):
    trial, row = work.bench.shown(), work.row_shown
    found = {"trial": (trial, work.currency) if trial else None}
    if row is None:
        return found
    if "matters" in work.errand.answers:
        found["matters"] = work.errand.answers["matters"][1], work.errand.currency
    crop = work.report["verdicts"][row]["crop"]
    found["sowing"] = crop, work.compared(row), work.curves(), work.answer_currency
    return found | {"plans": plans_of(work)}
