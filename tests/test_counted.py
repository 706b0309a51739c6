"""Cells where the seed is known by a count, against SciPy's beta-binomial, integrals and sums."""

import math
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special, stats

from pennyflat.chances import probability
from pennyflat.chances.probability import (
    MOST_TRIALS,
    TIE,
    fewest_trials,
    mean_ready_share,
)
from pennyflat.growing import sowing
from pennyflat.scenario.records import Counts, Medium, Sowing
from pennyflat.sentences import Said

COUNTS = [(0, 1), (1, 1), (0, 20), (3, 20), (17, 20), (20, 20), (44, 50), (850, 1000)]
LARGE = [(0, 100_000), (5, 100_000), (99_998, 100_000), (10**6, 10**6), (800_000, 10**6)]


def enough_chance(n, wanted, up, sown, seeds_per_cell=1, survival=1.0):
    return probability.enough_chance(n, wanted, (up, sown, seeds_per_cell, survival))


def cells_for_counts(wanted, up, sown, *, seeds_per_cell=1, survival=1.0, assurance):
    return fewest_trials((up, sown, seeds_per_cell, survival), wanted, assurance)


def towel(wanted, share, germination, assurance):
    """Cells and seeds of pre-sprouted seed; `share` takes, all that takes survives."""
    known = Counts(*germination) if isinstance(germination, tuple) else germination
    leek = Sowing("leek", wanted, 25, 10, known, presprout=True, take=share)
    found = sowing.sown(leek, Medium("Mix", 3), assurance)
    return found.cells, found.seeds


def beta_binomial(n, wanted, up, sown):
    return stats.betabinom.sf(wanted - 1, n, up + 0.5, sown - up + 0.5)


def integral(n, wanted, up, sown, seeds, survival):
    """Over t with g = sin² t, so that nothing is singular, cut where either factor turns."""

    def integrand(t):
        ready = survival * (1 - np.cos(t) ** (2 * seeds))
        log_density = 2 * up * np.log(np.sin(t)) + 2 * (sown - up) * np.log(np.cos(t))
        density = 2 * np.exp(log_density - special.betaln(up + 0.5, sown - up + 0.5))
        return density * stats.binom.sf(wanted - 1, n, ready)

    law = stats.beta(up + 0.5, sown - up + 0.5)
    ends = np.arcsin(np.sqrt([0, *law.ppf([1e-14, 0.01, 0.2, 0.5, 0.8, 0.99, 1 - 1e-14]), 1]))
    return math.fsum(
        integrate.quad(integrand, low, high, epsabs=1e-13, epsrel=1e-12, limit=400)[0]
        for low, high in pairwise(ends)
    )


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("up", "sown"), COUNTS)
@pytest.mark.parametrize("wanted", [1, 2, 7, 50, 400])
def test_one_seed_a_cell_is_the_beta_binomial_tail(wanted, up, sown):
    for times in (1, 1.1, 1.4, 3, 20):
        n = math.ceil(times * wanted)
        expected = beta_binomial(n, wanted, up, sown)
        assert enough_chance(n, wanted, up, sown) == pytest.approx(expected, abs=1e-11), n


