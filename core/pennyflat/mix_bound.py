"""A bound from below on what undecided plantings add to the cost of whole packages.

Each item is given prices at which the plantings may have it, and each planting takes the medium
that is then cheapest for it. What they pay, less the most that the prices can earn above what the
packages cost, is never more than the true least cost, whatever the prices. (A Lagrangian bound:
Geoffrion 1974, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2;
from memory.) An item of which a planting takes something in one medium only, as a rule that medium
itself, has a price for each planting, as in the strong formulation of facility location; an item
shared by several of its choices, such as the feed, has one price per step of amount.

Everything is a whole number on the grid of the packages, so no bound is lost to rounding.
"""

from bisect import bisect_left
from dataclasses import dataclass

PATIENCE = 4
"""Steps without a better bound before they are halved. [count] Ours."""


class Stairs:
    """
    What any amount of one item costs at the stores that are open, trips left aside.

    Parameters
    ----------
    shelf : Shelf
    largest : int
        Largest amount that will be asked for. [steps of amount]
    open_stores : int
        Their bits.
    """

    def __init__(self, shelf, largest, open_stores):
        self.supply = shelf.supply(open_stores)
        corners = shelf.undominated(min(max(0, largest), self.supply), open_stores)
        self.amounts = [corner[1] for corner in corners]
        self.costs = [corner[0] for corner in corners]
        self.first = self.costs[min(1, len(corners) - 1)]
        """Cost of the least that can be bought."""
        self.shortfall_weight = shelf.grid.shortfall_weight

    def cost(self, amount):
        """Of buying so much, or all there is and missing the rest."""
        missing = max(0, amount - self.supply)
        return (
            self.costs[bisect_left(self.amounts, amount - missing)]
            + missing * self.shortfall_weight
        )

    def rises(self, had, most):
        """(more, cost of had and more) at the end of each step up to `most` more than `had`."""
        place = bisect_left(self.amounts, had)
        for amount, cost in zip(self.amounts[place:], self.costs[place:], strict=True):
            if amount - had >= most:
                break
            yield amount - had, cost
        yield most, self.cost(had + most)


@dataclass(frozen=True, slots=True)
class Point:
    """The bound at some prices."""

    value: int
    prices: list
    """By item: a number per step if it is shared, else a number for each planting."""
    choice: dict
    """What each undecided planting takes."""
    slope: list
    """Taken less supplied: the way in which prices should move."""


class Dual:
    """
    The bound of a branch as a function of the prices.

    Parameters
    ----------
    stairs : sequence of Stairs
        One for each item.
    had : sequence of int
        What decided plantings take, less the stock. [steps of amount]
    opened : set of int
        Items of which something is bought in any case.
    closed : set of int
        Items of which nothing is bought.
    shared : sequence of bool
        Whether an item has one price for all.
    rows : dict of int to list of (int, int, list)
        For each undecided planting its choices: (number, as-used rest, [(item, steps)]).
    """

    def __init__(self, stairs, had, opened, closed, shared, rows):
        self._shared = shared
        self._rows = rows
        self._members = [{} for _ in stairs]
        for row, options in rows.items():
            for _, _, take in options:
                for item, steps in take:
                    self._members[item][row] = max(self._members[item].get(row, 0), steps)
        self._base, self._rises = [], []
        for item, (stair, start) in enumerate(zip(stairs, had, strict=True)):
            most = sum(self._members[item].values())
            least = stair.first if item in opened else 0
            self._base.append(max(least, stair.cost(start)))
            if item in closed:
                most = min(most, -start)
            rises = stair.rises(start, most) if most else ()
            self._rises.append([(more, max(least, cost)) for more, cost in rises])
        self._units = [sum(m.values()) // len(m) if m else 1 for m in self._members]
        self._dearest = stairs[0].shortfall_weight if stairs else 0

    def safe_prices(self):
        """The highest price per step that no further purchase undercuts, for every planting."""
        found = []
        for base, rises, members, shared in zip(
            self._base, self._rises, self._members, self._shared, strict=True
        ):
            price = min(((cost - base) // more for more, cost in rises if more), default=0)
            found.append(price if shared else {row: price * n for row, n in members.items()})
        return found

    def at(self, prices):
        """The bound at some prices, lowered to what a shortfall costs where they are above it."""
        prices = [
            min(price, self._dearest)
            if self._shared[item]
            else {
                row: min(price.get(row, 0), self._dearest * steps)
                for row, steps in self._members[item].items()
            }
            for item, price in enumerate(prices)
        ]
        value, slope = 0, []
        for item, price in enumerate(prices):
            supply = self._supply_all if self._shared[item] else self._supply_each
            least, part = supply(item, price)
            value += least
            slope.append(part)
        choice = {}
        for row, options in self._rows.items():
            best = None
            for pick, rest, take in options:
                cost = rest
                for item, steps in take:
                    price = prices[item]
                    cost += price * steps if self._shared[item] else price[row]
                if best is None or cost < best[0]:
                    best = (cost, pick, take)
            cost, choice[row], take = best
            value += cost
            for item, steps in take:
                if self._shared[item]:
                    slope[item] += steps
                else:
                    slope[item][row] += 1
        return Point(value, prices, choice, slope)

    def _supply_all(self, item, price):
        """Least cost less earnings of supplying any amount at one price, and minus that amount."""
        best, supplied = self._base[item], 0
        for more, cost in self._rises[item]:
            if cost - price * more < best:
                best, supplied = cost - price * more, more
        return best, -supplied

    def _supply_each(self, item, prices):
        """The same where each planting has its price, parts of plantings allowed."""
        members = self._members[item]
        order = sorted(members, key=lambda row: -(prices[row] << 64) // members[row])
        best, supplied = self._base[item], 0
        room, earned, place = 0, 0, 0
        for more, cost in self._rises[item]:
            while place < len(order) and room + members[order[place]] <= more:
                room += members[order[place]]
                earned += prices[order[place]]
                place += 1
            part = 0
            if place < len(order):
                row = order[place]
                part = -(-prices[row] * (more - room) // members[row])
            if cost - earned - part < best:
                best, supplied = cost - earned - part, more
        slope = {}
        for row in order:
            slope[row] = -min(1.0, max(0, supplied) / members[row])
            supplied -= members[row]
        return best, slope

    def climb(self, point, goal, steps):
        """
        The best of some subgradient steps from a point towards a goal, reached or not.
        """
        best, stride, vain = point, 0.5, 0
        for _ in range(steps):
            if best.value >= goal:
                break
            steepness = 0.0
            for item, slope in enumerate(point.slope):
                if self._shared[item]:
                    steepness += (slope / self._units[item]) ** 2
                else:
                    steepness += sum(part * part for part in slope.values())
            if not steepness:
                break
            point = self.at(self._moved(point, stride * (goal - point.value) / steepness))
            if point.value > best.value:
                best, vain = point, 0
            else:
                vain += 1
                if vain == PATIENCE:
                    point, stride, vain = best, stride / 2, 0
        return best

    def _moved(self, point, length):
        prices = []
        for item, (price, slope) in enumerate(zip(point.prices, point.slope, strict=True)):
            if self._shared[item]:
                prices.append(max(0, price + int(length * slope / self._units[item] ** 2)))
            else:
                prices.append({row: max(0, price[row] + int(length * slope[row])) for row in slope})
        return prices
