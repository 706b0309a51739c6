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
from pennyflat.trade import facts as tables
from pennyflat.trade import suggest
from pennyflat.trade.facts import about
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import Suggestion
from pennyflat.units import GRAMS
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
    *(f"sowings[].{key}" for key in ("weeks", "germination", "seeds_per_cell", "cell_ml")),
    *(f"media[].{key}" for key in ("feeds_for_weeks", "fill_loss")),
}
"""Fields that a pick fills in, unless they were typed."""

IN_TRAYS = ("tray",), ("pot_on", "tray")
"""Where a sowing names its trays."""

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
    return suggest.for_crop(tables.facts("crops"), containers(), crop) if crop else {}


@cache
def _for_kind(kind):
    return suggest.for_kind(tables.facts("media"), kind) if kind else {}


@cache
def _practice(spot):
    table, subject, quantity = PRACTICE[spot]
    facts = about(tables.facts(table), subject, quantity)
    return Suggestion(facts[0].usual, facts)


@cache
def presprout(name):
    """The table's advice on sprouting a crop's seed first."""
    crop = known_crop(name)
    return about(tables.facts("crops"), crop, "presprout") if crop else ()


def suggestion(spot, row):
    """
    What the tables suggest for one field of a row, or None; `spot` is its place in `entry.FIELDS`.

    >>> suggestion("sowings[].weeks", {"crop": "Tomato"}).value
    5.5
    """
    table, _, key = spot.partition("[].")
    if spot == "sowings[].cell_ml":
        measured_ml = _measured_ml(row)
        if measured_ml is not None:
            return Suggestion(measured_ml, ())
        return suggest.for_container(containers(), row.get("container"), row.get("cell_ml"))
    if spot == "trays[].cells":  # of a tray that a pick added; see `_held`
        found = next((c for c in containers() if data(c.subject) == row.get("name")), None)
        return found and Suggestion(found.cells, (found,))
    found = {}
    if table == "sowings":
        found = _for_crop(known_crop(row.get("crop") or ""))
    elif table == "media":
        found = _for_kind(row.get("kind"))
    return found.get(key) or (_practice(spot) if spot in PRACTICE else None)


def _measured_ml(row):
    """The volume of a cell of a row's shape; None while a measurement is missing. [mL]"""
    typed = row.get("shape")
    if typed is None or any(typed.get(key) is None for key in MEASURES.get(typed.get("form"), ())):
        return None
    given = {key: value for key, value in typed.items() if value is not None}
    shape = checking.record(records.Shape)(given, "shape", checking.Faults())
    return None if shape is checking.BAD else round(shape.volume_ml, 2)


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


def followed(before, document, parts, *, done=False):
    """
    The document after typing at a path, with what follows from a pick; before, it was `before`.

    done: whether a name is complete.
    """
    spot, at = place(parts), parts[:2]
    row = edits.at(document, at)
    if spot == "sowings[].crop":
        return _with_crop(document, at, edits.at(before, at)["crop"], done)
    if spot == "sowings[].container":
        return _with_container(document, at)
    if spot == "sowings[].remedy" and row["remedy"] == "pot_on" and not row.get("pot_on"):
        row = row | {"pot_on": {"medium": None, "cell_ml": None}}
    elif spot.startswith("sowings[].shape.") and (measured_ml := _measured_ml(row)) is not None:
        row = row | {"cell_ml": measured_ml}
    elif spot == "media[].kind":
        row = _filled(row, _for_kind(row["kind"]))
    elif spot in FILLED:
        row = row | {edits.HAND: sorted(_by_hand(row, spot, parts[2]))}
    else:
        return document
    return edits.with_value(document, at, row)


def _by_hand(row, spot, key):
    """The fields of a row that were typed, with one typed last, unless it matches the tables."""
    found = suggestion(spot, row)
    by_table = row[key] is None or (found is not None and found.value == row[key])
    return {*row.get(edits.HAND, ()), key} - ({key} if by_table else set())


def _filled(row, found):
    """The row with the suggested values in the fields that were not typed by hand."""
    hand = row.get(edits.HAND, ())
    return row | {key: s.value for key, s in found.items() if key not in hand}


def _with_crop(document, parts, before, done):
    row = dict(edits.at(document, parts))
    crop = row.pop(edits.BEFORE, before)
    if not done:
        return edits.with_value(document, parts, row | {edits.BEFORE: crop})
    now = known_crop(row["crop"])
    found = {} if now == known_crop(crop) else dict(_for_crop(now))
    container = found.pop("container", None)
    row = _filled(row, found)
    document = edits.with_value(document, parts, row)
    is_own = row.get("shape") or {"container", "cell_ml"}.intersection(row.get(edits.HAND, ()))
    return _held(document, parts, container.value) if container and not is_own else document


def _with_container(document, parts):
    row = dict(edits.at(document, parts))
    chosen = row.pop("container")
    row.pop("shape", None)
    if chosen == OWN_SHAPE:
        row["shape"] = {"form": "square frustum"} | dict.fromkeys(MEASURES["square frustum"])
    found = next((c for c in containers() if chosen in (_choice(c), c.subject)), None)
    if found is None:
        return edits.with_value(document, parts, row)
    row[edits.HAND] = sorted({*row.get(edits.HAND, ()), "container"})
    document = edits.with_value(document, parts, row)
    return _held(document, parts, found.subject, None if chosen == found.subject else found.usual)


def _held(document, parts, name, cell_ml=None):
    """
    The document with a sowing in a container, and in a tray with as many cells.

    It is one of the listed trays, if possible; pots are matched by name. Otherwise a tray without a
    price is added, and one that an earlier pick added and no sowing needs is removed.
    """
    row = edits.at(document, parts)
    container = suggest.for_container(containers(), name, cell_ml).facts[0]
    hand = [key for key in row.get(edits.HAND, ()) if key != "cell_ml"]
    held = {"container": name, "cell_ml": container.usual, edits.HAND: hand, "tray": None}
    document = edits.with_value(document, parts, row | held)
    document = _without_unused(document, row.get("tray"))
    called, cells = data(name), container.cells
    rows = document.get("trays") or []
    same = [tray["name"] for tray in rows if tray.get("cells") == cells]
    if called in same or (same and cells > 1):
        found = called if called in same else same[0]
    else:
        tray = edits.new_row(document, ("trays",), called)
        tray |= {"cells": cells, "uses": _practice("trays[].uses").value}
        document, found = edits.with_row(document, ("trays", len(rows)), tray), tray["name"]
    return edits.with_value(document, (*parts, "tray"), found)


def _without_unused(document, name):
    """The document without a tray that a pick added, if it is unedited and no sowing needs it."""
    trays = edits.names(document, "trays")
    needed = [edits.at(row, at) for row in document["sowings"] for at in IN_TRAYS]
    made = any(data(c.subject) == name for c in containers())
    if not made or name in needed or name not in trays:
        return document
    number = trays.index(name)
    is_idle = edits.is_idle(document["trays"][number], "trays")
    return edits.without(document, ("trays", number)) if is_idle else document
