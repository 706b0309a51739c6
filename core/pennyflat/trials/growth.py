"""How fast and how well the mixes of a trial bring a crop to size, by the recorded heights.

Size is a share of the tallest mix's height at the last observation. A mix's pace is its time to
size, interpolated linearly between observations, relative to the time at a pace of 1. Mixes whose
pace was measured before define a pace of 1, so that a pace taken over once stays the same; without
any, it is the mean of those tried. Pots of a mix show how far such times differ by chance.
"""

import math
from collections import defaultdict
from collections.abc import Container, Iterable
from dataclasses import dataclass
from itertools import pairwise

from pennyflat.scenario.trial import SCATTER, SCATTER_MM, Trial, charge_seen
from pennyflat.sentences import Amount, Said, say

SIZE = 0.7
"""Share of the tallest mix's mean height at the last observation that counts as size. Ours. [1]"""

STUNTED = 0.6
"""A mix is stunted if its plants are below this share of the tallest mix's in the same week. Ours,
no source. [1]"""

BETWEEN_POTS = 0.1
"""Spread of the time to size between pots of one mix if no mix has two: standard deviation, as a
share. Ours, no source. [1]"""

LEVEL = 0.8
"""Probability inside the ranges. [1]"""

Z = 1.2815515655446004
"""Upper 10 % point of the normal distribution. [1] By `statistics.NormalDist`."""


@dataclass(frozen=True, slots=True)
class Growth:
    """How one mix grew a crop."""

    medium: str
    pots: int
    """Pots with heights. [count]"""
    height_mm: float | None
    """Mean at its last observation; None if no height was measured. [mm]"""
    week: float | None
    """Week of that observation. [weeks from sowing]"""
    pace: float | None
    """Time to size relative to a pace of 1; a lower bound if it never got there; None if no other
    mix was measured, or it ran out of feed before it got there. [1]"""
    low: float | None
    """80 % range. [1]"""
    high: float | None
    """None if it never got to size. [1]"""
    is_stunted: bool
    is_yellow: bool
    """Whether its oldest leaves yellowed before any feeding, or were yellow at the end."""
    is_hungry: bool = False
    """Whether it was seen to run out of feed, so that feeding helps."""
    is_yellow_fed: bool = False
    """Whether its oldest leaves were yellow at the last observation although it was fed."""

    @property
    def is_unfit(self) -> bool:
        """Stunted or yellow, but not for lack of feed: never ready."""
        return self.is_yellow_fed or (self.is_stunted and not self.is_hungry)


def growth_of(
    trials: Iterable[Trial],
    crop: str,
    paces: dict[str, float],
    measured: Container[str] = (),
) -> dict[str, Growth]:
    """
    How each mix that was tried grew a crop.

    Parameters
    ----------
    trials : iterable of Trial
    crop : str
    paces : dict of str to float
        Pace entered for each mix, 1 if missing. [1]
    measured : container of str
        Mixes whose pace was measured.

    Returns
    -------
    dict of str to Growth
        By mix, in the order written down, those with heights first; a mix without a height is only
        included if its leaves were yellow.

    Examples
    --------
    >>> from pennyflat.scenario.trial import Look, Trial
    >>> def pot(mix, *heights):
    ...     looks = tuple(Look(week, mm) for week, mm in enumerate(heights, start=2))
    ...     return Trial(mix, "leek", 5, looks=looks)
    >>> found = growth_of([pot("Fine", 20, 40, 60, 80), pot("Lean", 10, 20, 30, 40)], "leek", {})
    >>> fine, lean = found["Fine"], found["Lean"]
    >>> fine.pace, lean.pace, lean.high, lean.is_stunted
    (1.0, 1.316, None, True)
    """
    trials = [trial for trial in trials if trial.crop == crop]
    signs, pots = _signs(trials), defaultdict(list)
    for trial in trials:
        seen = _heights(trial)
        if seen and seen[-1][0] > 0:  # nothing has grown by the day of sowing
            pots[trial.medium].append(seen)
    found = _by_heights(pots, signs, paces, measured) if pots else {}
    for mix in dict.fromkeys(trial.medium for trial in trials):
        is_hungry, is_yellow, is_yellow_fed = (mix in mixes for mixes in signs)
        if mix not in found and (is_yellow or is_yellow_fed):
            found[mix] = Growth(
                mix,
                pots=0,
                height_mm=None,
                week=None,
                pace=None,
                low=None,
                high=None,
                is_stunted=False,
                is_yellow=True,
                is_hungry=is_hungry,
                is_yellow_fed=is_yellow_fed,
            )
    return found


