"""New things: a plan to fill in, next year's plan, a home blend, and what is left out at first."""

import re
from datetime import date, timedelta

from pennyflat.comparing.season import season
from pennyflat.scenario import records
from pennyflat_display import places
from reader.words import text
from work import edits, picking

FIRST_MIXES = {"new.seed_mix": "lean seed mix", "new.potting_mix": "peat-based potting mix"}
"""The mixes that a new plan compares: their names and their kinds in the table."""

OBJECTS = {
    "feed": {"n_percent": 20, "target_ppm_n": 100, "per_week": 2, "ml_per_cell": 15},
    "energy": {
        "light_watts": None,
        "hours_per_day": 15,
        "mat_watts": 0,
        "mat_days": 0,
        "tariff": None,
        "cells": None,
    },
    "labour": {"minutes_per_cell": None, "wage": None},
    "happened": None,  # laid out from the plan
}
"""Objects that a scenario may lack, with their usual values."""

FEED_UNIT = {places.METRIC: "g", places.US: "oz"}
"""The unit of a new feed, by the reader's units."""

SEASON_ENDS = timedelta(days=90)
"""How far into a new year a season without dates counts as last year's. Ours."""


def made(document, name):
    """One of `OBJECTS` to add; a feed has a package whose size and price are to be filled in."""
    if name != "feed":
        return OBJECTS[name]
    package = edits.new_row(document, ("feed", "packages")) | {"unit": FEED_UNIT[places.units()]}
    return {"name": text("new.feed"), **OBJECTS[name], "packages": [package]}


def blend(document):
    """A medium mixed at home from the existing ingredients."""
    name = edits.free_name(document, "media", text("new.blend"))
    part = edits.new_row(document, ("parts",))
    return {"name": name, "feeds_for_weeks": 3, "parts": [part]}


def empty_document(currency):
    """A scenario to fill in: one crop and a bag of each usual kind; six blank fields at first."""
    blank = {"format": records.FORMAT, "title": text("new.plan"), "currency": currency}
    blank["stores"] = [{"name": text("new.own_store")}]
    blank |= {table: [] for table in ("media", "ingredients", "trays", "sowings")}
    sowing = edits.new_row(blank, ("sowings",)) | {"crop": "", edits.TYPED: ""}
    blank = edits.with_row(blank, ("sowings", 0), sowing)
    for place, (key, kind) in enumerate(FIRST_MIXES.items()):
        new = edits.new_row(blank, ("media",), text(key)) | {"kind": kind}
        blank = edits.with_row(blank, ("media", place), new)
        blank = picking.followed(blank, blank, ("media", place, "kind"))
    return blank


def next_season(read):
    """The document of next year's plan, from what happened with this one, named by its year."""
    days = (read.last_frost, *(sowing.plant_out for sowing in read.sowings))
    last = next(filter(None, days), date.today() - SEASON_ENDS)
    title = re.sub(r"[ ,]*[0-9]{4}$", "", read.title)
    return season(read)["next_year"] | {"title": f"{title} {last.year + 1}"}
