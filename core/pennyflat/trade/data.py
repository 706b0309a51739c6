"""The tables in data/, each read once: rows as dicts of column to text, and as records.

Only this module of the model finds files: an installed package has the tables inside it, a checkout
and the page have them beside core/. (`importlib.resources` would find them too, but loads modules
for archives and temporary files into the page's memory.)
"""

import csv
from functools import cache
from pathlib import Path
from typing import Any

from pennyflat.trade.facts import Fact, from_row

_PACKAGE = Path(__file__).resolve().parents[1]

FOLDER = next(
    folder for folder in (_PACKAGE / "data", _PACKAGE.parents[1] / "data") if folder.is_dir()
)
"""Folder of the tables."""


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """
    Rows of one table, named without ".csv", as in its file; FileNotFoundError without one.

    >>> rows("ec_bands")[0]["reading"]
    'very low'
    """
    with open(FOLDER / f"{table}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def records(table: str, kind: type) -> tuple[Any, ...]:
    """
    Rows of one table as records of a kind, as by `facts.from_row`, in its order.

    >>> records("crops", Fact)[0].subject
    'tomato'
    """
    return tuple(from_row(kind, row) for row in rows(table))


def facts(table: str) -> tuple[Fact, ...]:
    """Facts of one table, such as "crops" or "practice", in its order."""
    return records(table, Fact)


@cache
def sources() -> dict[str, dict[str, str]]:
    """
    The bibliography: rows of sources.csv by `source_id`.

    >>> sources()["usda-salt"]["year"]
    '1990'
    """
    return {row["source_id"]: row for row in rows("sources")}
