"""Starting values: the tables' facts as values for the fields of a scenario.

A `Suggestion` is one value in the unit of its field (a share from 0 to 1, weeks, mL) with every
fact behind it, the one used first. Facts come from the tables in data/; nothing is read here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pennyflat.scenario.package import Package, amount_in
from pennyflat.trade.facts import Fact, about
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
class Container(Fact):
    """
    One published volume of a tray's cell, or of a pot: a row of the table of containers.

    Several rows may have the same `subject`, its name, with different volumes. [mL]
    """

    holder: str
    """"tray", "pot" or "soil block"."""
    cells: int
    """Cells per tray, 1 for a pot or block. [count]"""


def for_crop(
    facts: Sequence[Fact], containers: Iterable[Container], crop: str
) -> dict[str, Suggestion]:
    """
    Values to start a sowing of one crop from, by the sowing's keys.

    They are `weeks` [weeks], `germination` [1], `seeds_per_cell` [count] and `container`, a name.
    Germination is what sources expect of tested good seed, with the legal minimum as the last of
    its facts; if they give only the minimum, it is that. Seeds per cell depend on it: two if it is
    below `TWO_SEEDS_BELOW`.

    If nothing is known, germination is our own assumption:

    >>> for_crop([], [], "fern")
    {'germination': Suggestion(value=0.8, facts=())}
    """
    found = {}
    if weeks := about(facts, crop, "weeks_to_transplant"):
        found["weeks"] = Suggestion(weeks[0].usual, weeks)
    known = about(facts, crop, "expected_germination") + about(facts, crop, "minimum_germination")
    share = round(known[0].figure / 100, 4) if known else GERMINATION_WITHOUT_A_FIGURE
    found["germination"] = Suggestion(share, known)
    if seeds := about(facts, crop, "seeds_per_cell"):
        if share < TWO_SEEDS_BELOW:
            seeds = tuple(sorted(seeds, key=lambda fact: fact.usual != 2))
        found["seeds_per_cell"] = Suggestion(int(seeds[0].figure), seeds)
    sizes = about(facts, crop, "tray_cells")
    trays: dict[float | None, str] = {c.cells: c.subject for c in containers if c.holder == "tray"}
    if sizes and sizes[0].usual in trays:
        found["container"] = Suggestion(trays[sizes[0].usual], sizes)
    return found


def for_container(
    containers: Iterable[Container], name: str | None, cell_ml: float | None = None
) -> Suggestion | None:
    """Volume of one cell of a container: the given one if published, else the default. [mL]"""
    same = [found for found in containers if found.subject == name]
    same.sort(key=lambda found: (found.usual != cell_ml, not found.default))
    return Suggestion(same[0].usual, tuple(same)) if same else None


def for_kind(facts: Sequence[Fact], kind: str) -> dict[str, Suggestion]:
    """
    Values to start from for one kind of growing medium, by the medium's keys.

    They are `feeds_for_weeks` [weeks] and `fill_loss` [1], if the facts have them.
    """
    known = {key: about(facts, kind, key) for key in ("feeds_for_weeks", "fill_loss")}
    return {key: Suggestion(rows[0].usual, rows) for key, rows in known.items() if rows}


def loosened(facts: Iterable[Fact], package: Package) -> tuple[Fact, ...]:
    """
    Facts about what a compressed package may yield once soaked or loosened, from `low` to `high`.

    For goods sold by weight they come from `litres_per_kg` [L/kg], for pressed bales sold by volume
    from `loose_per_compressed` [L/L]; nothing is known of packages with another unit. [L]

    >>> from pennyflat.scenario.package import Package
    >>> coir = Fact("coir block, 5 kg", "litres_per_kg", None, "L/kg", 12.0, 15.0, "", True, "",
    ...             "", "second-hand", "")
    >>> (found,) = loosened([coir], Package("", 5, "kg", 15))
    >>> found.low, found.high, found.usual
    (60.0, 75.0, 67.5)
    """
    if package.unit in GRAMS:
        quantity, size = "litres_per_kg", amount_in(package, "g") / 1000
    elif package.unit in LITRES:
        quantity, size = "loose_per_compressed", package.size * LITRES[package.unit]
    else:
        return ()
    return tuple(_times(fact, size) for fact in facts if fact.quantity == quantity)


def _times(fact, size):
    low, high = (fact.value, fact.value) if fact.value is not None else (fact.low, fact.high)
    return replace(fact, value=None, unit="L", low=low * size, high=high * size)
