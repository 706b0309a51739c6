"""The choice of mixes and packages for all sowings together, as a mixed-integer linear program.

A binary column says whether a sowing is raised in a medium; whole columns count packages, deals
and trays; binary columns say which shops are visited. Rows make sure that purchases and stock meet
the needs of the chosen mixes. A blend is mixed from ingredients once its own stock is used up. The
share `left_over_counts` of the leftovers' worth counts as money not spent.

Several households can buy together: stock serves its own household only, and packages of the same
item are bought for all.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from pennyflat.buying.cover import TOLERANCE, Cover, Need, least_price
from pennyflat.buying.milp import Milp
from pennyflat.buying.needs import recipe_of, seed_name, seed_of, told_apart
from pennyflat.growing.cost import Requirement
from pennyflat.scenario.package import SEEDS, TRAYS, Package, amount_in
from pennyflat.scenario.records import Scenario

STEPS = {"L": 1000.0, "g": 1.0, "mL": 1.0, SEEDS: 1.0, TRAYS: 1.0}
"""Weight of a shortfall of one unit of each measure: mL, g and pieces count alike."""

TIE = 5e-7
"""Added to the price of each package, so that ties go to fewer packages: more than the gap that
solvers leave, less than any coin. [currency] Ours."""


def _all_taken(rows, picks):
    """By what is taken: (column, amount) of the choices that take it, and the most one plan can."""
    uses, most = defaultdict(list), defaultdict(list)
    for columns, row in zip(picks, rows, strict=True):
        largest = Counter()
        for column, needed in zip(columns, row, strict=True):
            for what, amount in _taken(needed):
                if amount:
                    uses[what].append((column, amount))
                    largest[what] = max(largest[what], amount)
        for what, amount in largest.items():
            most[what].append(amount)
    return {what: (found, math.fsum(most[what])) for what, found in uses.items()}


def _taken(needed):
    """(what, amount) of everything a choice takes: L of media, feed, seeds, and cells of trays."""
    yield from ((("L", name), litres) for name, litres in needed.litres.items())
    yield "feed", needed.feed_amount
    yield (SEEDS, *seed_of(needed.sowing)), needed.seeds
    yield from (((TRAYS, name), cells) for name, cells in needed.trays.items())


@dataclass(frozen=True, slots=True)
class _Demand:
    """What one household uses of one item."""

    stock: float
    uses: list
    """(column, amount that one takes)"""
    most: float
    """The largest amount that any choice takes. [measure]"""
    kept: float
    """Share of its worth that a used thing keeps. [1]"""


class MixModel(Milp):
    """
    The program of a scenario, which has the shops, the tax, and how much leftovers count.

    `households` are those who buy together: (scenario, rows), a row being the media that a sowing
    can be raised in; a sowing with none gets no mix.
    """

    def __init__(
        self,
        scenario: Scenario,
        households: Sequence[tuple[Scenario, Sequence[Sequence[Requirement]]]],
    ) -> None:
        super().__init__()
        self._scenario = scenario
        self._counts = scenario.left_over_counts
        self.constant = 0.0
        """Added to a solution's cost: worth of the stock, as far as it counts. [currency]"""
        self.most_packages = 0
        """An upper limit on the packages that any choice needs. [count]"""
        self.at_home: dict[tuple[Any, ...], tuple[float, float]] = {}
        """(stock, worth of one) by (item, measure, packages) or ("mixed", blend, ()). [currency]"""
        self._columns_of: dict[tuple[Any, ...], list[list[tuple[int, int]]]] = {}
        """For each of an item's packages, (column, packages in one): singly, then by its deal."""
        self._follows: list[tuple[int, float, Any]] = []
        self._demands: dict[tuple[Any, ...], list[_Demand]] = {}
        self._times: Counter[tuple[Any, ...]] = Counter()
        self._short: list[tuple[int, float]] = []
        self._visits = {
            store.name: self.column(store.trip_cost, upper=1.0, integer=True)
            for store in scenario.stores
            if store.trip_cost
        }
        self._picks = [
            [self.column(needed.rest, upper=1.0, integer=True) for needed in row]
            for _, rows in households
            for row in rows
        ]
        for columns in self._picks:
            if columns:
                self.row([(column, 1.0) for column in columns], lower=1.0, upper=1.0)
        picks = iter(self._picks)
        for own, rows in households:
            taken = _all_taken(rows, islice(picks, len(rows)))
            self._times.clear()
            self._media(own, taken)
            self._feed(own.feed, taken)
            self._seed(own.sowings, rows, taken)
            self._trays(own.trays, taken)
        for key, demands in self._demands.items():
            self._supply(key, demands)

    def shortfall(self) -> list[float] | None:
        """Costs that count only what limits make impossible; None if no limit can bind."""
        if not self._short:
            return None
        cost = [0.0] * len(self.program["cost"])
        for column, weight in self._short:
            cost[column] = weight
        return cost

    def hold_shortfall(self, most: float) -> None:
        """Hold the shortfall, weighed as by `shortfall`, at or below `most` from now on."""
        if most > 0:
            self.row(self._short, upper=most * (1 + 1e-9))
        else:
            for column, _ in self._short:
                self.program["upper"][column] = 0.0

    def forbid(self, picks: Sequence[int | None]) -> None:
        """Exclude one choice of mixes."""
        terms = [
            (columns[place], 1.0)
            for columns, place in zip(self._picks, picks, strict=True)
            if place is not None
        ]
        self.row(terms, upper=len(terms) - 1.0)

    def require(self, item: str, packages: tuple[Package, ...], place: int) -> bool:
        """Require at least one of an item's packages from now on; False if no choice takes any."""
        counted = []
        for key, ways in self._columns_of.items():
            if (key[0], key[2]) == (item, packages):
                counted += [(column, float(take)) for column, take in ways[place]]
        if counted:
            self.row(counted, lower=1.0)
        return bool(counted)

    def picks(self, values: Sequence[float]) -> tuple[int | None, ...]:
        """The mixes a solution chooses, as places in the rows; None for a row without any."""
        return tuple(
            max(range(len(columns)), key=lambda place: values[columns[place]]) if columns else None
            for columns in self._picks
        )

    def start_from(
        self, picks: Sequence[int | None], needs: Sequence[Need], covers: Sequence[Cover]
    ) -> list[float]:
        """A choice of mixes and its purchases as a solution of the program."""
        values = [0.0] * len(self.program["cost"])
        for columns, place in zip(self._picks, picks, strict=True):
            if place is not None:
                values[columns[place]] = 1.0
        for column, stock, uses in self._follows:
            used = math.fsum(values[other] * amount for other, amount in uses)
            if self.program["integer"][column]:
                used = math.ceil(used * (1 - TOLERANCE))
            values[column] = max(0.0, used - stock)
        for key, need, cover in zip(told_apart(needs), needs, covers, strict=True):
            ways = zip(self._columns_of[key], need.packages, cover.counts, strict=True)
            for counted, package, count in ways:
                if count and package.store in self._visits:
                    values[self._visits[package.store]] = 1.0
                for column, take in reversed(counted):
                    values[column], count = divmod(count, take)
        return values

    def _following(self, stock, uses, *, cost=0.0, integer=False):
        """A column for use beyond a stock."""
        column = self.column(cost, integer=integer)
        self.row([(column, 1.0), *((other, -amount) for other, amount in uses)], lower=-stock)
        self._follows.append((column, stock, uses))
        return column

    def _demand(self, name, measure, packages, stock, uses, most, *, kept=0.0):
        """Note what a household uses of an item; identical packages are bought for all."""
        key = name, measure, packages
        self._times[key] += 1
        demand = _Demand(stock, uses, most, kept)
        self._demands.setdefault((*key, self._times[key]), []).append(demand)

    def _media(self, scenario, taken):
        ingredients, most = defaultdict(list), defaultdict(float)
        for medium in scenario.media:
            if ("L", medium.name) not in taken:
                continue
            uses, at_most = taken["L", medium.name]
            if medium.packages:
                self._demand(medium.name, "L", medium.packages, medium.stock, uses, at_most)
                continue
            recipe = recipe_of(medium)
            each = math.fsum(
                amount * self._worth(scenario.ingredient(name).packages, measure)
                for (name, measure), amount in recipe.items()
            )
            mixed = self._following(medium.stock, uses, cost=-self._counts * each)
            self.at_home["mixed", medium.name, ()] = medium.stock, each
            self._count_used(uses, each, medium.stock)
            for item, amount in recipe.items():
                ingredients[item].append((mixed, amount))
                most[item] += amount * max(0.0, at_most - medium.stock)
        for row in scenario.ingredients:
            for measure in ("L", "g"):
                if uses := ingredients.get((row.name, measure)):
                    at_most = most[row.name, measure]
                    self._demand(row.name, measure, row.packages, row.stock, uses, at_most)

    def _feed(self, feed, taken):
        if "feed" in taken:
            self._demand(feed.name, feed.measure, feed.packages, feed.stock, *taken["feed"])

    def _seed(self, sowings, rows, taken):
        for crop, packets in dict.fromkeys(map(seed_of, sowings)):
            if not packets or (SEEDS, crop, packets) not in taken:
                continue
            stock = sum(
                sowing.seed_stock
                for sowing, row in zip(sowings, rows, strict=True)
                if row and seed_of(sowing) == (crop, packets)
            )
            packages = tuple(packet.package for packet in packets)
            self._demand(seed_name(crop), SEEDS, packages, stock, *taken[SEEDS, crop, packets])

    def _trays(self, trays, taken):
        for tray in trays:
            if tray.have is None or (TRAYS, tray.name) not in taken:
                continue
            uses, most = taken[TRAYS, tray.name]
            used = self._following(
                0.0, [(column, count / tray.cells) for column, count in uses], integer=True
            )
            self._demand(
                tray.name,
                TRAYS,
                (Package(tray.store, 1, TRAYS, tray.price),),
                tray.have,
                [(used, 1.0)],
                math.ceil(most / tray.cells),
                kept=max(0.0, 1 - 1 / tray.uses),
            )

    def _supply(self, key, demands):
        """Columns for the purchases of one item, and the row that makes them cover its use."""
        _, measure, packages, _ = key
        most = math.fsum(demand.most for demand in demands)
        stock = math.fsum(demand.stock for demand in demands)
        missing = math.fsum(max(0.0, demand.most - demand.stock) for demand in demands)
        worth, scale = self._worth(packages, measure), max(most, 1e-9)
        tax, bought, supply, ways = 1 + self._scenario.tax, [], most - missing, []
        most_packages = 0
        for package in packages:
            amount = amount_in(package, measure)
            limit = math.inf if package.limit is None else package.limit
            enough = math.ceil(missing / amount)
            deal = package.deal
            is_deal = deal and deal.take <= limit and deal.pay < package.price * deal.take
            ceiling = min(limit, enough + (deal.take - 1 if is_deal and enough else 0))
            supply += limit * amount
            most_packages = max(most_packages, ceiling)
            saved = self._counts * worth * amount
            single_cost = package.price * tax - saved + TIE
            columns = [(self.column(single_cost, upper=ceiling, integer=True), 1)]
            if is_deal:
                cost, most_deals = deal.pay * tax - (saved - TIE) * deal.take, ceiling // deal.take
                columns.append((self.column(cost, upper=most_deals, integer=True), deal.take))
                if limit < math.inf:
                    self.row([(column, float(take)) for column, take in columns], upper=limit)
            ways.append(columns)
            visit = self._visits.get(package.store)
            for column, take in columns:
                bought.append((column, amount * take / scale))
                if visit is not None:
                    most_bought = float(self.program["upper"][column])
                    self.row([(column, 1.0), (visit, -most_bought)], upper=0.0)
        self.most_packages += most_packages
        if supply < most * (1 - TOLERANCE):
            short = self.column(upper=most)
            self._short.append((short, STEPS[measure]))
            bought.append((short, 1 / scale))
        self._columns_of[key] = ways
        self.at_home[key[:3]] = stock, worth
        alone, used = len(demands) == 1, []
        for demand in demands:
            is_own = demand.stock and not alone
            used += [(self._following(demand.stock, demand.uses), 1.0)] if is_own else demand.uses
            self._count_used(demand.uses, worth * (1 - demand.kept), demand.stock, worth)
        needed = [(column, -amount / scale) for column, amount in used]
        self.row([*bought, *needed], lower=-stock / scale if alone else 0.0)

    def _count_used(self, uses, worth, stock, worth_at_home=None):
        """Adjust the cost: used amounts are not left over, but unused stock is."""
        for column, amount in uses:
            self.program["cost"][column] += self._counts * worth * amount
        self.constant -= self._counts * (worth if worth_at_home is None else worth_at_home) * stock

    def _worth(self, packages, measure):
        return least_price(packages, measure, self._scenario.tax) if self._counts else 0.0
