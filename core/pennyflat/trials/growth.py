"""How fast and how well the mixes of a trial bring a crop to size, and what a plan learns from it.

Size is a share of the tallest mix's height at the last observation. A mix's pace is its time to
size, interpolated linearly between observations, relative to the time at a pace of 1. Mixes whose
pace was measured before define a pace of 1, so that a pace taken over once stays the same; without
any, it is the mean of those tried. Pots of a mix show how far such times differ by chance.
"""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist, fmean

from pennyflat.chances.beta import beta_quantile
from pennyflat.scenario.checking import Document
from pennyflat.scenario.records import Medium, Sowing
from pennyflat.scenario.trial import SCATTER, SCATTER_MM, Lesson, Trial, charge_seen
from pennyflat.sentences import Amount, Said, phrase, say, say_count
from pennyflat.trials.findings import Days, Known

SIZE = 0.7
"""Share of the tallest mix's mean height at the last observation that counts as size. Ours. [1]"""

STUNTED = 0.6
"""A mix is stunted if its plants are below this share of the tallest mix's in the same week. Ours,
no source. [1]"""

BETWEEN_POTS = 0.1
"""Spread of the time to size between pots of one mix if no mix has two: standard deviation, as a
share. Ours, no source. [1]"""

Z = NormalDist().inv_cdf(0.9)
"""For ranges of 80 %. [1]"""


@dataclass(frozen=True, slots=True)
class Growth:
    """How one mix grew a crop."""

    medium: str
    pots: int = 0
    """Pots with heights. [count]"""
    height_mm: float | None = None
    """Mean at its last observation; None if no height was measured. [mm]"""
    week: float | None = None
    """Week of that observation. [weeks from sowing]"""
    pace: float | None = None
    """Time to size relative to a pace of 1; a lower bound if it never got there; None if no other
    mix was measured, or it ran out of feed before it got there. [1]"""
    low: float | None = None
    """80 % range. [1]"""
    high: float | None = None
    """None if it never got to size. [1]"""
    is_stunted: bool = False
    is_yellow: bool = False
    """Whether its oldest leaves yellowed before any feeding, or were yellow at the end."""
    is_yellow_fed: bool = False
    """Whether its oldest leaves were yellow at the last observation although it was fed."""
    is_unfit: bool = False
    """Whether it is stunted or yellow, but not for lack of feed: never ready."""


def growth_of(
    trials: Iterable[Trial], crop: str, media: Iterable[Medium] = ()
) -> dict[str, Growth]:
    """
    How each mix that was tried grew a crop, by the paces of the `media` on the shelf.

    In the order written down, those with heights first; a mix without a height is only included if
    its leaves were yellow. A pace is 1 if missing.
    """
    trials = [trial for trial in trials if trial.crop == crop]
    pots, hungry, yellow, yellow_fed = defaultdict(list), set(), set(), set()
    for trial in trials:
        fed = min(trial.fed_in_weeks, default=math.inf)
        unfed = [look for look in trial.looks if look.week <= fed]
        seen = [(look.week, look.height_mm) for look in unfed if look.height_mm is not None]
        if seen and seen[-1][0] > 0:  # nothing has grown by the day of sowing
            pots[trial.medium].append(seen)
        charge = charge_seen(trial)
        if charge and charge.by is not None:
            hungry.add(trial.medium)
        if charge and charge.sign == "yellowing":
            yellow.add(trial.medium)
        looked = [look for look in trial.looks if look.leaves]
        if looked and looked[-1].leaves == "yellowing" and looked[-1].week > fed:
            yellow_fed.add(trial.medium)
    paced, found = _paces(pots, hungry, list(media)), {}
    for mix in dict.fromkeys([*pots, *(trial.medium for trial in trials)]):
        if mix in pots or mix in yellow | yellow_fed:
            last = _last(pots[mix], pots) if mix in pots else {"is_stunted": False}
            found[mix] = Growth(
                mix,
                **last,
                **paced.get(mix, {}),
                is_yellow=mix in yellow | yellow_fed,
                is_yellow_fed=mix in yellow_fed,
                is_unfit=mix in yellow_fed or (last["is_stunted"] and mix not in hungry),
            )
    return found