def _by_heights(pots, signs, paces, measured):
    """Growth of the mixes with recorded heights: (week, height) by pot and mix."""
    size = SIZE * max(_mean(seen[-1][1] for seen in own) for own in pots.values())
    times = {mix: [_week_of(seen, size) for seen in own] for mix, own in pots.items()}
    reached = {mix: [math.log(t) for t in own] for mix, own in times.items() if None not in own}
    anchors = [mix for mix in reached if mix in measured] or list(reached)
    base = _mean(_mean(reached[mix]) - math.log(paces.get(mix, 1.0)) for mix in anchors)
    spread = _spread(reached, pots, size)
    found = {}
    for mix, own in pots.items():
        is_hungry, is_yellow, is_yellow_fed = (mix in mixes for mixes in signs)
        pace = low = high = None
        if len(pots) > 1 and reached and (mix in reached or not is_hungry):
            pace, low, high = _pace(mix, pots, reached, anchors, base, spread)
        found[mix] = Growth(
            mix,
            pots=len(own),
            height_mm=_mean(seen[-1][1] for seen in own),
            week=max(seen[-1][0] for seen in own),
            pace=pace,
            low=low,
            high=high,
            is_stunted=_is_stunted(own, pots),
            is_yellow=is_yellow or is_yellow_fed,
            is_hungry=is_hungry,
            is_yellow_fed=is_yellow_fed,
        )
    return found


def quality_of(growth: Growth, crop: str) -> Said | None:
    """
    What is wrong with the seedlings of a mix, in a sentence; None if nothing was seen.

    Parameters
    ----------
    growth : Growth
    crop : str

    Returns
    -------
    str or None

    Examples
    --------
    >>> poor = Growth("Lean", 2, 31.0, 6.0, 1.4, 1.3, None, is_stunted=True, is_yellow=False)
    >>> print(quality_of(poor, "leek"))
    Lean: leek stayed stunted, 31 mm in week 6; it is not ready just because its weeks are over.
    """
    gaps: dict[str, object] = {"mix": growth.medium, "crop": crop}
    if growth.height_mm is not None:
        gaps |= {"height": Amount(growth.height_mm, "height"), "week": growth.week}
    if growth.is_yellow_fed:
        return say(
            "{mix}: {crop} was yellow although it was fed; it is not ready just because its weeks"
            " are over.",
            **gaps,
        )
    if growth.is_unfit:
        return say(
            "{mix}: {crop} stayed stunted, {height:.0f} in week {week:g}; it is not ready just"
            " because its weeks are over.",
            **gaps,
        )
    if growth.is_stunted:
        return say(
            "{mix}: {crop} was stunted, {height:.0f} in week {week:g}, for it had run out of feed;"
            " it gets ready only if it is fed.",
            **gaps,
        )
    if growth.is_yellow:
        return say(
            "{mix}: the oldest leaves of {crop} yellowed, for it had run out of feed; it gets ready"
            " only if it is fed.",
            **gaps,
        )
    return None


