"""What the trade knows: the tables in data/, one fact at a time, each with its source.

A fact is a figure, a range or a sentence about one quantity of one subject ("weeks_to_transplant"
of "tomato"). If sources disagree there are several facts, one of which is the default; `widest`
gives the range over all. The tests of the tables check every row.

Only this module of the model finds files: an installed package has the tables inside it, a checkout
and the page have them beside core/. (`importlib.resources` would find them too, but loads modules
for archives and temporary files into the page's memory.)
"""

import csv
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

_PACKAGE = Path(__file__).resolve().parents[1]

FOLDER = next(
    folder for folder in (_PACKAGE / "data", _PACKAGE.parents[1] / "data") if folder.is_dir()
)
"""Folder of the tables."""

KINDS = ("published", "second-hand", "memory", "common practice", "computed", "trade page")
"""How well a fact is known: read in the issuer's own text; in a copy or report of it; not
confirmed; no source; worked out from figures in the row; a seller's page, weak."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact and where it was read: a row of a table of facts."""

    subject: str
    quantity: str
    value: float | None
    """The figure, if the source gives one. [unit]"""
    unit: str
    low: float | None
    """Low end of the range, if the source gives one. [unit]"""
    high: float | None
    """High end of the range, if the source gives one. [unit]"""
    text: str
    """The fact in words, or what the source prints."""
    default: bool
    """Whether to start from this one if sources disagree."""
    source_id: str
    place: str
    """Place in the source."""
    kind: str
    """One of `KINDS`."""
    note: str

    @property
    def usual(self) -> float | None:
        """The figure to start from: the value, else the middle of the range, else None. [unit]"""
        if self.value is not None or self.low is None or self.high is None:
            return self.value
        return (self.low + self.high) / 2

    @property
    def figure(self) -> float:
        """Like `usual`, but ValueError if there is no figure. [unit]"""
        if self.usual is None:
            raise ValueError(f"{self.subject}, {self.quantity}: the source gives no figure.")
        return self.usual


Row = TypeVar("Row")


def from_row(kind: type[Row], row: Mapping[str, str]) -> Row:
    """
    One row of a table as a record of a kind: a dataclass with fields named after columns.

    An empty number means that the source gives none. ValueError if a number cannot be read.

    >>> weeks = from_row(Fact, {
    ...     "subject": "tomato", "quantity": "weeks_to_transplant", "value": "", "unit": "week",
    ...     "low": "5", "high": "6", "text": "", "default": "yes", "source_id": "udel-transplants",
    ...     "place": "table, Weeks to Grow", "kind": "published", "note": ""})
    >>> weeks.low, weeks.high, weeks.usual
    (5.0, 6.0, 5.5)
    """
    columns: tuple[Any, ...] = fields(kind)  # type: ignore[arg-type]
    return kind(**{column.name: _READ[column.type](row[column.name]) for column in columns})


def read_number(text: str) -> float | None:
    """A number of a table; None for an empty cell, ValueError for anything but a finite number."""
    if text == "":
        return None
    found = float(text)
    if not abs(found) < float("inf"):
        raise ValueError(f"a table's number must be finite, not {text!r}.")
    return found


_READ: dict[Any, Callable[[str], Any]] = {
    str: str,
    bool: "yes".__eq__,
    int: int,
    float: float,
    float | None: read_number,
}
"""Reads a cell, by the type of its field."""


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
    Rows of one table as records of a kind, as by `from_row`, in its order.

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


def about(facts: Iterable[Fact], subject: str, quantity: str) -> tuple[Fact, ...]:
    """All facts about one quantity of one subject, the default first; empty if none is known."""
    found = (f for f in facts if f.subject == subject and f.quantity == quantity)
    return tuple(sorted(found, key=lambda fact: not fact.default))


def default(facts: Iterable[Fact], subject: str, quantity: str) -> Fact | None:
    """The fact to start from; None if nothing is known."""
    return next(iter(about(facts, subject, quantity)), None)


def widest(facts: Iterable[Fact]) -> tuple[float, float] | None:
    """Lowest and highest figure in facts about one quantity; None if none has one. [their unit]"""
    figures = [x for f in facts for x in (f.value, f.low, f.high) if x is not None]
    return (min(figures), max(figures)) if figures else None
