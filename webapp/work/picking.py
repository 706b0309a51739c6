"""Picking from the tables: a field's starting value, and what follows when a crop, a container or a
kind of mix is picked.

A row of the working document remembers in `edits.HAND` which of its fields were typed, so that a
pick leaves those alone; and in `edits.BEFORE` the crop it had before a name was typed letter by
letter.
"""

import re
from functools import cache

from pennyflat.scenario import checking, records
from pennyflat.scenario.package import Package
from pennyflat.trade import suggest
from pennyflat.trade.facts import about
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import Suggestion
from pennyflat.units import GRAMS
from reader import tables
from reader.words import data
from work import edits
from work.entry import place

OWN_SHAPE = "own shape"
"""The choice among the containers that asks for measurements instead."""

MEASURES = {
    "cylinder": ("top_cm", "depth_cm"),
    "cone frustum": ("top_cm", "bottom_cm", "depth_cm"),
    "square frustum": ("top_cm", "bottom_cm", "depth_cm"),
    "cube": ("top_cm",),
}
"""Measurements that each shape needs."""

NOT_GOODS = {"loose", "block", "blocks", "brick", "bricks", "bale", "compressed"}
"""Words in names of compressed goods that do not say what is in them."""

FILLED = {
    "sowings": ("weeks", "germination", "seeds_per_cell", "container", "cell_ml"),
    "media": ("feeds_for_weeks", "fill_loss"),
}
"""Fields that a pick fills, by the list of their row."""

PRACTICE = {
    "sowings[].take": ("practice", "pre-sprouted seed", "take"),
    "trays[].uses": ("practice", "trays", "uses_thin_wall"),
    "media[].fill_loss": ("practice", "filling", "fill_loss"),
    "media[].shrink": ("practice", "mixing", "shrink"),
    "feed.target_ppm_n": ("feeds", "feeding programme", "target_ppm_n"),
    "feed.per_week": ("feeds", "feeding programme", "feedings_per_week"),
    "feed.ml_per_cell": ("feeds", "feeding programme", "ml_per_cell"),
    "energy.hours_per_day": ("practice", "light", "hours_per_day"),
    "energy.mat_watts": ("practice", "mat", "watts"),
    "energy.mat_days": ("practice", "mat", "hours"),
}
"""Where the figures of fields that do not depend on a pick are: table, subject, quantity."""


def containers():
    """The table of containers, as `pennyflat.trade.suggest.Container` values."""
    return tables.records("containers", suggest.Container)


@cache
def crop_names(language):
    """The crops of the table in its order, each by its first name in a language. [BCP 47]"""
    found = {}
    for row in tables.rows("crop_names"):
        if row["language"] == language:
            found.setdefault(row["crop"], row["name"])
    return tuple(found.values())


@cache
def kinds():
    """The kinds of medium of the table, in its order."""
    return tuple(dict.fromkeys(fact.subject for fact in tables.facts("media")))


@cache
def _for_crop(crop):
    return suggest.for_crop(tables.facts("crops"), containers(), crop)


@cache
def _for_kind(kind):
    return suggest.for_kind(tables.facts("media"), kind)


@cache
def _practice(spot):
    table, subject, quantity = PRACTICE[spot]
    facts = about(tables.facts(table), subject, quantity)
    return Suggestion(facts[0].usual, facts)


def suggestion(spot, row):
    """
    What the tables suggest for one field of a row, or None; `spot` is its place in `entry.FIELDS`.

    Examples
    --------
    >>> suggestion("sowings[].weeks", {"crop": "Tomato"}).value
    5.5
    """
    table, _, key = spot.partition("[].")
    if table == "sowings":
        if key == "cell_ml":
            return _cell_suggestion(row)
        crop = known_crop(row.get("crop") or "")
        if crop and key in FILLED["sowings"]:
            return _for_crop(crop).get(key)
    if table == "media" and row.get("kind") and (found := _for_kind(row["kind"]).get(key)):
        return found
    if spot == "trays[].cells":
        return _tray_suggestion(row)
    return _practice(spot) if spot in PRACTICE else None


def _cell_suggestion(row):
    measured_ml = _measured_ml(row.get("shape"))
    if measured_ml is not None:
        return Suggestion(measured_ml, ())
    return suggest.for_container(containers(), row.get("container"), row.get("cell_ml"))


def _tray_suggestion(row):
    """The cells of a tray created by a pick; see `_in_tray`."""
    found = next((c for c in containers() if data(c.subject) == row.get("name")), None)
    return found and Suggestion(found.cells, (found,))


def chosen_container(row):
    """The choice among the containers for a sowing."""
    if row.get("shape") is not None:
        return OWN_SHAPE
    name, cell_ml = row.get("container"), row.get("cell_ml")
    return "" if name is None else f"{name}, {cell_ml} mL"


def container_choices():
    """(holder, ((choice, container), …)), … in the table's order."""
    found = {}
    for c in containers():
        found.setdefault(c.holder, []).append((_choice(c), c))
    return tuple((holder, tuple(rows)) for holder, rows in found.items())


def _choice(container):
    return f"{container.subject}, {container.usual} mL"


def yields(row, name=""):
    """What a package sold compressed may yield, by source; by volume, only if named so."""
    size, unit = row.get("size"), row.get("unit")
    if not isinstance(size, int | float) or size <= 0 or not isinstance(unit, str):
        return ()
    found = suggest.loosened(tables.facts("compressed"), Package("", size, unit, 0))
    words = set(re.findall(r"[a-z]{4,}", name.lower())) - NOT_GOODS
    named = tuple(one for one in found if words & set(re.findall(r"[a-z]+", one.subject)))
    return named or (found if unit in GRAMS else ())


