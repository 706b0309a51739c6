"""The tables in data/, each read once: rows as dicts of column to text, and as values.

Only this module of the model finds files: an installed package has the tables inside it, a checkout
and the page have them beside core/. (`importlib.resources` would find them too, but loads modules
for archives and temporary files into the page's memory.)
"""

import csv
from functools import cache
from pathlib import Path

from pennyflat.trade.crops import EmergenceRow, read_emergence
from pennyflat.trade.facts import Fact, read_fact
from pennyflat.trade.salinity import Band, read_band
from pennyflat.trade.symptoms import Cause

_PACKAGE = Path(__file__).resolve().parents[1]

FOLDER = next(
    folder for folder in (_PACKAGE / "data", _PACKAGE.parents[1] / "data") if folder.is_dir()
)
"""Folder of the tables."""


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """
    Rows of one table, named without ".csv", as in its file; FileNotFoundError without one.

    Examples
    --------
    >>> rows("ec_bands")[0]["reading"]
    'very low'
    """
    with open(FOLDER / f"{table}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def facts(table: str) -> tuple[Fact, ...]:
    """
    Facts of one table, such as "crops" or "practice", in its order.

    Examples
    --------
    >>> facts("crops")[0].subject
    'tomato'
    """
    return tuple(read_fact(row) for row in rows(table))


@cache
def emergence() -> tuple[EmergenceRow, ...]:
    """Days to emergence by crop and temperature of the medium."""
    return tuple(read_emergence(row) for row in rows("emergence_days"))


@cache
def ec_bands() -> tuple[Band, ...]:
    """Bands of electrical conductivity by method."""
    return tuple(read_band(row) for row in rows("ec_bands"))


@cache
def causes() -> tuple[Cause, ...]:
    """What is seen in the tray and what may cause it."""
    return tuple(Cause(**row) for row in rows("symptoms"))


@cache
def sources() -> dict[str, dict[str, str]]:
    """
    The bibliography: rows of sources.csv by `source_id`.

    Examples
    --------
    >>> sources()["usda-salt"]["year"]
    '1990'
    """
    return {row["source_id"]: row for row in rows("sources")}
