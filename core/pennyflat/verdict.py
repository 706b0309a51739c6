"""Which medium is cheapest for a planting, by how much, what decides it and when that flips.

Every word is computed from the figures. Two bases are kept apart: *as used*, per transplant-ready
seedling, and *at the till*, whole packages of medium, additions and feed for the number wanted.
"""

from dataclasses import dataclass, fields, replace

from pennyflat.cost import Costs, requirement
from pennyflat.saying import Listed, Money, phrase, say
from pennyflat.till import look_ahead, stretches

DECIDERS = {
    "medium": phrase("its growing medium costs less"),
    "feed": phrase("it needs less feed"),
    "seed": phrase("its seed costs less"),
    "container": phrase("its containers cost less"),
    "energy": phrase("it needs less light and heat"),
    "labour": phrase("it needs less work"),
    "emergence": phrase("more of its seeds come up"),
    "whole packages": phrase("packages are sold whole"),
}
"""What can decide between two media, and how a sentence gives it as a reason."""

SAME = 1e-9
"""Difference in money below which two costs are the same. [currency]"""


@dataclass(frozen=True, slots=True)
class Effect:
    """Part of the difference between two media, per ready seedling."""

    of: str
    """A key of `DECIDERS`."""
    saves: float
    """What it saves in the first medium; negative where it costs more. [currency]"""


def verdict(planting, requirements, *, paid, steps, currency):
    """
    The verdict on one planting.

    Parameters
    ----------
    planting : Planting
    requirements : sequence of Requirement
        The planting in each of the scenario's media.
    paid : dict of str to float
        Money at the till for the number wanted, by medium; those that limits rule out are left
        out. [currency]
    steps : dict of str to tuple of Step
        Money at the till for every number, by medium, for those that are ready. [currency]
    currency : str
        Its code.

    Returns
    -------
    dict
        `crop`, `wanted`; `cheapest` and `runner_up`, media by cost as used, None where there is
        none; `each`, `saves` [currency per ready seedling]; `decided_by`, a key of `DECIDERS`;
        `at_the_till`, the medium that costs least there for the number wanted; `till_ranges`,
        which medium costs least at the till `from` and `to` which number; `sentence`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.report import compare
    >>> from pennyflat.scenario import read
    >>> found = compare(read(DEMO))["verdicts"][0]
    >>> found["cheapest"], found["decided_by"], found["at_the_till"]
    ('Bulk potting mix', 'medium', 'Seed starter mix')
    """
    ready = sorted(
        (needed for needed in requirements if needed.ready),
        key=lambda needed: needed.each.total,
    )
    best, second = [*ready, None, None][:2]
    effect = _main_effect(best, second) if second else None
    preferred = [needed.medium for needed in ready if needed.medium in paid]
    up_to = look_ahead(planting.wanted)
    ranges = stretches({needed.medium: steps[needed.medium] for needed in ready}, up_to)
    found = {
        "crop": planting.crop,
        "wanted": planting.wanted,
        "cheapest": best.medium if best else None,
        "each": best.each.total if best else None,
        "runner_up": second.medium if second else None,
        "saves": second.each.total - best.each.total if second else None,
        "decided_by": effect.of if effect else None,
        "at_the_till": min(preferred, key=paid.get) if preferred else None,
        "till_ranges": [
            {"from": stretch.first, "to": stretch.last, "medium": stretch.medium}
            for stretch in ranges
        ],
    }
    if found["at_the_till"] not in (None, found["cheapest"]):
        found["decided_by_at_the_till"] = "whole packages"
    return found | {"sentence": sentence(found, paid, currency)}


def effects(first, second):
    """
    What makes one medium cheaper than another per ready seedling, part by part.

    A cost per ready seedling is a cost per cell divided by the share of cells that end ready. The
    difference of two such quotients is split into the part due to each cost per cell, at the mean
    of both shares, and the part due to the shares, at the mean of both costs; the parts add up to
    the whole. [The midpoint split of a difference of products: Kitagawa 1955, J. Am. Stat. Assoc.
    50, 1168-1194, from memory.]

    Parameters
    ----------
    first, second : Requirement
        Both ready.

    Returns
    -------
    list of Effect
        Their `saves` add up to the second's cost per ready seedling less the first's. [currency]

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> lettuce = demo.plantings[1]
    >>> lean, rich = (requirement(demo, lettuce, medium) for medium in demo.media[:2])
    >>> [(effect.of, round(effect.saves, 4)) for effect in effects(lean, rich) if effect.saves]
    [('medium', -0.0126), ('feed', -0.0005), ('emergence', 0.032)]
    """
    mean_cells = (1 / first.ready_share + 1 / second.ready_share) / 2
    more_cells = 1 / second.ready_share - 1 / first.ready_share
    one, other = first.costs.each(first.cells), second.costs.each(second.cells)
    found = [
        Effect(f.name, (getattr(other, f.name) - getattr(one, f.name)) * mean_cells)
        for f in fields(Costs)
    ]
    return [*found, Effect("emergence", more_cells * (one.total + other.total) / 2)]


