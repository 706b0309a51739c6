"""What a trial means in money: the cost of a ready seedling as a range, and the cheapest mix.

Three inputs of a mix stay uncertain after a trial: its emergence, by the seeds counted in each pot;
how long its charge lasts, by the observations between which it ran out; and the share of the bag
lost in filling, about which a trial tells nothing. Without a measurement the ranges are wide,
because bands that are too narrow contain the truth less often than they promise. The ranges enter
the cost model as equally likely cases, so that the same trial always gives the same range.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from pennyflat.chances.contest import Posterior
from pennyflat.chances.pots import what_pots_say
from pennyflat.chances.stakes import DRAWS, between, cases, chances_cheapest, cost_band
from pennyflat.growing.cost import requirement
from pennyflat.scenario.checking import ByName
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.scenario.trial import lesson, pots_of
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


def costs_at_stake(tried: Sequence[Tried]) -> list[dict[str, Any]]:
    """Cost of a ready seedling in each of the mixes: the rows of `Stakes` without `test_worth`."""
    costs = [
        [mix.cost(*case) for case in cases(mix.known.quantile, mix.charge, mix.fill)]
        for mix in tried
    ]
    rows = []
    for mix, found, chance in zip(tried, costs, chances_cheapest(costs), strict=True):
        low, middle, high = (None if cost == math.inf else cost for cost in cost_band(found))
        rows.append(
            {
                "medium": mix.medium.name,
                "low": low,
                "middle": middle,
                "high": high,
                "cheapest_chance": chance,
                "not_ready": found.count(math.inf) / DRAWS,
                "pots": len(mix.counts),
                "correlation": mix.correlation,
                "unmeasured": mix.unmeasured,
            }
        )
    return rows


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
