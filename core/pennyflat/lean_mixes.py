"""What to do about a mix whose charge runs out before transplanting, and what a week more costs.

Costs are as used, per transplant-ready seedling.
"""

from dataclasses import dataclass, fields, replace

from pennyflat.cost import Costs, requirement
from pennyflat.verdict import money

WORTH_NAMING = 0.05
"""Part of a sum from which a sentence names it. [1] Ours."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to bring a planting to transplanting."""

    by: str
    """"feed", "pot_on" or "richer_mix"."""
    with_what: str | None
    """The feed or medium; None where there is none entered."""
    each: float | None
    """Cost, None where it does not bring them there. [currency per ready seedling]"""
    why_not: str | None
    """A sentence then."""


@dataclass(frozen=True, slots=True)
class RemediesCompared:
    """Feeding, potting on and a richer mix from the start, for one planting in one lean mix."""

    crop: str
    medium: str
    hungry_weeks: float
    remedies: tuple[Remedy, ...]
    """The cheapest first, those that do not help last."""
    sentence: str


def remedies_compared(scenario, planting, medium):
    """
    Whether to feed, to pot on, or to start in a mix that feeds long enough.

    The richer mix is the one with the lowest cost among the media that feed until transplanting.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
    medium : Medium
        One of the scenario's.

    Returns
    -------
    RemediesCompared or None
        None where the mix feeds until transplanting, or no seed comes up in it.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> found = remedies_compared(demo, demo.plantings[0], demo.medium("Seed starter mix"))
    >>> [(remedy.by, remedy.each and round(remedy.each, 3)) for remedy in found.remedies]
    [('richer_mix', 0.18), ('feed', 0.205), ('pot_on', None)]
    >>> print(found.sentence)
    For tomato in Seed starter mix, hungry for 3 weeks, Bulk potting mix from the start costs ...
    """
    needed = requirement(scenario, planting, medium)
    if not needed.hungry_weeks or not needed.cells:
        return None
    remedies = (
        _feed(scenario, planting, medium),
        _pot_on(scenario, planting, medium),
        _richer_mix(scenario, planting),
    )
    ranked = sorted(remedies, key=lambda r: (r.each is None, r.each or 0.0))
    hungry = needed.hungry_weeks
    weeks = f"{hungry:.3g} week{'' if hungry == 1 else 's'}"
    text = f"For {planting.crop} in {medium.name}, hungry for {weeks}, "
    helpful = [
        f"{_words(remedy)} costs {money(remedy.each, scenario.currency)}"
        for remedy in ranked
        if remedy.each is not None
    ]
    text += ", ".join(helpful) + " per ready seedling." if helpful else "nothing entered helps."
    return RemediesCompared(planting.crop, medium.name, hungry, tuple(ranked), text)


@dataclass(frozen=True, slots=True)
class ExtraWeek:
    """What one week more in the tray costs."""

    crop: str
    medium: str
    each: float
    """As entered. [currency per ready seedling]"""
    each_later: float | None
    """With a week more; None where seedlings stall. [currency per ready seedling]"""
    adds: Costs | None
    """The difference by what it goes to. [currency per ready seedling]"""
    sentence: str


def extra_week(scenario, planting, medium):
    """
    What one week more from sowing to transplanting costs.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
    medium : Medium
        One of the scenario's.

    Returns
    -------
    ExtraWeek or None
        None where the planting is not ready as entered.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> print(extra_week(demo, demo.plantings[0], demo.medium("Seed starter mix")).sentence)
    For tomato in Seed starter mix, a week more in the tray adds 0.006 USD per ready seedling: ...
    """
    now = requirement(scenario, planting, medium)
    if not now.ready:
        return None
    later = requirement(scenario, replace(planting, weeks=planting.weeks + 1), medium)
    before = now.each
    start = f"For {planting.crop} in {medium.name}, a week more in the tray"
    if not later.ready:
        text = f"{start} is too much. {later.why_not}"
        return ExtraWeek(planting.crop, medium.name, before.total, None, None, text)
    after = later.each
    adds = Costs(
        **{f.name: getattr(after, f.name) - getattr(before, f.name) for f in fields(Costs)}
    )
    parts = [
        f"{f.name} {money(getattr(adds, f.name), scenario.currency)}"
        for f in fields(Costs)
        if abs(getattr(adds, f.name)) > WORTH_NAMING * abs(adds.total)
    ]
    text = f"{start} adds {money(after.total - before.total, scenario.currency)} per ready seedling"
    text += f": {', '.join(parts)}." if parts else ": it needs nothing more."
    return ExtraWeek(planting.crop, medium.name, before.total, after.total, adds, text)


def _feed(scenario, planting, medium):
    if scenario.feed is None:
        return Remedy("feed", None, None, "No feed is entered.")
    fed = requirement(scenario, replace(planting, remedy="feed"), medium)
    return _remedy("feed", scenario.feed.name, fed)


def _pot_on(scenario, planting, medium):
    if planting.pot_on is None:
        return Remedy("pot_on", None, None, "No bigger container to pot on into is entered.")
    potted = requirement(scenario, replace(planting, remedy="pot_on"), medium)
    return _remedy("pot_on", planting.pot_on.medium, potted)


def _richer_mix(scenario, planting):
    row = [requirement(scenario, planting, medium) for medium in scenario.media]
    richer = [needed for needed in row if needed.ready and not needed.hungry_weeks]
    if not richer:
        return Remedy("richer_mix", None, None, "No mix feeds until transplanting.")
    best = min(richer, key=lambda needed: needed.each.total)
    return _remedy("richer_mix", best.medium, best)


def _remedy(by, with_what, needed):
    if not needed.ready:
        return Remedy(by, with_what, None, needed.why_not)
    return Remedy(by, with_what, needed.each.total, None)


def _words(remedy):
    return {
        "feed": f"feeding with {remedy.with_what}",
        "pot_on": f"potting on into {remedy.with_what}",
        "richer_mix": f"{remedy.with_what} from the start",
    }[remedy.by]
