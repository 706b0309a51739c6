"""Which single measurement would best settle the choice of a mix, in money.

For each mix tried, three things can be measured before choosing: its emergence, by sowing more
seeds; how long its charge lasts, by leaving a pot unfed until its oldest leaves yellow; and the
loss in filling, by filling a tray and measuring what that took. The uncertainties are the ranges of
`costs`. More seeds leave some doubt and are worth the expected value of sample information; the
other two are assumed to settle their quantity and are worth its expected value of partial perfect
information, so a real measurement is worth at most that. `information` has the formulas and their
sources.

Costs are averaged exactly over emergence (by quadrature) and over the loss in filling (they are
linear in 1 / (1 - loss)). Over the charge they are a staircase with a step for each feeding, whose
edges are located between `CHARGES` slices of chance.
"""

import math
from collections.abc import Iterable
from itertools import pairwise

from pennyflat.chances.contest import weighted_shares
from pennyflat.chances.stakes import sample_results, worth_of_all, worth_of_result
from pennyflat.scenario.records import Scenario, Sowing
from pennyflat.scenario.trial import normal_seedlings
from pennyflat.trials.costs import charge_range, cost_each, fill_range, mixes_tried, without_number
from pennyflat.trials.findings import MeasurementRow

MEASURES = ("emergence", "charge", "fill")

TEST_SEEDS = 20
"""Seeds of the further test that is valued. Ours. [count]"""

NOTHING = 0.005
"""Money below which a measurement counts as worthless: half a hundredth. Ours. [currency]"""

CHARGES = 32
"""Slices of chance of the weeks a charge may last; of two edges in one slice, one is found. [count]
"""

EDGE = 1e-7
"""Precision of the edge of a step. [chance]"""

FINE = 200
"""How finely shares are told apart: a cost goes by 1 / share, steep where few come up. [count]"""

FILLS = 16
"""Slices of the loss in filling, to value knowing it. [count]"""


def worth_of_measuring(
    scenario: Scenario, sowing: Sowing
) -> tuple[list[MeasurementRow], float | None]:
    """
    Worth of each measurement for each mix tried with a sowing's crop, and of knowing everything.

    In the order of the shelf and of `MEASURES`, for all wanted. [currency] A worth is None if it is
    unknown: fewer than two mixes have a seedling that came up; nothing came up in this one; no mix
    is certain to be ready, so that no expected cost is finite; or, for the charge, it was measured
    or seen to outlast what was entered.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> pot = {"crop": "lettuce", "sown": 10, "counts": [{"day": 8, "emerged": 9}]}
    >>> looks = [{"week": 2, "leaves": "green"}, {"week": 6, "leaves": "yellowing"}]
    >>> trials = [pot | {"medium": "Bulk potting mix", "looks": looks},
    ...           pot | {"medium": "Home blend"}]
    >>> media = [mix | {"measured": ["fill_loss", "feeds_for_weeks"]} for mix in DEMO["media"]]
    >>> unfed = read(DEMO | {"trials": trials, "feed": None, "media": media})
    >>> found, everything = worth_of_measuring(unfed, unfed.sowings[1])
    >>> most_valuable(found), everything
    ({'medium': 'Bulk potting mix', 'measure': 'charge', 'worth': 0.56}, 0.82)
    """
    tried = mixes_tried(scenario, sowing)
    expected, one = without_number(scenario, sowing)
    came_up = normal_seedlings(scenario.trials)
    outlooks = {
        mix.name: _Outlook(expected, one, mix, pots.known, sowing.wanted)
        for mix, pots in tried
        if came_up[sowing.crop, mix.name][0]
    }
    least = sorted((outlook.expected, name) for name, outlook in outlooks.items())
    can_tell = len(least) > 1 and least[0][0] < math.inf

    def worth(name, measure):
        if not can_tell or name not in outlooks:
            return None
        rival = next(cost for cost, other in least if other != name)
        return _worth(outlooks[name], rival, measure)

    each = [
        MeasurementRow(medium=mix.name, measure=measure, worth=worth(mix.name, measure))
        for mix, _ in tried
        for measure in MEASURES
    ]
    return each, worth_of_all([o.costs() for o in outlooks.values()]) if can_tell else None


def most_valuable(measurements: Iterable[MeasurementRow]) -> MeasurementRow | None:
    """The measurement worth most; None if none is worth more than `NOTHING`."""
    best = max(measurements, key=lambda found: found["worth"] or 0.0, default=None)
    return best if best and (best["worth"] or 0.0) > NOTHING else None


