"""What happens when a medium's own fertiliser runs out: feed, pot on, or stall.

Times are weeks from sowing. The *charge* is the fertiliser a medium brings along; a *hungry week*
is one after the charge has run out and before transplanting.
"""

from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

from pennyflat.scenario.records import Medium, PotOn, Scenario, Sowing
from pennyflat.sentences import phrase, say

ROUNDING = 1e-9
"""Feedings above a whole number that count as rounding error of the weeks. [count]"""

_LACKS = {
    "none": phrase("nothing is given after that"),
    "moved": phrase("the bigger container's fertiliser has run out too and there is no feed"),
    "feed": phrase("there is no feed"),
}
"""Why a sowing goes hungry."""


class Fed(NamedTuple):
    """A spell in which the plants are hungry and fed."""

    times: int
    """[count]"""
    in_cells: bool
    """In the small cells, all of them, rather than after potting on."""
    start: float
    """[weeks from sowing]"""
    end: float
    """[weeks from sowing]"""


@dataclass(frozen=True, slots=True)
class Aftercare:
    """What happens when the fertiliser runs out, by one rule for every question."""

    weeks: float
    """Until the plants are ready to transplant. [weeks from sowing]"""
    move: PotOn | None = None
    """What the plants are potted on into; None if they stay."""
    at_week: float | None = None
    """Week of the move. [weeks from sowing]"""
    feedings: tuple[Fed, ...] = ()
    stalls_in_week: float | None = None
    """Week in which they run out of food without a remedy; None if never. [weeks from sowing]"""
    why_not: str | None = None
    """A sentence in that case."""


def aftercare(scenario: Scenario, sowing: Sowing, medium: Medium) -> Aftercare:
    """
    What happens when a medium's own fertiliser runs out, by the sowing's remedy.

    Plants are potted on at `at_week`; they are fed in the small cells in weeks before it in which
    the first mix no longer feeds, and again after the second mix has run out. A feeding begun
    counts in full. A move that falls after transplanting never happens. Without a feed, hungry
    plants stall.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> aftercare(demo, demo.sowings[0], demo.medium("Seed starter mix")).feedings
    (Fed(times=6, in_cells=True, start=3.0, end=6.0),)
    """
    weeks, charge = sowing.weeks * medium.pace, medium.feeds_for_weeks
    if weeks <= charge:
        return Aftercare(weeks)
    spells = [(True, charge, weeks)]
    move = at_week = None
    if sowing.remedy == "pot_on" and sowing.pot_on:
        week = charge if sowing.pot_on.at_week is None else sowing.pot_on.at_week
        if week < weeks:
            move, at_week = sowing.pot_on, week
            until = week + scenario.medium(move.medium).feeds_for_weeks
            spells = [(True, charge, week), (False, until, weeks)]
    hungry = [(in_cells, start, end) for in_cells, start, end in spells if end > start]
    feed = None if sowing.remedy == "none" else scenario.feed
    if hungry and not feed:
        in_cells, stall, _ = hungry[0]
        lack = "none" if sowing.remedy == "none" else "feed" if in_cells else "moved"
        why_not = say(
            "It stalls in week {week:g} of {weeks:g}, when its fertiliser has run out: {lack}, so"
            " no seedling is ready to transplant.",
            week=stall,
            weeks=weeks,
            lack=_LACKS[lack],
        )
        return Aftercare(weeks, move, at_week, (), stall, why_not)
    per_week = feed.per_week if feed else 0.0
    fed = (
        Fed(ceil((end - start) * per_week - ROUNDING), in_cells, start, end)
        for in_cells, start, end in hungry
    )
    return Aftercare(weeks, move, at_week, tuple(spell for spell in fed if spell.times))
