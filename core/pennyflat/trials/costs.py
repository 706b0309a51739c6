"""What a trial means in money: the cost of a ready seedling as a range, and what to measure next.

Three inputs of a mix stay uncertain after a trial: its emergence, by the seeds counted in each pot;
how long its charge lasts, by the observations between which it ran out; and the share of the bag
lost in filling, about which a trial tells nothing. Without a measurement the ranges are wide,
because bands that are too narrow contain the truth less often than they promise. The ranges enter
the cost model as equally likely cases, so that the same trial always gives the same range.

Each of the three can be measured before choosing: by sowing more seeds; by leaving a pot unfed
until its oldest leaves yellow; by filling a tray and measuring what that took. More seeds leave
some doubt and are worth the expected value of sample information; the other two are assumed to
settle their quantity and are worth its expected value of partial perfect information, so a real
measurement is worth at most that. `stakes` has the formulas and their sources. Here costs are
averaged exactly over emergence (by quadrature) and over the loss in filling (they are linear in
1 / (1 - loss)). Over the charge they are a staircase with a step for each feeding.
"""

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

from pennyflat.chances.contest import Posterior, weighted_shares
from pennyflat.chances.pots import what_pots_say
from pennyflat.chances.stakes import (
    DRAWS,
    between,
    cases,
    chances_cheapest,
    cost_band,
    sample_results,
    worth_of_all,
    worth_of_result,
)
from pennyflat.growing.cost import requirement
from pennyflat.scenario.checking import ByName
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.scenario.trial import lesson, pots_of
from pennyflat.trials.findings import CostBand, MeasurementRow, Stakes
from pennyflat.trials.growth import growth_of

FILL_SPREAD = 0.05
"""How far the loss in filling may differ from a measured one, either way: it varies with how firmly
each filling is done. Common practice, no source. [1]"""

FILL_UNMEASURED = 0.15
"""The same without a measurement: 0 to 30 % about the usual 15 %. Growers are told of 0 to 10 % by
settling alone, and of 10 to 20 % in all; ours. [1]"""

CHARGE_UNMEASURED = 0.6
"""How far the charge may differ from the weeks entered without observations, as a share of them,
either way: sources on peat mixes say 1.4 to 6 weeks, 62 % either way of the middle. [1]"""

LEAST = 1e-4
"""Emergence below this counts as this: the number of cells is not worked out for less. Ours. [1]"""

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


@dataclass(frozen=True, slots=True)
class Tried:
    """A mix that was tried and counted with a sowing's crop, and what stays uncertain of it."""

    medium: Medium
    """With the pace that its heights show."""
    counts: tuple[tuple[int, int], ...]
    """Normal seedlings and seeds of each pot. [count]"""
    known: Posterior
    """Its emergence."""
    correlation: float
    """Between seeds of a pot. [1]"""
    charge: Callable[[float], float]
    """Quantiles of how long it feeds. [weeks]"""
    fill: Callable[[float], float]
    """Quantiles of the share of the bag lost in filling. [1]"""
    unmeasured: list[str]
    """Those of `fill_loss` and `feeds_for_weeks` that nobody measured."""
    cost: Callable[[float, float, float], float]
    """`cost_each` by emergence, charge and loss in filling. [currency]"""


def stakes_of(scenario: Scenario, sowing: Sowing) -> Stakes:
    """What the trials mean in money for one sowing."""
    tried = mixes_tried(scenario, sowing)
    tests, everything = worth_of_measuring(tried, sowing.wanted)
    seeds = [test for test in tests if test["measure"] == "emergence"]
    worths, first = {test["medium"]: test["worth"] for test in seeds}, most_valuable(seeds)
    return {
        "wanted": sowing.wanted,
        "mixes": list(costs_at_stake(tried, worths)),
        "test_seeds": TEST_SEEDS,
        "test_first": first and first["medium"],
        "tests": tests,
        "first": most_valuable(tests),
        "everything_worth": everything,
        "untested": [mix.name for mix in scenario.media if mix.name not in worths],
    }


