"""What several pots say of a mix, against SciPy's beta-binomial and published counts."""

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from pennyflat.chances.pots import PRIOR, USUAL, what_pots_say

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
    "counts", [((17, 20),), ((9, 10), (4, 10), (8, 10)), ((20, 20), (19, 20)), ((0, 5), (2, 5))]
)
def test_the_mix_s_share_is_that_of_scipys_integral(counts):
    total = first = second = by_correlation = 0.0
    for r, weight in PRIOR.items():

        def moment(power, r=r):
            def at(t):
                return math.sin(t) ** (2 * power) * chance(counts, math.sin(t) ** 2, r)

            return integrate.quad(at, 1e-9, math.pi / 2 - 1e-9, limit=200)[0]

        total += weight * moment(0)
        first += weight * moment(1)
        second += weight * moment(2)
        by_correlation += r * weight * moment(0)
    mean = first / total
    variance = second / total - mean**2

    found = what_pots_say(counts)
    law = stats.beta(found.known.a, found.known.b)

    assert found.known.mean == pytest.approx(mean, rel=1e-4)
    assert found.correlation == pytest.approx(by_correlation / total, rel=1e-3)
    if min(found.known.a, found.known.b) > 0.5:
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
    found = what_pots_say(counts)

    # the help prints means of the proportions, of which the small ones weigh as much as the large
    assert np.mean([up / sown for up, sown in counts]) == pytest.approx(MEANS[dilution], abs=0.035)
    assert likeliest < max(PRIOR)
    assert abs(found.correlation - likeliest) < 0.05
    assert found.known.mean == pytest.approx(1 / (1 + math.exp(-best[0])), abs=0.02)


def test_the_prior_is_a_distribution_with_the_mean_it_says():
    assert math.fsum(PRIOR.values()) == pytest.approx(1)
    assert pytest.approx(0.10, abs=0.005) == USUAL


def test_one_pot_tells_nothing_of_how_pots_differ():
    one = what_pots_say(((30, 40),))

    assert one.pots == 1
    assert one.correlation == pytest.approx(0.10, abs=0.02)
    assert one.worth < 20


@pytest.mark.against("scipy")
def test_one_pot_keeps_its_promise_on_average_over_the_prior_and_not_for_each_correlation():
    """How often the middle 80 % hold the mix's share, summed over all counts of SciPy's law."""
    sown = 30
    ups, shares = np.arange(sown + 1), np.sin((np.arange(200) + 0.5) * math.pi / 400) ** 2
    known = [what_pots_say(((int(up), sown),)).known for up in ups]
    low, high = (np.array([law.quantile(q) for law in known]) for q in (0.1, 0.9))
    inside = (low <= shares[:, None]) & (shares[:, None] <= high)

    def holds(r):
        size = 1 / r - 1 if r else 1e9
        counts = stats.betabinom.pmf(ups, sown, *np.array([shares, 1 - shares])[:, :, None] * size)
        return (counts * inside).sum(axis=1).mean()

    on_average = math.fsum(weight * holds(r) for r, weight in PRIOR.items())

    assert on_average == pytest.approx(0.80, abs=0.04)
    assert holds(0) > 0.88 and holds(0.25) < 0.70


def test_many_pots_replace_the_prior():
    alike = what_pots_say(((16, 20), (17, 20)) * 10)
    apart = what_pots_say(((20, 20), (11, 20)) * 10)

    assert alike.correlation < 0.02
    assert apart.correlation > 0.15
    assert 200 < alike.worth < 420 and apart.worth < 120


@pytest.mark.parametrize("counts", [(), ((5, 4),), ((0, 0),)])
def test_pots_that_cannot_be_are_refused(counts):
    with pytest.raises(ValueError, match=r"counts must be|up must be"):
        what_pots_say(counts)
