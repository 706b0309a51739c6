"""How the money at the till changes with the number of seedlings, in steps of whole packages.

For each choice of shops, the cost of one need is a staircase over its amount (see `cover`); the
least over all choices, trips included, equals `report.at_the_till` at each number. Comparing media
number by number shows where another medium starts to cost less.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain, combinations, pairwise
from math import fsum, inf

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.cover import TOLERANCE, cost_steps
from pennyflat.buying.needs import needs_of
from pennyflat.chances.probability import FAR_APART, fewest_trials_up_to
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.growing.outcomes import Kept
from pennyflat.growing.sowing import Sown, seed_chance, sown
from pennyflat.scenario.records import Counts, Medium, Scenario, Sowing

MOST_WANTED = 20_000
"""Largest number of seedlings considered. [count] Ours."""

MOST_TRIPS = 6
"""Most shops with paid trips for which every choice of shops is tried. [count] Ours."""

PLACES = 6
"""Decimal places to which money is compared, so that sums equal on paper are equal here. Ours."""


@dataclass(frozen=True, slots=True)
class Step:
    """The money paid from this number of seedlings up to the next step."""

    wanted: int
    """First number of seedlings of the step. [count]"""
    paid: float
    """At the till, trips included; infinite if limits make it impossible. [currency]"""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Numbers of seedlings for which one medium costs least at the till."""

    first: int
    last: int
    medium: str


def look_ahead(wanted: int) -> int:
    """
    Largest number of seedlings worth considering for a given number wanted.

    Four times as many, and at least 40, so that a change of the answer and back is found. [Ours.]

    Examples
    --------
    >>> look_ahead(60), look_ahead(5)
    (240, 40)
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

    Examples
    --------
    >>> from pennyflat.growing.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> [(step.wanted, step.paid) for step in till_steps(demo, starter, 100)]
    [(1, 15.5), (31, 18.7), (64, 21.9), (96, 25.1)]
    """
    needs_for = _needs_by_number(scenario, needed, up_to)
    last = bisect_right(range(1, up_to + 1), 0, key=lambda wanted: needs_for(wanted) is None)
    sold = {package.store for need in needs_for(last).values() for package in need.packages}
    away = {s.name: s.trip_cost for s in scenario.stores if s.trip_cost and s.name in sold}
    if len(away) > MOST_TRIPS:
        found = tuple(_by_halving(_paid_together(scenario, needs_for), 1, last))
    else:
        found = tuple(_over_choices(scenario, needs_for, last, away))
    return found if last == up_to else (*found, Step(last + 1, inf))


def stretches(steps_by_medium: dict[str, tuple[Step, ...]], up_to: int) -> tuple[Stretch, ...]:
    """
    Which medium costs least at the till, number by number.

    Media come in order of preference for equal money. The stretches cover 1 to `up_to`, except for
    numbers that limits make impossible in every medium.

    Examples
    --------
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
            found[-1] = Stretch(found[-1].first, end - 1, best)
        else:
            found.append(Stretch(start, end - 1, best))
    return tuple(found)


def paid_for(steps: Sequence[Step], wanted: int) -> float:
    """
    Money at the till for a number of seedlings.

    Examples
    --------
    >>> paid_for((Step(1, 5.0), Step(31, 10.0)), 31)
    10.0
    """
    return steps[bisect_right(steps, wanted, key=lambda step: step.wanted) - 1].paid


def _needs_by_number(scenario, needed, up_to):
    """
    A function from the number wanted to its needs, by item, or None if it takes too many cells.

    Everything except seeds is proportional to the cells.
    """
    sowing, medium, assurance = needed.sowing, scenario.medium(needed.medium), scenario.assurance
    walked = None
    is_counted = isinstance(seed_chance(sowing, medium), Counts)
    if assurance and not sowing.presprout and not is_counted and needed.ready_share >= FAR_APART:
        walked = fewest_trials_up_to(needed.ready_share, up_to, assurance)

    def amounts(wanted):
        if walked is None:
            return sown(sowing, medium, assurance, wanted=wanted)
        cells = walked[wanted - 1]
        return Sown(cells, cells * sowing.seeds_per_cell, cells)

    @cache
    def needs_for(wanted):
        try:
            found = amounts(wanted)
        except ValueError:
            return None
        times = found.cells / needed.cells
        scaled = replace(
            needed,
            cells=found.cells,
            seeds=found.seeds,
            feed_amount=needed.feed_amount * times,
            litres={name: litres * times for name, litres in needed.litres.items()},
            trays={name: cells * times for name, cells in needed.trays.items()},
        )
        needs = needs_of(scenario, [scaled])
        return {(need.item, need.measure, need.packages): need for need in needs}

    return needs_for


def _over_choices(scenario, needs_for, last, trip_costs):
    """Steps of the least money over all choices of shops."""

    @cache
    def rises(item, packages):
        return _rises(needs_for, item, packages, last, scenario.tax)

    choices = []
    for away in chain.from_iterable(
        combinations(trip_costs, count) for count in range(len(trip_costs) + 1)
    ):
        closed = set(trip_costs) - set(away)
        rows = [
            rises(item, tuple(p for p in need.packages if p.store not in closed))
            for item, need in needs_for(last).items()
        ]
        choices.append((fsum(trip_costs[store] for store in away), rows))
    before = None
    for wanted in sorted({step.wanted for _, rows in choices for row in rows for step in row}):
        paid = min(
            fsum([trips, *(paid_for(row, wanted) for row in rows)]) for trips, rows in choices
        )
        if before is None or round(paid, PLACES) != before:
            before = round(paid, PLACES)
            yield Step(wanted, before)


def _rises(needs_for, item, packages, last, tax):
    """Steps of the money for one need, bought in some of its packages only."""

    def amount_at(wanted):
        need = needs_for(wanted).get(item)
        return need.amount if need else 0.0

    stock = needs_for(last)[item].stock
    corners = cost_steps(max(0.0, amount_at(last) - stock), packages, item[1], tax)
    found, first = [], 1
    for covered, paid in corners:
        after = bisect_right(
            range(1, last + 1), (covered + stock) * (1 + TOLERANCE), lo=first - 1, key=amount_at
        )
        if after >= first:
            found.append(Step(first, paid))
        first = after + 1
    return (*found, Step(first, inf)) if first <= last else tuple(found)


def _paid_together(scenario, needs_for):
    """A function from the number wanted to the money at the till, searching all shops at once."""

    @cache
    def paid(wanted):
        needs = needs_for(wanted).values()
        basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
        return inf if basket.unmet else round(basket.total, PLACES)

    return paid


def _by_halving(paid, first, last):
    """Steps of a money function that never falls, found by bisection."""
    yield Step(first, paid(first))
    if paid(first) == paid(last):
        return
    bounds = [(first, last)]
    while bounds:
        low, high = bounds.pop()
        if paid(low) == paid(high):
            continue
        if high == low + 1:
            yield Step(high, paid(high))
        else:
            middle = (low + high) // 2
            bounds += [(middle, high), (low, middle)]