@cache
def presprout(name):
    """The table's advice on sprouting a crop's seed first."""
    crop = known_crop(name)
    return about(tables.facts("crops"), crop, "presprout") if crop else ()


def followed(before, document, parts, *, done=False):
    """
    The document after typing at a path, with what follows from a pick; before, it was `before`.

    done: whether a name is complete.
    """
    spot = place(parts)
    if spot == "sowings[].crop":
        return _with_crop(before, document, parts[:2], done)
    if spot == "sowings[].container":
        return _with_container(document, parts[:2])
    if spot.startswith("sowings[].shape."):
        return _with_shape(document, parts[:2])
    if spot == "media[].kind":
        row = edits.at(document, parts[:2])
        return edits.with_value(document, parts[:2], _filled(row, _for_kind(row["kind"] or "")))
    if len(parts) == 3 and parts[2] in FILLED.get(parts[0], ()):
        return _with_hand(document, parts, spot)
    return document


def _with_hand(document, parts, spot):
    """Remember that a field was typed, unless it matches the tables."""
    row = edits.at(document, parts[:2])
    found = suggestion(spot, row)
    by_table = row[parts[2]] is None or (found is not None and found.value == row[parts[2]])
    hand = set(row.get(edits.HAND, ())) - {parts[2]} | (set() if by_table else {parts[2]})
    return edits.with_value(document, parts[:2], row | {edits.HAND: sorted(hand)})


def _with_crop(before, document, parts, done):
    row = dict(edits.at(document, parts))
    crop = row.pop(edits.BEFORE, edits.at(before, parts)["crop"])
    if not done:
        return edits.with_value(document, parts, row | {edits.BEFORE: crop})
    now = known_crop(row["crop"])
    if now is None or now == known_crop(crop):
        return edits.with_value(document, parts, row)
    found = dict(_for_crop(now))
    container = found.pop("container", None)
    row = _filled(row, found)
    document = edits.with_value(document, parts, row)
    by_hand = {"container", "cell_ml"} & set(row.get(edits.HAND, ()))
    if container and row.get("shape") is None and not by_hand:
        return _held(document, parts, container.value)
    return document


def _filled(row, found):
    """The row with the suggested values in the fields that were not typed by hand."""
    hand = row.get(edits.HAND, ())
    return row | {key: s.value for key, s in found.items() if key not in hand}


def _held(document, parts, name, cell_ml=None):
    """
    The document with a sowing in a container, and in a tray with as many cells.

    It is one of the listed trays, if possible; pots are matched by name. Otherwise a tray without a
    price is added, and one that an earlier pick added and no sowing needs is removed.
    """
    row = edits.at(document, parts)
    if cell_ml is None:
        cell_ml = suggest.for_container(containers(), name).value
    hand = [key for key in row.get(edits.HAND, ()) if key != "cell_ml"]
    held = {"container": name, "cell_ml": cell_ml, edits.HAND: hand, "tray": None}
    document = edits.with_value(document, parts, row | held)
    document = _without_unused(document, row.get("tray"))
    called, cells = data(name), next(c.cells for c in containers() if c.subject == name)
    rows = document.get("trays") or []
    same = [row["name"] for row in rows if row.get("cells") == cells]
    found = next((own for own in same if own == called), next(iter(same), None))
    if found is None or (cells == 1 and found != called):
        row = edits.new_row(document, ("trays",), called)
        row |= {"cells": cells, "uses": _practice("trays[].uses").value}
        document = edits.with_row(document, ("trays", len(rows)), row)
        found = row["name"]
    return edits.with_value(document, (*parts, "tray"), found)


def _without_unused(document, name):
    """The document without a tray that a pick added, if it is unedited and no sowing needs it."""
    rows = document.get("trays") or []
    number = next((i for i, row in enumerate(rows) if row["name"] == name), None)
    if number is None or not edits.is_idle(rows[number], "trays"):
        return document
    made = any(data(c.subject) == name for c in containers())
    places = ("tray",), ("pot_on", "tray")
    needed = any(name == edits.at(row, at) for row in document["sowings"] for at in places)
    return edits.without(document, ("trays", number)) if made and not needed else document


def _with_container(document, parts):
    row = dict(edits.at(document, parts))
    chosen = row.pop("container")
    row.pop("shape", None)
    if chosen == OWN_SHAPE:
        row["shape"] = {"form": "square frustum"} | dict.fromkeys(MEASURES["square frustum"])
    elif chosen:
        called = ((c, _choice(c)) for c in containers())
        found = next((c for c, choice in called if chosen in (choice, c.subject)), None)
        if found is not None:
            row[edits.HAND] = sorted({*row.get(edits.HAND, ()), "container"})
            document = edits.with_value(document, parts, row)
            cell_ml = None if chosen == found.subject else found.usual
            return _held(document, parts, found.subject, cell_ml)
    return edits.with_value(document, parts, row)


def _with_shape(document, parts):
    cell_ml = _measured_ml(edits.at(document, parts).get("shape"))
    return document if cell_ml is None else edits.with_value(document, (*parts, "cell_ml"), cell_ml)


def _measured_ml(typed):
    """The volume of a cell of a shape; None while a required measurement is missing. [mL]"""
    if typed is None or any(typed.get(key) is None for key in MEASURES.get(typed.get("form"), ())):
        return None
    given = {key: value for key, value in typed.items() if value is not None}
    shape = checking.record(records.Shape)(given, "shape", checking.Faults())
    return None if shape is checking.BAD else round(shape.volume_ml, 2)
