"""Reads the trade's tables: CSV files that lie in data/ beside the folder of the page.

A *row* is a dict of column to text, as it stands in the file; `facts` and the like give the rows to
`pennyflat`, which reads no files, to be understood.
"""

import csv
from functools import cache
from pathlib import Path

from pennyflat.trade.crops import read_emergence
from pennyflat.trade.facts import read_fact
from pennyflat.trade.salinity import read_band
from pennyflat.trade.symptoms import read_cause

DATA = Path(__file__).resolve().parents[2] / "data"
"""Folder of the tables, beside that of the page; the build keeps it so."""


@cache
def rows(table):
    """
    Rows of one table as they stand in its file.

    Parameters
    ----------
    table : str
        Name of the file without ".csv".

    Returns
    -------
    tuple of dict of str to str

    Examples
    --------
    >>> rows("ec_bands")[0]["reading"]
    'very low'
    """
    with open(DATA / f"{table}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


EVERY = None
"""Stands for every quantity of a table."""

_KINDS, _GOODS = ("feeds_for_weeks", "fill_loss"), ("litres_per_kg", "loose_per_compressed")
_FEEDING = ("target_ppm_n", "feedings_per_week", "ml_per_cell", "released_share_8_weeks")
_HABITS = ("take", "uses_thin_wall", "fill_loss", "shrink", "hours_per_day", "watts", "hours")
_CROPS = (
    "weeks_to_transplant",
    "minimum_germination",
    "seeds_per_cell",
    "tray_cells",
    "presprout",
    "germination_temperature",
    "weeks_from_last_frost",
    "salt_threshold",
    "salt_slope",
    "salt_rating",
)

SHOWN = {
    "crops": {"text": _CROPS, "note": _CROPS},
    "media": {"subject": EVERY, "text": _KINDS, "note": _KINDS},
    "compressed": {"subject": _GOODS, "text": _GOODS, "note": _GOODS},
    "containers": {"subject": EVERY, "text": EVERY, "note": EVERY},
    "feeds": {"subject": ("n_percent",), "text": _FEEDING, "note": _FEEDING},
    "practice": {"text": _HABITS, "note": _HABITS},
    "ec_bands": {"reading": EVERY},
    "symptoms": dict.fromkeys(("observation", "cause", "tell_apart", "remedy", "doubt"), EVERY),
    "cautions": dict.fromkeys(("action", "advice", "why"), EVERY),
    "bag_checks": dict.fromkeys(("look_for", "why", "if_not"), EVERY),
}
"""Columns whose words the page shows, by table, with the quantities for which it does. Sources are
cited as they were published."""


def texts_shown():
    """
    Every text of the tables that the page shows: {text: where it stands}.

    Examples
    --------
    >>> texts_shown()["Damp mix raises less dust"]
    'cautions.why'
    """
    found = {}
    for table, columns in SHOWN.items():
        for row in rows(table):
            for column, quantities in columns.items():
                is_seen = quantities is EVERY or row["quantity"] in quantities
                if is_seen and any(map(str.isalpha, row[column])):
                    found.setdefault(row[column], f"{table}.{column}")
    return found


@cache
def facts(table):
    """
    Facts of one table, in its order.

    Parameters
    ----------
    table : {"containers", "crops", "media", "compressed", "feeds", "nutrient_levels", "practice"}

    Returns
    -------
    tuple of Fact
    """
    return tuple(read_fact(row) for row in rows(table))


@cache
def emergence():
    """Days to emergence by crop and temperature, as `pennyflat.trade.crops.EmergenceRow` values."""
    return tuple(read_emergence(row) for row in rows("emergence_days"))


@cache
def ec_bands():
    """Bands of electrical conductivity by method, as `pennyflat.trade.salinity.Band` values."""
    return tuple(read_band(row) for row in rows("ec_bands"))


@cache
def causes():
    """What is seen in the tray and what may cause it, as `symptoms.Cause` values."""
    return tuple(read_cause(row) for row in rows("symptoms"))


@cache
def sources():
    """
    The bibliography.

    Returns
    -------
    dict of str to dict of str to str
        Rows of sources.csv by `source_id`.

    Examples
    --------
    >>> sources()["usda-salt"]["year"]
    '1990'
    """
    return {row["source_id"]: row for row in rows("sources")}
