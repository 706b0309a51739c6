"""Intervals, tests and chances of being best, against SciPy, statsmodels and closed sums."""

import math
import random
from functools import cache
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from pennyflat.chances.contest import (
    QUADRATURE_ERROR,
    Posterior,
    chances_best,
    posterior,
    seeds_to_be_sure,
    weighted_shares,
)
from pennyflat.chances.proportion import (
    compare_replicates,
    fisher_exact,
    jeffreys_interval,
    wilson_interval,
)
from pennyflat.trials.answer import what_it_shows

COUNTS = [(k, n) for n in (1, 2, 5, 12, 50, 400) for k in sorted({0, 1, n // 3, n - 1, n})]
LEVELS = (0.5, 0.8, 0.95, 0.99)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("level", LEVELS)
def test_intervals_match_scipy(level):
    for emerged, sown in COUNTS:
        wilson = stats.binomtest(emerged, sown).proportion_ci(level, method="wilson")
        jeffreys = stats.beta.interval(level, emerged + 0.5, sown - emerged + 0.5)
        assert wilson_interval(emerged, sown, level=level) == pytest.approx(wilson, abs=1e-12)
        assert jeffreys_interval(emerged, sown, level=level) == pytest.approx(jeffreys, rel=1e-10)


@pytest.mark.against("statsmodels")
@pytest.mark.parametrize("level", LEVELS)
def test_intervals_match_statsmodels(level):
    statsmodels = pytest.importorskip("statsmodels.stats.proportion")
    for emerged, sown in COUNTS:
        for method, ours in (("wilson", wilson_interval), ("jeffreys", jeffreys_interval)):
            theirs = statsmodels.proportion_confint(emerged, sown, 1 - level, method)
            assert ours(emerged, sown, level=level) == pytest.approx(theirs, abs=1e-10)


@pytest.mark.against("scipy")
def test_fisher_matches_scipy_on_every_small_table():
    for sown, other in product((1, 2, 3, 5, 8, 13), (1, 4, 5, 9)):
        for k, m in product(range(sown + 1), range(other + 1)):
            expected = stats.fisher_exact([[k, sown - k], [m, other - m]]).pvalue
            assert fisher_exact(k, sown, m, other) == pytest.approx(expected, rel=1e-10), (k, m)


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    ("emerged", "sown", "other_emerged", "other_sown"),
    [(170, 200, 150, 200), (30, 50, 88, 100), (980, 1000, 950, 1000), (1, 400, 9, 380)],
)
def test_fisher_matches_scipy_on_large_tables(emerged, sown, other_emerged, other_sown):
    table = [[emerged, sown - emerged], [other_emerged, other_sown - other_emerged]]
    ours = fisher_exact(emerged, sown, other_emerged, other_sown)

    assert ours == pytest.approx(stats.fisher_exact(table).pvalue, rel=1e-10)


def from_flat_prior(emerged, sown):
    return Posterior(emerged + 1, sown - emerged + 1)


def beats_by_closed_sum(known, other):
    """
    P[X > Y] for whole-number shapes: the sum over i < a of
    B(a' + i, b + b') / ((b + i) B(1 + i, b) B(a', b')), X ~ Beta(a, b), Y ~ Beta(a', b').
    [E. Miller, "Formulas for Bayesian A/B testing", 2014, web page, from memory]
    """

    def log_beta(a, b):
        return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)

    return math.fsum(
        math.exp(
            log_beta(other.a + i, known.b + other.b)
            - math.log(known.b + i)
            - log_beta(1 + i, known.b)
            - log_beta(other.a, other.b)
        )
        for i in range(int(known.a))
    )


@pytest.mark.parametrize("sown", [1, 5, 100, 10_000])
@pytest.mark.parametrize("other_sown", [1, 20, 1000])
def test_chance_to_beat_is_the_closed_sum_for_flat_priors(sown, other_sown):
    for share, other_share in product((0, 0.3, 0.9, 1), (0, 0.5, 0.88, 1)):
        known = from_flat_prior(int(share * sown), sown)
        other = from_flat_prior(int(other_share * other_sown), other_sown)
        expected = beats_by_closed_sum(known, other)
        assert chances_best((known, other))[0] == pytest.approx(expected, abs=QUADRATURE_ERROR)


@pytest.mark.against("scipy")
@pytest.mark.parametrize("counts", [((4, 5), (2, 5)), ((5, 5), (0, 5)), ((17, 20), (150, 200))])
def test_chance_to_beat_is_scipys_integral_for_jeffreys_priors(counts):
    known, other = (posterior(*count) for count in counts)
    density, below = stats.beta(known.a, known.b).pdf, stats.beta(other.a, other.b).cdf
    expected, _ = integrate.quad(lambda x: density(x) * below(x), 0, 1, epsabs=1e-11, limit=500)

    assert chances_best((known, other))[0] == pytest.approx(expected, abs=QUADRATURE_ERROR + 1e-9)


pots = st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@settings(max_examples=40)
@given(st.lists(pots, min_size=1, max_size=5))
def test_chances_of_being_best_add_up(counts):
    chances = chances_best([posterior(*count) for count in counts])

    assert math.fsum(chances) == pytest.approx(1, abs=len(counts) * QUADRATURE_ERROR)
    assert all(chance >= 0 for chance in chances)


@pytest.mark.parametrize("sown", [1, 100, 10_000])
@pytest.mark.parametrize("share", [0, 0.5, 1])
def test_equal_mixes_have_equal_chances(sown, share):
    same = posterior(int(share * sown), sown)

    assert chances_best([same] * 3) == pytest.approx([1 / 3] * 3, abs=QUADRATURE_ERROR)


def test_many_mixes_are_not_oversold():
    """The best of five small pots beats each other one more surely than it beats them all."""
    pots = [posterior(k, 5) for k in (5, 4, 4, 3, 3)]
    pairwise = min(chances_best((pots[0], other))[0] for other in pots[1:])

    assert chances_best(pots)[0] < pairwise - 0.1


def test_no_chance_is_less_than_nothing():
    """One of -1e-17 had been said as "with chance -0.00"."""
    known = [posterior(up, 400) for up in (3, 40, 200, 311, 396)] + [posterior(2, 10)]

    assert min(min(chances_best(pair)) for pair in combinations(known, 2)) >= 0
    assert chances_best([]) == ()


def test_the_best_of_many_is_found_as_often_as_stated():
    """30 mixes of 20 to 400 seeds; 20,000 shares drawn from what is known of each, seeded."""
    rng, draws = random.Random(5), 20_000
    sown = [rng.randint(20, 400) for _ in range(30)]
    known = [posterior(round(n * rng.uniform(0.75, 0.95)), n) for n in sown]
    best = [0] * 30
    for _ in range(draws):
        shares = [rng.betavariate(mix.a, mix.b) for mix in known]
        best[shares.index(max(shares))] += 1

    for chance, times in zip(chances_best(known), best, strict=True):
        error = math.sqrt(chance * (1 - chance) / draws)
        assert times / draws == pytest.approx(chance, abs=4 * error + 1e-4)


@pytest.mark.against("scipy")
def test_the_best_of_four_is_scipys_integral():
    known = [posterior(*count) for count in ((17, 20), (150, 180), (5, 5), (880, 1000))]
    laws = [stats.beta(mix.a, mix.b) for mix in known]

    def density(x, mine):
        others = (law.cdf(x) for law in laws if law is not laws[mine])
        return laws[mine].pdf(x) * math.prod(others)

    for mine, chance in enumerate(chances_best(known)):
        expected, _ = integrate.quad(
            density, 0, 1, args=(mine,), points=[0.8, 0.85, 0.9, 0.95], epsabs=1e-11, limit=500
        )
        assert chance == pytest.approx(expected, abs=QUADRATURE_ERROR)


def test_averages_over_a_posterior():
    for count in COUNTS:
        known = posterior(*count)
        nodes = weighted_shares(known)
        variance = known.a * known.b / (known.a + known.b) ** 2 / (known.a + known.b + 1)
        assert math.fsum(w for _, w in nodes) == pytest.approx(1, abs=QUADRATURE_ERROR)
        assert math.fsum(w * x for x, w in nodes) == pytest.approx(known.mean, abs=1e-9)
        assert math.fsum(w * (x - known.mean) ** 2 for x, w in nodes) == pytest.approx(
            variance, abs=1e-9
        )


def test_stated_chances_come_true():
    """
    Among 4,000 simulated trials of three mixes, five seeds each, the leader is the best as often as
    its stated chances say on average (true shares drawn from the prior, seeded).
    """
    rng = random.Random(20)
    best_of = cache(lambda counts: chances_best([from_flat_prior(k, 5) for k in counts]))
    right = stated = 0
    for _ in range(4000):
        shares = [rng.random() for _ in range(3)]
        counts = tuple(sum(rng.random() < share for _ in range(5)) for share in shares)
        chances = best_of(counts)
        leader = max(range(3), key=chances.__getitem__)
        stated += chances[leader]
        right += shares[leader] == max(shares)

    assert right / 4000 == pytest.approx(stated / 4000, abs=0.02)  # 3 standard errors


@settings(max_examples=30)
@given(st.lists(pots, min_size=2, max_size=3))
def test_seeds_to_be_sure_are_enough_and_one_fewer_is_not(counts):
    known = [posterior(*count) for count in counts]
    leader = max(range(len(known)), key=lambda place: known[place].mean)
    seeds = seeds_to_be_sure(known, most=2000)

    def chance_with(more):
        return chances_best([mix.after(more * mix.mean, more) for mix in known])[leader]

    if seeds is None:
        assert chance_with(2000) < 0.9
    else:
        assert chance_with(seeds) >= 0.9
        assert seeds == 0 or chance_with(seeds - 1) < 0.9


def test_words_say_how_little_five_seeds_tell():
    shown = what_it_shows({"Fine mix": (5, 5), "Bulk mix": (2, 5), "Home blend": (4, 5)})

    assert "Fine mix: 5 of 5 came up, so most likely 62 to 100 % of its seeds would." in shown
    assert "next to nothing known" in shown
    assert shown.endswith("Fine mix brings up the most of the 3 (chance 83\N{NO-BREAK SPACE}%).")


@pytest.mark.parametrize(
    ("trials", "words"),
    [
        ({"Fine mix": (40, 50), "Bulk mix": (30, 50)}, "That is known only roughly"),
        ({"Fine mix": (160, 200), "Bulk mix": (161, 200)}, "That is a fair picture"),
        ({"Fine mix": (900, 1000)}, "That is well known."),
    ],
)
def test_words_follow_the_width_of_the_interval(trials, words):
    assert words in what_it_shows(trials)


def test_a_sure_leader_is_said_to_be_more_than_nearly_sure():
    shown = what_it_shows({"Fine mix": (48, 50), "Bulk mix": (20, 50)})

    assert shown.endswith("Fine mix brings up more (chance more than 99\N{NO-BREAK SPACE}%).")
    assert "may still be chance" not in shown


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    ("counts", "seeds"), [((5, 2), 5), ((5, 5), 5), ((9, 6, 10), 12), ((96, 84, 90, 90), 100)]
)
def test_chance_of_a_range_is_that_of_trying_all_outcomes(counts, seeds):
    """By summing over every outcome where that is quick, else over the least and greatest count."""
    found = compare_replicates(counts, seeds)
    pmf = stats.binom(seeds, sum(counts) / len(counts) / seeds).pmf(range(seeds + 1))
    spread = max(counts) - min(counts)
    if len(counts) < 4:
        expected = math.fsum(
            math.prod(pmf[k] for k in outcome)
            for outcome in product(range(seeds + 1), repeat=len(counts))
            if max(outcome) - min(outcome) >= spread
        )
    else:
        cdf = [0, *pmf.cumsum()]
        expected = 1 - math.fsum(
            (cdf[high + 1] - cdf[low]) ** 4
            - (cdf[high + 1] - cdf[low + 1]) ** 4
            - (cdf[high] - cdf[low]) ** 4
            + (cdf[high] - cdf[min(low + 1, high)]) ** 4
            for low in range(seeds + 1)
            for high in range(low, min(low + spread, seeds + 1))
        )

    assert found.chance == pytest.approx(expected, abs=1e-12)


