"""Starting values: the tables' facts as values for the fields of a scenario.

A `Suggestion` is one value in the unit of its field (a share from 0 to 1, weeks, mL) with every
fact behind it, the one used first. Facts come from the tables in data/; nothing is read here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pennyflat.scenario.package import Package, amount_in
from pennyflat.trade.facts import Fact, about, read_fact
from pennyflat.units import GRAMS, LITRES

GERMINATION_WITHOUT_A_FIGURE = 0.8
"""Germination to start from if nothing is published about a crop. [1] Ours, no source: count
yours."""

TWO_SEEDS_BELOW = 0.8
"""Germination below which two seeds go into a cell: a row of the practice table, as a test checks.
[1]"""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A value to start from and the facts behind it."""

    value: float | str | None
    """In the field's own unit; None if the fact is in words only."""
    facts: tuple[Fact, ...]
    """Everything the table says, the one used first; empty for our own assumption."""


@dataclass(frozen=True, slots=True)
class Container:
    """One published volume of a tray's cell, or of a pot."""

    name: str
    """Such as "72-cell tray"; several rows may have it, with different volumes."""
    holder: str
    """"tray", "pot" or "soil block"."""
    cells: int
    """Cells per tray, 1 for a pot or block. [count]"""
    cell_ml: float
    """[mL]"""
    fact: Fact


@dataclass(frozen=True, slots=True)
class Loosened:
    """What a compressed package may yield, by one source."""

    low: float
    """[L]"""
    high: float
    """[L]"""
    fact: Fact

    @property
    def middle(self) -> float:
        """Middle of the range. [L]"""
        return (self.low + self.high) / 2


def read_container(row: dict[str, str]) -> Container:
    """
    One row of the table of containers.

    Raises
    ------
    ValueError
        If a number cannot be read.

    Examples
    --------
    >>> row = {"subject": "72-cell tray", "holder": "tray", "cells": "72", "quantity": "cell_ml",
    ...        "value": "58.99", "unit": "mL", "low": "", "high": "", "text": "", "default": "yes",
    ...        "source_id": "tray-table-a", "place": "row", "kind": "trade page", "note": ""}
    >>> read_container(row).cells, read_container(row).cell_ml
    (72, 58.99)
    """
    fact = read_fact(row)
    return Container(row["subject"], row["holder"], int(row["cells"]), fact.figure, fact)


def for_crop(
    facts: Sequence[Fact], containers: Iterable[Container], crop: str
) -> dict[str, Suggestion]:
    """
    Values to start a sowing of one crop from, by the sowing's keys.

    They are `weeks` [weeks], `germination` [1], `seeds_per_cell` [count] and `container`, a name.
    Germination is what sources expect of tested good seed, with the legal minimum as the last of
    its facts; if they give only the minimum, it is that. Seeds per cell depend on it: two if it is
    below `TWO_SEEDS_BELOW`.

    Examples
    --------
    If nothing is known, germination is our own assumption:

    >>> for_crop([], [], "fern")
    {'germination': Suggestion(value=0.8, facts=())}
    """
    found = {}
    weeks = about(facts, crop, "weeks_to_transplant")
    if weeks:
        found["weeks"] = Suggestion(weeks[0].usual, weeks)
    least = about(facts, crop, "minimum_germination")
    known = about(facts, crop, "expected_germination") + least
    share = round(known[0].figure / 100, 4) if known else GERMINATION_WITHOUT_A_FIGURE
    found["germination"] = Suggestion(share, known)
    seeds = about(facts, crop, "seeds_per_cell")
    if share < TWO_SEEDS_BELOW:
        seeds = tuple(sorted(seeds, key=lambda fact: fact.usual != 2))
    if seeds:
        found["seeds_per_cell"] = Suggestion(int(seeds[0].figure), seeds)
    sizes = about(facts, crop, "tray_cells")
    named: dict[float | None, str] = {c.cells: c.name for c in containers if c.holder == "tray"}
    if sizes and sizes[0].usual in named:
        found["container"] = Suggestion(named[sizes[0].usual], sizes)
    return found


def for_container(containers: Iterable[Container], name: str) -> Suggestion | None:
    """Volume of one cell of a named container [mL], with the facts of all published ones."""
    same = sorted((c for c in containers if c.name == name), key=lambda c: not c.fact.default)
    return Suggestion(same[0].cell_ml, tuple(c.fact for c in same)) if same else None


def for_kind(facts: Sequence[Fact], kind: str) -> dict[str, Suggestion]:
    """
    Values to start from for one kind of growing medium, by the medium's keys.

    They are `feeds_for_weeks` [weeks] and `fill_loss` [1], if the facts have them.
    """
    known = {key: about(facts, kind, key) for key in ("feeds_for_weeks", "fill_loss")}
    return {key: Suggestion(rows[0].usual, rows) for key, rows in known.items() if rows}


def as_days(fact: Fact) -> float:
    """
    The figure of a fact given in hours ("h") or days ("day"). [d]

    Raises
    ------
    ValueError
        If its unit is neither.

    Examples
    --------
    >>> row = {"subject": "mat", "quantity": "hours", "value": "", "unit": "h", "low": "36",
    ...        "high": "48", "text": "", "default": "yes", "source_id": "", "place": "",
    ...        "kind": "published", "note": ""}
    >>> as_days(read_fact(row))
    1.75
    """
    if fact.unit not in ("h", "day"):
        raise ValueError(f"unit must be h or day, not {fact.unit!r}.")
    return fact.figure / (24 if fact.unit == "h" else 1)


def loosened(facts: Iterable[Fact], package: Package) -> tuple[Loosened, ...]:
    """
    What a compressed package may yield once soaked or loosened, by each source, in their order.

    For goods sold by weight the fact is `litres_per_kg` [L/kg], for pressed bales sold by volume
    `loose_per_compressed` [L/L]; nothing is known of packages with another unit.

    Examples
    --------
    >>> from pennyflat.scenario.package import Package
    >>> row = {"subject": "coir block, 5 kg", "quantity": "litres_per_kg", "value": "",
    ...        "unit": "L/kg", "low": "12", "high": "15", "text": "", "default": "yes",
    ...        "source_id": "", "place": "", "kind": "second-hand", "note": ""}
    >>> (found,) = loosened([read_fact(row)], Package("", 5, "kg", 15))
    >>> found.low, found.high, found.middle
    (60.0, 75.0, 67.5)
    """
    if package.unit in GRAMS:
        quantity, size = "litres_per_kg", amount_in(package, "g") / 1000
    elif package.unit in LITRES:
        quantity, size = "loose_per_compressed", package.size * LITRES[package.unit]
    else:
        return ()
    return tuple(
        Loosened(low * size, high * size, fact)
        for fact in facts
        if fact.quantity == quantity
        for low, high in [_ends(fact)]
    )


def _ends(fact):
    if fact.value is not None:
        return fact.value, fact.value
    return fact.low, fact.high
