"""The staircase of the money at the till as the number of seedlings grows."""

from math import inf, isfinite, nan

from pennyflat.comparing.till import Curves, paid_for
from pennyflat_display.chart_parts import axis, clipped, filled, key, round_ticks, steady, together
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


def staircase(curves, crop, currency, words, ends):
    """
    The `Curves` of a sowing, or None: {name of a model: {property: value}}.

    `ends` has the ends of axes, which this changes: {axis: end}.
    """
    x, y = f"{FIGURE} x", f"{FIGURE} y"
    curves = curves or NOTHING
    paid = [step.paid for steps in curves.lines.values() for step in steps if isfinite(step.paid)]
    ends[x] = steady(ends[x], curves.up_to)
    ends[y] = steady(ends[y], max(paid, default=1) * 1.2)
    decimals = 0 if ends[y] > 8 else currency.decimals
    across = round_ticks(ends[x], lambda value: short(value, currency, 4))
    up = round_ticks(ends[y], lambda value: amount(value, currency, decimals))
    lines = [*curves.lines.items(), ("", ()), ("", ())][: len(LINES)]
    wanted = words.counted("chart.wanted", curves.wanted, count=number(curves.wanted, currency, 0))
    crossings = [
        (at.first, paid_for(curves.lines[at.medium], at.first), number(at.first, currency, 0))
        for at in curves.stretches[1:]
    ]
    return together(
        filled(
            COLUMNS,
            *(_corners(steps, curves.up_to) for _, steps in lines),
            [(curves.wanted, ends[y], wanted)],
            crossings,
        ),
        key(FIGURE, words.text("answer.steps", crop=crop), [clipped(name) for name, _ in lines]),
        axis(x, across, ends[x], label=words.text("axis.wanted")),
        axis(y, up, ends[y]),
    )


def _corners(steps, up_to):
    """Corners of a staircase, with a gap where nothing is available."""
    corners = [(step.wanted, step.paid if step.paid < inf else nan) for step in steps]
    return corners + [(up_to, paid) for _, paid in corners[-1:]]
