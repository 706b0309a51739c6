"""The least cost of whole packages that cover one need, proven.

Packages are bought whole, singly at their price or several together as a `deal`; at most `limit` of
each can be had. *Least* means least money, then fewest packages, then least left over.

One whole number decides all three exactly (see `grid`). The search goes through the ways to buy,
one package alone or a deal, from the best price per amount on, and lists every purchase that no
other beats in both cost and amount. It drops those that cannot beat the best known cover even at
the best price per amount still to come: dynamic programming over undominated states with bounds,
as for the knapsack problem. [Kellerer, Pferschy & Pisinger, *Knapsack Problems*, Springer 2004;
from memory]
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from itertools import pairwise
from math import ceil, gcd, inf
from operator import itemgetter
from typing import Any, TypeAlias

from pennyflat.buying.grid import TOLERANCE, Grid
from pennyflat.scenario.package import Package, amount_in

Purchase: TypeAlias = tuple[Any, Any, Any, Any, Any]
"""Cost, amount, earlier purchase, line, count: a chain down to `NOTHING`, in whole numbers."""

NOTHING: Purchase = (0, 0, None, None, 0)


@dataclass(frozen=True, slots=True)
class Need:
    """An amount of one item, and the packages it is sold in."""

    item: str
    measure: str
    """"L", "g" or "mL"."""
    amount: float
    """At least 0. [measure]"""
    packages: tuple[Package, ...]
    stock: float = 0.0
    """Already at home, used first and free. [measure]"""
    keeps: float = 0.0
    """Share of its worth that a used thing keeps, as a tray does. [1]"""

    @property
    def key(self) -> tuple[str, str, tuple[Package, ...]]:
        """Needs with the same key are for the same thing."""
        return self.item, self.measure, self.packages

    def worth(self, tax: float) -> float:
        """Worth of one unit left over, as from `least_price`. [currency per measure]"""
        return least_price(self.packages, self.measure, tax)

    def remains(self, cover: "Cover", tax: float) -> tuple[float, float]:
        """What is used and keeps some of its worth, and the worth of all that is left.

        [measure, currency]
        """
        used = (self.stock + cover.bought - cover.left_over) if self.keeps else 0.0
        return used, (cover.left_over + self.keeps * used) * self.worth(tax)


@dataclass(frozen=True, slots=True)
class Cover:
    """Whole packages for one need."""

    counts: tuple[int, ...]
    """Packages to buy, in the order of the need's packages. [count]"""
    charges: tuple[float, ...]
    """Price of each line with tax, deals applied. [currency]"""
    paid: float
    """Sum of the charges. [currency]"""
    bought: float
    """Amount in the packages. [measure]"""
    left_over: float
    """Stock and bought together, less the need; at least 0. [measure]"""
    short_by: float
    """The part that limits make impossible; everything available is then bought. [measure]"""


@lru_cache(maxsize=4096)
def least_price(packages: tuple[Package, ...], measure: str, tax: float) -> float:
    """
    Lowest price of one unit in any of the packages, deals and tax included; 0 if there are none.

    `tax` is a share; the price is in currency per measure.

    >>> from pennyflat.scenario.package import Deal
    >>> least_price((Package("A", 10, "L", 5.0, deal=Deal(3, 12.0)),), "L", 0.0)
    0.4
    """
    pay, amount = best_way(packages, measure) or (0.0, 1.0)
    return pay / amount * (1 + tax)


def best_way(packages: tuple[Package, ...], measure: str) -> tuple[float, float] | None:
    """What to pay before tax, and for how much, where one unit costs least; None if nowhere."""
    ways = [
        (pay, take * amount_in(package, measure))
        for package in packages
        for take, pay in ways_of(package)
    ]
    return min(ways, key=lambda way: way[0] / way[1], default=None)


def ways_of(package: Package) -> list[tuple[int, float]]:
    """How many are bought together, for how much: singly and by the deal, within the limit."""
    deal = package.deal
    ways = [(1, package.price)] + ([(deal.take, deal.pay)] if deal else [])
    return [way for way in ways if package.limit is None or way[0] <= package.limit]


@lru_cache(maxsize=1024)
def cheapest_cover(need: Need, *, tax: float = 0.0) -> Cover:
    """
    Whole packages that cover one need at the least cost, ignoring trips; proven.

    `tax` is a share of the prices. Ties go to fewer packages, then less left over. Taking the
    packages with the lowest price per litre alone would cost 27.00 here:

    >>> bags = [Package("A", 8, "L", 5.0), Package("A", 16, "L", 9.0), Package("A", 28, "L", 13.5)]
    >>> cover = cheapest_cover(Need("Mix", "L", 40, tuple(bags)))
    >>> cover.counts, cover.paid, cover.left_over
    ((0, 1, 1), 22.5, 4.0)
    """
    shelf = Shelf(need, Grid([need], tax=tax))
    return shelf.cover(shelf.least())


