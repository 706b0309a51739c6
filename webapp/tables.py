"""Reads the trade's tables: CSV files that lie in data/ beside the folder of the page.

A *row* is a dict of column to text, as it stands in the file; `facts` and the like give the rows to
`pennyflat`, which reads no files, to be understood.
"""

import csv
from functools import cache
from pathlib import Path

from pennyflat.crops import read_emergence
from pennyflat.facts import read_fact
from pennyflat.salinity import read_band
from pennyflat.symptoms import read_cause

DATA = Path(__file__).resolve().parent.parent / "data"
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
    """Days to emergence by crop and temperature, as `pennyflat.crops.EmergenceRow` values."""
    return tuple(read_emergence(row) for row in rows("emergence_days"))


@cache
def ec_bands():
    """Bands of electrical conductivity by method, as `pennyflat.salinity.Band` values."""
    return tuple(read_band(row) for row in rows("ec_bands"))


@cache
def causes():
    """What is seen in the tray and what may cause it, as `pennyflat.symptoms.Cause` values."""
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
