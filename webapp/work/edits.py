"""Changes to a scenario document: pure functions that return a new document.

Only the path of a change is copied, so unchanged parts stay the same objects and can be recognised
by identity. If a name cannot be accepted yet, because it is empty or another row has it, the row
keeps the last good one and `TYPED` holds what was typed.
"""

import itertools
from operator import is_

from pennyflat.scenario.checking import Fault
from pennyflat_display import places
from reader.words import later, text
from work.entry import BY_CROP, FIELDS, path_of, place

TYPED = "name as typed"
"""Key that only exists in rows of the working document; `as_scenario` drops it."""

HAND, BEFORE = "typed by hand", "crop before"
"""Likewise: the row's typed fields, and its previous crop; see picking.py."""

PRIVATE = {TYPED, HAND, BEFORE}

_NAMED = ("stores", "media", "ingredients", "sowings", "trays")
NAMES = dict.fromkeys(_NAMED, "name") | {"sowings": "crop"}
"""Lists whose rows are referred to by name, and the key of that name."""

REFERENCES = dict(zip(_NAMED, ("store", "medium", "ingredient", "crop", "tray"), strict=True))
"""The key under which anything refers to a row by its name; for a crop, see also `_with_crop`."""

MADE_BY_TYPING = {"deal", *BY_CROP}
"""Objects that are created when the first of their fields is typed."""

MAY_BE_MISSING = {"additions", "trials", "counts", "water", "looks", "trays", "seed_packets"}
"""Lists that are created with their first row."""

WAITING = {"counts": ("day", "emerged"), "water": ("minute", "ml"), "looks": ("week",)}
"""Rows of a trial that the scenario omits until these are filled in: none blocks the answer."""

IDLE = {"trays": ("price", "have"), "seed_packets": ("seeds", "price", "grams", "seeds_per_gram")}
"""Rows that the scenario omits while all of these are blank: then nothing is known about the cost
of a tray or packet. A sowing in such a tray has none."""

GROUPS = {"deal": set(), "shape": {"form"}}
"""Objects that the scenario omits while all fields but these, which a pick fills in, are blank."""

BAG_UNITS = {
    places.METRIC: ("L", "m3"),
    places.US: ("qt_dry", "qt_liq", "gal_liq", "bu", "cu_ft", "cu_yd"),
}
"""Units on bags, by the reader's units; the first is the usual one."""


def at(document, parts, otherwise=None):
    """The value at a path, or `otherwise` if there is none."""
    for part in parts:
        try:
            document = document[part]
        except (KeyError, IndexError, TypeError):
            return otherwise
    return document


def check_place(document, parts):
    """Raise a KeyError if nothing can be typed at a path, since there is nothing around it."""
    owner = parts[:-1]
    if owner and owner[-1] in MADE_BY_TYPING:
        owner = owner[:-1]
    if not isinstance(at(document, owner), dict):
        raise KeyError(path_of(parts))


def with_value(document, parts, value):
    """
    The document with a value at a path; missing objects on the way are created.

    >>> with_value({"media": [{"stock": 1}]}, ("media", 0, "stock"), 2)
    {'media': [{'stock': 2}]}
    """
    if not parts:
        return value
    first, *rest = parts
    if isinstance(first, int):
        copy = list(document)
        copy[first] = with_value(copy[first], rest, value)
    else:
        copy = dict(document or {})
        copy[first] = with_value(copy.get(first), rest, value)
    return copy


def without(document, parts):
    """The document without the value at a path."""
    *owner, last = parts
    copy = at(document, owner).copy()
    del copy[last]
    return with_value(document, owner, copy)


def with_row(document, parts, row):
    """The document with a row inserted before a path."""
    *owner, number = parts
    rows = list(at(document, owner) or [])
    rows.insert(number, row)
    return with_value(document, owner, rows)


def names(document, table):
    """The names of the rows of a table, in order."""
    return [row[NAMES[table]] for row in document.get(table, ())]


def free_name(document, table, wish):
    """
    A name that no row of the table has yet.

    >>> free_name({"media": [{"name": "Mix"}]}, "media", "Mix")
    'Mix 2'
    """
    taken = set(names(document, table))
    tries = itertools.chain([wish], (f"{wish} {n}" for n in itertools.count(2)))
    return next(name for name in tries if name not in taken)


def new_row(document, parts, wish=None):
    """A row to add to the list at a path; `wish` is its name instead of the usual one."""
    table, store = parts[-1], next(iter(names(document, "stores")), None)
    taken = [row.get("ingredient") for row in at(document, parts) or ()]
    free = next((name for name in names(document, "ingredients") if name not in taken), None)
    package = {"store": store, "size": None, "unit": _unit(document, parts), "price": None}
    packet = {"store": store, "seeds": None, "price": None}
    blank = {
        **{waiting: dict.fromkeys(keys) for waiting, keys in WAITING.items()},
        "trials": _new_pot(document),
        "parts": {"ingredient": free, "parts": 1},
        "additions": {"ingredient": free, "g_per_l": None},
        "packages": package,
        "seed_packets": packet,
        "stores": {},
        "trays": {"cells": None, "price": None, "uses": None, "store": store},
        "ingredients": {"packages": [package]},
        "media": {"feeds_for_weeks": 3, "packages": [package]},
        "sowings": dict.fromkeys(("wanted", "cell_ml", "weeks"))
        | {"germination": 0.8, "seed_packets": [packet]},
    }[table]
    if table not in NAMES:
        return blank
    return {NAMES[table]: free_name(document, table, wish or text(f"new.{table}"))} | blank


