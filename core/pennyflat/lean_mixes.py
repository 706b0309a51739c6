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
    """One way to bring a sowing to transplanting."""

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
    """Feeding, potting on and a richer mix from the start, for one sowing in one lean mix."""

    crop: str
    medium: str
    hungry_weeks: float
    remedies: tuple[Remedy, ...]
    """The cheapest first, those that do not help last."""
    sentence: str


def remedies_compared(scenario, sowing, medium):
    """
    Whether to feed, to pot on, or to start in a mix that feeds long enough.

    The richer mix is the one with the lowest cost among the media that feed until transplanting.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
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
    >>> found = remedies_compared(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> [(remedy.by, remedy.each and round(remedy.each, 3)) for remedy in found.remedies]
    [('richer_mix', 0.18), ('feed', 0.205), ('pot_on', None)]
    >>> print(found.sentence)
    For tomato in Seed starter mix, hungry for 3 weeks, Bulk potting mix from the start costs ...
    """
    needed = requirement(scenario, sowing, medium)
    if not needed.hungry_weeks or not needed.cells:
        return None
    remedies = (
        _feed(scenario, sowing, medium),
        _pot_on(scenario, sowing, medium),
        _richer_mix(scenario, sowing),
    )
    ranked = sorted(remedies, key=lambda r: (r.each is None, r.each or 0.0))
    hungry = needed.hungry_weeks
    gaps = {
        "crop": sowing.crop,
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
    return RemediesCompared(sowing.crop, medium.name, hungry, tuple(ranked), text)


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


def extra_week(scenario, sowing, medium):
    """
    What one week more from sowing to transplanting costs.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
    medium : Medium
        One of the scenario's.

    Returns
    -------
    ExtraWeek or None
        None where the sowing is not ready as entered.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> print(extra_week(demo, demo.sowings[0], demo.medium("Seed starter mix")).sentence)
    For tomato in Seed starter mix, a week more in the tray adds 0.006 USD per ready seedling: ...
    """
    now = requirement(scenario, sowing, medium)
    if not now.ready:
        return None
    later = requirement(scenario, replace(sowing, weeks=sowing.weeks + 1), medium)
    before = now.each
    gaps = {"crop": sowing.crop, "medium": medium.name}
    if not later.ready:
        text = say(
            "For {crop} in {medium}, a week more in the tray is too much. {why_not}",
            **gaps,
            why_not=later.why_not,
        )
        return ExtraWeek(sowing.crop, medium.name, before.total, None, None, text)
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
    return ExtraWeek(sowing.crop, medium.name, before.total, after.total, adds, text)


def _feed(scenario, sowing, medium):
    if scenario.feed is None:
        return Remedy("feed", None, None, phrase("No feed is entered."))
    fed = requirement(scenario, replace(sowing, remedy="feed"), medium)
    return _remedy("feed", scenario.feed.name, fed)


def _pot_on(scenario, sowing, medium):
    if sowing.pot_on is None:
        why_not = phrase("No bigger container to pot on into is entered.")
        return Remedy("pot_on", None, None, why_not)
    potted = requirement(scenario, replace(sowing, remedy="pot_on"), medium)
    return _remedy("pot_on", sowing.pot_on.medium, potted)


def _richer_mix(scenario, sowing):
    row = [requirement(scenario, sowing, medium) for medium in scenario.media]
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


def rescue(scenario, sowing, medium, needed, others):
    """
    What would bring a sowing that stalls to transplanting, and for how much.

    Feeding is tried where the scenario has a feed, potting on where the sowing has its details,
    and another of the media from the start; the cheapest is named.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
    medium : Medium
    needed : Requirement
        Of this sowing in this medium.
    others : sequence of Requirement
        The sowing in each of the media.

    Returns
    -------
    dict or None
        `crop`, `medium`, `by` ("feed", "pot_on", "other_medium" or None where nothing entered
        helps), `with` (the feed or medium), `each` [currency per ready seedling] and a `sentence`;
        None where it is ready or no seed comes up.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> unfed = replace(demo.sowings[0], remedy="none")
    >>> stalled = [requirement(demo, unfed, medium) for medium in demo.media]
    >>> print(rescue(demo, unfed, demo.media[0], stalled[0], stalled)["sentence"])
    Bulk potting mix from the start would do, at 0.180 USD per ready seedling.
    """
    if needed.ready or needed.stalls_in_week is None:
        return None
    options = []
    if scenario.feed is not None and sowing.remedy == "none":
        options.append(("feed", scenario.feed.name, replace(sowing, remedy="feed")))
    if sowing.pot_on is not None and sowing.remedy != "pot_on":
        options.append(("pot_on", sowing.pot_on.medium, replace(sowing, remedy="pot_on")))
    tried = [(by, name, requirement(scenario, changed, medium)) for by, name, changed in options]
    tried += [("other_medium", other.medium, other) for other in others]
    found = {"crop": needed.crop, "medium": needed.medium}
    helpful = [(changed.each.total, by, name) for by, name, changed in tried if changed.ready]
    if not helpful:
        weeks = sowing.weeks * medium.pace
        text = say("Enter a feed, or pot on into a mix that feeds until week {week:g}.", week=weeks)
        return found | {"by": None, "with": None, "each": None, "sentence": text}
    each, by, name = min(helpful)
    text = _rescued(by, name=name, each=Money(each, scenario.currency))
    return found | {"by": by, "with": name, "each": each, "sentence": text}


def _rescued(by, **gaps):
    if by == "feed":
        return say("Feeding with {name} would do, at {each} per ready seedling.", **gaps)
    if by == "pot_on":
        return say("Potting on into {name} would do, at {each} per ready seedling.", **gaps)
    return say("{name} from the start would do, at {each} per ready seedling.", **gaps)