def _last(own, pots):
    """What the last heights of a mix show, from (week, height) of each observation, by pot."""
    week, mm = max(seen[-1][0] for seen in own), fmean(seen[-1][1] for seen in own)
    tallest = max(fmean(_height_at(seen, week) for seen in other) for other in pots.values())
    return {"pots": len(own), "height_mm": mm, "week": week, "is_stunted": mm < STUNTED * tallest}


def _paces(pots, hungry, media):
    """Pace of each mix and its range; no upper end, but a lower bound, if it never got to size."""
    if len(pots) < 2:
        return {}
    size = SIZE * max(fmean(seen[-1][1] for seen in own) for own in pots.values())
    times = {mix: [_week_of(seen, size) for seen in own] for mix, own in pots.items()}
    reached = {mix: [math.log(t) for t in own] for mix, own in times.items() if None not in own}
    if not reached:
        return {}
    paces = {mix.name: mix.pace for mix in media}
    measured = [mix.name for mix in media if "pace" in mix.measured and mix.name in reached]
    anchors = measured or list(reached)
    base = fmean(fmean(reached[mix]) - math.log(paces.get(mix, 1.0)) for mix in anchors)
    sd, point = _spread(reached, pots, size)
    of_base = math.fsum(sd**2 / len(reached[mix]) for mix in anchors) / len(anchors) ** 2
    found = {}
    for mix, own in pots.items():
        if mix in reached:
            variance = sd**2 / len(own)
            shared = 2 * variance / len(anchors) if mix in anchors else 0.0  # it defines 1, too
            reach = point * math.sqrt(max(variance + of_base - shared, 0.0))
            log = fmean(reached[mix]) - base
            pace, low, high = (math.exp(log + off) for off in (0.0, -reach, reach))
            found[mix] = {"pace": pace, "low": low, "high": high}
        elif mix not in hungry:
            least = max(seen[-1][0] for seen in own) / math.exp(base)
            found[mix] = {"pace": least, "low": least}
    return found


def _spread(reached, pots, size):
    """Standard deviation of the logarithm of a pot's time; how many of them reach to 80 %."""
    scatter = max(SCATTER_MM, SCATTER * size)  # measuring error, as a share of the growth
    last = (seen[-1][1] for own in pots.values() for seen in own)
    measuring = fmean([scatter / mm for mm in last if mm > 0] or [0.0])
    freedom = sum(len(logs) - 1 for logs in reached.values())
    if not freedom:
        return math.hypot(BETWEEN_POTS, measuring), Z
    squares = math.fsum((log - fmean(logs)) ** 2 for logs in reached.values() for log in logs)
    return max(math.sqrt(squares / freedom), measuring), t_point(freedom)


def t_point(freedom: int) -> float:
    """
    Upper 10 % point of Student's t distribution with so many degrees of freedom, at least 1.

    From the beta distribution of n / (n + t²). [Abramowitz and Stegun 26.7.1, from memory]
    """
    return math.sqrt(freedom / beta_quantile(freedom / 2, 0.5, 0.2) - freedom)