def mixes_tried(scenario: Scenario, sowing: Sowing) -> list[Tried]:
    """
    The mixes that were tried and counted with a sowing's crop, in shelf order.

    Those whose seedlings stayed stunted or yellow are excluded. Costs are of one expected seedling,
    found fastest: as used, they depend neither on the number wanted nor on the assurance.
    """
    grown = growth_of(scenario.trials, sowing.crop, scenario.media)
    expected, one = replace(scenario, assurance=None), replace(sowing, wanted=1)
    found = []
    for mix in scenario.media:
        counts, growth = pots_of(scenario.trials, sowing.crop, mix.name), grown.get(mix.name)
        if not counts or (growth and growth.is_unfit):
            continue
        if growth and growth.pace:
            mix = replace(mix, pace=growth.pace)
        learnt = lesson(scenario.trials, sowing.crop, mix.name)
        charge = learnt.charge if learnt else None
        measured = {*mix.measured, *(["feeds_for_weeks"] if charge else ())}
        unmeasured = [name for name in ("fill_loss", "feeds_for_weeks") if name not in measured]
        ranges = _charge_range(mix, charge), fill_range(mix)
        cost = partial(cost_each, expected, one, mix)
        found.append(Tried(mix, counts, *what_pots_say(counts), *ranges, unmeasured, cost))
    return found


def costs_at_stake(
    tried: Sequence[Tried], test_worths: Mapping[str, float | None]
) -> Iterator[CostBand]:
    """Cost of a ready seedling in each of the mixes, with the worth of more seeds by mix."""
    costs = [
        [mix.cost(*case) for case in cases(mix.known.quantile, mix.charge, mix.fill)]
        for mix in tried
    ]
    for mix, found, chance in zip(tried, costs, chances_cheapest(costs), strict=True):
        low, middle, high = (None if cost == math.inf else cost for cost in cost_band(found))
        yield {
            "medium": mix.medium.name,
            "low": low,
            "middle": middle,
            "high": high,
            "cheapest_chance": chance,
            "not_ready": found.count(math.inf) / DRAWS,
            "pots": len(mix.counts),
            "correlation": mix.correlation,
            "unmeasured": mix.unmeasured,
            "test_worth": test_worths.get(mix.medium.name),
        }


def _charge_range(medium, seen):
    """
    Quantiles of how long the charge of a mix lasts, by when it was seen to run out. [weeks]

    Uniform between the two observations between which it ran out. If it was not seen to run out:
    exactly the weeks entered if they were measured in an earlier season, else those weeks with
    `CHARGE_UNMEASURED` either way; never less than it was seen to last.
    """
    if seen and seen.by is not None:
        return between(seen.after, seen.by)
    weeks, at_least = medium.feeds_for_weeks, seen.after if seen else 0.0
    spread = 0.0 if "feeds_for_weeks" in medium.measured else CHARGE_UNMEASURED * weeks
    return between(max(at_least, weeks - spread), max(at_least, weeks + spread))


def fill_range(medium: Medium) -> Callable[[float], float]:
    """
    Quantiles of the share of the bag that may be lost in filling, around the value entered. [1]

    `FILL_SPREAD` either way if it was measured, `FILL_UNMEASURED` if not.
    """
    loss = medium.fill_loss
    spread = FILL_SPREAD if "fill_loss" in medium.measured else FILL_UNMEASURED
    return between(max(0.0, loss - spread), min((1 + loss) / 2, loss + spread))


def cost_each(
    scenario: Scenario,
    sowing: Sowing,
    medium: Medium,
    emergence: float,
    charge: float,
    fill_loss: float,
) -> float:
    """
    Cost of a ready seedling as used, with some properties of a mix other than entered. [currency]

    `math.inf` if it is not ready. The charge is the time it feeds in weeks.
    """
    mix = replace(
        medium,
        emergence=ByName(medium.emergence | {sowing.crop: max(emergence, LEAST)}),
        feeds_for_weeks=charge,
        fill_loss=fill_loss,
    )
    needed = requirement(scenario, sowing, mix)
    return needed.each.total if needed.each else math.inf


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
