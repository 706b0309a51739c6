"""What matters: how the cost of a ready seedling changes if one assumption at a time is wrong.

Each assumption is set to a low and a high plausible value with all others as entered (a
one-at-a-time sensitivity, drawn as a tornado chart). Only guesses are varied, not prices, which are
printed on the label. Costs are as used, per transplant-ready seedling.
"""

from dataclasses import replace
from math import inf
from typing import NamedTuple

from pennyflat.chances.proportion import jeffreys_interval
from pennyflat.growing.cost import requirement
from pennyflat.growing.sowing import expected_share
from pennyflat.scenario.records import Counts, Medium, Scenario, Sowing
from pennyflat.sentences import phrase

COUNTED_LEVEL = 0.8
"""Level of Jeffreys' interval for a counted germination. [1] Ours."""
LEAST_GERMINATION = 0.001
"""Lower limit of the ranges: the least a scenario accepts. [1]"""


class Swing(NamedTuple):
    """What a wrong value of one assumption does to the cost of a ready seedling."""

    name: str
    unit: str
    """Of the values; "1" for a share."""
    basis: str
    """Why it may plausibly be that far off."""
    entered: float
    low: float
    high: float
    """Values of the assumption. [unit]"""
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
    ...     print(swing.name, round(swing.each_low, 3), round(swing.each_high, 3))
    germination 0.217 0.173
    weeks in the tray 0.187 0.199
    """
    now = _each(scenario, sowing, medium)
    if now is None:
        return None
    swings = (
        Swing(*about, *(_each(*changed(value)) for value in about[-2:]))
        for about, changed in _ranges(scenario, sowing, medium)
    )
    found = sorted(swings, key=lambda swing: -swing.width)
    return WhatMatters(sowing.crop, medium.name, now, tuple(found))


def _ranges(scenario, sowing, medium):
    """(name, unit, basis, entered, low, high) of each assumption, and what has another value."""

    def mixed(**fields):
        changed = replace(medium, **fields)
        return scenario.with_medium(changed), sowing, changed

    def sown(**fields):
        return scenario, replace(sowing, **fields), medium

    def germinating(share):
        if in_mix:
            return mixed(emergence={**medium.emergence, sowing.crop: share})
        return sown(germination=share)

    def fed(factor):
        fields = ("target_ppm_n", "g_per_litre", "ml_per_litre")
        doses = {name: getattr(scenario.feed, name) for name in fields}
        dosed = {name: dose * factor for name, dose in doses.items() if dose is not None}
        return replace(scenario, feed=replace(scenario.feed, **dosed)), sowing, medium

    in_mix = sowing.crop in medium.emergence and not sowing.presprout
    germination = medium.emergence[sowing.crop] if in_mix else sowing.germination
    chance = expected_share(germination)
    basis = phrase("ours, no source: 10 percentage points to either side")
    low, high = chance - 0.1, chance + 0.1
    if isinstance(germination, Counts):
        low, high = jeffreys_interval(germination.up, germination.sown, level=COUNTED_LEVEL)
        basis = phrase("what was counted leaves so much open, four times in five")
    low, high = min(chance, max(LEAST_GERMINATION, low)), min(1.0, high)
    yield (phrase("germination"), "1", basis, chance, low, high), germinating
    basis = phrase("common practice, no source: 10 to 20 %")
    loss, weeks, charge = medium.fill_loss, sowing.weeks * medium.pace, medium.feeds_for_weeks
    about = phrase("fill loss"), "1", basis, loss, min(loss, 0.1), max(loss, 0.2)
    yield about, lambda loss: mixed(fill_loss=loss)
    basis = phrase(
        "a week to either side: printed ranges are one or two weeks wide (University of Delaware"
        " Cooperative Extension, transplant production, adapting Mid-Atlantic Commercial Vegetable"
        " Production Recommendations, Table A-4)"
    )
    low, high = max(weeks / 2, weeks - 1), weeks + 1
    about = phrase("weeks in the tray"), "weeks", basis, weeks, low, high
    yield about, lambda weeks: sown(weeks=weeks / medium.pace)
    basis = phrase(
        "1.5 weeks to either side: what is said of starter mixes runs from 3 to 6 weeks (common"
        " practice, sources disagree)"
    )
    low, high = max(0.0, charge - 1.5), charge + 1.5
    about = phrase("weeks the mix feeds"), "weeks", basis, charge, low, high
    yield about, lambda weeks: mixed(feeds_for_weeks=weeks)
    if scenario.feed is not None:
        basis = phrase(
            "half the dose to one and a half: 50 to 150 mg N/L are in use for seedlings (from"
            " memory)"
        )
        yield (phrase("feed strength"), "of the dose", basis, 1.0, 0.5, 1.5), fed


def _each(scenario, sowing, medium):
    needed = requirement(scenario, sowing, medium)
    return needed.each.total if needed.ready else None
