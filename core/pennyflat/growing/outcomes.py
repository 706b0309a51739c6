"""Results for one sowing in one medium, cached.

An edit leaves most sowings in most media unchanged, so results are kept and looked up by everything
that can affect them.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Generic, TypeVar

from pennyflat.growing.cost import requirement
from pennyflat.scenario.records import Medium, Scenario, Sowing


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """An interned value, hashed by identity."""

    value: object


_part = lru_cache(maxsize=2048)(_Part)


Result = TypeVar("Result")


class Kept(Generic[Result]):
    """A cached function; it gets a scenario with no sowings and only the media that matter."""

    def __init__(self, work: Callable[[Scenario, Sowing, Medium], Result]) -> None:
        self.__doc__ = work.__doc__

        @lru_cache(maxsize=8192)
        def found(rest, sowing, medium, moved_to):
            values = dict.fromkeys(part.value for part in (medium, moved_to) if part)
            shelf = replace(rest.value, media=tuple(values))
            return work(shelf, sowing.value, medium.value)

        self._found = found

    def __call__(self, scenario: Scenario, sowing: Sowing, medium: Medium) -> Result:
        """The function's result for one sowing in one medium."""
        moved_to = _moved_to(scenario, sowing)
        return self._found(_rest(scenario), _part(sowing), _part(medium), moved_to)

    def table(
        self, scenario: Scenario, sowings: Iterable[Sowing] | None = None
    ) -> list[list[Result]]:
        """
        A row for each sowing, of the scenario or others, with its results in every medium.

        >>> from pennyflat import DEMO, read
        >>> [[needed.cells for needed in row] for row in requirement_of.table(read(DEMO))]
        [[77, 77, 77], [156, 235, 177], [69, 69, 69]]
        """
        rest, media = _rest(scenario), [_part(medium) for medium in scenario.media]
        return [
            [self._found(rest, _part(sowing), medium, moved_to) for medium in media]
            for sowing in (scenario.sowings if sowings is None else sowings)
            for moved_to in [_moved_to(scenario, sowing)]
        ]


requirement_of = Kept(requirement)
"""`cost.requirement`, cached."""


def _rest(scenario):
    """The parts of a scenario that all sowings in all media share."""
    nothing = {"title": "", "budget": None, "last_frost": None, "happened": None}
    return _part(
        replace(scenario, media=(), sowings=(), trials=(), left_over_counts=0.0, **nothing)
    )


def _moved_to(scenario, sowing):
    """The medium that a sowing is potted on into, or None."""
    if sowing.remedy != "pot_on":
        return None
    return _part(scenario.medium(sowing.pot_on.medium))
