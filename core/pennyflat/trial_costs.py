"""What a trial does to the money: the cost of a ready seedling as a range, and who is cheapest.

Three inputs of a mix stay uncertain after a trial: its emergence, by the seeds counted; how long
its charge lasts, by the looks between which it ran out; and the share of the bag lost in filling,
about which a trial tells nothing. They are carried through the cost model in equally likely cases,
so that the same trial gives the same range every time.
"""

import math
from dataclasses import dataclass, replace

from pennyflat.contest import posterior
from pennyflat.cost import requirement
from pennyflat.stakes import DRAWS, between, cases, chances_cheapest, cost_band, worth_of_tests
from pennyflat.trial import lesson, normal_seedlings

FILL_SPREAD = 0.05
"""How far the loss in filling may lie from the one entered, either way: 10 to 20 % is the common
practice around 15 %, no source. [1]"""

TEST_SEEDS = 20
"""Seeds of the further test whose worth is told. Ours. [count]"""

NOTHING = 0.005
"""Money below which a test is worth nothing: half a hundredth. Ours. [currency]"""


@dataclass(frozen=True, slots=True)
class MixCost:
    """Cost of a ready seedling in one tested mix."""

    medium: str
    low: float
    """End of the 80 % band; `math.inf` where the mix is not ready in so many cases. [currency]"""
    middle: float
    """Median. [currency]"""
    high: float
    """[currency]"""
    cheapest_chance: float
    """That it is the cheapest of those tested. [1]"""
    not_ready: float
    """Share of the cases in which its charge runs out too early. [1]"""
    test_worth: float | None
    """Expected saving by `TEST_SEEDS` more seeds of it before choosing; None where it cannot be
    told, as nothing came up or it stalls. [currency for all wanted]"""


def costs_at_stake(scenario, planting):
    """
    What a planting's seedlings cost in each mix that was tried with its crop.

    Parameters
    ----------
    scenario : Scenario
        With its trials.
    planting : Planting
        One of the scenario's.

    Returns
    -------
    tuple of MixCost
        In the order of the shelf; mixes without a counted trial of the crop are left out.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> pot = {"crop": "lettuce", "sown": 10, "counts": [{"day": 8, "emerged": 9}]}
    >>> trials = [pot | {"medium": "Seed starter mix"}, pot | {"medium": "Bulk potting mix"}]
    >>> demo = read(DEMO | {"trials": trials})
    >>> for mix in costs_at_stake(demo, demo.plantings[1]):
    ...     print(mix.medium, f"{mix.low:.3f} to {mix.high:.3f}", f"{mix.cheapest_chance:.2f}")
    Seed starter mix 0.065 to 0.087 0.16
    Bulk potting mix 0.056 to 0.074 0.84
    """
    counted = normal_seedlings(scenario.trials)
    media = [mix for mix in scenario.media if (planting.crop, mix.name) in counted]
    known = [posterior(*counted[planting.crop, mix.name]) for mix in media]
    expected = replace(scenario, assurance=None)  # the cost as used is the same; found faster
    costs = []
    for mix, emergence in zip(media, known, strict=True):
        charge, fill = _charge(scenario, planting, mix), _fill(mix)
        inputs = cases(emergence.quantile, charge, fill)
        costs.append([_cost_each(expected, planting, mix, *case) for case in inputs])
    chances = chances_cheapest(costs)
    worths = _worths(expected, planting, media, known)
    return tuple(
        MixCost(
            mix.name,
            *cost_band(found),
            chance,
            sum(cost == math.inf for cost in found) / DRAWS,
            worths.get(mix.name),
        )
        for mix, found, chance in zip(media, costs, chances, strict=True)
    )


def worth_testing(mixes):
    """
    The mix of which more seeds would best settle the choice.

    Parameters
    ----------
    mixes : sequence of MixCost

    Returns
    -------
    MixCost or None
        None where no test is worth more than `NOTHING`.

    Examples
    --------
    >>> sure = MixCost("Fine mix", 0.1, 0.1, 0.1, 1.0, 0.0, 0.0)
    >>> worth_testing([sure, replace(sure, medium="Bulk mix", test_worth=0.4)]).medium
    'Bulk mix'
    """
    worth = [mix for mix in mixes if (mix.test_worth or 0) > NOTHING]
    return max(worth, key=lambda mix: mix.test_worth, default=None)


def _charge(scenario, planting, medium):
    """Quantiles of the weeks its charge lasts."""
    seen = lesson(scenario.trials, planting.crop, medium.name).charge
    if seen is None:
        return between(medium.feeds_for_weeks, medium.feeds_for_weeks)
    if seen.by is None:
        at_least = max(seen.after, medium.feeds_for_weeks)
        return between(at_least, at_least)
    return between(seen.after, seen.by)


def _fill(medium):
    loss = medium.fill_loss
    return between(max(0.0, loss - FILL_SPREAD), min((1 + loss) / 2, loss + FILL_SPREAD))


def _cost_each(scenario, planting, medium, emergence, charge, fill_loss):
    """Cost per ready seedling as used; `math.inf` where it is not ready. [currency]"""
    mix = replace(
        medium,
        emergence=medium.emergence | {planting.crop: emergence},
        feeds_for_weeks=charge,
        fill_loss=fill_loss,
    )
    needed = requirement(scenario, planting, mix)
    return needed.each.total if needed.ready else math.inf


def _worths(scenario, planting, media, known):
    """Worth of a test of each mix that has a finite cost, by name."""
    usual = []
    for mix, emergence in zip(media, known, strict=True):
        charge = _charge(scenario, planting, mix)(0.5)
        stalls = _cost_each(scenario, planting, mix, 0.5, charge, mix.fill_loss) == math.inf
        if emergence.a > 1 and not stalls:
            usual.append((mix, emergence, charge))
    if len(usual) < 2:
        return {}
    tests = [
        (
            emergence,
            lambda share, mix=mix, charge=charge: (
                planting.wanted * _cost_each(scenario, planting, mix, share, charge, mix.fill_loss)
            ),
        )
        for mix, emergence, charge in usual
    ]
    worths = worth_of_tests(tests, TEST_SEEDS)
    return {mix.name: worth for (mix, _, _), worth in zip(usual, worths, strict=True)}
