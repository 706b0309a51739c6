"""The cheapest basket by an outside solver: scipy.optimize.milp, that is HiGHS.

The same question put as a mixed-integer linear programme, for tests and benchmarks: whole numbers
of single packages and of deals for each package, and for each store one yes or no that anything is
bought there.
"""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from pennyflat.scenario.package import Package, amount_in

MOST_MIXED = 300
"""More of any blend than a random plan takes. [L]"""

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
    Least weighed cost over all choices of mixes and packages, as one programme. [currency]

    Columns: singles and deals of every package, what is left of every item, visits, litres mixed of
    every blend, whole trays used, and for each sowing one yes or no for each of its media.

    Parameters
    ----------
    scenario : Scenario
    options : list of list of Requirement
        What each sowing can be raised in, by what it takes.

    Returns
    -------
    float or None
        None where limits leave no choice that has all it needs.
    """
    return _PlanProgramme(scenario, options).least()


class _PlanProgramme:
    def __init__(self, scenario, options):
        self.scenario = scenario
        self.money, self.whole, self.upper = [], [], []
        self.rows, self.low, self.high = [], [], []
        self.visits = {
            store.name: self._column(store.trip_cost, whole=1, upper=1) for store in scenario.stores
        }
        self.picks = [
            (self._column(needed.rest, whole=1, upper=1), needed)
            for row in options
            for needed in row
        ]
        place = 0
        for row in options:
            chosen = self.picks[place : place + len(row)]
            self._row([(column, 1) for column, _ in chosen], 1, 1)
            place += len(row)
        self._media()
        if scenario.feed:
            feed = scenario.feed
            self._item(feed.measure, feed.packages, feed.stock, self._taken("feed_amount"))
        self._seed()
        self._trays()

    def least(self):
        columns = len(self.money)
        matrix = np.zeros((len(self.rows), columns))
        for place, pairs in enumerate(self.rows):
            for column, value in pairs:
                matrix[place, column] += value
        found = self._solved(matrix, 0, self.upper, self.whole)
        if found.status == 2:
            return None
        # Whole numbers are so to 1e-6 only, which many of them make a difference in money.
        fixed = np.where(self.whole, np.round(found.x), np.nan)
        low, high = np.where(self.whole, fixed, 0), np.where(self.whole, fixed, self.upper)
        exact = self._solved(matrix, low, high, whole=0)
        return found.fun if exact.status == 2 else exact.fun

    def _solved(self, matrix, low, high, whole):
        """An answer without presolve, since the plan's own comes with it: a fault of it shows."""
        found = milp(
            np.array(self.money),
            constraints=LinearConstraint(matrix, self.low, self.high),
            integrality=whole,
            bounds=Bounds(low, high),
            options={"mip_rel_gap": 0, "presolve": False},
        )
        if found.status not in (0, 2):
            raise ArithmeticError(f"HiGHS: {found.message}")
        return found

    def _column(self, money=0.0, *, whole=0, upper=np.inf):
        self.money.append(money)
        self.whole.append(whole)
        self.upper.append(upper)
        return len(self.money) - 1

    def _row(self, pairs, least, most):
        self.rows.append(pairs)
        self.low.append(least)
        self.high.append(most)

    def _taken(self, name):
        return [(column, getattr(needed, name)) for column, needed in self.picks]

    def _item(self, measure, packages, stock, uses, *, kept=0.0):
        """What is bought and at home is used or left over; what is left has its worth."""
        if not any(amount for _, amount in uses):
            return
        tax, prices, supply = 1 + self.scenario.tax, [], []
        at_most = [(min(self.upper[column], MOST_MIXED), amount) for column, amount in uses]
        for package in packages:
            hold = amount_in(package, measure)
            limit = np.inf if package.limit is None else package.limit
            single = self._column(package.price * tax, whole=1)
            bought = [(single, 1)]
            if limit >= 1:
                prices.append(package.price * tax / hold)
            if package.deal:
                dealt = self._column(package.deal.pay * tax, whole=1)
                bought.append((dealt, package.deal.take))
                if limit >= package.deal.take:
                    prices.append(package.deal.pay * tax / package.deal.take / hold)
            supply += [(column, count * hold) for column, count in bought]
            take = package.deal.take if package.deal else 1
            most = min(limit, np.ceil(sum(amount * up for up, amount in at_most) / hold) + take)
            self._row([*bought, (self.visits[package.store], -most)], -np.inf, 0)
        counts = self.scenario.left_over_counts
        worth = counts * min(prices, default=0.0)
        left = self._column(-worth)
        for column, amount in uses:
            self.money[column] -= worth * kept * amount
        missing = self._column(worth, upper=SLACK)
        taken = [(left, -1), *((column, -amount) for column, amount in uses)]
        self._row([*supply, (missing, 1), *taken], -stock, -stock)
        return min(prices, default=0.0)

    def _media(self):
        scenario, mixed = self.scenario, {}
        for medium in scenario.media:
            uses = [(column, n.litres.get(medium.name, 0.0)) for column, n in self.picks]
            if not medium.parts:
                self._item("L", medium.packages, medium.stock, uses)
            elif any(amount for _, amount in uses):
                mixed[medium.name] = self._column(), uses
        prices = {}
        for row in scenario.ingredients:
            for measure in ("L", "g"):
                uses = [
                    (column, _in_blend(scenario.medium(name), (measure, row.name)))
                    for name, (column, _) in mixed.items()
                ]
                prices[measure, row.name] = self._item(measure, row.packages, row.stock, uses)
        for name, (column, uses) in mixed.items():
            blend = scenario.medium(name)
            each = sum(_in_blend(blend, place) * price for place, price in prices.items() if price)
            left = self._column(-scenario.left_over_counts * each)
            taken = [(other, -amount) for other, amount in uses]
            self._row([(column, 1), (left, -1), *taken], -blend.stock, -blend.stock)

    def _seed(self):
        groups = {}
        for column, needed in self.picks:
            sowing = needed.sowing
            if sowing.seed_packets:
                groups.setdefault((sowing.crop, sowing.seed_packets), []).append((column, needed))
        for (crop, packets), chosen in groups.items():
            sown = {id(needed.sowing): needed.sowing for _, needed in chosen}
            uses = [(column, needed.seeds) for column, needed in chosen]
            stock = sum(sowing.seed_stock for sowing in sown.values() if sowing.crop == crop)
            self._item("seeds", [packet.package for packet in packets], stock, uses)

    def _trays(self):
        for tray in self.scenario.trays:
            uses = [(column, n.trays.get(tray.name, 0.0)) for column, n in self.picks]
            if tray.have is None or not any(amount for _, amount in uses):
                continue
            trays = np.ceil(sum(amount for _, amount in uses) / tray.cells)
            used = self._column(whole=1, upper=trays)
            taken = [(column, -amount / tray.cells) for column, amount in uses]
            self._row([(used, 1), *taken], -SLACK, np.inf)
            package = Package(tray.store, 1, "trays", tray.price)
            kept = max(0, tray.uses - 1) / tray.uses
            self._item("trays", [package], tray.have, [(used, 1)], kept=kept)


def _in_blend(blend, place):
    """What a litre mixed takes of an ingredient, from its recipe. [L/L or g/L]"""
    measure, name = place
    whole = sum(part.parts for part in blend.parts) * (1 - blend.shrink)
    if measure == "L":
        return sum(part.parts / whole for part in blend.parts if part.ingredient == name)
    return sum(added.g_per_l for added in blend.additions if added.ingredient == name)
