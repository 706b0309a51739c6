"""Where a fault of the document is, in words and on the page."""

from page.fields import id_of
from reader.words import field_name, said, text
from work.edits import at
from work.entry import FIELDS, place, steps


def row_of(path):
    """
    The row or top object that a fault belongs to, as the key of its card.

    Examples
    --------
    >>> row_of("media[0].packages[1].price"), row_of("feed.packages"), row_of("tax")
    (('media', 0), ('feed',), ('tax',))
    """
    try:
        parts = steps(path)
    except ValueError:
        return ("",)
    return parts[: 2 if parts[0] in ("sowings", "media", "ingredients", "trials") else 1]


def by_row(faults):
    """Faults by the row, or the scenario's object or field, that they belong to."""
    found = {}
    for fault in faults:
        key = row_of(fault.path)
        found[key] = (*found.get(key, ()), fault)
    return found


def fault_link(document, fault):
    """The place of a fault in words, and the id of its field or None."""
    key, naming = row_of(fault.path), ("crop", "name")
    if key == ("happened",):
        key, naming = steps(fault.path)[:3], ("crop", "medium")
    row, spot = at(document, key), key != ("",) and place(steps(fault.path))
    name = isinstance(row, dict) and next(filter(None, map(row.get, naming)), None)
    is_field = spot in FIELDS
    what = field_name(spot) if is_field else said(fault.message)
    where = text("fault.at", name=name, what=what) if name else what
    return {"id": id_of(fault.path) if is_field else None, "where": where}
