"""What would change the plan: when another choice of mixes costs less. Each case is solved anew.

Every turn is a dict with a `kind`, its numbers and a `sentence`. Work that needs solutions is a
generator, as in `plan`; it also yields None where it may pause.
"""

from dataclasses import replace
from functools import cache, partial
from math import ceil
from typing import Any, Required, TypedDict

from pennyflat.buying.milp import Work
from pennyflat.buying.plan import SAME, Plan, Planner
from pennyflat.scenario.package import SEEDS, TRAYS, Package, label_of
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import Listed, Money, say

AHEAD = 4
"""How far to try larger numbers of seedlings, as a multiple of the number wanted. Ours."""

MOST_PAIRS = 144
"""Most sowings times media for which turns are searched. Ours: beyond this it takes too long."""

MOST_NUMBERS = 400
"""Most numbers of seedlings worked out, over all crops, to find where another choice wins; if they
are not enough, nothing is reported. Ours: more takes too long."""

MOST_NAMED = 3
"""Most crops that are named with their mix; of more, only the mixes are named. [count] Ours."""

HUNDREDTH = 0.01
"""Smallest difference in money that is reported. [currency]"""

STEPS = 2**14
"""Steps in which a share is searched. [count] Ours."""

Turn = TypedDict(
    "Turn",
    {
        "kind": Required[str],
        "share": float,
        "store": str,
        "item": str,
        "size": float,
        "unit": str,
        "price": float,
        "crop": str,
        "from": int,
        "checked_to": int,
        "media": Required[list[str | None]],
        "each": float,
        "instead_of": float,
        "sentence": Required[str],
    },
    total=False,
)
"""What would change the plan; its keys depend on its `kind`."""


def turns_of(planner: Planner, best: Plan) -> Work[list[Turn]]:
    """
    What would change the `best` plan of a planner; nothing unless it is proven.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> planner = Planner(read(DEMO))
    >>> best = run(planner.best(), solve)
    >>> [turn["kind"] for turn in run(turns_of(planner, best), solve)]
    ['left_over', 'price', 'number', 'number']
    """
    pairs = sum(map(len, planner.rows))
    if not best.proven or pairs > MOST_PAIRS or best.basket.unmet or not any(best.picks):
        return []
    found = []
    for look in (_left_over, _without_trips, _price, _numbers):
        found += yield from look(planner, best)
    return found


def _left_over(planner, best):
    """Whether another choice wins if more of the leftovers is used, and above which share."""
    scenario, now = planner.scenario, planner.scenario.left_over_counts
    shares = [now + (1 - now) * step / STEPS for step in range(STEPS + 1)]

    def at(share):
        return Planner(replace(scenario, left_over_counts=share))

    all_used = at(1.0)
    other = yield from all_used.best()
    share = yield from _turning(shares, at, other, best)
    if share is None:
        return []
    costs = _in_all(all_used, other, best)
    total, instead = (Money(cost, scenario.currency) for cost in costs)
    text = say(
        "If you use up what is left over, it costs less with {choice}: {total} against {instead} in"
        " all, leftovers taken off. That holds from {percent:.0f} % of them on.",
        choice=_choice(other, best),
        total=total,
        instead=instead,
        percent=ceil(100 * share),
    )
    return [_turn("left_over", other, text, costs, share=share)]


def _without_trips(planner, best):
    """Whether another choice would win if the trip to an unvisited shop were free."""
    scenario, found = planner.scenario, []
    for store in scenario.stores:
        if not store.trip_cost or store.name in best.basket.trips:
            continue
        stores = tuple(replace(s, trip_cost=0.0) if s is store else s for s in scenario.stores)
        free = Planner(replace(scenario, stores=stores))
        other = yield from free.best()
        if not _wins(free, other, best):
            continue
        costs = _in_all(free, other, best)
        total, instead = (Money(cost, scenario.currency) for cost in costs)
        text = say(
            "Without the trip to {store}, {cost}, it costs less with {choice}: {total} against"
            " {instead} in all, leftovers taken off."
            if scenario.left_over_counts
            else "Without the trip to {store}, {cost}, it costs less with {choice}: {total} against"
            " {instead} in all.",
            store=store.name,
            cost=Money(store.trip_cost, scenario.currency),
            choice=_choice(other, best),
            total=total,
            instead=instead,
        )
        found.append(_turn("without_trip", other, text, costs, store=store.name))
    return found


def _price(planner, best):
    """The highest price at which another choice wins, of a package that the runner-up takes."""
    runner_up = yield from planner.best(other_than=best)
    if runner_up is None:
        return []
    scenario, bought = planner.scenario, {line.package for line in best.basket.lines}
    lines = [
        line
        for line in runner_up.basket.lines
        if line.package not in bought
        and line.package.unit not in (SEEDS, TRAYS)
        and not line.package.deal
    ]
    line = max(lines, key=lambda line: line.paid, default=None)
    if line is None:
        return []

    def at(cents):
        return Planner(with_package(scenario, line.item, line.package, price=cents / 100))

    free = yield from at(0).best()
    cents = yield from _turning(range(ceil(100 * line.package.price), -1, -1), at, free, best)
    if not cents:
        return []
    other, price = (yield from at(cents).best()), cents / 100
    if other.media == best.media:
        return []
    text = say(
        "At {price} or less for {label} of {item} at {store}, it costs less with {choice}.",
        price=Money(price, scenario.currency),
        label=label_of(line.package),
        item=line.item,
        store=line.package.store,
        choice=_choice(other, best),
    )
    more = {name: getattr(line.package, name) for name in ("store", "size", "unit")}
    return [_turn("price", other, text, item=line.item, **more, price=price)]


