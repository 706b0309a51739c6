"""How fast the mixes of a trial get a crop to size, by the heights written down, and how well.

Size is a share of what the tallest mix had reached at the last look. A mix's time to it, by
straight lines between looks, over the time that the paces entered would give, is its pace: 1 is the
mean of the mixes tried. Pots of a mix tell how far such times differ by chance.
"""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from pennyflat.scenario.trial import SCATTER, SCATTER_MM, Trial, charge_seen
from pennyflat.sentences import Said, say
from pennyflat.trials.findings import TriedMix

SIZE = 0.7
"""Share of the tallest mix's mean height at the last look that counts as size. Ours. [1]"""

STUNTED = 0.6
"""A mix is stunted whose plants are below this share of the tallest mix's in the same week. Ours,
no source. [1]"""

BETWEEN_POTS = 0.1
"""How far pots of one mix differ in time to size where no mix has two: standard deviation, as a
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
    height_mm: float
    """Mean at its last look. [mm]"""
    week: float
    """Of that look. [weeks from sowing]"""
    pace: float | None
    """Time to size over the mean of the mixes; the least it can be where it never got there; None
    where no other mix was measured. [1]"""
    low: float | None
    """80 % range. [1]"""
    high: float | None
    """None where it never got to size. [1]"""
    is_stunted: bool
    is_yellow: bool
    """Whether its oldest leaves had yellowed at a look before any feeding."""

    @property
    def is_sound(self) -> bool:
        """Neither stunted nor yellow: ready once the weeks are over."""
        return not (self.is_stunted or self.is_yellow)


def growth_of(trials: Iterable[Trial], crop: str, paces: dict[str, float]) -> dict[str, Growth]:
    """
    How each mix tried grew a crop.

    Parameters
    ----------
    trials : iterable of Trial
    crop : str
    paces : dict of str to float
        Pace entered of each mix, 1 where it is missing. [1]

    Returns
    -------
    dict of str to Growth
        By mix, in the order written down; mixes without a height are left out.

    Examples
    --------
    >>> from pennyflat.scenario.trial import Look, Trial
    >>> def pot(mix, *heights):
    ...     looks = tuple(Look(week, mm) for week, mm in enumerate(heights, start=2))
    ...     return Trial(mix, "leek", 5, looks=looks)
    >>> found = growth_of([pot("Fine", 20, 40, 60, 80), pot("Lean", 10, 20, 30, 40)], "leek", {})
    >>> fine, lean = found["Fine"], found["Lean"]
    >>> fine.pace, fine.is_sound, lean.pace, lean.high, lean.is_stunted
    (1.0, True, 1.316, None, True)
    """
    pots = defaultdict(list)
    for trial in trials:
        seen = _heights(trial)
        if trial.crop == crop and seen:
            pots[trial.medium].append(seen)
    if not pots:
        return {}
    size = SIZE * max(_mean(seen[-1][1] for seen in own) for own in pots.values())
    times = {mix: [_week_of(seen, size) for seen in own] for mix, own in pots.items()}
    reached = {mix: [math.log(t) for t in own] for mix, own in times.items() if None not in own}
    base = _mean(_mean(logs) - math.log(paces.get(mix, 1.0)) for mix, logs in reached.items())
    spread = _spread(reached, pots, size)
    yellow = {t.medium for t in trials if t.crop == crop and _is_yellow(t)}
    found = {}
    for mix, own in pots.items():
        pace, low, high = _pace(mix, pots, reached, base, spread)
        found[mix] = Growth(
            mix,
            pots=len(own),
            height_mm=_mean(seen[-1][1] for seen in own),
            week=max(seen[-1][0] for seen in own),
            pace=pace,
            low=low,
            high=high,
            is_stunted=_is_stunted(own, pots),
            is_yellow=mix in yellow,
        )
    return found


def quality_of(growth: Growth, crop: str) -> Said | None:
    """
    What is wrong with the seedlings of a mix, in a sentence; None where nothing was seen.

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
    Lean: leek is stunted, 31 mm in week 6; it is not ready because the weeks are over.
    """
    if growth.is_sound:
        return None
    gaps = {
        "mix": growth.medium,
        "crop": crop,
        "height": growth.height_mm,
        "week": growth.week,
    }
    if not growth.is_stunted:
        return say(
            "{mix}: the oldest leaves of {crop} had yellowed; it is not ready because the weeks are"
            " over.",
            mix=growth.medium,
            crop=crop,
        )
    if growth.is_yellow:
        return say(
            "{mix}: {crop} is stunted and yellow, {height:.0f} mm in week {week:g}; it is not ready"
            " because the weeks are over.",
            **gaps,
        )
    return say(
        "{mix}: {crop} is stunted, {height:.0f} mm in week {week:g}; it is not ready because the"
        " weeks are over.",
        **gaps,
    )


def pace_of(mix: TriedMix) -> list[str]:
    """
    How fast a mix gets its crop to size and what is wrong with its seedlings, as sentences.

    Parameters
    ----------
    mix : dict
        One of a crop's `mixes` in the report.

    Returns
    -------
    list of str

    Examples
    --------
    >>> pace_of({"medium": "Lean mix", "growth": {"pace": 1.2, "pace_80": [1.1, 1.3], "pots": 3,
    ...                                           "quality": None}})
    ['Lean mix takes 1.20 times as long to size as the mixes tried do on the mean (1.10 to...']
    """
    growth = mix["growth"]
    if growth is None:
        return []
    lines: list[str] = [growth["quality"]] if growth["quality"] else []
    if growth["pace"] is None:
        return lines
    low, high = growth["pace_80"] or (None, None)
    if high is None:
        said = say(
            "{mix} had not got its crop to size at the last look: it takes {pace:.2f} times as long"
            " as the mixes tried do on the mean, or longer.",
            mix=mix["medium"],
            pace=growth["pace"],
        )
    else:
        said = say(
            "{mix} takes {pace:.2f} times as long to size as the mixes tried do on the mean"
            " ({low:.2f} to {high:.2f}, 80 %).",
            mix=mix["medium"],
            pace=growth["pace"],
            low=low,
            high=high,
        )
    return [said, *lines]


def t_point(freedom: int) -> float:
    """
    Upper 10 % point of Student's t distribution.

    Closed forms for one and two degrees of freedom, beyond them the expansion in their inverse.
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
    """Week and height of each look before the first feeding and at it."""
    until = min(trial.fed_in_weeks, default=math.inf)
    return [
        (look.week, look.height_mm)
        for look in trial.looks
        if look.height_mm is not None and look.week <= until
    ]


