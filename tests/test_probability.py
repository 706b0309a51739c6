"""Binomial and beta chances against SciPy, exact fractions and themselves."""

import math
import random
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from pennyflat.chances.beta import beta_density, beta_quantile, binomial_pmf, regularized_beta
from pennyflat.chances.probability import (
    MOST_TRIALS,
    TIE,
    binomial_tail,
    fewest_trials,
    least_whole,
)

CHANCES = (1e-9, 1e-4, 0.01, 0.1, 0.3, 0.5, 0.55, 0.8, 0.95, 0.999, 1 - 1e-9)
SHAPES = (0.5, 1, 1.5, 2, 7.5, 30, 200.5, 5000, 1e5, 1e6)
SPREADS = (-20, -8, -3, -1, -0.3, 0, 0.5, 1, 3, 8, 20)


def counts_around(n, p):
    spread = math.sqrt(n * p * (1 - p))
    near = (round(n * p + z * spread) for z in SPREADS)
    return sorted({0, 1, 2, n - 1, n} | {k for k in near if 0 <= k <= n})


@pytest.mark.against("scipy")
@pytest.mark.parametrize("n", [1, 2, 5, 10, 33, 100, 1000, 12_345, 100_000, 1_000_000])
def test_tail_and_pmf_match_scipy(n):
    for p in CHANCES:
        for k in counts_around(n, p):
            tail, pmf = stats.binom.sf(k - 1, n, p), stats.binom.pmf(k, n, p)
            assert binomial_tail(n, p, k) == pytest.approx(tail, rel=1e-10, abs=1e-290), (p, k)
            assert binomial_pmf(n, p, k) == pytest.approx(pmf, rel=1e-10, abs=1e-290), (p, k)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("a", SHAPES)
def test_incomplete_beta_matches_scipy(a):
    for b in SHAPES:
        mean, spread = a / (a + b), math.sqrt(a * b / (a + b + 1)) / (a + b)
        near = [mean + z * spread for z in SPREADS]
        for x in [x for x in (*CHANCES, *near) if 0 < x < 1]:
            expected = special.betainc(a, b, x)
            assert regularized_beta(a, b, x) == pytest.approx(expected, rel=1e-10, abs=1e-250)


@pytest.mark.parametrize("b", [1, 7.5, 5000, 1e6])
@pytest.mark.parametrize("times_mean", [0.1, 0.5, 1, 1.35, 3])
def test_incomplete_beta_of_two_is_its_closed_form(b, times_mean):
    """I_x(2, b) = 1 - (1 - x)^b (1 + b x), by hand, and its mirror; SciPy 1.18.1 is 1e-11 off."""
    y = 1 - (1 - times_mean * 0.3 / b)  # so that 1 - y is exact
    expected = -math.expm1(b * math.log1p(-y) + math.log1p(b * y))

    assert regularized_beta(2, b, y) == pytest.approx(expected, rel=2e-13, abs=0)
    assert 1 - regularized_beta(b, 2, 1 - y) == pytest.approx(expected, rel=2e-13, abs=1e-15)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("a", SHAPES)
def test_beta_quantile_matches_scipy(a):
    for b, q in product(SHAPES, (1e-6, 0.005, 0.025, 0.1, 0.5, 0.9, 0.975, 0.995)):
        expected = special.betaincinv(a, b, q)
        assert beta_quantile(a, b, q) == pytest.approx(expected, rel=1e-10, abs=1e-14), (b, q)


@pytest.mark.parametrize(("up", "sown"), [(77, 10_914), (294, 5000), (1189, 10_000), (315, 5321)])
def test_quantile_is_found_where_the_density_vanishes_on_the_way(up, sown):
    """Newton's step from a place of no density had divided by it."""
    for q in (0.005, 0.025, 0.1, 0.5, 0.9, 0.975, 0.995):
        expected = stats.beta.ppf(q, up + 0.5, sown - up + 0.5)
        assert beta_quantile(up + 0.5, sown - up + 0.5, q) == pytest.approx(expected, rel=1e-13)


@pytest.mark.against("scipy")
def test_quantiles_of_counts_up_to_a_million():
    """Each is put back into the distribution; every tenth is SciPy's too."""
    rng = random.Random(11)
    for case in range(10_000):
        sown = round(10 ** rng.uniform(0, 6))
        up = rng.choice((0, sown, rng.randint(0, sown), min(sown, round(10 ** rng.uniform(0, 3)))))
        a, b, q = up + 0.5, sown - up + 0.5, rng.choice((0.025, 0.1, 0.5, 0.9, 0.975, rng.random()))
        x = beta_quantile(a, b, q)
        last_digit = math.ulp(x) * stats.beta.pdf(x, a, b) if case % 10 == 0 else 2e-9
        assert special.betainc(a, b, x) == pytest.approx(q, abs=1e-12 + 2 * last_digit), (up, sown)
        if case % 10 == 0:
            assert x == pytest.approx(stats.beta.ppf(q, a, b), rel=1e-11), (up, sown, q)


@pytest.mark.against("scipy")
def test_density_matches_scipy():
    for a, b, x in product(SHAPES[:6], SHAPES[:6], (0.01, 0.4, 0.99)):
        assert beta_density(a, b, x) == pytest.approx(stats.beta.pdf(x, a, b), rel=1e-10)


