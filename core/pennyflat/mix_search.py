"""Which growing medium for which planting, so that all of them together cost least, proven.

Plantings that share a medium share its packages and its trips, so the choice is one for all. It is
searched by branch and bound, first over the stores to visit, then planting by planting. The bound
of a branch prices what the plantings not yet decided take at so much per amount of each item, and
lets each of them take what is then cheapest. Any prices will do: what an item costs for its whole
demand is at least that price times the demand, less the most by which price times demand exceeds
the cost of any demand that may yet arise. (A Lagrangian bound: Geoffrion 1974, "Lagrangean
relaxation for integer programming", Mathematical Programming Study 2; from memory.) Two sets of
prices are tried: the highest that never exceed what the next packages cost, and those improved by
subgradient steps. All bounds are computed in whole numbers, so nothing is lost to rounding.

A blend at home already makes its ingredients cost less than in proportion; a planting not yet
decided is then counted as if it had that stock to itself, which is never too much.
"""

from bisect import bisect_left
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import chain, count

from pennyflat.basket import StoreSearch
from pennyflat.cover import TOLERANCE
from pennyflat.needs import needs_for, needs_of

MOST_BRANCHES = 30_000
"""Branches bounded before the search stops without a proof. [count] Ours."""

REST_PLACES = 9
"""Decimal places to which the as-used rest is counted. [1] Ours: it is no sum of written prices."""

ROOT_STEPS, BRANCH_STEPS = 60, 6
"""Subgradient steps for a set of stores, and for a branch below it. [count] Ours."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What was found."""

    picks: tuple
    """One requirement for each planting."""
    proven: bool
    """Whether no other choice can cost less."""
    at_least: float
    """Packages, trips and the as-used rest of any choice cost this or more. [currency]"""


def least_choice(scenario, options, *, most_branches=MOST_BRANCHES):
    """
    The choice that makes packages, trips and the as-used rest cost least.

    Parameters
    ----------
    scenario : Scenario
    options : sequence of sequence of Requirement
        For each planting, the media to choose among; at least one each, all ready.
    most_branches : int, default 30 000
        When to give up proving it. [count]

    Returns
    -------
    Choice
        What limits leave unmet is made as little as can be first, in litres and kilograms together;
        then money decides, then the number of packages.

    Examples
    --------
    >>> from pennyflat.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> rows = [[requirement(demo, p, medium) for medium in demo.media] for p in demo.plantings]
    >>> choice = least_choice(demo, rows)
    >>> [needed.medium for needed in choice.picks], choice.proven
    (['Seed starter mix', 'Seed starter mix', 'Seed starter mix'], True)
    """
    return _Search(scenario, options).run(most_branches)


