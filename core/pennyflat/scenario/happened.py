"""What really happened with a plan, as written down after the season.

A scenario keeps one `Happened`: how each sowing went, what is left in the bags and of the feed, and
the time it took. It may be filled in bit by bit: any figure may be missing.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from pennyflat.scenario.checking import Fault, key, optional, record, several
from pennyflat.scenario.kinds import number, text, whole
from pennyflat.sentences import say


@dataclass(frozen=True, slots=True)
class SowingHappened:
    """How one sowing went in one mix."""

    crop: str = key(text())
    medium: str = key(text())
    cells: int | None = key(optional(whole(at_least=1, at_most=10_000_000)), None)
    """Cells filled and sown. [count]"""
    up: int | None = key(optional(whole(at_least=0, at_most=10_000_000)), None)
    """Cells in which a seedling came up. [count]"""
    ready: int | None = key(optional(whole(at_least=0, at_most=10_000_000)), None)
    """Seedlings that were transplant-ready. [count]"""
    weeks: float | None = key(optional(number(above=0, at_most=520)), None)
    """From sowing until they were ready. [weeks]"""


@dataclass(frozen=True, slots=True)
class Bag:
    """The bags of one mix, or a blend mixed at home, at the end of the season."""

    medium: str = key(text())
    litres: float | None = key(optional(number(above=0, at_most=100_000)), None)
    """Litres at the start. [L]"""
    left: float | None = key(optional(number(at_least=0, at_most=100_000)), None)
    """Litres left. [L]"""


@dataclass(frozen=True, slots=True)
class Happened:
    """A season as it went."""

    sowings: tuple[SowingHappened, ...] = key(several(record(SowingHappened)), ())
    bags: tuple[Bag, ...] = key(several(record(Bag)), ())
    feed_had: float | None = key(optional(number(above=0, at_most=10_000_000)), None)
    """Concentrate at the start. [g, or mL for a liquid]"""
    feed_left: float | None = key(optional(number(at_least=0, at_most=10_000_000)), None)
    """Concentrate left. [g, or mL for a liquid]"""
    minutes: float | None = key(optional(number(at_least=0, at_most=10_000_000)), None)
    """Time spent on all sowings. [minutes]"""

    @property
    def unfinished(self) -> tuple[str, ...]:
        """Crops that still lack their cells or ready seedlings."""
        rows = (row.crop for row in self.sowings if row.cells is None or row.ready is None)
        return tuple(dict.fromkeys(rows))


def inconsistencies(happened: Happened) -> Iterator[Fault]:
    """
    Faults between the parts of a scenario's `happened`.

    >>> odd = Happened((SowingHappened("leek", "Fine mix", cells=50, ready=48, up=45),))
    >>> print(*inconsistencies(odd))
    happened.sowings[0].ready: 48 is more than the 45 that came up
    """
    for place, row in enumerate(happened.sowings):
        where = f"happened.sowings[{place}]"
        cells, up, ready = row.cells, row.up, row.ready
        if up is not None and cells is not None and up > cells:
            message = say("{up} is more than the {cells} cells sown", up=up, cells=cells)
            yield Fault(f"{where}.up", up, message)
        if ready is not None and up is not None and ready > up:
            message = say("{ready} is more than the {most} that came up", ready=ready, most=up)
            yield Fault(f"{where}.ready", ready, message)
        elif ready is not None and up is None and cells is not None and ready > cells:
            message = say("{ready} is more than the {most} cells sown", ready=ready, most=cells)
            yield Fault(f"{where}.ready", ready, message)
    pairs = [
        (f"bags[{place}].left", bag.left, bag.litres) for place, bag in enumerate(happened.bags)
    ]
    for where, left, had in (*pairs, ("feed_left", happened.feed_left, happened.feed_had)):
        if left is not None and had is not None and left > had:
            message = say(
                "{left:g} is more than the {litres:g} that were in it", left=left, litres=had
            )
            yield Fault(f"happened.{where}", left, message)
