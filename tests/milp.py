"""The cheapest basket by an outside solver: scipy.optimize.milp, that is HiGHS.

The same question put as a mixed-integer linear programme, for tests and benchmarks: whole numbers
of single packages and of deals for each package, and for each store one yes or no that anything is
bought there.
"""

import numpy as np
from pennyflat.package import amount_in
from scipy.optimize import Bounds, LinearConstraint, milp

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
