"""Bands and chances of being cheapest, against closed forms and simulation."""

import math
import random
from dataclasses import replace
from functools import cache
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.chances.contest import chances_best, posterior
from pennyflat.chances.stakes import (
    DRAWS,
    between,
    cases,
    chances_cheapest,
    cost_band,
)
from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.scenario.document import read

SCENARIO = replace(read(DEMO), assurance=None)
SEED_MIX = SCENARIO.medium("Seed starter mix")
LETTUCE = replace(SCENARIO.sowings[1], wanted=1)  # the cost as used is the same for any number


def cost_each(emergence, charge, fill_loss):
    """Cost per ready lettuce in a mix of such emergence, charge and filling. [currency]"""
    medium = replace(
        SEED_MIX,
        emergence={LETTUCE.crop: emergence},
        feeds_for_weeks=charge,
        fill_loss=fill_loss,
    )
    needed = requirement(SCENARIO, LETTUCE, medium)
    return needed.costs.each(needed.expected_ready).total


def coverage(sown, *, trials=2000):
    """Share of simulated trials whose 80 % band holds the true cost, all inputs uncertain."""
    rng = random.Random(sown)
    charge, fill_loss = between(2, 4), between(0.08, 0.2)
    band_after = cache(
        lambda emerged: cost_band(
            [
                cost_each(*inputs)
                for inputs in cases(posterior(emerged, sown).quantile, charge, fill_loss)
            ]
        )
    )
    held = 0
    for _ in range(trials):
        share = rng.uniform(0.3, 0.95)
        low, _, high = band_after(sum(rng.random() < share for _ in range(sown)))
        held += low <= cost_each(share, charge(rng.random()), fill_loss(rng.random())) <= high
    return held / trials


@pytest.mark.parametrize("sown", [5, 20, 50])
def test_80_percent_bands_hold_75_to_85_percent_of_the_truth(sown):
    assert 0.75 <= coverage(sown) <= 0.85


def test_a_band_is_the_same_every_time():
    inputs = posterior(4, 5).quantile, between(2, 4), between(0.08, 0.2)

    assert cases(*inputs) == cases(*inputs)


@pytest.mark.parametrize("dimensions", [1, 2, 3, 4])
def test_cases_fill_their_space_evenly(dimensions):
    """Averages of each input, its square and each product of two lie close to the true ones."""
    found = cases(*[between(0, 1)] * dimensions)

    for one, other in product(range(dimensions), repeat=2):
        average = math.fsum(case[one] * case[other] for case in found) / DRAWS
        assert average == pytest.approx(1 / 3 if one == other else 1 / 4, abs=0.005)
        assert len({case[one] for case in found}) == DRAWS


@pytest.mark.parametrize("count", [(1, 5), (4, 5), (17, 20), (150, 200)])
def test_band_of_a_falling_cost_is_that_of_the_quantiles(count):
    known = posterior(*count)
    low, middle, high = cost_band([0.1 / share for (share,) in cases(known.quantile)])

    assert low == pytest.approx(0.1 / known.quantile(0.9), rel=0.01)
    assert middle == pytest.approx(0.1 / known.quantile(0.5), rel=0.01)
    assert high == pytest.approx(0.1 / known.quantile(0.1), rel=0.01)


def test_a_mix_that_may_stall_has_no_upper_end():
    assert cost_band([0.2, 0.3, math.inf, math.inf]) == (0.2, math.inf, math.inf)


def test_cheapest_by_emergence_alone_is_the_best():
    """Costs that fall with emergence alike: the cheapest is the one that comes up best."""
    for one, other in product([(1, 5), (4, 5), (17, 20)], [(3, 5), (150, 200)]):
        known, rival = posterior(*one), posterior(*other)
        costs = [[1 / x for (x,) in cases(mix.quantile)] for mix in (known, rival)]
        assert chances_cheapest(costs)[0] == pytest.approx(
            chances_best((known, rival))[0], abs=2 / (2 * DRAWS)
        )


tables = st.lists(
    st.lists(st.sampled_from([1.0, 2.0, 3.0, math.inf]), min_size=1, max_size=4),
    min_size=1,
    max_size=4,
)


@given(tables)
def test_cheapest_with_chance_is_that_of_trying_every_combination(costs):
    wins = [0.0] * len(costs)
    combinations = list(product(*costs))
    for combination in combinations:
        least = min(combination)
        tied = [place for place, cost in enumerate(combination) if cost == least < math.inf]
        for place in tied:
            wins[place] += 1 / len(tied) / len(combinations)

    assert chances_cheapest(costs) == pytest.approx(wins, abs=1e-12)