def test_arcsine_law_holds_where_x_is_next_to_one():
    """I_x(1/2, 1/2) = 2/pi asin(sqrt(x)), by hand; SciPy 1.18.1 is 3e-9 off here."""
    y = 2.0**-53
    assert 1 - regularized_beta(0.5, 0.5, 1 - y) == pytest.approx(
        2 / math.pi * math.asin(math.sqrt(y)), rel=1e-6
    )


@given(st.integers(1, 40), st.integers(1, 63), st.integers(-2, 42))
def test_tail_matches_exact_fractions(n, sixty_fourths, k):
    p = Fraction(sixty_fourths, 64)
    exact = sum(math.comb(n, i) * p**i * (1 - p) ** (n - i) for i in range(max(k, 0), n + 1))
    assert binomial_tail(n, float(p), k) == pytest.approx(float(exact), rel=1e-13, abs=0)


@pytest.mark.parametrize("sixty_fourths", [1, 13, 32, 51, 63])
def test_pmf_matches_exact_fractions(sixty_fourths):
    p = Fraction(sixty_fourths, 64)
    for n in range(1, 61):
        for k in range(n + 1):
            exact = math.comb(n, k) * p**k * (1 - p) ** (n - k)
            assert binomial_pmf(n, float(p), k) == pytest.approx(float(exact), rel=1e-13, abs=0)


@pytest.mark.parametrize(
    ("n", "p", "k", "expected"),
    [
        (10, 0.0, 0, 1.0),
        (10, 0.0, 1, 0.0),
        (10, 1.0, 10, 1.0),
        (10, 1.0, 11, 0.0),
        (10, 0.3, -1, 1.0),
        (0, 0.3, 0, 1.0),
        (0, 0.3, 1, 0.0),
    ],
)
def test_tail_at_the_edges(n, p, k, expected):
    assert binomial_tail(n, p, k) == expected


def test_pmf_at_the_edges():
    assert [binomial_pmf(3, 0.0, k) for k in range(-1, 5)] == [0, 1, 0, 0, 0, 0]
    assert [binomial_pmf(3, 1.0, k) for k in range(-1, 5)] == [0, 0, 0, 0, 1, 0]


def test_beta_at_the_edges():
    assert (regularized_beta(2, 3, 0), regularized_beta(2, 3, 1)) == (0, 1)
    assert (beta_quantile(2, 3, 0), beta_quantile(2, 3, 1)) == (0, 1)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: regularized_beta(0, 1, 0.5),
            "a and b must be more than 0 and at most 1e+15, not 0 and 1.",
        ),
        (lambda: regularized_beta(1, 1, 1.5), "x must be between 0 and 1, not 1.5."),
        (lambda: beta_quantile(1, 1, -0.1), "q must be between 0 and 1, not -0.1."),
        (lambda: fewest_trials(0, 5, 0.9), "share must be more than 0 and at most 1, not 0."),
        (lambda: fewest_trials(0.5, 5, 1.0), "assurance must be more than 0 and below 1, not 1.0."),
    ],
)
def test_values_out_of_range_are_named(call, message):
    with pytest.raises(ValueError) as error:
        call()
    assert str(error.value) == message


@pytest.mark.against("scipy")
@given(st.floats(0.02, 0.999), st.integers(1, 200), st.floats(0.01, 0.999))
def test_fewest_trials_reach_the_assurance_and_one_fewer_does_not(p, successes, assurance):
    n = fewest_trials(p, successes, assurance)

    assert stats.binom.sf(successes - 1, n, p) >= assurance - 2 * TIE
    assert stats.binom.sf(successes - 1, n - 1, p) < assurance


@pytest.mark.against("scipy")
@pytest.mark.parametrize("successes", [1, 1000, 100_000, 1_000_000])
@pytest.mark.parametrize("p", [1e-4, 1e-3, 0.05, 0.11, 0.5, 0.8, 0.95, 1 - 1e-9])
def test_fewest_trials_of_large_counts(p, successes):
    if successes / p > 0.99 * MOST_TRIALS:
        with pytest.raises(ValueError, match="more than 10,000,000 would have to be sown"):
            fewest_trials(p, successes, 0.9)
        return
    n = fewest_trials(p, successes, 0.9)

    assert stats.binom.sf(successes - 1, n, p) >= 0.9 - 2 * TIE
    assert stats.binom.sf(successes - 1, n - 1, p) < 0.9


@given(st.integers(-50, 5000), st.integers(-50, 5000), st.integers(-50, 5000))
def test_least_whole_finds_the_step_from_any_start(step, start, at_least):
    found = least_whole(lambda n: n >= step, start=start, at_least=at_least)

    assert found == max(step, at_least)


def test_more_trials_than_ten_million_are_refused_in_a_sentence():
    with pytest.raises(ValueError) as error:
        fewest_trials(1e-6, 50, 0.9)
    assert str(error.value) == (
        "At a share of 1e-06, more than 10,000,000 would have to be sown for 50."
        " Want fewer, or find what keeps so many from coming up."
    )


def test_a_tie_counts_as_reached():
    """1 - 0.1^2 is 0.99 on paper and 0.98999999999999999 in binary; likewise 1 - 0.2^3."""
    assert fewest_trials(0.9, 1, 0.99) == 2
    assert fewest_trials(0.8, 1, 0.992) == 3


def test_certain_success_needs_no_spare():
    assert fewest_trials(1, 7, 0.99) == 7
