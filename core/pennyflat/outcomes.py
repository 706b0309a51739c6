"""One sowing in one medium, worked out once.

An edit leaves most sowings in most media as they were, so what is worked out is kept, found by all
that can make a difference to it.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

from pennyflat.cost import requirement


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """An interned value, hashed by identity."""

    value: object


@lru_cache(maxsize=2048)
def _part(value):
    return _Part(value)


def kept(work):
    """
    Keep what a function of (scenario, sowing, medium) comes to.

    The function gets a scenario with only the media that matter to this sowing, and no sowings.

    Parameters
    ----------
    work : callable

    Returns
    -------
    callable
        With the same arguments.
    """

    @lru_cache(maxsize=8192)
    def by_parts(rest, sowing, medium, moved_to):
        values = dict.fromkeys(part.value for part in (medium, moved_to) if part)
        shelf = replace(rest.value, media=tuple(values))
        return work(shelf, sowing.value, medium.value)

    def found(scenario, sowing, medium):
        rest = _rest(scenario)
        return by_parts(rest, _part(sowing), _part(medium), _moved_to(scenario, sowing))

    return found


requirement_of = kept(requirement)
"""As `cost.requirement`, kept."""


def outcomes(scenario, of=requirement_of):
    """
    Every sowing in every medium.

    Parameters
    ----------
    scenario : Scenario
    of : callable
        One of those that are kept.

    Returns
    -------
    list of list
        For each sowing a row, in the order of the media.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> [[needed.cells for needed in row] for row in outcomes(read(DEMO))]
    [[77, 77, 77], [158, 233, 177], [68, 68, 68]]
    """
    return [
        [of(scenario, sowing, medium) for medium in scenario.media] for sowing in scenario.sowings
    ]


@lru_cache(maxsize=64)
def _rest(scenario):
    """What of a scenario all sowings in all media share."""
    nothing = {"title": "", "budget": None, "last_frost": None, "left_over_counts": 0.0}
    return _part(replace(scenario, media=(), sowings=(), trials=(), **nothing))


def _moved_to(scenario, sowing):
    """The medium that a sowing is potted on into, or None."""
    if sowing.remedy != "pot_on":
        return None
    return _part(scenario.medium(sowing.pot_on.medium))