def sentence(found, paid, currency):
    """
    The verdict in one plain sentence.

    Parameters
    ----------
    found : dict
        As from `verdict`, without its sentence.
    paid : dict of str to float
        Money at the till, by medium. [currency]
    currency : str
        Its code.

    Returns
    -------
    Said

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.report import compare
    >>> from pennyflat.scenario import read
    >>> print(compare(read(DEMO))["verdicts"][0]["sentence"])
    For tomato, Bulk potting mix costs least as used at 0.180 USD per ready seedling, ...
    """
    if found["cheapest"] is None:
        return say(
            "For {crop}, none of these mixes brings a seedling to transplanting as things stand.",
            crop=found["crop"],
        )
    clauses = (_as_used_clause(found, currency), *_till_clauses(found, paid, currency))
    return say("{clauses}.", clauses=Listed(clauses, ";"))


def rescue(scenario, planting, medium, needed, others):
    """
    What would bring a planting that stalls to transplanting, and for how much.

    Feeding is tried where the scenario has a feed, potting on where the planting has its details,
    and another of the media from the start; the cheapest is named.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
    medium : Medium
    needed : Requirement
        Of this planting in this medium.
    others : sequence of Requirement
        The planting in each of the media.

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
    >>> unfed = replace(demo.plantings[0], remedy="none")
    >>> stalled = [requirement(demo, unfed, medium) for medium in demo.media]
    >>> print(rescue(demo, unfed, demo.media[0], stalled[0], stalled)["sentence"])
    Bulk potting mix from the start would do, at 0.180 USD per ready seedling.
    """
    if needed.ready or needed.stalls_in_week is None:
        return None
    options = []
    if scenario.feed is not None and planting.remedy == "none":
        options.append(("feed", scenario.feed.name, replace(planting, remedy="feed")))
    if planting.pot_on is not None and planting.remedy != "pot_on":
        options.append(("pot_on", planting.pot_on.medium, replace(planting, remedy="pot_on")))
    tried = [(by, name, requirement(scenario, changed, medium)) for by, name, changed in options]
    tried += [("other_medium", other.medium, other) for other in others]
    found = {"crop": needed.crop, "medium": needed.medium}
    helpful = [(changed.each.total, by, name) for by, name, changed in tried if changed.ready]
    if not helpful:
        weeks = planting.weeks * medium.pace
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


def _main_effect(best, second):
    return max(effects(best, second), key=lambda effect: effect.saves)


def _as_used_clause(found, currency):
    """Which medium costs least as used."""
    gaps = {
        "crop": found["crop"],
        "cheapest": found["cheapest"],
        "each": Money(found["each"], currency),
    }
    if found["runner_up"] is None:
        return say(
            "For {crop}, only {cheapest} brings seedlings to transplanting, at {each} per ready"
            " seedling",
            **gaps,
        )
    gaps["other"] = found["runner_up"]
    if found["saves"] < SAME:
        return say(
            "For {crop}, {cheapest} and {other} cost the same as used, {each} per ready seedling",
            **gaps,
        )
    return say(
        "For {crop}, {cheapest} costs least as used at {each} per ready seedling, {saves} less than"
        " {other}, mainly because {reason}",
        **gaps,
        saves=Money(found["saves"], currency),
        reason=DECIDERS[found["decided_by"]],
    )


def _till_clauses(found, paid, currency):
    """What the till says, and from which numbers it says otherwise."""
    winner, cheapest, wanted = found["at_the_till"], found["cheapest"], found["wanted"]
    if winner is None or len(paid) < 2:
        return []
    if winner == cheapest:
        clause = say(
            "it also costs least at the till for {wanted}, {pays}",
            wanted=wanted,
            pays=Money(paid[winner], currency),
        )
    elif cheapest in paid:
        clause = say(
            "at the till {winner} costs less for {wanted}, {pays} against {others}, because"
            " {reason}",
            winner=winner,
            wanted=wanted,
            pays=Money(paid[winner], currency),
            others=Money(paid[cheapest], currency),
            reason=DECIDERS["whole packages"],
        )
    else:
        clause = say(
            "{winner} is the cheapest that the limits leave for {wanted}",
            winner=winner,
            wanted=wanted,
        )
    return [clause, *_flips(found["till_ranges"], wanted)]


def _flips(ranges, wanted):
    """The nearest numbers at which another medium costs less at the till."""
    place = next((i for i, r in enumerate(ranges) if r["from"] <= wanted <= r["to"]), None)
    if place is None:
        return []
    clauses = []
    if place > 0:
        clauses.append(_flip_below(ranges[place - 1]))
    if place + 1 < len(ranges):
        clauses.append(_flip_above(ranges[place + 1], is_last=place + 2 == len(ranges)))
    return clauses


def _flip_below(below):
    gaps = {"number": below["to"] + 1, "medium": below["medium"]}
    if below["from"] == 1:
        return say("below {number} {medium} costs less there", **gaps)
    return say(
        "below {number} (down to {first}) {medium} costs less there", first=below["from"], **gaps
    )


def _flip_above(above, *, is_last):
    gaps = {"number": above["from"], "medium": above["medium"]}
    if is_last:
        return say("from {number} on {medium} costs less there", **gaps)
    return say("from {number} to {last} {medium} costs less there", last=above["to"], **gaps)
