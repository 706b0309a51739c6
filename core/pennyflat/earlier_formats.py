"""Documents in earlier formats, brought up to the present one. They mean what they meant.

Format 1 called the sowings `plantings` and wrote a tray into each of them. A tray becomes a row of
`trays`, taken to be at home: only its wear is costed, as before.
"""

FIRST = "seedling-costs/1"


def upgraded(document, present):
    """
    A document in the present format.

    Parameters
    ----------
    document : object
        A parsed JSON value; it is not changed. What is not a format-1 object is returned as it is.
    present : str
        The present format's tag.

    Returns
    -------
    object

    Examples
    --------
    >>> old = {"format": FIRST, "plantings": [{"tray": {"price": 3.2, "cells": 72, "uses": 4}}]}
    >>> new = upgraded(old, "seedling-costs/2")
    >>> new["sowings"], new["trays"]
    ([{'tray': '72 cells'}], [{'name': '72 cells', 'price': 3.2, 'cells': 72, 'uses': 4}])
    """
    if not isinstance(document, dict) or document.get("format") != FIRST:
        return document
    trays = []
    found = {"sowings" if key == "plantings" else key: value for key, value in document.items()}
    if isinstance(found.get("sowings"), list):
        found["sowings"] = [_with_named_trays(row, trays) for row in found["sowings"]]
    if trays:
        found["trays"] = trays
    return found | {"format": present}


def _with_named_trays(row, trays):
    if not isinstance(row, dict):
        return row
    row = dict(row)
    if isinstance(row.get("pot_on"), dict):
        row["pot_on"] = _with_named_trays(row["pot_on"], trays)
    if isinstance(row.get("tray"), dict):
        row["tray"] = _name_of(row["tray"], trays)
    return row


def _name_of(tray, trays):
    for known in trays:
        if {key: value for key, value in known.items() if key != "name"} == tray:
            return known["name"]
    cells = tray.get("cells")
    name = f"{cells:g} cells" if isinstance(cells, int | float) else "tray"
    taken = {known["name"] for known in trays}
    number = 2
    while name in taken:
        name = f"{name.split(' (')[0]} ({number})"
        number += 1
    trays.append({"name": name} | tray)
    return name
