"""The worth of information, against closed forms, trying everything, and simulation."""

import math
import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pennyflat.chances.contest import posterior, weighted_shares
from pennyflat.chances.stakes import sample_results, worth_of_all, worth_of_result


def costed(known, cost):
    """Shares, weights and costs, as `sample_results` takes them."""
    return [(x, weight, cost(x)) for x, weight in weighted_shares(known)]


def worth_of_seeds(known, cost, rival, seeds):
    return worth_of_result(sample_results(costed(known, cost), seeds), rival)


def worth_of_share(known, cost, rival):
    """Of knowing a mix's emergence for certain."""
    return worth_of_result([(weight, cost) for _, weight, cost in costed(known, cost)], rival)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("count", [(2, 5), (5, 5), (14, 20), (150, 200)])
@pytest.mark.parametrize("seeds", [1, 5, 50])
def test_worth_of_a_sample_is_the_closed_form(count, seeds):
    """
    For a cost of price / emergence: E[1/x] of Beta(a, b) is (a + b - 1) / (a - 1), and the count of
    a test is beta-binomial.
    """
    known, rival = posterior(*count), 15.0

    def expected(mix):
        return 12 * (mix.a + mix.b - 1) / (mix.a - 1)

    chances = stats.betabinom(seeds, known.a, known.b).pmf(range(seeds + 1))
    informed = math.fsum(
        chance * min(rival, expected(known.after(k, seeds))) for k, chance in enumerate(chances)
    )
    worth = min(rival, expected(known)) - informed
    assert worth_of_seeds(known, lambda x: 12 / x, rival, seeds) == pytest.approx(worth, abs=1e-6)


def test_worth_of_a_sample_is_that_of_sowing_it_many_times():
    """Shares and counts drawn at random; after each count, the choice its posterior asks for."""
    known, rival, seeds = posterior(7, 10), 15.0, 8
    rng, spent, times = random.Random(3), [], 40_000
    for _ in range(times):
        share = rng.betavariate(known.a, known.b)
        came_up = sum(rng.random() < share for _ in range(seeds))
        after = known.after(came_up, seeds)
        chosen = 10 * (after.a + after.b - 1) / (after.a - 1) < rival
        spent.append(10 / share if chosen else rival)
    average = math.fsum(spent) / times
    error = math.sqrt(math.fsum((s - average) ** 2 for s in spent)) / times
    unmeasured = min(rival, 10 * (known.a + known.b - 1) / (known.a - 1))
    worth = worth_of_seeds(known, lambda x: 10 / x, rival, seeds)

    assert error < 0.03
    assert worth == pytest.approx(unmeasured - average, abs=4 * error)
    assert worth > 4 * error


def test_a_longer_test_is_worth_more_but_never_as_much_as_certainty():
    known, cost, rival = posterior(5, 5), lambda x: 12 / x, 14.5
    worths = [worth_of_seeds(known, cost, rival, seeds) for seeds in (0, 1, 5, 20, 100)]

    assert worths == sorted(worths)
    assert worths[0] == pytest.approx(0, abs=1e-6)
    assert worths[1] < worths[-1] < worth_of_share(known, cost, rival)


def test_what_cannot_change_the_choice_is_worth_nothing():
    known = posterior(90, 100)

    for rival in (8.0, 30.0):
        assert worth_of_seeds(known, lambda x: 10 / x, rival, 20) == pytest.approx(0, abs=1e-6)
    assert worth_of_result([(0.5, 8), (0.5, 9)], rival=10) == 0
    assert worth_of_result([(0.5, 8), (0.5, 20)], rival=math.inf) == 0


def test_a_choice_that_may_be_out_of_the_question_is_worth_measuring():
    assert worth_of_result([(0.25, 6), (0.75, math.inf)], rival=10) == 1
    assert worth_of_all([[(0.25, 6), (0.75, math.inf)], [(1.0, 10)]]) == 1


def test_where_no_choice_has_a_finite_expected_cost_it_is_said():
    stalls = [(0.5, 6), (0.5, math.inf)]

    with pytest.raises(ValueError, match="no choice has a finite expected cost"):
        worth_of_result(stalls, rival=math.inf)
    with pytest.raises(ValueError, match="no choice has a finite expected cost"):
        worth_of_all([stalls, stalls])


gambles = st.lists(
    st.lists(st.sampled_from([1.0, 2.0, 3.5, 7.0]), min_size=1, max_size=4),
    min_size=1,
    max_size=4,
).map(lambda costs: [[(1 / len(own), cost) for cost in own] for own in costs])


@given(gambles)
def test_worth_of_all_is_that_of_trying_every_combination(choices):
    expected = min(sum(p * cost for p, cost in own) for own in choices)
    informed = sum(
        math.prod(p for p, _ in combination) * min(cost for _, cost in combination)
        for combination in product(*choices)
    )

    assert worth_of_all(choices) == pytest.approx(expected - informed, abs=1e-12)


@given(gambles)
def test_no_result_is_worth_less_than_nothing_or_more_than_all(choices):
    expected = [sum(p * cost for p, cost in own) for own in choices]
    for place, own in enumerate(choices):
        others = [cost for other, cost in enumerate(expected) if other != place]
        worth = worth_of_result(own, min(others, default=math.inf))
        assert 0 <= worth <= worth_of_all(choices) + 1e-12


shares = st.tuples(st.integers(1, 30), st.integers(0, 30)).map(
    lambda count: posterior(count[0], sum(count))
)


@given(shares, st.floats(5, 60), st.integers(0, 40))
def test_a_sample_is_never_worth_more_than_the_share_itself(known, rival, seeds):
    sample = worth_of_seeds(known, lambda x: 10 / x, rival, seeds)

    assert 0 <= sample <= worth_of_share(known, lambda x: 10 / x, rival) + 1e-6