@lru_cache(maxsize=1024)
def cost_steps(
    up_to: float, packages: tuple[Package, ...], measure: str, tax: float = 0.0
) -> tuple[tuple[float, float], ...]:
    """
    Least cost against the amount needed: the corners of a staircase.

    They are (amount, paid) [measure, currency], both rising from (0.0, 0.0): a need above one
    corner's amount costs what the next corner costs. The last corner reaches `up_to`, or as far as
    limits allow. `tax` is a share of the prices.

    >>> bags = (Package("A", 10, "L", 5.2), Package("A", 25, "L", 10.9))
    >>> cost_steps(40, bags, "L")
    ((0.0, 0.0), (10.0, 5.2), (20.0, 10.4), (25.0, 10.9), (30.0, 15.6), (35.0, 16.1), (40.0, 20.8))
    """
    need = Need("", measure, up_to, packages)
    shelf = Shelf(need, Grid([need], tax=tax))
    corners: list[tuple[float, float]] = []
    purchases: list[Any] = [*shelf.undominated(), None]
    for purchase, dearer in pairwise(purchases):
        amount, money = purchase[1] / shelf.steps, shelf.grid.money_of(purchase[0])
        covers_more = not corners or amount > corners[-1][0] * (1 + TOLERANCE)
        if covers_more and (dearer is None or money < shelf.grid.money_of(dearer[0])):
            corners.append((amount, money))
    return tuple(corners)


