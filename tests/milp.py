"""The cheapest basket by an outside solver: scipy.optimize.milp, that is HiGHS.

The same question put as a mixed-integer linear programme, for tests and benchmarks: whole numbers
of single packages and of deals for each package, and for each store one yes or no that anything is
bought there.
"""

from itertools import pairwise

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from pennyflat.package import amount_in

SLACK = 1e-7
"""Part of a need that may be missing: above HiGHS's tolerance of 1e-9, below any package. [1]"""


class Programme:
    """Rows and columns of a basket: singles, deals, then visits."""

    def __init__(self, needs, stores, tax):
        self.needs = needs
        self.lines = [(i, p) for i, need in enumerate(needs) for p in need.packages]
        self.visited = [store.name for store in stores if store.trip_cost]
        n, visits = len(self.lines), len(self.visited)
        self.width = 2 * n + visits
        take = np.array([p.deal.take if p.deal else 1 for _, p in self.lines])
        pay = [p.deal.pay if p.deal else p.price for _, p in self.lines]
        trips = [store.trip_cost for store in stores if store.trip_cost]
        self.money = np.array(
            [p.price * (1 + tax) for _, p in self.lines] + [x * (1 + tax) for x in pay] + trips
        )
        self.packages = np.concatenate([np.ones(n), take, np.zeros(visits)])
        hold = np.array([amount_in(p, needs[i].measure) for i, p in self.lines])
        self.amount = np.concatenate([hold, take * hold, np.zeros(visits)])
        self.rows, self.low, self.high = [], [], []
        for i, need in enumerate(needs):
            self._cover(i, need)
        for j, (i, package) in enumerate(self.lines):
            self._bound(j, n, take[j], needs[i], package)

    def _cover(self, index, need):
        row = np.zeros(self.width)
        for j, (i, _) in enumerate(self.lines):
            if i == index:
                for column in (j, len(self.lines) + j):
                    row[column] = self.amount[column]
        supply = sum(
            np.inf if p.limit is None else p.limit * amount_in(p, need.measure)
            for p in need.packages
        )
        missing = need.amount - need.stock
        self._add(row, min(missing - SLACK * need.amount, supply * (1 - SLACK)), np.inf)

    def _bound(self, j, n, take, need, package):
        """At most the limit, and none at all without a visit."""
        row = np.zeros(self.width)
        row[j], row[n + j] = 1, take
        enough = np.ceil(max(need.amount - need.stock, 0) / amount_in(package, need.measure)) + take
        most = enough if package.limit is None else min(enough, package.limit)
        if package.store in self.visited:
            row[2 * n + self.visited.index(package.store)] = -most
            self._add(row, -np.inf, 0)
        else:
            self._add(row, -np.inf, most)

    def _add(self, row, low, high):
        self.rows.append(row)
        self.low.append(low)
        self.high.append(high)

    def least(self, objective):
        """The least of an objective, with counts that reach it."""
        upper = np.full(self.width, np.inf)
        if self.visited:
            upper[-len(self.visited) :] = 1
        found = milp(
            objective,
            constraints=LinearConstraint(np.array(self.rows), self.low, self.high),
            integrality=np.ones(self.width),
            bounds=Bounds(0, upper),
            options={"mip_rel_gap": 0},
        )
        if found.status != 0:
            raise ArithmeticError(f"HiGHS: {found.message}")
        return found.fun

    def fix(self, objective, value, slack):
        """From now on, let an objective be at most its least."""
        self._add(objective, -np.inf, value + slack)


def least_money(needs, *, stores=(), tax=0.0):
    """Least money for packages and trips. [currency]"""
    programme = Programme(needs, stores, tax)
    return float(programme.least(programme.money))


def least_in_order(needs, *, stores=(), tax=0.0):
    """Least money, then fewest packages, then least bought [L and kg], one after the other."""
    programme = Programme(needs, stores, tax)
    weight = np.array([1 if needs[i].measure == "L" else 1e-3 for i, _ in programme.lines])
    bought = programme.amount * np.concatenate([weight, weight, np.zeros(len(programme.visited))])
    money = programme.least(programme.money)
    programme.fix(programme.money, money, 1e-6)
    count = round(programme.least(programme.packages))
    programme.fix(programme.packages, count, 1e-6)
    return money, count, programme.least(bought)