class _Search:
    def __init__(self, scenario, options):
        self.scenario = scenario
        self.order = sorted(
            range(len(options)),
            key=lambda place: -max(sum(needed.litres.values()) for needed in options[place]),
        )
        self.rows = [options[place] for place in self.order]
        needs = _largest_needs(scenario, self.rows)
        self.index = {_key(need): place for place, need in enumerate(needs)}
        rests = [[_rest(needed) for needed in row] for row in self.rows]
        self.stores = StoreSearch(needs, scenario.stores, tax=scenario.tax, untaxed=chain(*rests))
        self.grid = self.stores.grid
        self.shelves = self.stores.shelves
        self.largest = [
            shelf.wanted(need.amount) for shelf, need in zip(self.shelves, needs, strict=True)
        ]
        self.rests = [
            [self.grid.weighed(self.grid.money(rest), 0, 0) for rest in row] for row in rests
        ]
        self.takes = [[self._steps(needed) for needed in row] for row in self.rows]
        self.known, self.stairs_at = {}, {}
        self.best = None

    def run(self, most_branches):
        if not self.rows:
            return Choice((), True, 0.0)
        self._start()
        serial = count()
        everywhere = sum(self.stores.trips)
        branches, bounded, proven = [], 0, True
        self._push(branches, serial, 0, everywhere, (), None)
        while branches and self._promises(branches[0][0]):
            if bounded >= most_branches:
                proven = False
                break
            _, _, visited, undecided, picks, prices = heappop(branches)
            for child in self._children(visited, undecided, picks):
                bounded += 1
                self._push(branches, serial, *child, prices)
        bound = min(branches[0][0], self.best[0]) if not proven else self.best[0]
        picks = dict(zip(self.order, self.best[1], strict=True))
        return Choice(
            picks=tuple(
                self.rows[self.order.index(place)][picks[place]] for place in range(len(picks))
            ),
            proven=proven,
            at_least=bound
            % self.grid.shortfall_weight
            // self.grid.money_weight
            / self.grid.money_steps,
        )

    def _start(self):
        """Good choices to begin with: one medium for as many as can, then the best changes."""
        media = {needed.medium for row in self.rows for needed in row}
        own = tuple(
            min(range(len(row)), key=lambda pick: self._alone(place, pick))
            for place, row in enumerate(self.rows)
        )
        self._offer(own)
        for medium in sorted(media):
            names = [[needed.medium for needed in row] for row in self.rows]
            self._offer(
                tuple(
                    row.index(medium) if medium in row else pick
                    for row, pick in zip(names, own, strict=True)
                )
            )
        improved = True
        while improved:
            before = self.best
            for place, row in enumerate(self.rows):
                for pick in range(len(row)):
                    self._offer((*self.best[1][:place], pick, *self.best[1][place + 1 :]))
            improved = self.best is not before

    def _alone(self, place, pick):
        """What one planting costs with nothing shared."""
        targets = [0] * len(self.shelves)
        for item, amount in self._wanted([self.rows[place][pick]]):
            targets[item] = amount
        return self._total(targets) + self.rests[place][pick]

    def _offer(self, picks):
        """Make a choice the best known if it is."""
        if picks in self.known:
            return
        chosen = [row[pick] for row, pick in zip(self.rows, picks, strict=True)]
        targets = [0] * len(self.shelves)
        for item, amount in self._wanted(chosen):
            targets[item] = amount
        cost = self._total(targets) + sum(
            row[pick] for row, pick in zip(self.rests, picks, strict=True)
        )
        self.known[picks] = cost
        if self.best is None or cost < self.best[0]:
            self.best = (cost, picks)

    def _total(self, wanted):
        """Cost of the cheapest basket, and of what limits keep from being had."""
        short = 0
        targets = []
        for shelf, amount in zip(self.shelves, wanted, strict=True):
            target = min(max(0, amount), shelf.supply())
            short += max(0, amount - target)
            targets.append(target)
        return self.stores.least(targets)[0] + short * self.grid.shortfall_weight

    def _wanted(self, chosen):
        """(item, steps to buy) for some requirements together."""
        for need in needs_of(self.scenario, chosen):
            item = self.index[_key(need)]
            yield item, self.shelves[item].wanted(need.amount)

    def _steps(self, needed):
        """(item, steps) that a requirement adds to any others, at least."""
        found = []
        for need in needs_of(self.scenario, [needed]):
            item = self.index[_key(need)]
            steps = int(need.amount * (1 - 2 * TOLERANCE) * self.shelves[item].steps)
            if steps:
                found.append((item, steps))
        return found

    def _promises(self, bound):
        """Whether a branch may hold a choice of less money, or as much in fewer packages."""
        return self.grid.rank(bound) < self.grid.rank(self.best[0])

    def _children(self, visited, undecided, picks):
        if undecided:
            bit = max(
                (bit for bit in self.stores.trips if bit & undecided), key=self.stores.trips.get
            )
            yield visited, undecided & ~bit, picks
            yield visited | bit, undecided & ~bit, picks
        else:
            for pick in range(len(self.rows[len(picks)])):
                yield visited, undecided, (*picks, pick)

    def _push(self, branches, serial, visited, undecided, picks, prices):
        """Bound a branch and keep it if it promises anything; a full choice is offered instead."""
        if len(picks) == len(self.rows):
            self._offer(picks)
            return
        bound, prices, choice = self._bound(visited, undecided, picks, prices)
        if self._promises(bound):
            self._offer((*picks, *choice))
            heappush(branches, (bound, next(serial), visited, undecided, picks, prices))

    def _bound(self, visited, undecided, picks, prices):
        """
        Bound of a branch, the prices that give it, and what the undecided plantings then take.
        """
        stairs = self._stairs(visited | undecided)
        done = len(picks)
        had = [shelf.wanted(0.0) for shelf in self.shelves]
        for item, amount in self._wanted([self.rows[i][pick] for i, pick in enumerate(picks)]):
            had[item] = amount
        fixed = sum(self.rests[i][pick] for i, pick in enumerate(picks))
        fixed += sum(cost for bit, cost in self.stores.trips.items() if bit & visited)
        more = [0] * len(self.shelves)
        for row in self.takes[done:]:
            most = {}
            for take in row:
                for item, steps in take:
                    most[item] = max(most.get(item, 0), steps)
            for item, steps in most.items():
                more[item] += steps
        places = list(zip(stairs, had, more, strict=True))
        dual = _Dual(places, self.rests[done:], self.takes[done:])
        best = dual.at([stair.safe_price(t, x) for stair, t, x in places])
        steps = ROOT_STEPS if prices is None else BRANCH_STEPS
        if prices is not None:
            best = max(best, dual.at(prices), key=lambda point: point.value)
        goal = self.best[0] - fixed
        point, stride = best, 1.0
        for _ in range(steps):
            if not self._promises(best.value + fixed):
                break
            point = dual.step(point, goal, stride)
            if point is None:
                break
            if point.value > best.value:
                best = point
            else:
                stride *= 0.8
        return best.value + fixed, best.prices, best.choice

    def _stairs(self, open_stores):
        if open_stores not in self.stairs_at:
            self.stairs_at[open_stores] = [
                _Stairs(shelf, largest, open_stores, self.grid.shortfall_weight)
                for shelf, largest in zip(self.shelves, self.largest, strict=True)
            ]
        return self.stairs_at[open_stores]