def _is_yellow(trial):
    seen = charge_seen(trial)
    return seen is not None and seen.sign == "yellowing"


def _week_of(seen, size):
    """When a height was reached, by straight lines from 0 at sowing; None if it was not."""
    for (week, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if taller >= size:
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
    """What measuring alone does to a time, as a share: the scatter of a height over its growth."""
    scatter = max(SCATTER_MM, SCATTER * size)
    rates = [
        scatter / (seen[-1][1] / seen[-1][0]) / seen[-1][0]
        for own in pots.values()
        for seen in own
        if seen[-1][1] > 0 < seen[-1][0]
    ]
    return _mean(rates) if rates else 0.0


def _pace(mix, pots, reached, base, spread):
    """Pace and its range; the least it can be, and no upper end, where it never got to size."""
    sd, freedom = spread
    if len(pots) < 2 or not reached:
        return None, None, None
    if mix not in reached:
        least = max(seen[-1][0] for seen in pots[mix]) / math.exp(base)
        return least, least, None
    variance = sd**2 / len(pots[mix])  # and of the mean of all, of which it is a part
    mean_of_all = math.fsum(sd**2 / len(reached[name]) for name in reached) / len(reached) ** 2
    shared = 2 * variance / len(reached)
    error = math.sqrt(max(variance + mean_of_all - shared, 0.0))
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
    """Height in a week, by straight lines; after the last look, that of the last look. [mm]"""
    for (before, mm), (later, taller) in pairwise([(0.0, 0.0), *seen]):
        if week <= later:
            return mm + (week - before) / (later - before) * (taller - mm)
    return seen[-1][1]


def _mean(values):
    values = tuple(values)
    return math.fsum(values) / len(values) if values else 0.0
