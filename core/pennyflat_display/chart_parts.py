"""What the charts share: sources of data, axes, and the key of a saved chart.

A chart describes its figure's contents as {name of a model: {property: value}}, in plain numbers,
texts and lists, so that it does not need Bokeh. The figures are in figures/; the page applies these
contents to them (shell/drawing.js).
"""

from math import ceil, floor, log10

MOST_NAME = 42
"""Longest name written in a chart. [characters]"""
LETTER_PX = 8
"""Upper limit of the average width of a tick label's letters. [px]"""


def filled(columns, *tables):
    """
    Contents of sources: their columns from the rows of one table for each.

    >>> filled({"marks": ("x", "y"), "names": ("x",)}, [(3, 0.5), (4, 1)], [])
    {'marks': {'data': {'x': [3, 4], 'y': [0.5, 1]}}, 'names': {'data': {'x': []}}}
    """
    return {
        name: {"data": {column: [row[i] for row in rows] for i, column in enumerate(names)}}
        for (name, names), rows in zip(columns.items(), tables, strict=True)
    }


def clipped(name):
    """A name as written in a chart."""
    return name if len(name) <= MOST_NAME else name[: MOST_NAME - 1] + "…"


def steady(end, needed):
    """
    The end of an axis: unchanged unless the numbers outgrow it or use less than half of it.

    >>> steady(1, 0.27), steady(0.3, 0.27), steady(0.3, 0.31), steady(0.3, 0.16)
    (0.3, 0.3, 0.4, 0.3)
    """
    if not needed > 0 or end * 0.45 <= needed <= end:
        return end
    size = 10 ** floor(log10(needed))
    steps = (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
    return next(float(f"{step * size:.10g}") for step in steps if step * size >= needed * 0.9999999)


def round_ticks(end, written):
    """
    Ticks at round numbers from 0 to the end, with their labels: {tick: label}.

    >>> round_ticks(30, str)
    {0.0: '0', 10.0: '10.0', 20.0: '20.0', 30.0: '30.0'}
    """
    size = 10 ** floor(log10(end / 2)) if end else 1
    gap = next(m * size for m in (1, 2, 5, 10) if end / (m * size) <= 5)
    ticks = [float(f"{i * gap:.10g}") for i in range(int(end / gap + 1e-9) + 1)]
    return {tick: written(tick) if tick else "0" for tick in ticks}


def ticks_between(least, most):
    """
    Round numbers from below the least to above the most.

    >>> ticks_between(0.184, 0.231)
    [0.18, 0.2, 0.22, 0.24]
    """
    span = max(most - least, abs(most) * 0.02, 1e-9)
    size = 10.0 ** floor(log10(span / 4))
    gap = next(size * step for step in (1, 2, 5, 10) if span <= size * step * 4.0001)
    first = floor(least / gap)
    last = max(ceil(most / gap), first + 1)
    return [float(f"{i * gap:.10g}") for i in range(first, last + 1)]


def axis(name, words, end, *, start=0, label=""):
    """The properties of an axis, named after its figure and side; `words` is {tick: label}."""
    shown = {
        name: {"start": start, "end": end},
        f"{name} ticks": {"ticks": list(words)},
        f"{name} axis": {"major_label_overrides": list(map(list, words.items()))},
    }
    if label:
        shown[f"{name} axis"]["axis_label"] = label
    figure, _, side = name.rpartition(" ")
    if side == "x":  # the labels at both ends extend beyond them by half
        half = ceil(max(map(len, words.values()), default=0) * LETTER_PX / 2)
        shown[figure] = {"min_border_left": half, "min_border_right": max(half, 30)}
    return shown


def row(place):
    """Heights of a row's bar and of the name above it, in a figure with `rows`."""
    return -place - 0.68, -place - 0.26


def rows(figure, count, row_height=54, around=56):
    """Properties of a figure with this many rows of bars with labels; heights are in px."""
    return {
        figure: {"height": row_height * count + around},
        f"{figure} y": {"start": -count, "end": 0},
    }


def key(figure, title, names=()):
    """What a saved chart adds: its title, and the names of its marks, "" for hidden ones."""
    marks = {
        f"{figure} key {place}": {"label": name, "visible": bool(name)}
        for place, name in enumerate(names)
    }
    return {f"{figure} title": {"text": title}} | marks


def together(*parts):
    """The contents of several parts of a chart, merged."""
    shown = {}
    for part in parts:
        for name, values in part.items():
            shown[name] = shown.get(name, {}) | values
    return shown
