"""How the money at the till moves with the number of seedlings: steps of whole packages.

Trips are left aside, as in the comparison. Media are compared number by number; from that follow
the numbers from which another medium costs less.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from functools import lru_cache
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
    Money at the till for one sowing in one medium, for every number of seedlings from 1.

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
    >>> [(step.wanted, round(step.paid, 2)) for step in till_steps(demo, starter, 400)]
    [(1, 12.3), (105, 16.2), (212, 22.1), (321, 26.0)]
    """
    cells = _cells_up_to(needed.ready_share, up_to, scenario.assurance)
    return _summed(
        _rises(need, terms, cells, scenario.tax) for need, terms in _terms(scenario, needed)
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


def _terms(scenario, needed):
    """
    Each need, and how its amount follows from the cells sown.

    Yields (need, [(rate, offset), ...]) for the sum of rate x max(0, cells - offset): a blend that
    is at home already serves the first `offset` cells. [measure per cell, count]
    """
    terms = {}
    for name, litres in needed.litres.items():
        per_cell = litres / needed.cells
        medium = scenario.medium(name)
        at_home = medium.stock if medium.parts else 0.0
        for need in needs_for(scenario, {name: at_home + 1.0}, 0.0):
            term = (need.amount * per_cell, at_home / per_cell)
            terms.setdefault(replace(need, amount=0.0), []).append(term)
    for need in needs_for(scenario, {}, needed.feed_amount):
        term = (need.amount / needed.cells, 0.0)
        terms.setdefault(replace(need, amount=0.0), []).append(term)
    return terms.items()


def _rises(need, terms, cells, tax):
    """(number wanted, money paid from there on) of one need."""

    def amount_at(count):
        return sum(rate * max(0.0, count - offset) for rate, offset in terms)

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
