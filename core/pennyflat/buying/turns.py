"""What would change the plan: when another choice of mixes costs less. Each case is solved anew.

Every turn is a dict with a `kind`, its numbers and a `sentence`. Work that needs solutions is a
generator, as in `plan`; it also yields None where it may pause.
"""

from dataclasses import replace
from functools import cache, partial
from math import ceil, inf
from typing import Any, Required, TypedDict

from pennyflat.buying.milp import Work
from pennyflat.buying.plan import SAME, Plan, Planner
from pennyflat.growing.cost import requirement
from pennyflat.growing.outcomes import requirement_of
from pennyflat.scenario.package import SEEDS, TRAYS, Package, label_of
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import Listed, Money, say, say_count

AHEAD = 4
"""How far to try larger numbers of seedlings, as a multiple of the number wanted. Ours."""

MOST_PAIRS = 144
"""Most sowings times media for which turns are searched. Ours: beyond this it takes too long."""

MOST_SOLVED = 50
"""Most plans solved, over all crops in equal shares, to find the numbers at which another choice
wins; if they are not enough for a crop, nothing is reported. [count] Ours: more takes too long."""

MOST_RANGES = 64
"""Most ranges of numbers looked at in one search. [count] Ours: more takes too long."""

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
    found = yield from _left_over(planner, best)
    found += yield from _without_trips(planner, best)
    runner_up = yield from planner.best(other_than=best)
    if runner_up and runner_up.proven:
        found += yield from _price(planner, best, runner_up)
        for place, pick in enumerate(best.picks):
            if pick:
                found += yield from _number(planner.scenario, place, best, runner_up)
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


def _price(planner, best, runner_up):
    """The highest price at which another choice wins, of a package that the runner-up takes."""
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


def _number(scenario, place, best, runner_up):
    """The first number of seedlings of one crop at which another choice wins, others unchanged."""
    sowing = scenario.sowings[place]
    most, at = AHEAD * sowing.wanted, cache(partial(_wanting, scenario, place))
    first, other, own = sowing.wanted, runner_up, _costs(at, best)

    def may_win(low, high):
        # The best other choice is known at `first`. More seedlings cost at least the rest more.
        before, now = at(first).rows[place], at(low).rows[place]
        more = min(now[medium].rest - before[medium].rest for medium in before)
        return _is_less(_cost(other) + more, own(high))

    for _ in range(ceil(MOST_SOLVED / len(scenario.sowings))):
        first = yield from _first(first + 1, most, may_win)
        other = first and (yield from at(first).best(other_than=best))
        if not other or not other.proven:
            return []
        if _is_less(_cost(other), own(first)):
            break
    else:
        return []
    costs = _costs(at, other)

    def may_lose(low, high):
        return not _is_less(costs(high), own(low))

    end = yield from _first(first + 1, most, may_lose)
    last = end - 1 if end else most
    gaps = {"number": first, "crop": sowing.crop, "choice": _choice(other, best), "most": last}
    if last == most:
        text = say(
            "From {number} seedlings of {crop} on, it costs less with {choice}; checked up to"
            " {most}.",
            **gaps,
        )
    else:
        text = say_count(
            last - first + 1,
            "At {number} seedlings of {crop}, it costs less with {choice}.",
            "From {number} to {most} seedlings of {crop}, it costs less with {choice}.",
            **gaps,
        )
    more = {"crop": sowing.crop, "from": first, "checked_to": last}
    return [_turn("number", other, text, **more)]


def _wanting(scenario, place, number):
    """A planner for another number of seedlings of one sowing; nothing of it is kept."""
    sowings, table = list(scenario.sowings), requirement_of.table(scenario)
    sowings[place] = other = replace(sowings[place], wanted=number)
    table[place] = [requirement(scenario, other, medium) for medium in scenario.media]
    return Planner(replace(scenario, sowings=tuple(sowings)), table)


def _costs(at, plan):
    """What a plan's choice costs, by the number wanted."""
    return cache(lambda number: _cost(at(number).of(plan.media)))


def _first(low, high, may_be):
    """
    The first number of a range at which something is so; None if at none.

    `may_be` says whether it may be so between two numbers. If the search takes too long, an
    earlier number is returned: it is not so before that.
    """
    ranges, looked = [(low, high)], 0
    while ranges:
        low, high = ranges.pop()
        looked += 1
        if low <= high and may_be(low, high):
            if low == high or looked > MOST_RANGES:
                return low
            middle = (low + high) // 2
            ranges += [(middle + 1, high), (low, middle)]
        yield None
    return None


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
    """Whether one choice of mixes costs visibly less than another in a planner's scenario."""
    return _is_less(*(_cost(planner.of(plan.media)) for plan in (other, best)))


def _cost(plan):
    """What decides between plans: one that limits leave short costs any sum. [currency]"""
    return inf if plan.basket.unmet else plan.weighed_cost


def _is_less(cost, other):
    """Whether a sum is less by at least a hundredth, so that it also reads as less."""
    return cost < other - HUNDREDTH + SAME


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
