"""New things: a plan to fill in, next year's plan, and added rows with their names."""

import re
from datetime import date, timedelta

from pennyflat.comparing.season import season
from pennyflat.scenario import records
from pennyflat_display import places
from reader.words import text
from work import edits, picking

FIRST_MIXES = {"new.seed_mix": "lean seed mix", "new.potting_mix": "peat-based potting mix"}
"""The mixes that a new plan compares: their names and their kinds in the table."""

BAG_UNITS = {
    places.METRIC: ("L", "m3"),
    places.US: ("qt_dry", "qt_liq", "gal_liq", "bu", "cu_ft", "cu_yd"),
}
"""Units on bags, by the reader's units; the first is the usual one."""

FEED_UNIT = {places.METRIC: "g", places.US: "oz"}
"""The unit of a new feed, by the reader's units."""


def empty_document(currency):
    """A scenario to fill in: one crop and a bag of each usual kind; six blank fields at first."""
    blank = {"format": records.FORMAT, "title": text("new.plan"), "currency": currency}
    blank["stores"] = [{"name": text("new.own_store")}]
    blank |= {table: [] for table in ("media", "ingredients", "trays", "sowings")}
    sowing = row(blank, ("sowings",)) | {"crop": "", edits.TYPED: ""}
    blank = edits.with_row(blank, ("sowings", 0), sowing)
    for place, (key, kind) in enumerate(FIRST_MIXES.items()):
        new = row(blank, ("media",)) | {"name": text(key), "kind": kind}
        blank = edits.with_row(blank, ("media", place), new)
        blank = picking.followed(blank, blank, ("media", place, "kind"))
    return blank


def row(document, owner):
    """A row for the list at a path; a bag gets the unit of the reader's last one, if usual."""
    table = owner[-1]
    made = edits.new_row(document, owner, text(f"new.{table}") if table in edits.NAMES else "")
    if owner != ("media",):
        return made
    usual = BAG_UNITS[places.units()]
    units = [bag["unit"] for mix in document["media"] for bag in mix.get("packages", ())]
    unit = next((unit for unit in reversed(units) if unit in usual), usual[0])
    return made | {"packages": [made["packages"][0] | {"unit": unit}]}


def feed(document):
    """A feed with the size and price of a package to fill in; everything else has usual values."""
    package = edits.new_row(document, ("feed", "packages")) | {"unit": FEED_UNIT[places.units()]}
    return {
        "name": text("new.feed"),
        "n_percent": 20,
        "target_ppm_n": 100,
        "per_week": 2,
        "ml_per_cell": 15,
        "packages": [package],
    }


def blend(document):
    """A medium mixed at home from the existing ingredients."""
    name = edits.free_name(document, "media", text("new.blend"))
    part = edits.new_row(document, ("parts",))
    return {"name": name, "feeds_for_weeks": 3, "parts": [part]}


SEASON_ENDS = timedelta(days=90)
"""How far into a new year a season without dates counts as last year's. Ours."""


def next_season(read):
    """The document of next year's plan, from what happened with this one, named by its year."""
    days = (read.last_frost, *(sowing.plant_out for sowing in read.sowings))
    last = next(filter(None, days), date.today() - SEASON_ENDS)
    return season(read)["next_year"] | {"title": _of_year(read.title, last.year + 1)}


def _of_year(title, year):
    """
    A title with a year at its end, replacing the year there.

    Examples
    --------
    >>> _of_year("Plant stall", 2027), _of_year("Plant stall 2027", 2028)
    ('Plant stall 2027', 'Plant stall 2028')
    """
    return f"{re.sub(r'[ ,]*[0-9]{4}$', '', title)} {year}"