def _numbers(planner, best):
    """The number of seedlings of one crop from which another choice wins, others unchanged."""
    found, left = [], MOST_NUMBERS
    for place, sowing in enumerate(planner.scenario.sowings):
        if best.picks[place] is None or left <= 0:
            continue
        most, at = AHEAD * sowing.wanted, partial(_wanting, planner.scenario, place)
        other = yield from at(most).best()
        if other.media == best.media or other.basket.unmet:
            continue
        costs, first = cache(partial(_costs, at, (other, best))), None
        for start, wins in _stretches(costs, sowing.wanted + 1, most):
            yield None
            is_too_long = costs.cache_info().currsize > left
            first = None if is_too_long else start if wins else first
            if is_too_long or not wins:
                break
        left -= costs.cache_info().currsize
        if first is None or (yield from at(first).best()).media == best.media:
            continue
        text = say(
            "From {number} seedlings of {crop} on, it costs less with {choice}; checked up to"
            " {most}.",
            number=first,
            crop=sowing.crop,
            choice=_choice(other, best),
            most=most,
        )
        more = {"crop": sowing.crop, "from": first, "checked_to": most}
        found.append(_turn("number", other, text, **more))
    return found


def _wanting(scenario, place, number):
    """A planner for another number of seedlings of one sowing."""
    sowings = list(scenario.sowings)
    sowings[place] = replace(sowings[place], wanted=number)
    return Planner(replace(scenario, sowings=tuple(sowings)))


def _costs(at, plans, number):
    """What each plan's choice costs if this number of one crop is wanted."""
    planner = at(number)
    return [planner.of(plan.media).weighed_cost for plan in plans]


def _stretches(costs, first, last):
    """(first number, whether the first plan wins) of ranges, from the last one down; costs rise."""
    (low, its_low), (high, its_high) = costs(first), costs(last)
    if _is_less(high, its_low):
        yield first, True
    elif first == last or not _is_less(low, its_high):
        yield first, False
    else:
        middle = (first + last) // 2
        yield from _stretches(costs, middle + 1, last)
        yield from _stretches(costs, first, middle)


def _turning(values, at, other, best):
    """
    The value nearest to the first one from which on another choice wins; None if there is none.

    `other` is the plan at the last value. What wins at one value wins at all that follow.
    """
    found, high = None, len(values) - 1
    while high and _wins(at(values[high]), other, best):
        low = 0
        while high - low > 1:
            middle = (low + high) // 2
            wins = _wins(at(values[middle]), other, best)
            low, high = (low, middle) if wins else (middle, high)
            yield None
        found, high = values[high], low
        other = yield from at(values[high]).best()
    return found


def with_package(scenario: Scenario, item: str, package: Package, **changes: Any) -> Scenario:
    """The scenario with changes to one package of an item."""

    def changed(row):
        if row is None or row.name != item:
            return row
        packages = (replace(one, **changes) if one == package else one for one in row.packages)
        return replace(row, packages=tuple(packages))

    return replace(
        scenario,
        media=tuple(map(changed, scenario.media)),
        ingredients=tuple(map(changed, scenario.ingredients)),
        feed=changed(scenario.feed),
    )


def _wins(planner, other, best):
    """Whether one choice of mixes beats another in a planner's scenario."""
    return _beats(planner.of(other.media), planner.of(best.media))


def _beats(plan, other):
    """Whether a plan costs visibly less."""
    return not plan.basket.unmet and _is_less(plan.weighed_cost, other.weighed_cost)


def _is_less(cost, other):
    """Whether a sum is less by at least a hundredth, so that it also reads as less."""
    return cost <= other - HUNDREDTH + SAME


def _in_all(planner, other, best):
    """What two choices cost as weighed, without the stock that both have at home. [currency]"""
    home = planner.scenario.left_over_counts * planner.worth_at_home()
    return [planner.of(plan.media).weighed_cost + home for plan in (other, best)]


def _choice(plan, best):
    """How a plan's choice differs from the best, for a sentence."""
    picks = zip(plan.picks, best.media, strict=True)
    changed = [pick for pick, now in picks if pick and pick.medium != now]
    media = tuple(dict.fromkeys(pick.medium for pick in changed))
    is_all = len(set(plan.media) - {None}) == 1
    if is_all or len(changed) > MOST_NAMED:
        return Listed(media, "and")
    crops = {m: tuple(pick.crop for pick in changed if pick.medium == m) for m in media}
    named = (say("{crop} in {medium}", crop=Listed(crops[m], "and"), medium=m) for m in media)
    return Listed(tuple(named), "and")


def _turn(kind, plan, sentence, costs=None, **more):
    """A turn; `costs` are the whole costs of the plan and of the best."""
    found = {"kind": kind, **more, "media": list(plan.media)}
    if costs:
        found["each"], found["instead_of"] = (cost / plan.wanted for cost in costs)
    return found | {"sentence": sentence}
