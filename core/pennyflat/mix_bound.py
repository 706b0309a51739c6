"""A bound from below on what undecided plantings add to the cost of whole packages.

Each planting is given a price for what it would take of each item in each medium, and takes the
medium that is then cheapest for it. What all of them pay, less the most that selling to them at
these prices can earn above what the packages cost, is never more than the true least cost, whatever
the prices. (A Lagrangian bound: Geoffrion 1974, "Lagrangean relaxation for integer programming",
Mathematical Programming Study 2; from memory.) The prices are first the highest per amount that no
purchase undercuts, then improved by subgradient steps.

Everything is a whole number on the grid of the packages, so no bound is lost to rounding.
"""

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise

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
    """For each item, what each choice of each planting pays for it: {(planting, pick): price}."""
    choice: dict
    """What each undecided planting takes."""
    slope: list
    """Taken less supplied, for each price: the way in which it should move."""


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
    rows : dict of int to list of (int, int, list)
        For each undecided planting its choices: (pick, as-used rest, [(item, steps)]).
    """

    def __init__(self, stairs, had, opened, closed, rows):
        self._rows = rows
        self._steps = [{} for _ in stairs]
        largest = [{} for _ in stairs]
        for row, options in rows.items():
            for pick, _, take in options:
                for item, steps in take:
                    self._steps[item][row, pick] = steps
                    largest[item][row] = max(largest[item].get(row, 0), steps)
        self._base, self._rises = [], []
        for item, (stair, start) in enumerate(zip(stairs, had, strict=True)):
            most = sum(largest[item].values())
            least = stair.first if item in opened else 0
            self._base.append(max(least, stair.cost(start)))
            if item in closed:
                most = min(most, -start)
            rises = stair.rises(start, most) if most else ()
            self._rises.append([(more, max(least, cost)) for more, cost in rises])
        self._dearest = stairs[0].shortfall_weight if stairs else 0

    def safe_prices(self):
        """The highest price per step that no further purchase undercuts, for every planting."""
        found = []
        for base, rises, steps in zip(self._base, self._rises, self._steps, strict=True):
            price = min(((cost - base) // more for more, cost in rises if more), default=0)
            found.append({place: price * n for place, n in steps.items()})
        return found

    def at(self, prices):
        """The bound at some prices, lowered to what a shortfall costs where they are above it."""
        prices = [
            {place: min(price.get(place, 0), self._dearest * n) for place, n in steps.items()}
            for price, steps in zip(prices, self._steps, strict=True)
        ]
        value, choice, slope = 0, {}, []
        for item, price in enumerate(prices):
            least, part = self._supply(item, price)
            value += least
            slope.append(part)
        for row, options in self._rows.items():
            best = None
            for pick, cost, take in options:
                for item, _ in take:
                    cost += prices[item][row, pick]
                if best is None or cost < best[0]:
                    best = (cost, pick, take)
            cost, pick, take = best
            choice[row] = pick
            value += cost
            for item, _ in take:
                slope[item][row, pick] += 1
        return Point(value, prices, choice, slope)

    def _supply(self, item, prices):
        """
        Least cost less earnings of supplying any plantings, parts allowed, and what is supplied.

        A planting pays for one of its choices: by growing amount, those that pay more for it, on
        their upper hull. Filling by price per amount is then the best for any amount. (The
        multiple-choice knapsack relaxed: Sinha & Zoltners 1979, Operations Research 27; from
        memory.) Between the ends of steps the cost stays while earnings grow; where limits leave
        things missing, no price is above what a missing step costs.
        """
        ladder = self._ladder(item, prices)
        best, supplied = self._base[item], 0
        room, earned, place = 0, 0, 0
        for more, cost in self._rises[item]:
            while place < len(ladder) and room + ladder[place][1] <= more:
                room += ladder[place][1]
                earned += ladder[place][2]
                place += 1
            part = 0
            if place < len(ladder):
                _, steps, price, _, _ = ladder[place]
                part = -(-price * (more - room) // steps)
            if cost - earned - part < best:
                best, supplied = cost - earned - part, more
        slope = dict.fromkeys(prices, 0.0)
        for _, steps, _, before, after in ladder:
            if supplied <= 0:
                break
            share = min(1.0, supplied / steps)
            slope[after] -= share
            if before is not None:
                slope[before] += share
            supplied -= steps
        return best, slope

    def _ladder(self, item, prices):
        """
        (minus price per step, steps, price, from which choice, to which) by falling price.

        The price per step is rounded to 2**-64, which is less than rounding a part up adds.
        """
        by_row = {}
        for place, steps in self._steps[item].items():
            by_row.setdefault(place[0], []).append((steps, prices[place], place))
        ladder = []
        for choices in by_row.values():
            hull = [(0, 0, None)]
            for steps, price, place in sorted(choices):
                if price <= hull[-1][1]:
                    continue
                while len(hull) > 1 and _is_below(hull[-2], hull[-1], (steps, price)):
                    hull.pop()
                if steps == hull[-1][0]:
                    hull.pop()
                hull.append((steps, price, place))
            for (less, earlier, before), (steps, price, after) in pairwise(hull):
                rate = -((price - earlier) << 64) // (steps - less)
                ladder.append((rate, steps - less, price - earlier, before, after))
        ladder.sort(key=lambda rung: rung[0])
        return ladder

    def climb(self, point, goal, steps):
        """
        The best of some subgradient steps from a point towards a goal, reached or not.

        It can be left off between two steps; see `piecemeal`.
        """
        best, stride, vain = point, 0.5, 0
        for _ in range(steps):
            if best.value >= goal:
                break
            steepness = sum(part * part for slope in point.slope for part in slope.values())
            if not steepness:
                break
            length = stride * (goal - point.value) / steepness
            point = self.at(
                [
                    {place: max(0, price[place] + int(length * slope[place])) for place in price}
                    for price, slope in zip(point.prices, point.slope, strict=True)
                ]
            )
            if point.value > best.value:
                best, vain = point, 0
            else:
                vain += 1
                if vain == PATIENCE:
                    point, stride, vain = best, stride / 2, 0
            yield
        return best


def _is_below(first, middle, last):
    """Whether the middle one of three (steps, price) lies on or below the line of the others."""
    return (middle[1] - first[1]) * (last[0] - first[0]) <= (last[1] - first[1]) * (
        middle[0] - first[0]
    )
