"""What to do about a mix whose charge runs out before transplanting, and what a week more costs.

Costs are as used, per transplant-ready seedling.
"""

from dataclasses import dataclass, fields, replace

from pennyflat.cost import Costs, requirement
from pennyflat.saying import Listed, Money, phrase, say, say_count

WORTH_NAMING = 0.05
"""Part of a sum from which a sentence names it. [1] Ours."""

PARTS = {
    "medium": phrase("medium"),
    "feed": phrase("feed"),
    "seed": phrase("seed"),
    "container": phrase("container"),
    "energy": phrase("energy"),
    "labour": phrase("labour"),
}
"""What a sentence calls the parts of `Costs`."""


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
    gaps = {
        "crop": planting.crop,
        "medium": medium.name,
        "weeks": say_count(hungry, "{n:.3g} week", "{n:.3g} weeks", n=hungry),
    }
    helpful = tuple(_clause(r, scenario.currency) for r in ranked if r.each is not None)
    if helpful:
        text = say(
            "For {crop} in {medium}, hungry for {weeks}, {ways} per ready seedling.",
            **gaps,
            ways=Listed(helpful, ","),
        )
    else:
        text = say("For {crop} in {medium}, hungry for {weeks}, nothing entered helps.", **gaps)
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
    gaps = {"crop": planting.crop, "medium": medium.name}
    if not later.ready:
        text = say(
            "For {crop} in {medium}, a week more in the tray is too much. {why_not}",
            **gaps,
            why_not=later.why_not,
        )
        return ExtraWeek(planting.crop, medium.name, before.total, None, None, text)
    after = later.each
    adds = Costs(
        **{f.name: getattr(after, f.name) - getattr(before, f.name) for f in fields(Costs)}
    )
    parts = tuple(
        say("{part} {more}", part=part, more=Money(getattr(adds, name), scenario.currency))
        for name, part in PARTS.items()
        if abs(getattr(adds, name)) > WORTH_NAMING * abs(adds.total)
    )
    gaps["more"] = Money(after.total - before.total, scenario.currency)
    if parts:
        text = say(
            "For {crop} in {medium}, a week more in the tray adds {more} per ready seedling:"
            " {parts}.",
            **gaps,
            parts=Listed(parts, ","),
        )
    else:
        text = say(
            "For {crop} in {medium}, a week more in the tray adds {more} per ready seedling: it"
            " needs nothing more.",
            **gaps,
        )
    return ExtraWeek(planting.crop, medium.name, before.total, after.total, adds, text)


def _feed(scenario, planting, medium):
    if scenario.feed is None:
        return Remedy("feed", None, None, phrase("No feed is entered."))
    fed = requirement(scenario, replace(planting, remedy="feed"), medium)
    return _remedy("feed", scenario.feed.name, fed)


def _pot_on(scenario, planting, medium):
    if planting.pot_on is None:
        why_not = phrase("No bigger container to pot on into is entered.")
        return Remedy("pot_on", None, None, why_not)
    potted = requirement(scenario, replace(planting, remedy="pot_on"), medium)
    return _remedy("pot_on", planting.pot_on.medium, potted)


def _richer_mix(scenario, planting):
    row = [requirement(scenario, planting, medium) for medium in scenario.media]
    richer = [needed for needed in row if needed.ready and not needed.hungry_weeks]
    if not richer:
        return Remedy("richer_mix", None, None, phrase("No mix feeds until transplanting."))
    best = min(richer, key=lambda needed: needed.each.total)
    return _remedy("richer_mix", best.medium, best)


def _remedy(by, with_what, needed):
    if not needed.ready:
        return Remedy(by, with_what, None, needed.why_not)
    return Remedy(by, with_what, needed.each.total, None)


def _clause(remedy, currency):
    gaps = {"name": remedy.with_what, "each": Money(remedy.each, currency)}
    if remedy.by == "feed":
        return say("feeding with {name} costs {each}", **gaps)
    if remedy.by == "pot_on":
        return say("potting on into {name} costs {each}", **gaps)
    return say("{name} from the start costs {each}", **gaps)