def _unit(document, parts):
    """The unit of a new package: that of the one before it, or of the last bag, if usual."""
    if parts != ("media",):
        return at(document, (*parts, -1, "unit"), "g" if parts[0] == "feed" else "L")
    usual = BAG_UNITS[places.units()]
    units = [bag["unit"] for mix in document["media"] for bag in mix.get("packages", ())]
    return next((unit for unit in reversed(units) if unit in usual), usual[0])


def _new_pot(document):
    """A pot like the last one, in the shelf's next mix."""
    last = at(document, ("trials", -1), {})
    media, crops = names(document, "media"), names(document, "sowings")
    place = media.index(last["medium"]) + 1 if last.get("medium") in media else 0
    return {
        "medium": media[place % len(media)] if media else None,
        "crop": last.get("crop") or next(iter(crops), None),
        "sown": last.get("sown") or 10,
        "sown_on": last.get("sown_on"),
    }


def copy_of(document, parts):
    """A copy of the row at a path, with its own name if rows have one."""
    row, table = at(document, parts), parts[-2]
    if row is None:
        raise KeyError(path_of(parts))
    if parts[0] == "happened":
        return {key: row[key] for key in ("crop", "medium")}
    if table not in NAMES:
        return row
    name = row[NAMES[table]]
    fresh = name if table == "sowings" else free_name(document, table, name)
    return {k: v for k, v in row.items() if k != TYPED} | {NAMES[table]: fresh}


def renamed(document, parts, text, *, done):
    """
    The document with a row renamed, together with everything that refers to it.

    An empty or duplicate name waits under `TYPED`. Two sowings may share a crop, but only once the
    name is done, so that it does not take over another crop's emergence on the way.

    >>> work = {"media": [{"name": "Mix"}, {"name": "Mx"}]}
    >>> renamed(work, ("media", 1, "name"), "Mix", done=False)["media"][1]
    {'name': 'Mx', 'name as typed': 'Mix'}
    """
    table, number, key = parts
    row = document[table][number]
    others = [other[key] for i, other in enumerate(document[table]) if i != number]
    taken = text in others and not (table == "sowings" and done)
    row = {k: v for k, v in row.items() if k != TYPED}
    if not text.strip() or taken:
        return with_value(document, parts[:2], row | {TYPED: text})
    before = row[key]
    document = with_value(document, parts[:2], row | {key: text})
    if before == text or before in others:
        return document
    document = _followed(document, REFERENCES[table], before, text)
    if table == "sowings":
        media = [_with_crop(medium, before, text) for medium in document["media"]]
        document = document | {"media": media}
    return document


def waiting_names(document):
    """A fault for each name that was typed but cannot be accepted yet."""
    for table, key in NAMES.items():
        for i, row in enumerate(document.get(table) or ()):
            if TYPED in row:
                why = later("missing.other_name" if row[TYPED].strip() else "missing.name")
                yield Fault(f"{table}[{i}].{key}", row[TYPED], why)


def as_scenario(document):
    """
    The scenario for a working document: blanks with a default are left out.

    Anything without blanks is not copied.

    >>> as_scenario({"tax": None, "assurance": None, "media": [{"name": "Mix", "stock": None}]})
    {'assurance': None, 'media': [{'name': 'Mix'}]}
    """
    for row in document.get("trays") or ():
        if is_idle(row, "trays"):  # its sowings are in no tray
            document = _followed(document, REFERENCES["trays"], row["name"], None)
    return _cleaned(document, ())


def is_idle(row, table):
    """Whether a row of one of the tables in `IDLE` is left out of the scenario."""
    return all(row.get(key) is None for key in IDLE[table])


def _cleaned(value, parts):
    if isinstance(value, list):
        table = parts[-1] if parts else ""
        rows = [_cleaned(row, (*parts, 0)) for row in value if not _is_left_out(row, table)]
        return value if len(rows) == len(value) and all(map(is_, rows, value)) else rows
    if not isinstance(value, dict):
        return value
    found = {
        key: _cleaned(item, (*parts, key))
        for key, item in value.items()
        if not _is_blank(key, item, parts)
    }
    if value.get("remedy") != "pot_on":
        found.pop("pot_on", None)
    is_same = len(found) == len(value) and all(map(is_, found.values(), value.values()))
    return value if is_same else found


def _is_left_out(row, table):
    if table in IDLE:
        return is_idle(row, table)
    return any(row[key] is None for key in WAITING.get(table, ()))


def _is_blank(key, item, parts):
    if key in GROUPS and isinstance(item, dict):
        return all(inner is None for name, inner in item.items() if name not in GROUPS[key])
    if item is None and key != "assurance":
        field = FIELDS.get(place((*parts, key)))
        return field is None or not field.needed
    return key in PRIVATE


def _followed(value, key, before, after):
    """The value with one name replaced by another wherever it stands under a key."""
    if isinstance(value, list):
        rows = [_followed(row, key, before, after) for row in value]
        return value if all(map(is_, rows, value)) else rows
    if not isinstance(value, dict):
        return value
    found = {
        own: after if own == key and item == before else _followed(item, key, before, after)
        for own, item in value.items()
    }
    return value if all(map(is_, found.values(), value.values())) else found


def _with_crop(medium, before, after):
    """A medium with a crop's shares, and what it is unfit for, under the crop's new name."""
    found = {}
    for key in BY_CROP:
        shares = medium.get(key) or {}
        if before in shares:
            kept = {of: share for of, share in shares.items() if of not in (before, after)}
            found[key] = kept | {after: shares.get(after, shares[before])}
    if before in (medium.get("unfit_for") or ()):
        crops = (after if crop == before else crop for crop in medium["unfit_for"])
        found["unfit_for"] = list(dict.fromkeys(crops))
    return medium | found if found else medium
