"""What matters: how the cost of a ready seedling changes if one assumption at a time is wrong.

Each assumption is set to a low and a high plausible value with all others as entered (a
one-at-a-time sensitivity, drawn as a tornado chart). Only guesses are varied, not prices, which are
printed on the label. Costs are as used, per transplant-ready seedling.
"""

from dataclasses import replace
from functools import partial
from math import inf
from typing import NamedTuple

from pennyflat.chances.proportion import jeffreys_interval
from pennyflat.growing.cost import requirement
from pennyflat.growing.sowing import expected_share
from pennyflat.scenario.records import Counts, Medium, Scenario, Sowing
from pennyflat.sentences import phrase


class Range(NamedTuple):
    """How far off an assumption may plausibly be."""

    name: str
    unit: str
    """Of the value; "1" for a share."""
    basis: str


GERMINATION = Range(phrase("germination"), "1", phrase("ours, no source: 0.1 to either side"))
COUNTED = Range(
    phrase("germination"), "1", phrase("what was counted leaves so much open, four times in five")
)
FILL_LOSS = Range(
    phrase("fill loss"), "1", phrase("common practice, no primary source: 0.10 to 0.20")
)
WEEKS = Range(
    phrase("weeks in the tray"),
    "weeks",
    phrase(
        "a week to either side: printed ranges are one or two weeks wide (University of Delaware"
        " Cooperative Extension, transplant production, adapting Mid-Atlantic Commercial Vegetable"
        " Production Recommendations, Table A-4)"
    ),
)
CHARGE = Range(
    phrase("weeks the mix feeds"),
    "weeks",
    phrase(
        "1.5 weeks to either side: what is said of starter mixes runs from 3 to 6 weeks (common"
        " practice, sources disagree)"
    ),
)
STRENGTH = Range(
    phrase("feed strength"),
    "of the dose",
    phrase(
        "half the dose to one and a half: 50 to 150 mg N/L are in use for seedlings (from memory)"
    ),
)

COUNTED_LEVEL = 0.8
"""Level of Jeffreys' interval for a counted germination. [1] Ours."""
LEAST_GERMINATION = 0.001
"""Lower limit of the ranges: the least a scenario accepts. [1]"""


class Swing(NamedTuple):
    """What a wrong value of one assumption does to the cost of a ready seedling."""

    range: Range
    entered: float
    low: float
    high: float
    """Values of the assumption. [unit of the range]"""
    each_low: float | None
    each_high: float | None
    """Cost at these; None if no seedling is ready. [currency per ready seedling]"""

    @property
    def width(self) -> float:
        """Difference the assumption can make; infinite if seedlings may stall. [currency]"""
        if self.each_low is None or self.each_high is None:
            return inf
        return abs(self.each_high - self.each_low)


class WhatMatters(NamedTuple):
    """The assumptions about one sowing in one medium, the most important first."""

    crop: str
    medium: str
    each: float
    """Cost as entered. [currency per ready seedling]"""
    swings: tuple[Swing, ...]


def what_matters(scenario: Scenario, sowing: Sowing, medium: Medium) -> WhatMatters | None:
    """
    How the cost of a ready seedling changes with each assumption, the widest swing first.

    Germination is the medium's `emergence` of the crop if it has one; for pre-sprouted seed, the
    germination on the towel. Weeks are those in this medium, `pace` included. The feed's strength
    is left out without a feed. None if the sowing is not ready as entered.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> found = what_matters(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> for swing in found.swings[:2]:
    ...     print(swing.range.name, round(swing.each_low, 3), round(swing.each_high, 3))
    germination 0.217 0.173
    weeks in the tray 0.187 0.199
    """
    now = _each(scenario, sowing, medium)
    if now is None:
        return None
    swings = sorted(_swings(scenario, sowing, medium), key=lambda swing: -swing.width)
    return WhatMatters(sowing.crop, medium.name, now, tuple(swings))


def _swings(scenario, sowing, medium):
    in_mix = sowing.crop in medium.emergence and not sowing.presprout
    germination = medium.emergence[sowing.crop] if in_mix else sowing.germination

    def mixed(field, value):
        changed = replace(medium, **{field: value})
        return scenario.with_medium(changed), sowing, changed

    def sown(field, value):
        return scenario, replace(sowing, **{field: value}), medium

    def germinating(share):
        if in_mix:
            return mixed("emergence", {**medium.emergence, sowing.crop: share})
        return sown("germination", share)

    def lasting(weeks):
        return sown("weeks", weeks / medium.pace)

    def fed(factor):
        fields = ("target_ppm_n", "g_per_litre", "ml_per_litre")
        doses = {name: getattr(scenario.feed, name) for name in fields}
        dosed = {name: dose * factor for name, dose in doses.items() if dose is not None}
        return replace(scenario, feed=replace(scenario.feed, **dosed)), sowing, medium

    chance = expected_share(germination)
    germinates, low, high = GERMINATION, chance - 0.1, chance + 0.1
    if isinstance(germination, Counts):
        germinates = COUNTED
        low, high = jeffreys_interval(germination.up, germination.sown, level=COUNTED_LEVEL)
    low, high = min(chance, max(LEAST_GERMINATION, low)), min(1.0, high)
    loss, weeks, charge = medium.fill_loss, sowing.weeks * medium.pace, medium.feeds_for_weeks
    ranges = [
        (germinates, chance, low, high, germinating),
        (FILL_LOSS, loss, min(loss, 0.1), max(loss, 0.2), partial(mixed, "fill_loss")),
        (WEEKS, weeks, max(weeks / 2, weeks - 1), weeks + 1, lasting),
        (CHARGE, charge, max(0.0, charge - 1.5), charge + 1.5, partial(mixed, "feeds_for_weeks")),
    ]
    if scenario.feed is not None:
        ranges.append((STRENGTH, 1.0, 0.5, 1.5, fed))
    for assumed, entered, low, high, at in ranges:
        yield Swing(assumed, entered, low, high, *(_each(*at(value)) for value in (low, high)))


def _each(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return needed.each.total if needed.ready else None
