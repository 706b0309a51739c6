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
    names, rows = {}, []
    times: Counter[str] = Counter()

    def name_of(tray):
        """Identical trays share a name."""
        alike = tuple(sorted((key, _comparable(value)) for key, value in tray.items()))
        if alike not in names:
            cells = tray.get("cells")
            is_short = isinstance(cells, int | float) and abs(cells) < LONGEST
            name = f"{cells:g} cells" if is_short else "tray"
            times[name] += 1
            names[alike] = name if times[name] == 1 else f"{name} ({times[name]})"
            rows.append({"name": names[alike]} | tray)
        return names[alike]

    def with_named_trays(row):
        row = dict(row) if isinstance(row, dict) else row
        for key, changed in (("pot_on", with_named_trays), ("tray", name_of)):
            if isinstance(row, dict) and isinstance(row.get(key), dict):
                row[key] = changed(row[key])
        return row

    found = {"sowings" if key == "plantings" else key: value for key, value in document.items()}
    if isinstance(found.get("sowings"), list):
        found["sowings"] = [with_named_trays(row) for row in found["sowings"]]
    return found | ({"trays": rows} if rows else {}) | {"format": FORMAT}


def _comparable(value):
    """Text that is the same for 72 and 72.0, and unique for values that no tray has."""
    if isinstance(value, int | float) and abs(value) < LONGEST:
        return repr(float(value))
    return repr(value) if isinstance(value, str) else f"{id(value)}"