def t_point(freedom: int) -> float:
    """
    Upper 10 % point of Student's t distribution.

    Closed forms for one and two degrees of freedom, otherwise the expansion in their inverse.
    [Fisher and Cornish 1960, Technometrics 2, from memory]

    Parameters
    ----------
    freedom : int
        Degrees of freedom, at least 1. [count]

    Returns
    -------
    float
        [1]

    Examples
    --------
    >>> t_point(1), t_point(2), t_point(5)
    (3.0777, 1.8856, 1.476)
    """
    if freedom == 1:
        return 1 / math.tan(math.pi / 10)
    if freedom == 2:
        return (2 * LEVEL - 1 + 0.2) * math.sqrt(2 / (1 - LEVEL**2))
    z, n = Z, freedom
    return (
        z
        + (z**3 + z) / (4 * n)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * n**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * n**3)
    )


def _heights(trial):
    """Week and height of each observation up to and including the first feeding."""
    until = min(trial.fed_in_weeks, default=math.inf)
    return [
        (look.week, look.height_mm)
        for look in trial.looks
        if look.height_mm is not None and look.week <= until
    ]


def _signs(trials):
    """Mixes that ran out of feed, whose leaves then yellowed, and that were yellow though fed."""
    hungry, yellow, yellow_fed = set(), set(), set()
    for trial in trials:
        seen = charge_seen(trial)
        if seen is not None and seen.by is not None:
            hungry.add(trial.medium)
            if seen.sign == "yellowing":
                yellow.add(trial.medium)
        looked = [look for look in trial.looks if look.leaves is not None]
        fed = min(trial.fed_in_weeks, default=math.inf)
        if looked and looked[-1].leaves == "yellowing" and looked[-1].week > fed:
            yellow_fed.add(trial.medium)
    return hungry, yellow, yellow_fed


def _week_of(seen, size):
    """Week in which a height was reached, interpolated from 0 at sowing; None if it was not."""
    for (week, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if taller >= size > mm:
            return week + (size - mm) / (taller - mm) * (later - week)
    return None


def _spread(reached, pots, size):
    """Standard deviation of the logarithm of a pot's time; its degrees of freedom, 0 if assumed."""
    freedom = sum(len(logs) - 1 for logs in reached.values())
    measuring = _measuring(pots, size)
    if not freedom:
        return math.hypot(BETWEEN_POTS, measuring), 0
    squares = math.fsum((log - _mean(logs)) ** 2 for logs in reached.values() for log in logs)
    return max(math.sqrt(squares / freedom), measuring), freedom


def _measuring(pots, size):
    """Measuring error of a time to size, as a share: the scatter of a height over its growth."""
    scatter = max(SCATTER_MM, SCATTER * size)
    rates = [
        scatter / (seen[-1][1] / seen[-1][0]) / seen[-1][0]
        for own in pots.values()
        for seen in own
        if seen[-1][1] > 0
    ]
    return _mean(rates) if rates else 0.0


def _pace(mix, pots, reached, anchors, base, spread):
    """Pace and its range; a lower bound without an upper end if it never got to size."""
    sd, freedom = spread
    if mix not in reached:
        least = max(seen[-1][0] for seen in pots[mix]) / math.exp(base)
        return least, least, None
    own = sd**2 / len(pots[mix])
    of_base = math.fsum(sd**2 / len(reached[name]) for name in anchors) / len(anchors) ** 2
    shared = 2 * own / len(anchors) if mix in anchors else 0.0  # it is part of what defines 1
    error = math.sqrt(max(own + of_base - shared, 0.0))
    point = t_point(freedom) if freedom else Z
    log = _mean(reached[mix]) - base
    return math.exp(log), math.exp(log - point * error), math.exp(log + point * error)


def _is_stunted(own, pots):
    """Whether its plants are far below the tallest mix's in the same week."""
    week = max(seen[-1][0] for seen in own)
    here = _mean(seen[-1][1] for seen in own)
    best = max(_mean(_height_at(seen, week) for seen in other) for other in pots.values())
    return here < STUNTED * best


def _height_at(seen, week):
    """Height in a week, interpolated linearly; after the last observation, its height. [mm]"""
    for (before, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if week <= later:
            return mm + (week - before) / (later - before) * (taller - mm)
    return seen[-1][1]


def _mean(values):
    values = tuple(values)
    return math.fsum(values) / len(values) if values else 0.0
