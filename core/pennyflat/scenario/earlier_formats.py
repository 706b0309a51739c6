"""Documents in earlier formats, converted to the current one without changing their meaning.

Format 1 called the sowings `plantings` and wrote a tray into each of them. A tray becomes a row of
`trays` that is assumed to be at home: only its wear is costed, as before.
"""

from collections import Counter

from pennyflat.scenario.records import FORMAT

FIRST = "seedling-costs/1"

LONGEST = 1e12
"""Largest number of cells that a tray is named after. Ours."""


def upgraded(document: object) -> object:
    """
    A parsed JSON value in the current format; it is not changed, and only format 1 is converted.

    >>> old = {"format": FIRST, "plantings": [{"tray": {"price": 3.2, "cells": 72, "uses": 4}}]}
    >>> new = upgraded(old)
    >>> new["sowings"], new["trays"]
    ([{'tray': '72 cells'}], [{'name': '72 cells', 'price': 3.2, 'cells': 72, 'uses': 4}])
    """
    if not isinstance(document, dict) or document.get("format") != FIRST:
        return document
    trays = _Trays()
    found = {"sowings" if key == "plantings" else key: value for key, value in document.items()}
    if isinstance(found.get("sowings"), list):
        found["sowings"] = [_with_named_trays(row, trays) for row in found["sowings"]]
    if trays.rows:
        found["trays"] = trays.rows
    return found | {"format": FORMAT}


def _with_named_trays(row, trays):
    if not isinstance(row, dict):
        return row
    row = dict(row)
    if isinstance(row.get("pot_on"), dict):
        row["pot_on"] = _with_named_trays(row["pot_on"], trays)
    if isinstance(row.get("tray"), dict):
        row["tray"] = trays.name_of(row["tray"])
    return row


class _Trays:
    """The trays found so far; identical ones share a name."""

    def __init__(self):
        self.rows = []
        self._names = {}
        self._times = Counter()

    def name_of(self, tray):
        alike = tuple(sorted((key, _comparable(value)) for key, value in tray.items()))
        if alike not in self._names:
            cells = tray.get("cells")
            is_short = isinstance(cells, int | float) and abs(cells) < LONGEST
            name = f"{cells:g} cells" if is_short else "tray"
            self._times[name] += 1
            if self._times[name] > 1:
                name = f"{name} ({self._times[name]})"
            self._names[alike] = name
            self.rows.append({"name": name} | tray)
        return self._names[alike]


def _comparable(value):
    """Text that is the same for 72 and 72.0, and unique for values that no tray has."""
    if isinstance(value, int | float) and abs(value) < LONGEST:
        return repr(float(value))
    return repr(value) if isinstance(value, str) else f"{id(value)}"
