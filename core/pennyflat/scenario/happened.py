"""What really happened with a plan, as written down after the season.

A scenario keeps one `Happened`: how each sowing went, what is left in the bags and of the feed, and
the time it took. It may be filled in bit by bit: any figure may be missing.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from pennyflat.scenario.checking import Fault, key, optional, record, several
from pennyflat.scenario.kinds import number, text, whole
from pennyflat.sentences import say


def _left_too_much(path, left, had):
    if left is not None and had is not None and left > had:
        message = say("{left:g} is more than the {litres:g} that were in it", left=left, litres=had)
        yield Fault(path, left, message)


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

    def faults_at(self, path: str) -> Iterator[Fault]:
        """Counts that exceed what they are part of; `path` is its place in the document."""
        cells, up, ready = self.cells, self.up, self.ready
        if up is not None and cells is not None and up > cells:
            message = say("{up} is more than the {cells} cells sown", up=up, cells=cells)
            yield Fault(f"{path}.up", up, message)
        most = cells if up is None else up
        if ready is not None and most is not None and ready > most:
            gaps = {"ready": ready, "most": most}
            if up is None:
                message = say("{ready} is more than the {most} cells sown", **gaps)
            else:
                message = say("{ready} is more than the {most} that came up", **gaps)
            yield Fault(f"{path}.ready", ready, message)


@dataclass(frozen=True, slots=True)
class Bag:
    """The bags of one mix, or a blend mixed at home, at the end of the season."""

    medium: str = key(text())
    litres: float | None = key(optional(number(above=0, at_most=100_000)), None)
    """Litres at the start. [L]"""
    left: float | None = key(optional(number(at_least=0, at_most=100_000)), None)
    """Litres left. [L]"""

    def faults_at(self, path: str) -> Iterator[Fault]:
        """More left than there was."""
        return _left_too_much(f"{path}.left", self.left, self.litres)


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

    def faults_at(self, path: str) -> Iterator[Fault]:
        """More feed left than there was."""
        return _left_too_much(f"{path}.feed_left", self.feed_left, self.feed_had)

    @property
    def unfinished(self) -> tuple[str, ...]:
        """Crops that still lack their cells or ready seedlings."""
        rows = (row.crop for row in self.sowings if row.cells is None or row.ready is None)
        return tuple(dict.fromkeys(rows))
