"""Which single measurement would best settle the choice of a mix, in money.

For each mix tried, three things can be measured before choosing: its emergence, by sowing more
seeds; how long its charge lasts, by leaving a pot unfed until its oldest leaves yellow; and the
loss in filling, by filling a tray and measuring what that took. The uncertainties are the ranges of
`costs`. More seeds leave some doubt and are worth the expected value of sample information; the
other two are assumed to settle their quantity and are worth its expected value of partial perfect
information, so a real measurement is worth at most that. `stakes` has the formulas and their
sources.

Costs are averaged exactly over emergence (by quadrature) and over the loss in filling (they are
linear in 1 / (1 - loss)). Over the charge they are a staircase with a step for each feeding.
"""

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pennyflat.chances.contest import weighted_shares
from pennyflat.chances.stakes import sample_results, worth_of_all, worth_of_result
from pennyflat.trials.costs import Tried
from pennyflat.trials.findings import MeasurementRow

MEASURES = ("emergence", "charge", "fill")

TEST_SEEDS = 20
"""Seeds of the further test that is valued. Ours. [count]"""

NOTHING = 0.005
"""Money below which a measurement counts as worthless: half a hundredth. Ours. [currency]"""

PLACES = 10_000_000
"""Slices of chance by which the edges of a charge's steps are located. [count]"""

FINE = 200
"""How finely shares are told apart: a cost goes by 1 / share, steep where few come up. [count]"""

FILLS = 16
"""Slices of the loss in filling, to value knowing it. [count]"""


def worth_of_measuring(
    tried: Sequence[Tried], wanted: int
) -> tuple[list[MeasurementRow], float | None]:
    """
    Worth of each measurement for each of the mixes tried, and of knowing everything. [currency]

    In the order of the mixes and of `MEASURES`, for all wanted. A worth is None if it is unknown:
    fewer than two mixes have a seedling that came up; nothing came up in this one; no mix is
    certain to be ready, so that no expected cost is finite; or, for the charge, it was measured or
    seen to outlast what was entered.
    """
    outlooks = {
        mix.medium.name: _Outlook(mix, wanted) for mix in tried if any(up for up, _ in mix.counts)
    }
    least = sorted((outlook.expected, name) for name, outlook in outlooks.items())
    can_tell = len(least) > 1 and least[0][0] < math.inf

    def worth(name, measure):
        if not can_tell or name not in outlooks:
            return None
        rival = next(cost for cost, other in least if other != name)
        return _worth(outlooks[name], rival, measure)

    each = [
        MeasurementRow(medium=name, measure=measure, worth=worth(name, measure))
        for name in (mix.medium.name for mix in tried)
        for measure in MEASURES
    ]
    return each, worth_of_all([o.costs() for o in outlooks.values()]) if can_tell else None


def most_valuable(measurements: Iterable[MeasurementRow]) -> MeasurementRow | None:
    """The measurement worth most; None if none is worth more than `NOTHING`."""
    best = max(measurements, key=lambda found: found["worth"] or 0.0, default=None)
    return best if best and (best["worth"] or 0.0) > NOTHING else None


def _worth(own, rival, measure):
    """Worth of one measurement of one mix; None if unknown."""
    if measure == "charge":
        results = [(chance, cost) for _, chance, cost in own.by("weeks")]
        return worth_of_result(results, rival) if own.is_charge_open else None
    if own.expected == math.inf:
        return 0.0  # it may stall whatever the result, so it is not chosen
    if measure == "emergence":
        return worth_of_result(sample_results(own.by("share"), TEST_SEEDS), rival)
    return worth_of_result(own.by_filling(), rival)


class _Case(NamedTuple):
    """Weeks of charge, share that emerges, and cost at a mean filling; infinite if not ready."""

    weeks: float
    share: float
    chance: float
    cost: float
    rise: float
    """Slope of the cost in 1 / (1 - loss)."""


class _Outlook:
    """Possible costs of all wanted in one mix."""

    def __init__(self, mix, wanted):
        known = mix.known
        fillings = [1 / (1 - mix.fill((place + 0.5) / FILLS)) for place in range(FILLS)]
        mean, least, most = math.fsum(fillings) / FILLS, fillings[0], fillings[-1]
        charges = _charges(lambda weeks: mix.cost(known.mean, weeks, 1 - 1 / least), mix.charge)
        self.fillings = [filling - mean for filling in fillings]
        """1 / (1 - loss) minus its mean, equally likely."""
        self.is_charge_open = mix.charge(0) < mix.charge(1)
        self.cases = []
        for chance, weeks in charges:
            for share, weight in weighted_shares(known, seeds=FINE):
                cost, rise = wanted * mix.cost(share, weeks, 1 - 1 / least), 0.0
                if cost < math.inf:
                    high = wanted * mix.cost(share, weeks, 1 - 1 / most)
                    rise = (high - cost) / (most - least)
                    cost += rise * (mean - least)
                self.cases.append(_Case(weeks, share, chance * weight, cost, rise))
        self.expected = math.fsum(case.chance * case.cost for case in self.cases)
        """Expected cost. [currency]"""

    def by(self, what):
        """Each `weeks` of charge or `share` that comes up, its chance and expected cost."""
        groups = defaultdict(list)
        for case in self.cases:
            groups[getattr(case, what)].append(case)
        chances = {value: math.fsum(case.chance for case in own) for value, own in groups.items()}
        return [
            (value, chance, math.fsum(case.chance * case.cost for case in groups[value]) / chance)
            for value, chance in chances.items()
        ]

    def by_filling(self):
        """Chance and expected cost of each loss in filling."""
        rise = math.fsum(case.chance * case.rise for case in self.cases)
        return [(1 / FILLS, self.expected + rise * filling) for filling in self.fillings]

    def costs(self):
        """Chance of each cost."""
        return [
            (case.chance / FILLS, case.cost + case.rise * filling)
            for case in self.cases
            for filling in self.fillings
        ]


def _charges(cost_at, weeks):
    """Chance and weeks of each charge that makes a difference: the cost falls like a staircase."""
    found, start = [], 0
    while start < PLACES:
        first = weeks((start + 0.5) / PLACES)
        cost = cost_at(first)
        end = bisect_left(
            range(PLACES),
            True,
            lo=start,
            key=lambda place, cost=cost: cost_at(weeks((place + 0.5) / PLACES)) != cost,
        )
        found.append(((end - start) / PLACES, first))
        start = end
    return found