def least_plan(scenario, options):
    """
    Least packages, trips and as-used rest over all choices of mixes, as one programme. [currency]

    Columns: singles and deals of every package, visits, litres mixed of every blend, and for each
    sowing one yes or no for each of its media. Needs must be possible within the limits.
    """
    shelves = _shelves(scenario)
    lines = [(key, package) for key, (packages, _) in shelves.items() for package in packages]
    visited = [store.name for store in scenario.stores if store.trip_cost]
    blends = [medium for medium in scenario.media if medium.parts]
    picks = [(row, needed) for row, options_ in enumerate(options) for needed in options_]
    starts = np.cumsum([0, len(lines), len(lines), len(visited), len(blends), len(picks)])
    single, deal, visit, mixed, pick = (range(a, b) for a, b in pairwise(starts))
    width, rows, low, high = starts[-1], [], [], []

    def row_of(pairs, least, most):
        row = np.zeros(width)
        for column, value in pairs:
            row[column] += value
        rows.append(row)
        low.append(least)
        high.append(most)

    for number in range(len(options)):
        row_of([(pick[j], 1) for j, (row, _) in enumerate(picks) if row == number], 1, 1)
    for b, blend in enumerate(blends):
        used = [(pick[j], -n.litres.get(blend.name, 0.0)) for j, (_, n) in enumerate(picks)]
        row_of([(mixed[b], 1), *used], -blend.stock, np.inf)
    for key, (packages, stock) in shelves.items():
        got = []
        for j, (owner, package) in enumerate(lines):
            if owner == key:
                hold = amount_in(package, key[1])
                take = package.deal.take if package.deal else 1
                got += [(single[j], hold), (deal[j], take * hold)]
        taken = [(pick[j], -_directly(scenario, n, key)) for j, (_, n) in enumerate(picks)]
        taken += [(mixed[b], -_in_blend(blend, key)) for b, blend in enumerate(blends)]
        if packages:
            row_of([*got, *taken], -stock - SLACK, np.inf)
    for j, (_, package) in enumerate(lines):
        take = package.deal.take if package.deal else 1
        most = 200 if package.limit is None else package.limit
        bought = [(single[j], 1), (deal[j], take)]
        if package.store in visited:
            row_of([*bought, (visit[visited.index(package.store)], -most)], -np.inf, 0)
        else:
            row_of(bought, -np.inf, most)
    money = np.zeros(width)
    for j, (_, package) in enumerate(lines):
        money[single[j]] = package.price * (1 + scenario.tax)
        money[deal[j]] = (package.deal.pay if package.deal else package.price) * (1 + scenario.tax)
    money[visit.start : visit.stop] = [s.trip_cost for s in scenario.stores if s.trip_cost]
    money[pick.start : pick.stop] = [n.costs.besides_packages for _, n in picks]
    whole, upper = np.ones(width), np.full(width, np.inf)
    whole[mixed.start : mixed.stop] = 0
    upper[visit.start : visit.stop] = upper[pick.start : pick.stop] = 1
    found = milp(
        money,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=whole,
        bounds=Bounds(0, upper),
        options={"mip_rel_gap": 0},
    )
    if found.status != 0:
        raise ArithmeticError(f"HiGHS: {found.message}")
    return found.fun


def _shelves(scenario):
    """(packages, stock) of everything that can be bought, by kind, measure and name."""
    found = {("medium", "L", m.name): (m.packages, m.stock) for m in scenario.media if m.packages}
    for row in scenario.ingredients:
        by_volume = any(part.ingredient == row.name for m in scenario.media for part in m.parts)
        by_weight = any(a.ingredient == row.name for m in scenario.media for a in m.additions)
        if by_volume or by_weight:
            found["ingredient", "L" if by_volume else "g", row.name] = (row.packages, row.stock)
    if scenario.feed:
        feed = scenario.feed
        found["feed", feed.measure, feed.name] = (feed.packages, feed.stock)
    return found


def _directly(scenario, needed, key):
    if key[0] == "medium":
        return needed.litres.get(key[2], 0.0)
    return needed.feed_amount if key[0] == "feed" else 0.0


def _in_blend(blend, key):
    """What a litre mixed takes of an ingredient, from its recipe. [L/L or g/L]"""
    if key[0] != "ingredient":
        return 0.0
    whole = sum(part.parts for part in blend.parts) * (1 - blend.shrink)
    if key[1] == "L":
        return sum(part.parts / whole for part in blend.parts if part.ingredient == key[2])
    return sum(a.g_per_l for a in blend.additions if a.ingredient == key[2])