class Shelf:
    """The packages of one need on a grid; stores that have a bit may be closed."""

    def __init__(self, need: Need, grid: Grid, store_bits: dict[str, int] | None = None) -> None:
        self.need = need
        self.grid = grid
        self.steps = grid.steps(need.measure)
        bits = store_bits or {}
        self._lines = [
            _Line(index, package, need, grid, bits.get(package.store, 0))
            for index, package in enumerate(need.packages)
        ]
        self._ways = [way for line in self._lines for way in line.ways]
        # Of equal prices per amount, the store's name decides, not the order of the rows.
        self._ways.sort(key=lambda way: (Fraction(way.cost, way.amount), way.line.seller))
        lattice = gcd(*(line.amount for line in self._lines)) or 1
        wanted = ceil((need.amount - need.stock - need.amount * TOLERANCE) * self.steps)
        supply = sum(line.most * line.amount for line in self._lines if line.most)
        self.target = min(max(0, -(-wanted // lattice) * lattice), supply)
        """What to buy after the stock, as far as limits allow. [steps of amount]"""

    def undominated(self) -> list[Purchase]:
        """Purchases that no other beats in both cost and amount; the last reaches the target."""
        purchases = [NOTHING]
        for way in self._ways:
            purchases = _with_any(way, purchases, self.target)
        return purchases

    def least(self, open_stores: int = -1) -> Any:
        """Cheapest `Purchase` that reaches the target; None if stores with these bits cannot."""
        target = self.target
        ways = [way for way in self._ways if way.line.store & open_stores == way.line.store]
        best = _greedy(ways, target)
        if best is None:
            return None
        purchases = [NOTHING]
        for way, following in pairwise([*ways, None]):
            if not way.line.limit_binds(target):
                leapt = [_leap(way, p, following, target, best) for p in purchases]
                purchases = sorted(leapt, key=itemgetter(0))
            promises = partial(_promises, following, target, best, way)
            purchases = _with_any(way, purchases, target, best[0], promises)
            if purchases and purchases[-1][1] >= target:
                best = purchases.pop()
            purchases = [p for p in purchases if _promises(following, target, best, way, p)]
            if not purchases:
                break
        return best

    def cover(self, purchase: Purchase) -> Cover:
        """A purchase as the `Cover` of the need."""
        counts, bought = [0] * len(self._lines), purchase[1] / self.steps
        for line, count in lines_of(purchase):
            counts[line.index] += count
        charges = [line.charge(count) for line, count in zip(self._lines, counts, strict=True)]
        missing, spare = self.need.amount - self.need.stock - bought, self.need.amount * TOLERANCE
        return Cover(
            counts=tuple(counts),
            charges=tuple(charge / self.grid.money_steps for charge in charges),
            paid=sum(charges) / self.grid.money_steps,
            bought=bought,
            left_over=-missing if -missing > spare else 0.0,
            short_by=missing if missing > spare else 0.0,
        )


def lines_of(purchase: Purchase) -> Iterator[tuple[Any, int]]:
    """The lines of a purchase and how many packages are bought of each; one may occur twice."""
    while purchase is not NOTHING:
        _, _, purchase, line, count = purchase
        yield line, count


class _Line:
    """One package on the grid."""

    def __init__(self, index, package, need, grid, store):
        self.index, self.store, self.seller = index, store, package.store
        self.amount, self.credit = grid.amount(package, need.measure), grid.credit(package, need)
        self.most = inf if package.limit is None else package.limit
        self._take, self._pay = 1, grid.price(package.price)
        self._price = self._pay
        for take, pay in ways_of(package)[1:]:
            if grid.price(pay) < self._price * take:
                self._take, self._pay = take, grid.price(pay)
        counts = () if self.most < 1 else (1,) if self._take == 1 else (self._take, 1)
        self.ways = tuple(_Way(self, count, grid) for count in counts)

    def charge(self, count):
        """Least cost of exactly this many. [steps of money]"""
        deals, singles = divmod(count, self._take)
        return deals * self._pay + singles * self._price

    def limit_binds(self, target):
        """Whether a purchase could exceed the limit."""
        return self.most < -(-target // self.amount) + self._take - 1


class _Way:
    """Packages of one line bought together: one alone, or a deal."""

    def __init__(self, line, count, grid):
        self.line, self.count, self.amount = line, count, count * line.amount
        self.cost = grid.weighed(line.charge(count), count, self.amount, count * line.credit)


def _bought(purchase, way, times):
    """The purchase plus `times` of `way`."""
    if times == 0:
        return purchase
    cost, amount = purchase[0] + times * way.cost, purchase[1] + times * way.amount
    return cost, amount, purchase, way.line, times * way.count


def _greedy(ways, target):
    """The cover that takes the best price per amount first; None if there is none."""
    taken, best, purchase = {}, None, NOTHING
    for way in ways:
        left, missing = way.line.most - taken.get(way.line, 0), target - purchase[1]
        if -(-missing // way.amount) * way.count <= left:
            full = _bought(purchase, way, -(-missing // way.amount))
            if best is None or full[0] < best[0]:
                best = full
        times = min(missing // way.amount, left // way.count)
        taken[way.line] = taken.get(way.line, 0) + times * way.count
        purchase = _bought(purchase, way, times)
    return purchase if purchase[1] >= target else best


def _promises(following, target, best, way, purchase, left=0):
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


def _leap(way, purchase, following, target, best):
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


def _with_any(way, purchases, target, worst=inf, promises=None):
    """
    Purchases with any number of a way added that no other beats, by rising cost.

    They end with the first that reaches the target, and cost less than `worst`. `promises` takes a
    purchase and how often the way can still be added, and says whether the purchase may be of use.

    If a line's limit binds, its deal and its single packages are added together: either all deals
    and at most the remaining singles are taken, or one deal less.
    """
    line = way.line
    if not line.limit_binds(target):
        return _repeated(way, purchases, target, worst)
    first, *single = line.ways
    if way is not first:
        return purchases
    deals, over = divmod(line.most, way.count)
    if not single:
        return _up_to(way, deals, purchases, target, worst, promises)
    all_deals = [_bought(purchase, way, deals) for purchase in purchases]
    fewer = _up_to(way, deals - 1, purchases, target, worst, promises)
    found = _up_to(single[0], over, all_deals, target, worst)
    found += _up_to(single[0], way.count - 1, fewer, target, worst)
    return _best_of(found, target, worst)


def _repeated(way, purchases, target, worst):
    """The purchases with any number of a way added, however many."""
    waiting, found, top = deque(), [], -1
    left = deque(purchases)
    while left or waiting:
        is_new = waiting and (not left or waiting[0][0] < left[0][0])
        purchase = (waiting if is_new else left).popleft()
        if purchase[0] >= worst or top >= target:
            break
        if purchase[1] > top:
            top = purchase[1]
            found.append(purchase)
            waiting.append(_bought(purchase, way, 1))
    return found


def _up_to(way, most, purchases, target, worst, promises=None):
    """
    Purchases with up to `most` of a way added that no other beats.

    The way is added in bundles of halves, quarters, … down to one, which sum to every number.
    """
    left = most
    while left:
        bundle = left - left // 2
        left //= 2
        more = [_bought(purchase, way, bundle) for purchase in purchases]
        purchases = _best_of(purchases + more, target, worst)
        if promises:
            purchases = [p for p in purchases if p[1] >= target or promises(p, left + 1)]
    return purchases


def _best_of(purchases, target, worst):
    """Those not beaten in both cost and amount, up to the first that reaches the target."""
    found, top = [], -1
    for purchase in sorted(purchases, key=itemgetter(0)):
        if purchase[0] >= worst or top >= target:
            break
        if purchase[1] > top:
            top = purchase[1]
            found.append(purchase)
    return found