def _week_of(seen, size):
    """Week in which a height was reached, interpolated from 0 at sowing; None if it was not."""
    for (week, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if taller >= size > mm:
            return week + (size - mm) / (taller - mm) * (later - week)
    return None


def _height_at(seen, week):
    """Height in a week, interpolated linearly; after the last observation, its height. [mm]"""
    for (before, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if week <= later:
            return mm + (week - before) / (later - before) * (taller - mm)
    return seen[-1][1]


def quality_of(growth: Growth, crop: str) -> Said | None:
    """What is wrong with the seedlings of a mix, in a sentence; None if nothing was seen."""
    gaps: dict[str, object] = {"mix": growth.medium, "crop": crop}
    if growth.height_mm is not None:
        gaps |= {"height": Amount(growth.height_mm, "height"), "week": growth.week}
    names = ("is_yellow_fed", "is_unfit", "is_stunted", "is_yellow")
    seen = next((name for name in names if getattr(growth, name)), None)
    if seen is None:
        return None
    return say(
        {
            "is_yellow_fed": "{mix}: {crop} was yellow although it was fed; it is not ready just"
            " because its weeks are over.",
            "is_unfit": "{mix}: {crop} stayed stunted, {height:.0f} in week {week:g}; it is not"
            " ready just because its weeks are over.",
            "is_stunted": "{mix}: {crop} was stunted, {height:.0f} in week {week:g}, for it had run"
            " out of feed; it gets ready only if it is fed.",
            "is_yellow": "{mix}: the oldest leaves of {crop} yellowed, for it had run out of feed;"
            " it gets ready only if it is fed.",
        }[seen],
        **gaps,
    )


def days_of(growth: Growth, sowing: Sowing, medium: Medium) -> dict[str, float | None] | None:
    """
    How many days later than planned a crop comes to size in a mix, with the 80 % range.

    Negative is earlier; `high` is None if it did not come to size. The result is None if its pace
    is not known, or it is unfit and may never come to size.
    """
    if growth.pace is None or growth.is_unfit:
        return None
    paces = {"later": growth.pace, "low": growth.low, "high": growth.high}
    return {
        name: None if pace is None else 7 * sowing.weeks * (pace - medium.pace)
        for name, pace in paces.items()
    }


def days_said(days: Days, mix: str, crop: str) -> Said:
    """When a crop comes to size in a mix compared with the plan, as a sentence."""
    gaps: dict[str, object] = {"mix": mix, "crop": crop, "when": _shift(days["later"])}
    if days["high"] is None:
        return say(
            "{crop} in {mix} had not come to size at the last look: against your plan, at the"
            " earliest {when}.",
            **gaps,
        )
    low, high = _shift(days["low"]), _shift(days["high"])
    if low == high:
        return say("Against your plan, {crop} in {mix} comes to size {when}.", **gaps)
    return say(
        "Against your plan, {crop} in {mix} comes to size {when}, likely between {low} and {high}.",
        **gaps,
        low=low,
        high=high,
    )


def _shift(days):
    """A number of days later or earlier, in words."""
    count = round(days)
    if count < 0:
        return say_count(-count, "{days} day sooner", "{days} days sooner", days=-count)
    if count > 0:
        return say_count(count, "{days} day later", "{days} days later", days=count)
    return phrase("on time")


def known_of(learnt: Lesson | None, growth: Growth | None) -> Known | None:
    """
    What one tap takes over into a mix: emergence, weeks of feeding, pace, and being unfit, if any.
    """
    charge = learnt.charge if learnt else None
    is_unfit = growth is not None and growth.is_unfit
    pace = None if growth is None or is_unfit else growth.pace  # unfit, it may never get to size
    if learnt is None and pace is None and not is_unfit:
        return None
    weeks_at_least = charge is not None and charge.by is None
    pace_at_least = pace is not None and growth is not None and growth.high is None
    measured = ["feeds_for_weeks"] if charge and not weeks_at_least else []
    measured += ["pace"] if pace is not None and not pace_at_least else []
    return {
        "emergence": {"up": learnt.up, "sown": learnt.sown} if learnt and learnt.sown else None,
        "feeds_for_weeks": charge.weeks if charge else None,
        "is_at_least": weeks_at_least,
        "pace": pace and round(pace, 2),
        "pace_is_at_least": pace_at_least,
        "unfit": is_unfit,
        "measured": measured,
    }


def taken_over(row: Document, crop: str, known: Known) -> Document:
    """
    A mix of a document with what a trial of one crop showed about it.

    Lower bounds on weeks and pace replace only smaller values. The row of `media` is a new one.

    >>> known = known_of(Lesson(9, 10, None), None)
    >>> taken_over({"name": "Fine mix", "feeds_for_weeks": 3}, "leek", known)
    {'name': 'Fine mix', 'feeds_for_weeks': 3, 'emergence': {'leek': {'up': 9, 'sown': 10}}}
    """
    row = dict(row)
    if known["emergence"] is not None:
        row["emergence"] = {**(row.get("emergence") or {}), crop: dict(known["emergence"])}
    for name, found, is_least in (
        ("feeds_for_weeks", known["feeds_for_weeks"], known["is_at_least"]),
        ("pace", known["pace"], known["pace_is_at_least"]),
    ):
        entered = row.get(name)
        is_enough = is_least and isinstance(entered, int | float) and entered >= (found or 0)
        if found is not None and not is_enough:
            row[name] = int(found) if found == int(found) else found
    before = row.get("unfit_for") or []
    unfit = [name for name in before if name != crop] + ([crop] if known["unfit"] else [])
    if unfit != before:
        row["unfit_for"] = unfit
    measured = {*(row.get("measured") or ()), *known["measured"]}
    if measured:
        row["measured"] = sorted(measured)
    return row
