"""Undominated purchases of one item, package by package: the steps of `cover`.

A purchase is a tuple (cost, amount, earlier purchase, line, count), a chain down to `NOTHING`; cost
and amount are whole numbers (see `grid`). A *way* is a number of packages of one line bought
together: one alone, or a deal.
"""

from collections import deque
from collections.abc import Callable, Iterable
from operator import itemgetter
from typing import Any, TypeAlias

Purchase: TypeAlias = tuple[Any, Any, Any, Any, Any]
"""Cost, amount, earlier purchase, line, count."""

NOTHING: Purchase = (0, 0, None, None, 0)

by_cost = itemgetter(0)


def stores_of(purchase: Purchase) -> int:
    """Bits of the stores where a purchase is made."""
    stores = 0
    while purchase is not NOTHING:
        _, _, purchase, line, _ = purchase
        stores |= line.store
    return stores


def greedy(ways: Iterable[Any], target: float) -> Purchase | None:
    """The cover that takes the best price per amount first; None if there is none."""
    taken: dict[Any, int] = {}
    best, purchase = None, NOTHING
    for way in ways:
        left = way.line.most - taken.get(way.line, 0)
        missing = target - purchase[1]
        if -(-missing // way.amount) * way.count <= left:
            full = _bought(purchase, way, -(-missing // way.amount))
            if best is None or full[0] < best[0]:
                best = full
        times = min(missing // way.amount, left // way.count)
        taken[way.line] = taken.get(way.line, 0) + times * way.count
        purchase = _bought(purchase, way, times)
    return purchase if purchase[1] >= target else best


def _bought(purchase, way, times):
    """The purchase plus `times` of `way`."""
    if times == 0:
        return purchase
    cost, amount = purchase[0] + times * way.cost, purchase[1] + times * way.amount
    return cost, amount, purchase, way.line, times * way.count


def promises_more(
    following: Any, target: float, best: Purchase, way: Any, purchase: Purchase, left: float = 0
) -> bool:
    """
    Whether the best price per amount to come might bring a purchase to the target below best.

    `left` of `way` can still be added before the `following` one.
    """
    money, missing = best[0] - purchase[0], target - purchase[1]
    if left:
        taken = min(missing, left * way.amount)
        money, missing = money * way.amount - taken * way.cost, (missing - taken) * way.amount
    if following is None:
        return missing <= 0 < money
    return money * following.amount > missing * following.cost


def leap(way: Any, purchase: Purchase, following: Any, target: float, best: Purchase) -> Purchase:
    """The purchase plus the fewest of a way that look promising or reach the target."""
    missing = target - purchase[1]
    times = -(-missing // way.amount)
    if following is not None:
        lack = missing * following.cost - (best[0] - purchase[0]) * following.amount
        gain = way.amount * following.cost - way.cost * following.amount
        if lack < 0:
            times = 0
        elif gain > 0:
            times = min(times, lack // gain + 1)
    return _bought(purchase, way, times)


def repeat(way: Any, purchases: list[Purchase], target: float, worst: float) -> list[Purchase]:
    """
    Purchases with any number of a way added that no other beats, by rising cost.

    They end with the first that reaches the target, and cost less than `worst`.
    """
    waiting: deque[Purchase] = deque()
    found, top, position = [], -1, 0
    while position < len(purchases) or waiting:
        if waiting and (position == len(purchases) or waiting[0][0] < purchases[position][0]):
            purchase = waiting.popleft()
        else:
            purchase = purchases[position]
            position += 1
        if purchase[0] >= worst:
            break
        if purchase[1] > top:
            top = purchase[1]
            found.append(purchase)
            if top >= target:
                break
            waiting.append(_bought(purchase, way, 1))
    return found


def choose(
    line: Any,
    purchases: list[Purchase],
    target: float,
    worst: float,
    promises: Callable[[Purchase, float], bool] | None = None,
) -> list[Purchase]:
    """
    Like `repeat`, but within the line's limit, deals included.

    If the limit is not a whole number of deals, either all deals and at most the remaining singles
    are taken, or one deal less. `promises` takes a purchase and how often the line's first way can
    still be added, and says whether the purchase may be of use.
    """
    way, *single = line.ways
    deals, over = divmod(line.most, way.count)
    if not single:
        return _up_to(way, deals, purchases, target, worst, promises)
    all_deals = [_bought(purchase, way, deals) for purchase in purchases]
    fewer = _up_to(way, deals - 1, purchases, target, worst, promises)
    return _best_of(
        _up_to(single[0], over, all_deals, target, worst)
        + _up_to(single[0], way.count - 1, fewer, target, worst),
        target,
        worst,
    )


def _up_to(way, most, purchases, target, worst, promises=None):
    """
    Purchases with up to `most` of a way added that no other beats.

    The way is added in bundles of halves, quarters, … down to one, which sum to every number.
    """
    bundles, left = [], most
    while left:
        bundles.append(left - left // 2)
        left //= 2
    left = most
    for bundle in bundles:
        purchases = _best_of(
            purchases + [_bought(purchase, way, bundle) for purchase in purchases], target, worst
        )
        left -= bundle
        if promises:
            purchases = [p for p in purchases if p[1] >= target or promises(p, left + 1)]
    return purchases


def _best_of(purchases, target, worst):
    """Those not beaten in both cost and amount, up to the first that reaches the target."""
    found, top = [], -1
    for purchase in sorted(purchases, key=by_cost):
        if purchase[0] >= worst or top >= target:
            break
        if purchase[1] > top:
            top = purchase[1]
            found.append(purchase)
    return found