class _Stairs:
    """What any amount of one item costs where some stores are open, trips left aside."""

    def __init__(self, shelf, largest, open_stores, shortfall_weight):
        self.supply = shelf.supply(open_stores)
        corners = shelf.undominated(min(max(0, largest), self.supply), open_stores)
        self.amounts = [corner[1] for corner in corners]
        self.costs = [corner[0] for corner in corners]
        self.shortfall_weight = shortfall_weight

    def cost(self, amount):
        """Of buying so much, or all there is and missing the rest."""
        missing = max(0, amount - self.supply)
        place = bisect_left(self.amounts, amount - missing)
        return self.costs[min(place, len(self.costs) - 1)] + missing * self.shortfall_weight

    def rises(self, had, most):
        """(more, cost of had and more) at the ends of the steps up to `most` more."""
        place = max(0, bisect_left(self.amounts, had))
        for amount, cost in zip(self.amounts[place:], self.costs[place:], strict=True):
            if amount - had >= most:
                break
            yield amount - had, cost
        yield most, self.cost(had + most)

    def safe_price(self, had, most):
        """Highest price per amount that no more of up to `most` undercuts."""
        if not most:
            return 0
        base = self.cost(had)
        return min((cost - base) // more for more, cost in self.rises(had, most) if more)


@dataclass(frozen=True, slots=True)
class _Point:
    value: int
    prices: list
    choice: tuple
    slope: list
    """Taken less supplied, by item: the way in which prices should move."""


class _Dual:
    """The bound as a function of the prices."""

    def __init__(self, places, rests, takes):
        self.places = places
        self.rows = [
            list(zip(rest, take, strict=True)) for rest, take in zip(rests, takes, strict=True)
        ]

    def at(self, prices):
        value, slope = 0, []
        for (stair, had, most), price in zip(self.places, prices, strict=True):
            if most:
                cost, more = min(
                    (cost - price * more, more) for more, cost in stair.rises(had, most)
                )
                start = stair.cost(had)
                if start < cost:
                    cost, more = start, 0
            else:
                cost, more = stair.cost(had), 0
            value += cost
            slope.append(-more)
        choice = []
        for row in self.rows:
            costs = [rest + sum(prices[item] * steps for item, steps in take) for rest, take in row]
            pick = min(range(len(costs)), key=costs.__getitem__)
            choice.append(pick)
            value += costs[pick]
            for item, steps in row[pick][1]:
                slope[item] += steps
        return _Point(value, prices, tuple(choice), slope)

    def step(self, point, goal, stride):
        """The point a stride further up towards a goal; None at the top."""
        steepness = sum(slope * slope for slope in point.slope)
        if not steepness:
            return None
        length = stride * (goal - point.value) / steepness
        return self.at(
            [
                max(0, price + int(length * slope))
                for price, slope in zip(point.prices, point.slope, strict=True)
            ]
        )


def _largest_needs(scenario, rows):
    """The needs if every planting took the most it may of everything."""
    litres, feed = {}, 0.0
    for row in rows:
        feed += max(needed.feed_amount for needed in row)
        for name in {name for needed in row for name in needed.litres}:
            most = max(needed.litres.get(name, 0.0) for needed in row)
            litres[name] = litres.get(name, 0.0) + most
    return needs_for(scenario, litres, feed)


def _key(need):
    return need.item, need.measure, id(need.packages)


def _rest(needed):
    return round(needed.costs.besides_packages, REST_PLACES)
