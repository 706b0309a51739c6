"""How the money at the till moves with the number of seedlings: the steps of whole packages.

Trips are left aside here, as in the comparison. Media are compared with each other number by number;
from that follow the numbers from which another medium costs less.
"""

from bisect import bisect_right
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import pairwise
from math import ceil, inf

from pennyflat.cover import TOLERANCE, cost_steps
from pennyflat.needs import needs_for
from pennyflat.probability import fewest_trials_up_to

MOST_WANTED = 20_000
"""Largest number of seedlings followed. [count] Ours."""


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

    Twice as many, and 40 at least, so that a nearby change of the answer is found. [Ours.]

    Examples
    --------
    >>> look_ahead(60), look_ahead(5)
    (120, 40)
    """
    return min(max(2 * wanted, 40), MOST_WANTED)


def till_steps(scenario, needed, up_to):
    """
    Money at the till for one planting in one medium, for every number of seedlings from 1.

    Parameters
    ----------
    scenario : Scenario
    needed : Requirement
        Of a planting that is ready, for any number wanted.
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
    >>> starter = requirement(demo, demo.plantings[0], demo.medium("Seed starter mix"))
    >>> [(step.wanted, round(step.paid, 2)) for step in till_steps(demo, starter, 400)]
    [(1, 12.3), (105, 16.2), (212, 22.1), (321, 26.0)]
    """
    cells = _cells_up_to(needed.ready_share, up_to, scenario.assurance)
    litres = {name: amount / needed.cells for name, amount in needed.litres.items()}
    feed = needed.feed_amount / needed.cells

    def needs_at(count):
        return needs_for(scenario, {name: a * count for name, a in litres.items()}, feed * count)

    def amount_of(need, count):
        return sum(
            other.amount
            for other in needs_at(count)
            if (other.item, other.packages) == (need.item, need.packages)
        )

    return _summed(
        _rises(need, partial(amount_of, need), cells, scenario.tax) for need in needs_at(cells[-1])
    )


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


@lru_cache(maxsize=512)
def _cells_up_to(share, up_to, assurance):
    """Cells to sow for 1, 2, … `up_to` seedlings."""
    if assurance is None:
        return tuple(ceil(wanted / share - 1e-9) for wanted in range(1, up_to + 1))
    return fewest_trials_up_to(share, up_to, assurance)


def _rises(need, amount_at, cells, tax):
    """(number wanted, money paid from there on) of one need."""
    most = amount_at(cells[-1]) - need.stock
    if most <= 0:
        return [(1, 0.0)]
    corners = cost_steps(most, need.packages, need.measure, tax)
    found = [(1, 0.0)]
    for (covered, _), after in pairwise([*corners, None]):
        most_met = (covered + need.stock) * (1 + TOLERANCE)
        place = bisect_right(cells, most_met, key=amount_at)
        if place == len(cells):
            break
        found.append((place + 1, after[1] if after else inf))
    return found


def _summed(rises):
    """Steps of several needs together."""
    changes = {}
    for found in rises:
        for (_, before), (wanted, paid) in pairwise([(1, 0.0), *found]):
            if paid != before:
                changes[wanted] = changes.get(wanted, 0.0) + (paid - before)
    total, steps = 0.0, {1: 0.0}
    for wanted in sorted(changes):
        total += changes[wanted]
        steps[wanted] = total
    return tuple(Step(wanted, paid) for wanted, paid in steps.items())