class _Outlook:
    """Possible costs of all wanted in one mix. Infinite if it is not ready."""

    def __init__(self, scenario, sowing, medium, known, wanted):
        def cost(emergence, charge, fill_loss):
            return wanted * cost_each(scenario, sowing, medium, emergence, charge, fill_loss)

        loss, weeks = fill_range(medium), charge_range(scenario, sowing, medium)
        charges = _charges(lambda charge: cost(known.mean, charge, medium.fill_loss), weeks)
        fillings = [1 / (1 - loss((place + 0.5) / FILLS)) for place in range(FILLS)]
        mean = math.fsum(fillings) / FILLS
        least, most = 1 - 1 / fillings[0], 1 - 1 / fillings[-1]

        def line(emergence, charge):
            low, high = cost(emergence, charge, least), cost(emergence, charge, most)
            if low == math.inf:
                return math.inf, 0.0
            rise = (high - low) / (fillings[-1] - fillings[0])
            return low + rise * (mean - fillings[0]), rise

        self.shares = weighted_shares(known, seeds=FINE)
        """Emergence and weight."""
        self.charges = [chance for chance, _ in charges]
        """Chance of each charge that makes a difference to the cost."""
        self.is_charge_seen = weeks(0) < weeks(1)
        self.lines = [[line(x, charge) for x, _ in self.shares] for _, charge in charges]
        """For each charge and emergence: cost at a mean filling, its slope in 1 / (1 - loss)."""
        self.fillings = [filling - mean for filling in fillings]
        """1 / (1 - loss) minus its mean, equally likely."""

    @property
    def expected(self):
        """Expected cost. [currency]"""
        return math.fsum(chance * cost for chance, cost in self.by_charge())

    def by_charge(self):
        """Chance and expected cost of each charge."""
        weights = [weight for _, weight in self.shares]
        return [
            (chance, math.fsum(w * cost for w, (cost, _) in zip(weights, row, strict=True)))
            for chance, row in zip(self.charges, self.lines, strict=True)
        ]

    def by_emergence(self):
        """Emergence, weight and expected cost of each possible share."""
        columns = zip(*self.lines, strict=True)
        return [
            (x, w, math.fsum(p * cost for p, (cost, _) in zip(self.charges, column, strict=True)))
            for (x, w), column in zip(self.shares, columns, strict=True)
        ]

    def by_filling(self):
        """Chance and expected cost of each loss in filling."""
        rise = math.fsum(weight * rise for weight, (_, rise) in self._weighted())
        middle = self.expected
        return [(1 / FILLS, middle + rise * filling) for filling in self.fillings]

    def costs(self):
        """Chance of each cost."""
        return [
            (weight / FILLS, cost + rise * filling)
            for weight, (cost, rise) in self._weighted()
            for filling in self.fillings
        ]

    def _weighted(self):
        for chance, row in zip(self.charges, self.lines, strict=True):
            for (_, weight), line in zip(self.shares, row, strict=True):
                yield chance * weight, line


def _charges(cost_at, weeks):
    """Chance and weeks of each charge that makes a difference, since the cost is a staircase."""
    ends = [place / CHARGES for place in range(CHARGES + 1)]
    costs = [cost_at(weeks(end)) for end in ends]
    found, start = [], 0.0
    for (end, cost), (after, higher) in pairwise(zip(ends, costs, strict=True)):
        if higher == cost:
            continue
        edge = _edge(lambda chance, cost=cost: cost_at(weeks(chance)) == cost, end, after)
        if edge - start > 2 * EDGE:
            found.append((edge - start, weeks(end)))
            start = edge
    return [*found, (1 - start, weeks(1))]


def _edge(holds, low, high):
    """Where a condition that holds at the low end stops holding, to within `EDGE`, by bisection."""
    while high - low > EDGE:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return high


def _worth(own, rival, measure):
    """Worth of one measurement of one mix; None if unknown."""
    if measure == "charge" and not own.is_charge_seen:
        return None
    if measure != "charge" and own.expected == math.inf:
        return 0.0  # it may stall whatever the result, so it is not chosen
    results = {
        "emergence": lambda: sample_results(own.by_emergence(), TEST_SEEDS),
        "charge": own.by_charge,
        "fill": own.by_filling,
    }[measure]()
    return worth_of_result(results, rival)
