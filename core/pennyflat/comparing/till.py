"""How the money at the till changes with the number of seedlings, in steps of whole packages.

For each choice of shops, the cost of one need is a staircase over its amount (see `cover`); the
least over all choices, trips included, equals `report.at_the_till` at each number. Comparing media
number by number shows where another medium starts to cost less.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import chain, combinations, pairwise
from math import fsum, inf
from typing import NamedTuple

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.cover import TOLERANCE, cost_steps
from pennyflat.buying.needs import needs_of
from pennyflat.comparing.report import Report, rows_of
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.growing.outcomes import Kept
from pennyflat.scenario.records import Medium, Scenario, Sowing

MOST_WANTED = 20_000
"""Largest number of seedlings considered. [count] Ours."""
MOST_DRAWN = 1_000
"""Most seedlings wanted for which there are `curves`: of more, one package is a step too small to
see, and there are too many of them to wait for. [count] Ours."""
MOST_TRIPS = 6
"""Most shops with paid trips for which every choice of shops is tried. [count] Ours."""
PLACES = 6
"""Decimal places to which money is compared, so that sums equal on paper are equal here. Ours."""


class Step(NamedTuple):
    """The money paid from this number of seedlings up to the next step."""

    wanted: int
    """First number of seedlings of the step. [count]"""
    paid: float
    """At the till, trips included; infinite if limits make it impossible. [currency]"""


class Stretch(NamedTuple):
    """Numbers of seedlings for which one medium costs least at the till."""

    first: int
    last: int
    medium: str


class Curves(NamedTuple):
    """Cost of two mixes for one sowing at the till: the plan's mix and its closest rival."""

    wanted: int
    """[count]"""
    up_to: int
    """Largest number considered. [count]"""
    lines: dict[str, tuple[Step, ...]]
    """Steps by medium; up to two of them, none if more than `MOST_DRAWN` seedlings are wanted."""
    stretches: tuple[Stretch, ...]
    """Which of them costs less from which number on."""


def curves(scenario: Scenario, report: Report, row: int, planned: str | None) -> Curves:
    """
    Cost of a sowing in its medium in the plan, `planned`, and in its closest rival.

    The `report` is that of `compared` for the scenario; `row` is the sowing's number.
    """
    sowing, rows = scenario.sowings[row], rows_of(report, row)
    paid = {found["medium"]: found["at_the_till"]["paid"] for found in rows if found["at_the_till"]}
    contenders = filter(None, dict.fromkeys([planned, *sorted(paid, key=paid.__getitem__)]))
    most = 2 if sowing.wanted <= MOST_DRAWN else 0
    media = [scenario.medium(name) for name in contenders][:most]
    lines = {medium.name: steps_at_the_till(scenario, sowing, medium) for medium in media}
    up_to = look_ahead(sowing.wanted)
    return Curves(sowing.wanted, up_to, lines, stretches(lines, up_to))


def look_ahead(wanted: int) -> int:
    """
    Largest number of seedlings worth considering for a given number wanted.

    Four times as many, and at least 40, so that a change of the answer and back is found. [Ours.]
    """
    return min(max(4 * wanted, 40), MOST_WANTED)


@Kept
def steps_at_the_till(scenario: Scenario, sowing: Sowing, medium: Medium) -> tuple[Step, ...]:
    """Steps up to `look_ahead` of the number wanted, cached; none if the sowing is not ready."""
    needed = requirement(scenario, sowing, medium)
    return till_steps(scenario, needed, look_ahead(sowing.wanted)) if needed.ready else ()


