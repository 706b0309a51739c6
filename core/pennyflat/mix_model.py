"""The choice of mixes and packages for all sowings together, as a mixed-integer linear program.

A binary column says whether a sowing is raised in a medium; whole columns count packages, deals
and trays; binary columns say which shops are visited. Rows see to it that what is bought and at
home reaches what the chosen mixes take. A blend is mixed from ingredients after what is at home of
it. What is left over counts as money not spent, to the share `left_over_counts` of its worth.
"""

import math
from collections import defaultdict

from pennyflat.cover import TOLERANCE, least_price
from pennyflat.medium import additions_per_litre, parts_per_litre
from pennyflat.milp import Milp
from pennyflat.needs import seed_name, seed_of
from pennyflat.package import SEEDS, TRAYS, Package, amount_in

STEPS = {"L": 1000.0, "g": 1.0, "mL": 1.0, SEEDS: 1.0, TRAYS: 1.0}
"""What a shortfall of one unit of a measure weighs against others: mL, g and pieces alike."""


class MixModel:
    """
    The program of a scenario.

    Parameters
    ----------
    scenario : Scenario
    rows : list of list of Requirement
        For each sowing those that it can be raised in; where there are none it gets no mix.
    """

    def __init__(self, scenario, rows):
        self._scenario, self._rows = scenario, rows
        self._counts = scenario.left_over_counts
        self.constant = 0.0
        """Added to a solution's cost: worth of what is at home, as far as it counts. [currency]"""
        self._program = Milp()
        self.at_home = {}
        """(stock, worth of a unit) by (item, measure), or ("mixed", blend). [currency]"""
        self._columns_of = {}
        self._short = []
        self._visits = {
            store.name: self._program.column(store.trip_cost, upper=1.0, integer=True)
            for store in scenario.stores
            if store.trip_cost
        }
        self._picks = [
            [self._program.column(needed.rest, upper=1.0, integer=True) for needed in row]
            for row in rows
        ]
        for columns in self._picks:
            if columns:
                self._program.row([(column, 1.0) for column in columns], lower=1.0, upper=1.0)
        self._media()
        self._feed()
        self._seed()
        self._trays()

    def document(self, *, start=None, seconds=10.0, cost=None):
        """The program as plain values; see `pennyflat.milp`."""
        return self._program.document(start=start, seconds=seconds, cost=cost)

    def shortfall(self):
        """A cost that counts only what limits keep from being met; None where none can bind."""
        if not self._short:
            return None
        cost = [0.0] * len(self._program.cost)
        for column, weight in self._short:
            cost[column] = weight
        return cost

    def hold_shortfall(self, most):
        """From now on no more may be missing than so much, weighed as by `shortfall`."""
        if most > 0:
            self._program.row(self._short, upper=most * (1 + 1e-9))
        else:
            for column, _ in self._short:
                self._program.upper[column] = 0.0

    def forbid(self, picks):
        """Exclude one choice of mixes."""
        terms = [
            (columns[place], 1.0)
            for columns, place in zip(self._picks, picks, strict=True)
            if place is not None
        ]
        self._program.row(terms, upper=len(terms) - 1.0)

    def picks(self, values):
        """The mixes that a solution chooses, as places in the rows; None where there are none."""
        return tuple(
            max(range(len(columns)), key=lambda place: values[columns[place]]) if columns else None
            for columns in self._picks
        )

    def start_from(self, picks, needs, covers):
        """The solution that a choice of mixes and the purchases for it are."""
        values = [0.0] * len(self._program.cost)
        litres, cells = defaultdict(float), defaultdict(float)
        for columns, row, place in zip(self._picks, self._rows, picks, strict=True):
            if place is not None:
                values[columns[place]] = 1.0
                for name, amount in row[place].litres.items():
                    litres[name] += amount
                for name, count in row[place].trays.items():
                    cells[name] += count
        for medium in self._scenario.media:
            if ("mixed", medium.name) in self._columns_of:
                column = self._columns_of["mixed", medium.name]
                values[column] = max(0.0, litres[medium.name] - medium.stock)
        for need, cover in zip(needs, covers, strict=True):
            ways = self._columns_of[need.item, need.measure]
            for (single, deal, take), count in zip(ways, cover.counts, strict=True):
                values[single], dealt = count, 0
                if deal is not None:
                    dealt, values[single] = divmod(count, take)
                    values[deal] = dealt
            if need.measure == TRAYS:
                values[self._columns_of["used", need.item]] = need.amount
            for package, count in zip(need.packages, cover.counts, strict=True):
                if count and package.store in self._visits:
                    values[self._visits[package.store]] = 1.0
        return values

    def _each(self, amount_of):
        """(column, amount) for each sowing in each medium that takes any."""
        for columns, row in zip(self._picks, self._rows, strict=True):
            for column, needed in zip(columns, row, strict=True):
                amount = amount_of(needed)
                if amount:
                    yield column, amount

    def _most(self, amount_of):
        """The largest amount that any choice can take."""
        return math.fsum(max(map(amount_of, row), default=0.0) for row in self._rows)

    def _media(self):
        scenario, ingredients, most = self._scenario, defaultdict(list), defaultdict(float)
        for medium in scenario.media:

            def litres(needed, name=medium.name):
                return needed.litres.get(name, 0.0)

            at_most, uses = self._most(litres), list(self._each(litres))
            if not uses:
                continue
            if medium.packages:
                self._supply(medium.name, "L", medium.packages, medium.stock, uses, at_most)
                continue
            parts, additions = parts_per_litre(medium), additions_per_litre(medium)
            recipe = [((name, "L"), amount) for name, amount in parts.items()]
            recipe += [((name, "g"), amount) for name, amount in additions.items()]
            each = math.fsum(
                amount * self._worth(scenario.ingredient(name).packages, measure)
                for (name, measure), amount in recipe
            )
            mixed = self._program.column(-self._counts * each)
            self._columns_of["mixed", medium.name] = mixed
            self._program.row(
                [(mixed, 1.0), *((column, -amount) for column, amount in uses)],
                lower=-medium.stock,
            )
            self.at_home["mixed", medium.name] = medium.stock, each
            self._count_used(uses, each, medium.stock)
            for item, amount in recipe:
                ingredients[item].append((mixed, amount))
                most[item] += amount * max(0.0, at_most - medium.stock)
        for row in scenario.ingredients:
            for measure in ("L", "g"):
                uses = ingredients.get((row.name, measure))
                if uses:
                    at_most = most[row.name, measure]
                    self._supply(row.name, measure, row.packages, row.stock, uses, at_most)

    def _feed(self):
        feed = self._scenario.feed
        uses = list(self._each(lambda needed: needed.feed_amount))
        if uses:
            most = self._most(lambda needed: needed.feed_amount)
            self._supply(feed.name, feed.measure, feed.packages, feed.stock, uses, most)

    def _seed(self):
        for crop, packets in dict.fromkeys(
            seed_of(sowing) for sowing in self._scenario.sowings if sowing.seed_packets
        ):

            def seeds(needed, group=(crop, packets)):
                return needed.seeds if seed_of(needed.sowing) == group else 0

            stock = sum(
                sowing.seed_stock
                for sowing, row in zip(self._scenario.sowings, self._rows, strict=True)
                if row and seed_of(sowing) == (crop, packets)
            )
            packages = tuple(packet.package for packet in packets)
            uses = list(self._each(seeds))
            if uses:
                self._supply(seed_name(crop), SEEDS, packages, stock, uses, self._most(seeds))

    def _trays(self):
        for tray in self._scenario.trays:

            def cells(needed, name=tray.name):
                return needed.trays.get(name, 0.0)

            uses = list(self._each(cells))
            if tray.have is None or not uses:
                continue
            used = self._program.column(integer=True)
            self._columns_of["used", tray.name] = used
            self._program.row(
                [(used, 1.0), *((column, -count / tray.cells) for column, count in uses)],
                lower=0.0,
            )
            package = Package(tray.store, 1, TRAYS, tray.price)
            most = math.ceil(self._most(cells) / tray.cells)
            self._supply(
                tray.name,
                TRAYS,
                (package,),
                tray.have,
                [(used, 1.0)],
                most,
                kept=max(0.0, 1 - 1 / tray.uses),
            )

    def _supply(self, name, measure, packages, stock, uses, most, *, kept=0.0):
        """Columns for what is bought of one item, and the row that makes it reach what is used."""
        worth, scale = self._worth(packages, measure), max(most, 1e-9)
        tax, bought, supply, ways = 1 + self._scenario.tax, [], stock, []
        for package in packages:
            amount = amount_in(package, measure)
            limit = math.inf if package.limit is None else package.limit
            enough = max(0, math.ceil((most - stock) / amount))
            deal = package.deal
            is_deal = deal and deal.take <= limit and deal.pay < package.price * deal.take
            ceiling = min(limit, enough + (deal.take - 1 if is_deal else 0))
            supply += limit * amount
            saved = self._counts * worth * amount
            single = self._program.column(package.price * tax - saved, upper=ceiling, integer=True)
            columns = [(single, 1, ceiling)]
            dealt = None
            if is_deal:
                dealt = self._program.column(
                    deal.pay * tax - saved * deal.take, upper=ceiling // deal.take, integer=True
                )
                columns.append((dealt, deal.take, ceiling // deal.take))
                if limit < math.inf:
                    self._program.row([(single, 1.0), (dealt, float(deal.take))], upper=limit)
            ways.append((single, dealt, deal.take if is_deal else 1))
            visit = self._visits.get(package.store)
            for column, take, most_bought in columns:
                bought.append((column, amount * take / scale))
                if visit is not None:
                    self._program.row([(column, 1.0), (visit, -float(most_bought))], upper=0.0)
        if supply < most * (1 - TOLERANCE):
            short = self._program.column(upper=most)
            self._short.append((short, STEPS[measure]))
            bought.append((short, 1 / scale))
        self._columns_of[name, measure] = ways
        self.at_home[name, measure] = stock, worth
        needed = [(column, -amount / scale) for column, amount in uses]
        self._program.row([*bought, *needed], lower=-stock / scale)
        self._count_used(uses, worth * (1 - kept), stock, worth)

    def _count_used(self, uses, worth, stock, worth_at_home=None):
        """What is used is not left over; what is at home would be."""
        for column, amount in uses:
            self._program.cost[column] += self._counts * worth * amount
        self.constant -= self._counts * (worth if worth_at_home is None else worth_at_home) * stock

    def _worth(self, packages, measure):
        return least_price(packages, measure, self._scenario.tax) if self._counts else 0.0
