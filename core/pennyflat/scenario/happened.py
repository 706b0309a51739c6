"""What really happened with a plan, as it is written down after the season.

One `Happened` is kept with a scenario: how each sowing went, what is left in each bag, and what was
used of feed and time. All of it but the cells and the seedlings ready may be missing.
"""

from dataclasses import dataclass

from pennyflat.scenario.checking import Fault, key, optional, record, several
from pennyflat.scenario.kinds import number, text, whole
from pennyflat.sentences import say


@dataclass(frozen=True, slots=True)
class SowingHappened:
    """How one sowing went in one mix."""

    crop: str = key(text())
    medium: str = key(text())
    cells: int = key(whole(at_least=1, at_most=10_000_000))
    """Cells filled and sown. [count]"""
    ready: int = key(whole(at_least=0, at_most=10_000_000))
    """Seedlings that were transplant-ready. [count]"""
    up: int | None = key(optional(whole(at_least=0, at_most=10_000_000)), None)
    """Cells in which a seedling came up. [count]"""
    weeks: float | None = key(optional(number(above=0, at_most=520)), None)
    """From sowing until they were ready. [weeks]"""


@dataclass(frozen=True, slots=True)
class Bag:
    """One bag, or a blend mixed at home, at the end of the season."""

    medium: str = key(text())
    litres: float = key(number(above=0, at_most=100_000))
    """What was in it. [L]"""
    left: float = key(number(at_least=0, at_most=100_000))
    """What is left in it. [L]"""


@dataclass(frozen=True, slots=True)
class Happened:
    """A season as it was."""

    sowings: tuple[SowingHappened, ...] = key(several(record(SowingHappened)), ())
    bags: tuple[Bag, ...] = key(several(record(Bag)), ())
    feed_used: float | None = key(optional(number(at_least=0)), None)
    """Concentrate used on all sowings. [g, or mL for a liquid]"""
    minutes: float | None = key(optional(number(at_least=0)), None)
    """Time spent on all sowings. [minutes]"""


def inconsistencies(happened: Happened, path: str = "happened") -> list[Fault]:
    """
    Faults between the parts of what happened.

    Parameters
    ----------
    happened : Happened
    path : str, default "happened"
        Where it stands in the document.

    Returns
    -------
    list of Fault

    Examples
    --------
    >>> odd = Happened((SowingHappened("leek", "Fine mix", cells=50, ready=48, up=45),))
    >>> print(*inconsistencies(odd))
    happened.sowings[0].ready: 48 is more than the 45 that came up
    """
    faults = []
    for place, row in enumerate(happened.sowings):
        where = f"{path}.sowings[{place}]"
        if row.up is not None and row.up > row.cells:
            message = say("{up} is more than the {cells} cells sown", up=row.up, cells=row.cells)
            faults.append(Fault(f"{where}.up", row.up, message))
        most = row.cells if row.up is None else row.up
        if row.ready > most:
            message = (
                say("{ready} is more than the {most} cells sown", ready=row.ready, most=most)
                if row.up is None
                else say("{ready} is more than the {most} that came up", ready=row.ready, most=most)
            )
            faults.append(Fault(f"{where}.ready", row.ready, message))
    for place, bag in enumerate(happened.bags):
        if bag.left > bag.litres:
            message = say(
                "{left:g} is more than the {litres:g} that were in it",
                left=bag.left,
                litres=bag.litres,
            )
            faults.append(Fault(f"{path}.bags[{place}].left", bag.left, message))
    return faults
