"""The cheapest way to buy for several needs together, and where: proven optimal.

Only trips tie the needs together: a store's `trip_cost` is paid once if anything is bought there.
For a given choice of stores, each need is covered on its own (see `cover`). Branch and bound
searches the choices of stores: the bound of a branch is the cost of its needs when every store not
ruled out may be used, plus the trips already decided on. The bound is exact once the purchases
keep to those stores, and branches that cannot beat the best known basket are dropped. [Land & Doig
1960, "An automatic method of solving discrete programming problems", Econometrica 28; from memory]

Cheapest means least money, then fewest packages, then least left over, adding up litres and
kilograms.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from heapq import heappop, heappush
from math import fsum, inf
from operator import or_
from typing import TypedDict

from pennyflat.buying.cover import Cover, Need, Shelf, lines_of
from pennyflat.buying.grid import Grid
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import Store


@dataclass(frozen=True, slots=True)
class BasketLine:
    """A number of packages of one kind."""

    item: str
    package: Package
    count: int
    """Packages, at least 1. [count]"""
    paid: float
    """With tax, deals applied. [currency]"""


class LeftOver(TypedDict):
    """What remains of one item."""

    item: str
    amount: float
    """More than 0. [measure]"""
    measure: str
    worth: float
    """At the lowest price per measure, deals included, with tax. [currency]"""


class Shortfall(TypedDict):
    """What limits keep out of reach."""

    item: str
    short_by: float
    """More than 0. [measure]"""
    measure: str


@dataclass(frozen=True, slots=True)
class Basket:
    """Whole packages for several needs."""

    covers: tuple[Cover, ...]
    """In the order of the needs."""
    lines: tuple[BasketLine, ...]
    """What is bought, store by store."""
    trips: dict[str, float]
    """Untaxed cost of the trip to each store bought from, in the order given. [currency]"""
    packages_paid: float
    """With tax, deals applied. [currency]"""
    trips_paid: float
    """[currency]"""
    total: float
    """Packages and trips. [currency]"""
    over_budget_by: float
    """Total less the budget, at least 0. [currency]"""
    left_over: list[LeftOver]
    unmet: list[Shortfall]

    @property
    def counts(self) -> Counter[tuple[str, Package]]:
        """How many of each package are bought, by item and package. [count]"""
        found = Counter[tuple[str, Package]]()
        for line in self.lines:
            found[line.item, line.package] += line.count
        return found


def cheapest_basket(
    needs: Sequence[Need],
    *,
    stores: Sequence[Store] = (),
    tax: float = 0.0,
    budget: float | None = None,
    left_over_counts: float = 0.0,
) -> Basket:
    """
    Whole packages that cover every need at the least cost, trips included; proven.

    Trips to shops that are not among the `stores` are free. `tax` is on the prices of packages [1].
    A `budget` [currency] does not change what is bought; `left_over_counts` is the share of the
    leftovers' worth that counts as money not spent [1]. A need that limits leave short gets
    everything available.

    A trip to the depot pays once it can meet both needs:

    >>> from pennyflat.buying.cover import Need
    >>> from pennyflat.scenario.records import Store
    >>> mix = Need("Mix", "L", 30, (Package("Lane", 10, "L", 4.0), Package("Depot", 30, "L", 9.0)))
    >>> grit = Need("Grit", "L", 5, (Package("Lane", 5, "L", 6.0), Package("Depot", 5, "L", 3.5)))
    >>> stores = [Store("Lane", 0.0), Store("Depot", 4.5)]
    >>> cheapest_basket([mix], stores=stores).total
    12.0
    >>> basket = cheapest_basket([mix, grit], stores=stores)
    >>> list(basket.trips), basket.total
    (['Depot'], 17.0)
    """
    needs = tuple(needs)
    trip_costs = {store.name: store.trip_cost for store in stores}
    paid_trips = {name: cost for name, cost in trip_costs.items() if cost}
    grid = Grid(needs, tax=tax, untaxed=paid_trips.values(), left_over_counts=left_over_counts)
    bits = {name: 1 << position for position, name in enumerate(paid_trips)}
    shelves = tuple(Shelf(need, grid, bits) for need in needs)
    trips = {bits[name]: grid.weighed(grid.money(cost)) for name, cost in paid_trips.items()}
    covers = tuple(map(Shelf.cover, shelves, _purchases(shelves, trips)))
    return _basket(needs, covers, trip_costs, tax, budget)


def _purchases(shelves, trips):
    """
    Cheapest purchases that reach the target of every shelf, over all choices of stores.

    `trips` holds the weighed cost of a trip to each store that charges one, by the store's bit.
    """
    known = [[] for _ in shelves]
    best_cost, best = inf, ()
    branches = [(0, 0, sum(trips))]
    while branches:
        bound, visited, open_stores = heappop(branches)
        if bound >= best_cost:
            break
        found = [_purchase(*each, open_stores) for each in zip(shelves, known, strict=True)]
        if None in found:
            continue
        bound = sum(purchase[0] for purchase, _ in found)
        bound += sum(cost for bit, cost in trips.items() if bit & visited)
        used = reduce(or_, (stores for _, stores in found), 0)
        undecided = [bit for bit in trips if bit & used & ~visited]
        cost = bound + sum(trips[bit] for bit in undecided)
        if cost < best_cost:
            best_cost, best = cost, tuple(purchase for purchase, _ in found)
        if undecided and bound < best_cost:
            bit = max(undecided, key=trips.__getitem__)
            heappush(branches, (bound, visited, open_stores & ~bit))
            heappush(branches, (bound + trips[bit], visited | bit, open_stores))
    return best


def _purchase(shelf, known, open_stores):
    """
    A shelf's cheapest purchase and the stores it uses; None if the open stores cannot do it.

    A purchase known for many stores stays cheapest for fewer, if they include those it uses.
    """
    for stores, found in known:
        if not open_stores & ~stores and (found is None or not found[1] & ~open_stores):
            return found
    if found := shelf.least(open_stores):
        found = found, reduce(or_, (line.store for line, _ in lines_of(found)), 0)
    known.append((open_stores, found))
    return found


def _basket(needs, covers, trip_costs, tax, budget):
    """The covers as a basket, store by store."""
    lines, left_over, unmet = [], [], []
    for need, cover in zip(needs, covers, strict=True):
        bought = zip(need.packages, cover.counts, cover.charges, strict=True)
        lines += [BasketLine(need.item, *line) for line in bought if line[1]]
        used, worth = need.remains(cover, tax)
        if left := cover.left_over + used:
            left_over.append(
                LeftOver(item=need.item, amount=left, measure=need.measure, worth=worth)
            )
        if cover.short_by:
            unmet.append(Shortfall(item=need.item, short_by=cover.short_by, measure=need.measure))
    stores = list(dict.fromkeys([*trip_costs, *(line.package.store for line in lines)]))
    lines.sort(key=lambda line: stores.index(line.package.store))
    trips = {line.package.store: trip_costs.get(line.package.store, 0.0) for line in lines}
    packages_paid, trips_paid = fsum(cover.paid for cover in covers), fsum(trips.values())
    total = packages_paid + trips_paid
    return Basket(
        covers=covers,
        lines=tuple(lines),
        trips=trips,
        packages_paid=packages_paid,
        trips_paid=trips_paid,
        total=total,
        over_budget_by=0.0 if budget is None else max(0.0, total - budget),
        left_over=left_over,
        unmet=unmet,
    )