def till_steps(scenario: Scenario, needed: Requirement, up_to: int) -> tuple[Step, ...]:
    """
    Money at the till for one sowing in one medium, for every number of seedlings from 1.

    By rising number and money, up to `up_to`; the sowing, `needed` for any number, is ready.

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.growing.cost import requirement
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> [(step.wanted, step.paid) for step in till_steps(demo, starter, 100)]
    [(1, 15.5), (31, 18.7), (64, 21.9), (96, 25.1)]
    """
    medium = scenario.medium(needed.medium)

    @cache
    def needs_for(wanted):
        """The needs by item, measure and packages; None if the number takes too many cells."""
        found = requirement(scenario, replace(needed.sowing, wanted=wanted), medium)
        needs = needs_of(scenario, [found])
        by_item = {(need.item, need.measure, need.packages): need for need in needs}
        return by_item if found.ready else None

    last = bisect_right(range(1, up_to + 1), 0, key=lambda wanted: needs_for(wanted) is None)
    paid = cache(_paid_by_number(scenario, needs_for, needs_for(last)))
    found = [Step(wanted, paid(wanted)) for wanted in (1, *_rises(paid, 1, last))]
    return tuple(found) if last == up_to else (*found, Step(last + 1, inf))


def _rises(paid, low, high):
    """Numbers after the lowest at which a money function that never falls rises, by halving."""
    if paid(low) == paid(high):
        return
    if high == low + 1:
        yield high
        return
    middle = (low + high) // 2
    yield from _rises(paid, low, middle)
    yield from _rises(paid, middle, high)


def stretches(steps_by_medium: dict[str, tuple[Step, ...]], up_to: int) -> tuple[Stretch, ...]:
    """
    Which medium costs least at the till, number by number.

    Media come in order of preference for equal money. The stretches cover 1 to `up_to`, except for
    numbers that limits make impossible in every medium.

    >>> small = (Step(1, 5.0), Step(31, 10.0), Step(61, 15.0))
    >>> for stretch in stretches({"Small bag": small, "Big bag": (Step(1, 11.0),)}, 90):
    ...     print(stretch.first, stretch.last, stretch.medium)
    1 60 Small bag
    61 90 Big bag
    """
    starts = sorted({step.wanted for steps in steps_by_medium.values() for step in steps})
    found: list[Stretch] = []
    for start, end in pairwise([*starts, up_to + 1]):
        paid = {name: paid_for(steps, start) for name, steps in steps_by_medium.items()}
        best = min(paid, key=paid.__getitem__)
        if paid[best] == inf:
            continue
        if found and found[-1].medium == best and found[-1].last == start - 1:
            start = found.pop().first
        found.append(Stretch(start, end - 1, best))
    return tuple(found)


def paid_for(steps: Sequence[Step], wanted: int) -> float:
    """Money at the till for a number of seedlings."""
    return steps[bisect_right(steps, wanted, key=lambda step: step.wanted) - 1].paid


def _paid_by_number(scenario, needs_for, most):
    """A function from the number wanted to the least money; `most` are the needs of the last."""
    sold = {package.store for need in most.values() for package in need.packages}
    trips = {s.name: s.trip_cost for s in scenario.stores if s.trip_cost and s.name in sold}

    def searched(wanted):
        needs = needs_for(wanted).values()
        basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
        return inf if basket.unmet else round(basket.total, PLACES)

    if len(trips) > MOST_TRIPS:
        return searched
    numbers = range(len(trips) + 1)
    visits = list(chain.from_iterable(combinations(trips, number) for number in numbers))
    trips_paid = [fsum(map(trips.__getitem__, away)) for away in visits]
    stairs = defaultdict(list)
    for key, need in most.items():
        for closed in (trips.keys() - away for away in visits):
            packages = tuple(package for package in need.packages if package.store not in closed)
            missing = max(0.0, need.amount - need.stock)
            stairs[key].append(cost_steps(missing, packages, need.measure, scenario.tax))

    def cost(need, corners):
        reach = bisect_left(
            corners, need.amount, key=lambda corner: (corner[0] + need.stock) * (1 + TOLERANCE)
        )
        return corners[reach][1] if reach < len(corners) else inf

    def chosen(wanted):
        needs = needs_for(wanted).items()
        paid = ([cost(need, corners) for corners in stairs[key]] for key, need in needs)
        return round(min(map(fsum, zip(trips_paid, *paid, strict=True))), PLACES)

    return chosen
