"""What plantings cost together, for one choice of their mixes after another.

All choices are counted on one grid, and what covers an amount of an item is kept, so that a choice
is weighed sooner than a basket is made for it. A cost is a whole number: what limits keep from
being had decides first, in litres and kilograms together, then money, then the number of packages.
"""

from itertools import chain

from pennyflat.basket import StoreSearch
from pennyflat.cover import TOLERANCE
from pennyflat.needs import needs_for, needs_of

REST_PLACES = 9
"""Decimal places to which the as-used rest is counted. [1] Ours: it is no sum of written prices."""


class JointCost:
    """
    The cost of choices among some requirements.

    Parameters
    ----------
    scenario : Scenario
    rows : sequence of sequence of Requirement
        For each planting, the media to choose among, all ready; none where nothing is chosen.

    Examples
    --------
    >>> from pennyflat.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> rows = [[requirement(demo, p, medium) for medium in demo.media] for p in demo.plantings]
    >>> joint = JointCost(demo, rows)
    >>> joint.money(joint.of((0, 0, 0))), joint.money(joint.of((0, None, None)))
    (39.97, 22.53)
    """

    def __init__(self, scenario, rows):
        self.scenario = scenario
        self.rows = rows
        needs = _largest_needs(scenario, [row for row in rows if row])
        self.index = {key_of(need): item for item, need in enumerate(needs)}
        rests = [[rest_of(needed) for needed in row] for row in rows]
        self.stores = StoreSearch(needs, scenario.stores, tax=scenario.tax, untaxed=chain(*rests))
        self.grid = self.stores.grid
        self.shelves = self.stores.shelves
        self.largest = [
            shelf.wanted(need.amount) for shelf, need in zip(self.shelves, needs, strict=True)
        ]
        """Steps to buy of each item if every planting took the most it may."""
        self.rests = [
            [self.grid.weighed(self.grid.money(rest), 0, 0) for rest in row] for row in rests
        ]
        """The as-used rest of each choice, weighed."""

    def chosen(self, picks):
        """The requirements at some places in the rows; None is none."""
        return [row[pick] for row, pick in zip(self.rows, picks, strict=True) if pick is not None]

    def of(self, picks):
        """
        Cheapest basket, what limits keep from being had, and the as-used rest of a choice.

        Parameters
        ----------
        picks : sequence of int or None
            For each planting a place in its row; None leaves it out.

        Returns
        -------
        int
            Weighed by the grid.
        """
        targets, short = [0] * len(self.shelves), 0
        for item, wanted in self.wanted(self.chosen(picks)):
            targets[item] = min(max(0, wanted), self.shelves[item].supply())
            short += max(0, wanted - targets[item])
        rest = sum(r[pick] for r, pick in zip(self.rests, picks, strict=True) if pick is not None)
        return self.stores.least(targets)[0] + short * self.grid.shortfall_weight + rest

    def cheapest_alone(self, place):
        """
        What costs least for one planting, the others left out.

        Parameters
        ----------
        place : int
            Of the planting.

        Returns
        -------
        int or None
            Its place in the row; None in an empty one.
        """
        before, after = (None,) * place, (None,) * (len(self.rows) - place - 1)
        picks = range(len(self.rows[place]))
        return min(picks, key=lambda pick: self.of((*before, pick, *after)), default=None)

    def wanted(self, chosen):
        """(item, steps to buy) for some requirements together."""
        for need in needs_of(self.scenario, chosen):
            item = self.index[key_of(need)]
            yield item, self.shelves[item].wanted(need.amount)

    def takes(self, needed):
        """(item, steps) that a requirement adds to any others, at least."""
        found = []
        for need in needs_of(self.scenario, [needed]):
            item = self.index[key_of(need)]
            steps = int(need.amount * (1 - 2 * TOLERANCE) * self.shelves[item].steps)
            if steps:
                found.append((item, steps))
        return found

    def is_short(self, cost):
        """Whether limits keep something from being had."""
        return cost >= self.grid.shortfall_weight

    def money(self, cost):
        """Packages, trips and the as-used rest. [currency]"""
        return cost % self.grid.shortfall_weight // self.grid.money_weight / self.grid.money_steps


def key_of(need):
    """What tells a need's item from others."""
    return need.item, need.measure, id(need.packages)


def rest_of(needed):
    """The as-used rest of a requirement as it is counted. [currency]"""
    return round(needed.costs.besides_packages, REST_PLACES)


def _largest_needs(scenario, rows):
    """The needs if every planting took the most it may of everything."""
    litres, feed = {}, 0.0
    for row in rows:
        feed += max(needed.feed_amount for needed in row)
        for name in {name for needed in row for name in needed.litres}:
            most = max(needed.litres.get(name, 0.0) for needed in row)
            litres[name] = litres.get(name, 0.0) + most
    return needs_for(scenario, litres, feed)
