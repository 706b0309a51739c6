"""What to do about a mix whose charge runs out before transplanting: feed, pot on, another mix.

One rule finds what helps and the cost of each way, as used, per transplant-ready seedling. The
rescue of a sowing that stalls is the cheapest of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypedDict

from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.cost import Requirement
from pennyflat.growing.outcomes import requirement_of
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.sentences import Money, phrase, say


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to get a sowing to transplanting."""

    by: str
    """"feed", "pot_on" or "other_medium"."""
    with_what: str | None
    """The feed or medium; None if none is entered."""
    each: float | None
    """Cost; None if it does not help. [currency per ready seedling]"""
    why_not: str | None
    """A sentence in that case."""


@dataclass(frozen=True, slots=True)
class RemediesCompared:
    """Feeding, potting on and another mix from the start, for one sowing in one lean mix."""

    medium: str
    hungry_weeks: float
    remedies: tuple[Remedy, ...]
    """The cheapest first; those that do not help last."""


Rescue = TypedDict(
    "Rescue",
    {
        "crop": str,
        "medium": str,
        "by": str | None,
        "with": str | None,
        "each": float | None,
        "sentence": str,
    },
)
"""What would get a sowing that stalls to transplanting."""


def all_run_out(requirements: Sequence[Requirement]) -> bool:
    """Whether every requirement stalls for want of fertiliser; False if there is none."""
    return bool(requirements) and all(one.stalls_in_week is not None for one in requirements)


def remedies_compared(
    scenario: Scenario, sowing: Sowing, medium: Medium
) -> RemediesCompared | None:
    """
    Whether to feed, to pot on, or to start in another mix, the cheapest first.

    None if the mix feeds until transplanting, or no seed comes up in it.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> found = remedies_compared(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> [(remedy.by, remedy.each and round(remedy.each, 3)) for remedy in found.remedies]
    [('other_medium', 0.168), ('feed', 0.193), ('pot_on', None)]
    """
    [row] = requirement_of.table(scenario, [sowing])
    needed = next(needed for needed in row if needed.medium == medium.name)
    if not needed.hungry_weeks or not needed.cells:
        return None
    ranked = _ranked(scenario, sowing, medium, row)
    return RemediesCompared(medium.name, needed.hungry_weeks, ranked)


def rescue(
    scenario: Scenario, sowing: Sowing, needed: Requirement, row: Sequence[Requirement]
) -> Rescue | None:
    """
    The cheapest remedy for a sowing that stalls, by what it needs there and in each of the media.

    None if it is ready or no seed comes up. The keys are those of the report's `rescues`: `by` is
    "feed", "pot_on", "other_medium", or None if nothing entered helps; `with` the feed or medium;
    `each` the cost. [currency per ready seedling]

    >>> from dataclasses import replace
    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> unfed = replace(demo.sowings[0], remedy="none")
    >>> row = [requirement_of(demo, unfed, medium) for medium in demo.media]
    >>> print(rescue(demo, unfed, row[0], row)["sentence"])
    Bulk potting mix from the start would do, at 0.168 USD per ready seedling.
    """
    if needed.ready or needed.stalls_in_week is None:
        return None
    medium = scenario.medium(needed.medium)
    best = _ranked(scenario, sowing, medium, row)[0]
    by, name = (None, None) if best.each is None else (best.by, best.with_what)
    gaps = {"name": name, "each": Money(best.each or 0.0, scenario.currency)}
    if by is None:
        weeks = sowing.weeks * medium.pace
        text = say("Enter a feed, or pot on into a mix that feeds until week {week:g}.", week=weeks)
    elif by == "feed":
        text = say("Feeding with {name} would do, at {each} per ready seedling.", **gaps)
    elif by == "pot_on":
        text = say("Potting on into {name} would do, at {each} per ready seedling.", **gaps)
    else:
        text = say("{name} from the start would do, at {each} per ready seedling.", **gaps)
    return {
        "crop": sowing.crop,
        "medium": medium.name,
        "by": by,
        "with": name,
        "each": best.each,
        "sentence": text,
    }


def _ranked(scenario, sowing, medium, row):
    """A remedy of each kind, by the sowing's requirement in each of the media, cheapest first."""
    ways = _ways(scenario, sowing, medium, row)
    return tuple(sorted(ways, key=lambda way: (way.each is None, way.each or 0.0)))


def _ways(scenario, sowing, medium, row):
    """
    The same sowing fed, if the scenario has a feed; potted on, if it says into what and the move
    comes before transplanting; or started, as entered, in another of the media.
    """
    feed, move = scenario.feed, sowing.pot_on
    if feed is None:
        yield Remedy("feed", None, None, phrase("No feed is entered."))
    else:
        fed = requirement_of(scenario, replace(sowing, remedy="feed"), medium)
        yield _remedy("feed", feed.name, fed)
    potted = replace(sowing, remedy="pot_on")
    if move is None:
        why_not = phrase("No bigger container to pot on into is entered.")
        yield Remedy("pot_on", None, None, why_not)
    elif not aftercare(scenario, potted, medium).move:
        why_not = phrase("Potting on would not come before transplanting.")
        yield Remedy("pot_on", move.medium, None, why_not)
    else:
        yield _remedy("pot_on", move.medium, requirement_of(scenario, potted, medium))
    ready = [needed for needed in row if needed.ready and needed.medium != medium.name]
    if not ready:
        why_not = phrase("No other mix brings them to transplanting.")
        yield Remedy("other_medium", None, None, why_not)
    else:
        best = min(ready, key=lambda needed: needed.each.total)
        yield _remedy("other_medium", best.medium, best)


def _remedy(by, with_what, needed):
    return Remedy(by, with_what, needed.each and needed.each.total, needed.why_not)