@pytest.mark.parametrize(("up", "sown"), [(1, 3), (0, 7), (7, 7), (17, 20)])
def test_the_beta_binomial_tail_in_fractions(up, sown):
    """Sums of C(n, x) B(x + a, n - x + b) / B(a, b), with the betas as products, exact."""

    def rising(start, steps):
        return math.prod((start + i for i in range(steps)), start=Fraction(1))

    a, b = Fraction(2 * up + 1, 2), Fraction(2 * (sown - up) + 1, 2)
    for n, wanted in ((1, 1), (5, 3), (30, 25), (60, 12)):
        exact = sum(
            math.comb(n, x) * rising(a, x) * rising(b, n - x) / rising(a + b, n)
            for x in range(wanted, n + 1)
        )
        assert enough_chance(n, wanted, up, sown) == pytest.approx(float(exact), abs=1e-13)


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("up", "sown"), [(1, 1), (0, 20), (3, 20), (17, 20), (850, 1000)])
@pytest.mark.parametrize(
    ("seeds", "survival"), [(1, 0.9), (2, 1.0), (2, 0.95), (3, 0.5), (20, 0.8)]
)
def test_several_seeds_and_losses_are_scipys_integral(up, sown, seeds, survival):
    for n, wanted in ((1, 1), (60, 50), (150, 50), (700, 300)):
        expected = integral(n, wanted, up, sown, seeds, survival)
        found = enough_chance(n, wanted, up, sown, seeds, survival)
        assert found == pytest.approx(expected, abs=1e-9), (n, wanted)


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("up", "sown"), LARGE)
@pytest.mark.parametrize("wanted", [3, 1000, 10**6])
def test_a_million_counted_or_wanted_are_as_exact(up, sown, wanted):
    """SciPy's beta-binomial adds up to a million chances; its digits suffer, to 3e-9."""
    for quantile in (0.05, 0.5, 0.9):
        n = math.ceil(wanted / stats.beta.ppf(1 - quantile, up + 0.5, sown - up + 0.5))
        if n <= MOST_TRIALS:
            expected = beta_binomial(n, wanted, up, sown)
            assert enough_chance(n, wanted, up, sown) == pytest.approx(expected, abs=3e-9), n


def test_where_all_must_end_ready_it_is_a_moment():
    """E[g^w] of a beta distribution: the product of (a + i) / (a + b + i)."""
    for up, sown in COUNTS:
        for wanted in (1, 40, 3000):
            moment = math.exp(
                math.fsum(math.log((up + 0.5 + i) / (sown + 1 + i)) for i in range(wanted))
            )
            assert enough_chance(wanted, wanted, up, sown) == pytest.approx(moment, abs=1e-12)


@pytest.mark.parametrize(("up", "sown"), COUNTS + LARGE)
@pytest.mark.parametrize("seeds", [1, 2, 3, 100])
def test_mean_ready_share_is_the_average(up, sown, seeds):
    """For one seed the mean of the beta; else SciPy's moment of 1 - g, which is Beta(b, a)."""
    a, b = up + 0.5, sown - up + 0.5
    log_moment = math.fsum(math.log((b + i) / (a + b + i)) for i in range(seeds))

    assert mean_ready_share(up, sown, seeds, 0.95) == pytest.approx(
        0.95 * (1 - math.exp(log_moment)), rel=1e-9
    )
    if seeds == 1:
        assert mean_ready_share(up, sown, 1, 1.0) == pytest.approx(a / (a + b), rel=1e-14)
    if seeds == 3 and sown <= 1000:
        moment = stats.beta(b, a).moment(3)
        assert mean_ready_share(up, sown, 3, 1.0) == pytest.approx(1 - moment, rel=1e-9)


@pytest.mark.against("scipy")
def test_the_count_and_not_its_ratio_says_how_many():
    """SciPy: stats.betabinom.sf(49, 70, 17.5, 3.5) is 0.90403, with 69 cells 0.88816."""
    assert cells_for_counts(50, 17, 20, assurance=0.9) == 70
    assert cells_for_counts(50, 170, 200, assurance=0.9) == 64
    assert fewest_trials(0.85, 50, 0.9) == 63 == cells_for_counts(50, 850_000, 10**6, assurance=0.9)


counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(counts, st.integers(1, 600), st.floats(0.02, 0.98))
def test_fewest_cells_reach_the_assurance_and_one_fewer_does_not(count, wanted, assurance):
    up, sown = count
    if up == 0:
        up = 1  # nothing up is tried by itself
    n = cells_for_counts(wanted, up, sown, assurance=assurance)
    if n > 50_000:
        return  # SciPy's sum takes too long

    assert beta_binomial(n, wanted, up, sown) >= assurance - 1e-9
    assert n == wanted or beta_binomial(n - 1, wanted, up, sown) < assurance + 1e-9


@pytest.mark.parametrize(("seeds", "survival"), [(1, 1.0), (1, 0.9), (2, 0.95), (5, 0.6)])
@pytest.mark.parametrize("wanted", [1, 5, 60, 199, 200, 201, 5000])
@pytest.mark.parametrize(("up", "sown"), COUNTS[2:])
def test_adding_cells_and_looking_for_them_agree(wanted, up, sown, seeds, survival):
    of_seed = {"seeds_per_cell": seeds, "survival": survival}
    n = cells_for_counts(wanted, up, sown, **of_seed, assurance=0.8)

    assert enough_chance(n, wanted, up, sown, **of_seed) >= 0.8 - 2 * TIE
    assert n == wanted or enough_chance(n - 1, wanted, up, sown, **of_seed) < 0.8


