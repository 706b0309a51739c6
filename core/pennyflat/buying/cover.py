"""The least cost of whole packages that cover one need, proven.

Packages are bought whole, singly at their price or several together as a `deal`; at most `limit` of
each can be had. *Least* means least money, then fewest packages, then least left over.

One whole number decides all three exactly (see `grid`). The search goes through the packages from
the best price per amount on and lists every purchase that no other beats in both cost and amount.
It drops those that cannot beat the best known cover even at the best price per amount still to
come: dynamic programming over undominated states with bounds, as for the knapsack problem.
[Kellerer, Pferschy & Pisinger, *Knapsack Problems*, Springer 2004; from memory]
"""

from dataclasses import dataclass
from functools import cmp_to_key, lru_cache, partial
from itertools import pairwise
from math import ceil, gcd, inf
from typing import Any

from pennyflat.buying.grid import TOLERANCE, Grid
from pennyflat.buying.purchases import (
    NOTHING,
    Purchase,
    by_cost,
    choose,
    greedy,
    leap,
    promises_more,
    repeat,
)
from pennyflat.scenario.package import Package, amount_in


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
    prices = [
        pay / take / amount_in(package, measure)
        for package in packages
        for take, pay in ways_of(package)
    ]
    return min(prices, default=0.0) * (1 + tax)


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
        self._ways = sorted(
            (way for line in self._lines for way in line.ways), key=cmp_to_key(_dearer)
        )
        lattice = gcd(*(line.amount for line in self._lines)) or 1
        wanted = ceil((need.amount - need.stock - need.amount * TOLERANCE) * self.steps)
        supply = sum(line.most * line.amount for line in self._lines if line.most)
        self.target = min(max(0, -(-wanted // lattice) * lattice), supply)
        """What to buy after the stock, as far as limits allow. [steps of amount]"""

    def undominated(self) -> list[Purchase]:
        """Purchases that no other beats in both cost and amount; the last reaches the target."""
        purchases = [NOTHING]
        for way in self._ways:
            if way.line.limit_binds(self.target):
                if way is way.line.ways[0]:
                    purchases = choose(way.line, purchases, self.target, inf)
            else:
                purchases = repeat(way, purchases, self.target, inf)
        return purchases

    def least(self, open_stores: int = -1) -> Any:
        """Cheapest `Purchase` that reaches the target; None if stores with these bits cannot."""
        target = self.target
        ways = [way for way in self._ways if way.line.store & open_stores == way.line.store]
        best = greedy(ways, target)
        if best is None:
            return None
        purchases = [NOTHING]
        for way, following in pairwise([*ways, None]):
            if not way.line.limit_binds(target):
                leapt = [leap(way, p, following, target, best) for p in purchases]
                purchases = repeat(way, sorted(leapt, key=by_cost), target, best[0])
            elif way is way.line.ways[0]:
                promises = partial(promises_more, following, target, best, way)
                purchases = choose(way.line, purchases, target, best[0], promises)
            if purchases and purchases[-1][1] >= target:
                best = purchases.pop()
            purchases = [p for p in purchases if promises_more(following, target, best, way, p)]
            if not purchases:
                break
        return best

    def cover(self, purchase: Purchase) -> Cover:
        """A purchase as the `Cover` of the need."""
        counts = [0] * len(self._lines)
        bought = purchase[1] / self.steps
        while purchase is not NOTHING:
            _, _, purchase, line, count = purchase
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


class _Line:
    """One package on the grid."""

    def __init__(self, index, package, need, grid, store):
        self.index = index
        self.store = store
        self.seller = package.store
        self.amount = grid.amount(package, need.measure)
        self._credit = grid.credit(package, need)
        self.most = inf if package.limit is None else package.limit
        self._grid = grid
        self._price = grid.price(package.price)
        self._take, self._pay = 1, self._price
        if package.deal and package.deal.take <= self.most:
            pay = grid.price(package.deal.pay)
            if pay < self._price * package.deal.take:
                self._take, self._pay = package.deal.take, pay
        takes = () if self.most < 1 else (1,) if self._take == 1 else (self._take, 1)
        self.ways = tuple(_Way(self, take) for take in takes)

    def charge(self, count):
        """Least cost of exactly this many. [steps of money]"""
        deals, singles = divmod(count, self._take)
        return deals * self._pay + singles * self._price

    def cost(self, count):
        """Cost of exactly this many, weighed with the tie rule."""
        credit = count * self._credit
        return self._grid.weighed(self.charge(count), count, count * self.amount, credit)

    def limit_binds(self, target):
        """Whether a purchase could exceed the limit."""
        return self.most < -(-target // self.amount) + self._take - 1


class _Way:
    """Packages of one line bought together: one alone, or a deal."""

    def __init__(self, line, count):
        self.line = line
        self.count = count
        self.amount = count * line.amount
        self.cost = line.cost(count)


def _dearer(way, other):
    """
    Sign of the difference of two ways' cost per amount.

    Ties are broken by the name of the store, so that the order of the rows does not matter.
    """
    difference = way.cost * other.amount - other.cost * way.amount
    return difference or (way.line.seller > other.line.seller) - (
        way.line.seller < other.line.seller
    )
