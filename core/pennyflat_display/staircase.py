"""The staircase of the money at the till as the number of seedlings grows."""

from math import inf, isfinite, nan

from pennyflat.comparing.curves import Curves
from pennyflat.comparing.till import paid_for
from pennyflat_display.chart_parts import axis, clipped, key, round_ticks, steady, together
from pennyflat_display.money import amount, number, short

FIGURE = "chart-steps"
LINES = ("first", "second")
"""Colours of the lines, in the order of the mixes."""
COLUMNS = {
    **{f"{FIGURE} {line}": ("x", "y") for line in LINES},
    f"{FIGURE} wanted": ("x", "top", "note"),
    f"{FIGURE} crossings": ("x", "y", "note"),
}
"""Columns of each data source, by its name."""


NOTHING = Curves(0, 1, {}, ())
"""No lines while the plan is being worked out: an old line would be wrong."""


class Staircase:
    """The contents of the figure; it remembers the ends of its axes."""

    def __init__(self):
        self._x_end = self._y_end = 1

    def show(self, curves, crop, currency, words):
        """The curves of `Work.curves`: {name of a model: {property: value}}."""
        curves = curves or NOTHING
        lines = list(curves.lines.items())
        paid = [step.paid for _, found in lines for step in found if isfinite(step.paid)]
        self._x_end = steady(self._x_end, curves.up_to)
        self._y_end = steady(self._y_end, max(paid, default=1) * 1.2)
        places = 0 if self._y_end > 8 else currency.decimals
        across = round_ticks(self._x_end, lambda value: short(value, currency, 4))
        up = round_ticks(self._y_end, lambda value: amount(value, currency, places))
        names = [*(clipped(name) for name, _ in lines), "", ""][: len(LINES)]
        return together(
            self._sources(lines, curves, currency, words),
            key(FIGURE, words.text("answer.steps", crop=crop), names),
            axis(f"{FIGURE} x", across, end=self._x_end, label=words.text("axis.wanted")),
            axis(f"{FIGURE} y", up, end=self._y_end),
        )

    def _sources(self, lines, curves, currency, words):
        wanted, crossings = curves.wanted, curves.stretches[1:]
        found = [corners for _, corners in lines] + [()] * len(LINES)
        shown = {
            line: _corners(steps, curves.up_to) for line, steps in zip(LINES, found, strict=False)
        }
        shown["wanted"] = {
            "x": [wanted],
            "top": [self._y_end],
            "note": [words.counted("chart.wanted", wanted, count=number(wanted, currency, 0))],
        }
        shown["crossings"] = {
            "x": [crossing.first for crossing in crossings],
            "y": [paid_for(curves.lines[c.medium], c.first) for c in crossings],
            "note": [number(crossing.first, currency, 0) for crossing in crossings],
        }
        return {f"{FIGURE} {name}": {"data": data} for name, data in shown.items()}


def _corners(found, up_to):
    """Corners of a staircase, with a gap where nothing is available."""
    xs = [step.wanted for step in found]
    ys = [step.paid if step.paid < inf else nan for step in found]
    return {"x": [*xs, *([up_to] if xs else [])], "y": [*ys, *ys[-1:]]}
