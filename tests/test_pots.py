"""What several pots say of a mix, against SciPy's beta-binomial and published counts."""

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from pennyflat.chances.pots import PRIOR, what_pots_say

# Crowder 1978, Applied Statistics 27: 34-37, Table 1: seeds of Orobanche cernua, (germinated, sown)
# in each replicate of three dilutions of a bean root extract; the data set orob1 of the R package
# aod, whose help prints the mean proportions 0.142, 0.872 and 0.842.
CROWDER = {
    "1/1": ((2, 43), (9, 51), (5, 44), (16, 71), (2, 24), (0, 7)),
    "1/25": ((17, 19), (43, 56), (79, 87), (50, 55), (9, 10)),
    "1/625": ((11, 13), (47, 62), (90, 104), (46, 51), (9, 11)),
}
MEANS = {"1/1": 0.142, "1/25": 0.872, "1/625": 0.842}


def chance(counts, share, correlation):
    """Chance of the counts, by SciPy."""
    up, sown = np.array(counts).T
    if correlation == 0:
        return math.exp(stats.binom.logpmf(up, sown, share).sum())
    size = 1 / correlation - 1
    return math.exp(stats.betabinom.logpmf(up, sown, share * size, (1 - share) * size).sum())


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    "counts",
    [
        ((17, 20),),
        ((9, 10), (4, 10), (8, 10)),
        ((20, 20), (19, 20)),
        ((0, 5), (2, 5)),
        ((12_000, 20_000),),
    ],
)
def test_the_mix_s_share_is_that_of_scipys_integral(counts):
    total = first = second = by_correlation = 0.0
    up, sown = np.sum(counts, axis=0)
    peak = math.asin(math.sqrt((up + 0.5) / (sown + 1)))
    for r, weight in PRIOR.items():

        def moment(power, r=r):
            def at(t):
                return math.sin(t) ** (2 * power) * chance(counts, math.sin(t) ** 2, r)

            return integrate.quad(at, 1e-9, math.pi / 2 - 1e-9, limit=200, points=[peak])[0]

        total += weight * moment(0)
        first += weight * moment(1)
        second += weight * moment(2)
        by_correlation += r * weight * moment(0)
    mean = first / total
    variance = second / total - mean**2

    known, correlation = what_pots_say(counts)
    law = stats.beta(known.a, known.b)

    assert known.mean == pytest.approx(mean, rel=1e-4)
    assert correlation == pytest.approx(by_correlation / total, rel=1e-3)
    if min(known.a, known.b) > 0.5:
        assert law.var() == pytest.approx(variance, rel=1e-3)
    else:
        assert law.var() < variance


@pytest.mark.against("crowder-1978", "scipy")
@pytest.mark.parametrize("dilution", CROWDER)
def test_published_counts_lie_in_the_span_of_the_prior(dilution):
    """The likeliest correlation by SciPy's beta-binomial is between 0 and the prior's largest."""
    counts = CROWDER[dilution]

    def loss(shape):
        share, r = 1 / (1 + math.exp(-shape[0])), 1 / (1 + math.exp(-shape[1]))
        return -math.log(chance(counts, share, max(r, 1e-6)))

    best = optimize.minimize(loss, [0.0, -3.0], method="Nelder-Mead").x
    likeliest = 1 / (1 + math.exp(-best[1]))
    known, correlation = what_pots_say(counts)

    # the help prints means of the proportions, of which the small ones weigh as much as the large
    assert np.mean([up / sown for up, sown in counts]) == pytest.approx(MEANS[dilution], abs=0.035)
    assert likeliest < max(PRIOR)
    assert abs(correlation - likeliest) < 0.05
    # within a standard error: the smaller the share, the more a middle lies above the likeliest
    assert known.mean == pytest.approx(1 / (1 + math.exp(-best[0])), abs=0.03)


def test_the_prior_is_a_distribution():
    assert math.fsum(PRIOR.values()) == pytest.approx(1)


def seeds_worth(known):
    """Number of independent seeds that would tell as much."""
    return known.a + known.b - 1


def test_one_pot_tells_nothing_of_how_pots_differ():
    known, correlation = what_pots_say(((30, 40),))

    usual = math.fsum(r * weight for r, weight in PRIOR.items())
    assert correlation == pytest.approx(usual, abs=0.03)
    assert seeds_worth(known) < 20


def coverage(sown, correlation, level):
    """How often one pot's middle range holds the mix's share, over all counts of SciPy's law."""
    ups, shares = np.arange(sown + 1), np.sin((np.arange(200) + 0.5) * math.pi / 400) ** 2
    known = [what_pots_say(((int(up), sown),))[0] for up in ups]
    ends = ((1 - level) / 2, (1 + level) / 2)
    low, high = (np.array([law.quantile(q) for law in known]) for q in ends)
    inside = (low <= shares[:, None]) & (shares[:, None] <= high)
    size = 1 / correlation - 1 if correlation else 1e9
    counts = stats.betabinom.pmf(ups, sown, *np.array([shares, 1 - shares])[:, :, None] * size)
    return (counts * inside).sum(axis=1).mean()


@pytest.mark.against("scipy")
def test_one_pot_keeps_its_promise_on_average_over_the_prior():
    on_average = math.fsum(weight * coverage(30, r, 0.8) for r, weight in PRIOR.items())

    assert on_average == pytest.approx(0.80, abs=0.04)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("sown", [20, 40])
def test_no_range_from_one_pot_holds_as_often_where_pots_are_alike_and_where_they_differ(sown):
    """Whatever its width: one that holds 75 % at a correlation of 0.15 holds over 90 % at 0."""
    enough = [level for level in np.arange(0.5, 1.0, 0.05) if coverage(sown, 0.15, level) >= 0.75]

    assert enough
    assert all(coverage(sown, 0.0, level) > 0.90 for level in enough)


def test_many_pots_replace_the_prior():
    alike, like = what_pots_say(((16, 20), (17, 20)) * 10)
    apart, unlike = what_pots_say(((20, 20), (11, 20)) * 10)

    assert like < 0.02
    assert unlike > 0.15
    assert 200 < seeds_worth(alike) < 420 and seeds_worth(apart) < 120