def test_a_tie_counts_as_reached():
    """After 1 of 1, the next comes up with chance 1.5 / 2, exactly."""
    assert cells_for_counts(1, 1, 1, assurance=0.75) == 1


def test_without_an_assurance_the_expected_number_is_enough():
    """50 / (17.5 / 21) is exactly 60; 50 / (1 - (3.5 / 21)(4.5 / 22)) / 0.95 is 54.49."""
    assert cells_for_counts(50, 17, 20, assurance=None) == 60
    assert cells_for_counts(50, 17, 20, seeds_per_cell=2, survival=0.95, assurance=None) == 55


def test_nothing_up_of_twenty_takes_very_many_and_a_limit_is_told():
    n = cells_for_counts(50, 0, 20, assurance=0.9)

    assert beta_binomial(n, 50, 0, 20) >= 0.9 - 1e-8
    assert beta_binomial(n - 1, 50, 0, 20) < 0.9 + 1e-8
    with pytest.raises(ValueError) as error:
        cells_for_counts(10_000, 0, 20, assurance=0.9)
    assert str(error.value) == (
        "With 0 of 20 up, more than 10,000,000 cells would be needed for 10,000 ready seedlings."
        " Count more seeds first, or want fewer."
    )
    assert isinstance(error.value.args[0], Said)
    with pytest.raises(ValueError, match="more than 10,000,000 cells"):
        cells_for_counts(10**6, 0, 20, assurance=None)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: enough_chance(9, 5, 6, 5), "up must be between 0 and the seeds sown, not 6 of 5."),
        (lambda: mean_ready_share(0, 0, 1, 1.0), "between 0 and the seeds sown, not 0 of 0."),
        (lambda: cells_for_counts(5, 1, 2, assurance=1.0), "assurance must be more than 0"),
        (lambda: cells_for_counts(5, 1, 2, survival=0, assurance=0.9), "share must be more"),
        (lambda: cells_for_counts(5, math.nan, 2, assurance=0.9), "not nan of 2"),
    ],
)
def test_values_out_of_range_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_wanting_nothing_is_certain_and_more_than_all_impossible():
    assert enough_chance(5, 0, 1, 2) == 1 and enough_chance(5, 6, 1, 2) == 0
    assert cells_for_counts(0, 1, 2, assurance=0.9) == 0


@pytest.mark.against("scipy")
@pytest.mark.parametrize("assurance", [0.5, 0.9, 0.99])
@pytest.mark.parametrize(("share", "germination"), [(0.9, 0.85), (0.95, 0.5), (1.0, 1.0)])
def test_seeds_laid_on_a_towel_are_enough_with_the_assurance(share, germination, assurance):
    """By SciPy, over how many sprout: no more are set than there are cells."""
    cells, seeds = towel(50, share, germination, assurance)
    sprouted = np.arange(seeds + 1)
    enough = stats.binom.sf(49, np.minimum(sprouted, cells), share)

    assert np.sum(stats.binom.pmf(sprouted, seeds, germination) * enough) >= assurance
    each = 1 - (1 - assurance) / 2
    assert cells == fewest_trials(share, 50, each)
    assert seeds == fewest_trials(germination, cells, each)


def test_a_towel_of_counted_seeds_takes_more_of_them():
    cells, seeds = towel(50, 0.9, (17, 20), 0.9)

    assert cells == towel(50, 0.9, 0.85, 0.9)[0]
    assert seeds == cells_for_counts(cells, 17, 20, assurance=0.95) > towel(50, 0.9, 0.85, 0.9)[1]


def test_a_towel_without_an_assurance_takes_the_expected_numbers():
    assert towel(50, 0.9, 0.85, None) == (56, 66)  # 50 / 0.9 = 55.6; 56 / 0.85 = 65.9
    assert towel(50, 0.9, (17, 20), None) == (56, 68)  # 56 / (17.5 / 21) = 67.2
