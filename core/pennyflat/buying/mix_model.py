"""The choice of mixes and packages for all sowings together, as a mixed-integer linear program.

A binary column says whether a sowing is raised in a medium; whole columns count packages, deals
and trays; binary columns say which shops are visited. Rows make sure that purchases and stock meet
the needs of the chosen mixes. A blend is mixed from ingredients once its own stock is used up. The
share `left_over_counts` of the leftovers' worth counts as money not spent.

Several households can buy together: stock serves its own household only, and packages of the same
item are bought for all.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from math import ceil, fsum, inf

from pennyflat.buying.cover import TOLERANCE, Cover, Need, least_price, ways_of
from pennyflat.buying.milp import Program
from pennyflat.buying.needs import Key, sold, taken, told_apart
from pennyflat.growing.cost import Requirement
from pennyflat.growing.medium import recipe_of
from pennyflat.scenario.package import SEEDS, TRAYS, Package, amount_in
from pennyflat.scenario.records import Scenario

SECONDS = 10.0
"""How long to search for a proof before the plan is given with its bound. [s]"""

STEPS = {"L": 1000.0, "g": 1.0, "mL": 1.0, SEEDS: 1.0, TRAYS: 1.0}
"""Weight of a shortfall of one unit of each measure: mL, g and pieces count alike."""

TIE = 5e-7
"""Added to the price of each package, so that ties go to fewer packages: more than the gap that
solvers leave, less than any coin. [currency] Ours."""


class MixModel:
    """
    The program of a scenario, which has the shops, the tax, and how much leftovers count.

    `households` are those who buy together: (scenario, rows), a row being the media that a sowing
    can be raised in, by name; a sowing with none gets no mix.
    """

    def __init__(
        self,
        scenario: Scenario,
        households: Sequence[tuple[Scenario, Sequence[Mapping[str, Requirement]]]],
    ) -> None:
        self.program: Program = {
            "cost": [],
            "lower": [],
            "upper": [],
            "integer": [],
            "row_lower": [],
            "row_upper": [],
            "starts": [0],
            "index": [],
            "value": [],
            "start": None,
            "seconds": SECONDS,
        }
        self._tax, self._counts = scenario.tax, scenario.left_over_counts
        self.constant = 0.0
        """Added to a solution's cost: worth of the stock, as far as it counts. [currency]"""
        self.most_packages = 0
        """An upper limit on the packages that any choice needs. [count]"""
        self.at_home: dict[Key, tuple[float, float]] = {}
        """(stock, worth of one) by a need's key or ("mixed", blend, ()). [currency]"""
        self._columns_of: dict[Key, list[list[tuple[int, int]]]] = {}
        """For each of an item's packages, (column, packages in one): singly, then by its deal."""
        self._follows: list[tuple[int, float, list[tuple[int, float]]]] = []
        self._short: list[tuple[int, float]] = []
        self._visits = {
            store.name: self._column(store.trip_cost, upper=1.0)
            for store in scenario.stores
            if store.trip_cost
        }
        self._picks = [
            {name: self._column(needed.rest, upper=1.0) for name, needed in row.items()}
            for _, rows in households
            for row in rows
        ]
        for columns in filter(None, self._picks):
            self._row([(column, 1.0) for column in columns.values()], lower=1.0, upper=1.0)
        picks, together = iter(self._picks), defaultdict(list)
        for own, rows in households:
            for key, need, uses in self._demands(own, rows, islice(picks, len(rows))):
                together[key].append((need, uses))
        for key, demands in together.items():
            self._supply(key, demands)

    def document(
        self,
        *,
        start: list[float] | None = None,
        seconds: float = SECONDS,
        cost: list[float] | None = None,
    ) -> Program:
        """The program as plain values; `cost` replaces the columns' own."""
        cost = cost or self.program["cost"]
        return {**self.program, "cost": cost, "start": start, "seconds": seconds}

    def shortfall(self) -> list[float] | None:
        """Costs that count only what limits make impossible; None if no limit can bind."""
        cost = [0.0] * len(self.program["cost"])
        for column, weight in self._short:
            cost[column] = weight
        return cost if self._short else None

    def hold_shortfall(self, most: float) -> None:
        """Hold the shortfall, weighed as by `shortfall`, at or below `most` from now on."""
        if most > 0:
            self._row(self._short, upper=most * (1 + 1e-9))
        else:
            for column, _ in self._short:
                self.program["upper"][column] = 0.0

    def forbid(self, media: Sequence[str | None]) -> None:
        """Exclude one choice of mixes."""
        picks = zip(self._picks, media, strict=True)
        terms = [(columns[medium], 1.0) for columns, medium in picks if medium]
        self._row(terms, upper=len(terms) - 1.0)

    def require(self, item: str, packages: tuple[Package, ...], place: int) -> bool:
        """Require at least one of an item's packages from now on; False if no choice takes any."""
        counted = [
            (column, float(take))
            for key, columns in self._columns_of.items()
            if (key[0], key[2]) == (item, packages)
            for column, take in columns[place]
        ]
        if counted:
            self._row(counted, lower=1.0)
        return bool(counted)

    def media(self, values: Sequence[float]) -> tuple[str | None, ...]:
        """The mixes a solution chooses; None for a sowing without any."""
        return tuple(
            max(columns, key=lambda medium: values[columns[medium]], default=None)
            for columns in self._picks
        )

    def start_from(
        self, media: Sequence[str | None], needs: Sequence[Need], covers: Sequence[Cover]
    ) -> list[float]:
        """A choice of mixes and its purchases as a solution of the program."""
        values = [0.0] * len(self.program["cost"])
        for columns, medium in zip(self._picks, media, strict=True):
            if medium:
                values[columns[medium]] = 1.0
        for column, stock, uses in self._follows:
            used = fsum(values[other] * amount for other, amount in uses)
            if self.program["integer"][column]:
                used = ceil(used * (1 - TOLERANCE))
            values[column] = max(0.0, used - stock)
        for key, need, cover in zip(told_apart(needs), needs, covers, strict=True):
            bought = zip(self._columns_of[key], need.packages, cover.counts, strict=True)
            for ways, package, count in bought:
                if count and package.store in self._visits:
                    values[self._visits[package.store]] = 1.0
                for column, take in reversed(ways):
                    values[column], count = divmod(count, take)
        return values

    def _column(self, cost=0.0, *, upper=None, integer=True):
        """Add a column and return its number."""
        program = self.program
        program["cost"].append(cost)
        program["lower"].append(0.0)
        program["upper"].append(upper)
        program["integer"].append(int(integer))
        return len(program["cost"]) - 1

    def _row(self, terms: Iterable[tuple[int, float]], *, lower=None, upper=None):
        """Add a row of (column, coefficient) within bounds."""
        program = self.program
        for column, coefficient in terms:
            program["index"].append(column)
            program["value"].append(coefficient)
        program["starts"].append(len(program["index"]))
        program["row_lower"].append(lower)
        program["row_upper"].append(upper)

    def _following(self, stock, uses, *, cost=0.0, integer=False):
        """A column for use beyond a stock."""
        column = self._column(cost, integer=integer)
        self._row([(column, 1.0), *((other, -amount) for other, amount in uses)], lower=-stock)
        self._follows.append((column, stock, uses))
        return column

    def _demands(self, scenario, rows, picks):
        """
        Everything a household may have to buy: key, need and uses.

        The need is the largest of any choice; a use is a column and the amount that one takes.
        """
        uses, most = defaultdict(list), defaultdict(float)
        for columns, row in zip(picks, rows, strict=True):
            largest = Counter()
            for medium, needed in row.items():
                for what, amount in taken(needed).items():
                    uses[what].append((columns[medium], amount))
                    largest[what] = max(largest[what], amount)
            for what, amount in largest.items():
                most[what] += amount
        for medium in scenario.media:
            if medium.parts and (what := ("L", medium.name)) in uses:
                mixed = self._mixed(scenario, medium, uses[what])
                for part, amount in recipe_of(medium).items():
                    uses[part].append((mixed, amount))
                    most[part] += amount * max(0.0, most[what] - medium.stock)
        for tray in scenario.trays:
            if tray.have is not None and (what := (TRAYS, tray.name)) in uses:
                cells = [(column, count / tray.cells) for column, count in uses[what]]
                uses[what] = [(self._following(0.0, cells, integer=True), 1.0)]
                most[what] = ceil(most[what] / tray.cells)
        sowings = [next(iter(row.values())).sowing for row in rows if row]
        found = list(sold(scenario, sowings, most))
        for key, (what, need) in zip(told_apart(need for _, need in found), found, strict=True):
            yield key, need, uses[what]

    def _mixed(self, scenario, medium, uses):
        """A column for the litres of a blend that are mixed, once its own stock is used up."""
        worth = fsum(
            amount * self._worth(scenario.ingredient(name).packages, measure)
            for (_, name, measure), amount in recipe_of(medium).items()
        )
        mixed = self._following(medium.stock, uses, cost=-self._counts * worth)
        self.at_home["mixed", medium.name, ()] = medium.stock, worth
        self._count_used(uses, worth, medium.stock * worth)
        return mixed

    def _supply(self, key, demands):
        """Columns for the purchases of one item, and the row that makes them cover its use."""
        _, measure, packages, _ = key
        most = fsum(need.amount for need, _ in demands)
        stock = fsum(need.stock for need, _ in demands)
        missing = fsum(max(0.0, need.amount - need.stock) for need, _ in demands)
        worth, scale = self._worth(packages, measure), max(most, 1e-9)
        bought, supply, most_packages = [], most - missing, 0
        self._columns_of[key] = []
        for package in packages:
            amount = amount_in(package, measure)
            saved = self._counts * worth * amount - TIE
            ways = [
                (take, pay)
                for take, pay in ways_of(package)
                if take == 1 or pay < package.price * take
            ]
            limit, enough = inf if package.limit is None else package.limit, ceil(missing / amount)
            ceiling = min(limit, enough + (ways[-1][0] - 1 if enough and ways else 0))
            columns = [
                (self._column(pay * (1 + self._tax) - saved * take, upper=ceiling // take), take)
                for take, pay in ways
            ]
            if len(columns) > 1 and limit < inf:
                self._row([(column, float(take)) for column, take in columns], upper=limit)
            for column, take in columns:
                bought.append((column, amount * take / scale))
                if package.store in self._visits:
                    visit = self._visits[package.store], -float(ceiling // take)
                    self._row([(column, 1.0), visit], upper=0.0)
            self._columns_of[key].append(columns)
            supply += limit * amount
            most_packages = max(most_packages, ceiling)
        self.most_packages += most_packages
        if supply < most * (1 - TOLERANCE):
            short = self._column(upper=most, integer=False)
            self._short.append((short, STEPS[measure]))
            bought.append((short, 1 / scale))
        self.at_home[key[:3]] = stock, worth
        alone, used = len(demands) == 1, []
        for need, uses in demands:
            is_own = need.stock and not alone
            used += [(self._following(need.stock, uses), 1.0)] if is_own else uses
            self._count_used(uses, worth * (1 - need.keeps), worth * need.stock)
        needed = [(column, -amount / scale) for column, amount in used]
        self._row([*bought, *needed], lower=-stock / scale if alone else 0.0)

    def _count_used(self, uses, worth, at_home):
        """Adjust the cost: used amounts are not left over, but unused stock is."""
        for column, amount in uses:
            self.program["cost"][column] += self._counts * worth * amount
        self.constant -= self._counts * at_home

    def _worth(self, packages, measure):
        return least_price(packages, measure, self._tax) if self._counts else 0.0
