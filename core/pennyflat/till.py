"""How the money at the till moves with the number of seedlings: steps of whole packages.

Money at the till is that of the comparison: packages, packets, trays and trips. Media are compared
number by number; from that follow the numbers from which another medium costs less.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from math import inf

from pennyflat.basket import cheapest_basket
from pennyflat.cost import requirement
from pennyflat.needs import needs_of
from pennyflat.outcomes import Kept

MOST_WANTED = 20_000
"""Largest number of seedlings followed. [count] Ours."""

PLACES = 6
"""Decimal places to which money is compared, so that sums equal on paper are equal here. Ours."""


@dataclass(frozen=True, slots=True)
class Step:
    """From so many seedlings on, until the next step, this much is paid."""

    wanted: int
    """First number of seedlings for which it holds. [count]"""
    paid: float
    """Whole packages, with tax and deals; infinite where limits make it impossible. [currency]"""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Numbers of seedlings for which one medium costs least at the till."""

    first: int
    last: int
    medium: str


def look_ahead(wanted):
    """
    Largest number of seedlings that is worth following when so many are wanted.

    Four times as many, and 40 at least, so that a nearby change of the answer is found. [Ours.]

    Examples
    --------
    >>> look_ahead(60), look_ahead(5)
    (240, 40)
    """
    return min(max(4 * wanted, 40), MOST_WANTED)


@Kept
def steps_at_the_till(scenario, sowing, medium):
    """
    Money at the till for one sowing in one medium, number by number, kept.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
        One of the scenario's.
    medium : Medium
        One of the scenario's.

    Returns
    -------
    tuple of Step
        As from `till_steps`, up to `look_ahead` of the number wanted; empty where the sowing is not
        ready.
    """
    needed = requirement(scenario, sowing, medium)
    return till_steps(scenario, needed, look_ahead(sowing.wanted)) if needed.ready else ()


def till_steps(scenario, needed, up_to):
    """
    Money at the till for one sowing in one medium, for every number of seedlings from 1.

    It never falls as the number rises, so between two numbers of equal money there is no step.

    Parameters
    ----------
    scenario : Scenario
    needed : Requirement
        Of a sowing that is ready, for any number wanted.
    up_to : int
        Largest number wanted, at least 1. [count]

    Returns
    -------
    tuple of Step
        By rising number and money; the first is for 1 seedling.

    Examples
    --------
    >>> from pennyflat.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> [(step.wanted, step.paid) for step in till_steps(demo, starter, 100)]
    [(1, 15.5), (31, 18.7), (64, 21.9), (96, 25.1)]
    """
    medium = scenario.medium(needed.medium)

    @cache
    def paid(wanted):
        changed = requirement(scenario, replace(needed.sowing, wanted=wanted), medium)
        needs = needs_of(scenario, [changed])
        basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
        return round(basket.total, PLACES) if changed.ready and not basket.unmet else inf

    def rises(low, high):
        """Numbers above `low` from which on more is paid."""
        if paid(low) == paid(high):
            return
        if high == low + 1:
            yield high
            return
        middle = (low + high) // 2
        yield from rises(low, middle)
        yield from rises(middle, high)

    return tuple(Step(wanted, paid(wanted)) for wanted in (1, *rises(1, up_to)))


def stretches(steps_by_medium, up_to):
    """
    Which medium costs least at the till, number by number.

    Parameters
    ----------
    steps_by_medium : dict of str to tuple of Step
        In order of preference where the money is the same.
    up_to : int
        Largest number wanted, at least 1. [count]

    Returns
    -------
    tuple of Stretch
        They cover 1 to `up_to`, but for numbers that limits make impossible in every medium.

    Examples
    --------
    >>> small = (Step(1, 5.0), Step(31, 10.0), Step(61, 15.0))
    >>> for stretch in stretches({"Small bag": small, "Big bag": (Step(1, 11.0),)}, 90):
    ...     print(stretch.first, stretch.last, stretch.medium)
    1 60 Small bag
    61 90 Big bag
    """
    starts = sorted({step.wanted for steps in steps_by_medium.values() for step in steps})
    found = []
    for start, end in pairwise([*starts, up_to + 1]):
        paid = {name: paid_for(steps, start) for name, steps in steps_by_medium.items()}
        best = min(paid, key=paid.get)
        if paid[best] == inf:
            continue
        if found and found[-1].medium == best and found[-1].last == start - 1:
            found[-1] = Stretch(found[-1].first, end - 1, best)
        else:
            found.append(Stretch(start, end - 1, best))
    return tuple(found)


def paid_for(steps, wanted):
    """
    Money at the till for a number of seedlings.

    Examples
    --------
    >>> paid_for((Step(1, 5.0), Step(31, 10.0)), 31)
    10.0
    """
    return steps[bisect_right(steps, wanted, key=lambda step: step.wanted) - 1].paid