def test_replicates_far_apart_are_in_doubt():
    assert compare_replicates((96, 82, 90, 92), 100).in_doubt
    assert compare_replicates((96, 82, 90, 92), 100).tolerance == 0.12
    assert not compare_replicates((5, 2), 5).in_doubt
    assert compare_replicates((20, 4), 20).in_doubt


@pytest.mark.parametrize("count", [0, 13, 20])
def test_replicates_alike_are_not_in_doubt(count):
    found = compare_replicates((count, count, count), 20)

    assert (found.spread, found.chance, found.in_doubt) == (0, 1, False)


def test_the_rule_serves_where_the_table_is_silent():
    found = compare_replicates((40, 45), 50)

    assert found.source == "range of normal values at the 2.5 % level"
    assert found.tolerance == pytest.approx(3.1698 * math.sqrt(0.85 * 0.15 / 50))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: wilson_interval(6, 5), "between 0 and the seeds sown, not 6 of 5"),
        (lambda: jeffreys_interval(0, 0), "between 0 and the seeds sown, not 0 of 0"),
        (lambda: fisher_exact(1, 5, -1, 5), "between 0 and the seeds sown, not -1 of 5"),
        (lambda: posterior(6, 5), "between 0 and the seeds sown, not 6 of 5"),
        (lambda: compare_replicates((5,), 10), "2 to 8 replicates, not of 1"),
    ],
)
def test_impossible_counts_are_named(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_posterior_learns():
    assert Posterior(0.5, 0.5).after(4, 5) == posterior(4, 5)
