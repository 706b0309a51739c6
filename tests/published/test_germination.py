"""Germination statistics against published worked series, tables and intervals."""

import math
from itertools import accumulate

import pytest
from scipy import stats

from pennyflat.chances.beta import beta_quantile
from pennyflat.chances.germination import half_emergence, mean_emergence
from pennyflat.chances.probability import binomial_tail, fewest_trials
from pennyflat.chances.proportion import (
    RANGE_FACTOR,
    compare_replicates,
    jeffreys_interval,
    wilson_interval,
)

# Worked series of the open R package germinationmetrics (ICAR-NBPGR): tests/testthat/test-t50.R and
# test-MeanGermTime.R. Seedlings counted anew on days 1 to 14, and the values its tests hold.
SERIES = (0, 0, 0, 0, 4, 17, 10, 7, 1, 0, 1, 0, 0, 0)
CURVE = tuple(enumerate(accumulate(SERIES), start=1))

INTERVALS = [
    # (emerged, sown, Wilson, Clopper-Pearson), 95 %. 81/263 and 1/29: Newcombe 1998, Stat. Med.
    # 17:857-872, tables from memory; the others: SciPy, binomtest(emerged, sown).proportion_ci().
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
    (10, 10, (0.7225, 1.0), (0.6915, 1.0)),
    (9, 10, (0.5958, 0.9821), (0.5550, 0.9975)),
    (17, 20, (0.6396, 0.9476), (0.6211, 0.9679)),
    (43, 50, (0.7381, 0.9305), (0.7326, 0.9418)),
]


@pytest.mark.against("germinationmetrics")
@pytest.mark.parametrize(
    ("formula", "expected"), [("Coolbear", 5.97058823529412), ("Farooq", 5.94117647058824)]
)
def test_days_to_half_emergence(formula, expected):
    assert half_emergence(CURVE, formula=formula)[1] == pytest.approx(expected, rel=1e-14)


@pytest.mark.against("germinationmetrics")
def test_mean_emergence_time():
    days, standard_error = mean_emergence(CURVE)

    assert days == pytest.approx(6.7, rel=1e-14)
    assert standard_error == pytest.approx(0.190141647604743, rel=1e-13)


def test_days_without_a_new_seedling_may_be_left_out():
    seen = tuple((day, CURVE[day - 1][1]) for day, n in enumerate(SERIES, start=1) if n)
    looks = ((4, 0), *seen)  # without the look on day 4, the first four could be older

    assert half_emergence(looks) == half_emergence(CURVE)
    assert mean_emergence(seen) == mean_emergence(CURVE)


@pytest.mark.against("newcombe-1998", "scipy")
@pytest.mark.parametrize(("emerged", "sown", "wilson", "clopper_pearson"), INTERVALS)
def test_intervals(emerged, sown, wilson, clopper_pearson):
    """Clopper and Pearson's limits are quantiles of beta distributions; Jeffreys' lie inside."""
    exact = (
        beta_quantile(emerged, sown - emerged + 1, 0.025) if emerged else 0,
        beta_quantile(emerged + 1, sown - emerged, 0.975) if emerged < sown else 1,
    )
    low, high = jeffreys_interval(emerged, sown)

    assert wilson_interval(emerged, sown) == pytest.approx(wilson, abs=6e-5)
    assert exact == pytest.approx(clopper_pearson, abs=6e-5)
    assert exact[0] < low < high < exact[1]


@pytest.mark.against("scipy")
def test_posterior_of_17_of_20_from_a_flat_prior():
    """Beta(18, 4): SciPy, stats.beta(18, 4)."""
    quantiles = [beta_quantile(18, 4, q) for q in (0.025, 0.5, 0.975)]

    assert quantiles == pytest.approx([0.636576, 0.827910, 0.945536], abs=5e-7)


@pytest.mark.parametrize(("share", "seeds"), [(0.5, 5), (0.6, 4), (0.75, 3), (0.8, 2), (0.95, 1)])
def test_seeds_a_cell_to_fill_95_in_100(share, seeds):
    """1 - (1 - p)^k >= 0.95, by hand."""
    assert fewest_trials(share, 1, 0.95) == seeds


def test_two_seeds_a_cell_leave_0_64_to_thin():
    """Expected seedlings beyond the first: k p - (1 - (1 - p)^k) = 1.6 - 0.96, by hand."""
    assert 2 * 0.8 - binomial_tail(2, 0.8, 1) == pytest.approx(0.64, rel=1e-14)


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    ("cells", "share", "chance"),
    [(63, 0.8, 0.623), (67, 0.8, 0.89227), (68, 0.8, 0.92731), (69, 0.8, 0.95239),
     (55, 0.96, 0.97776)],
)  # fmt: skip
def test_chance_of_fifty_usable(cells, share, chance):
    """SciPy: stats.binom.sf(49, cells, share)."""
    assert binomial_tail(cells, share, 50) == pytest.approx(
        chance, abs=5e-4 if cells == 63 else 5e-6
    )


@pytest.mark.against("scipy")
def test_range_factors_are_those_of_the_studentized_range():
    for replicates, factor in RANGE_FACTOR.items():
        expected = stats.studentized_range.ppf(0.975, replicates, math.inf)
        assert factor == pytest.approx(expected, abs=6e-5), replicates


# 7 CFR 201.55, table of maximum tolerated ranges between 100-seed replicates (25 FR 8771, 1960;
# 65 FR 1707, 2000), annual edition of 2015, read in a copy. Rows: average per cent of normal
# seedlings, from the upper column and from the one beside it; most allowed between 4 replicates and
# between 2. The copy prints 62 | 38 and 52 | 48 beside 63 | 38 and 53 | 48, evidently 39 and 49.
PUBLISHED_RANGES = [
    ((99,), (2,), 5, None),
    ((98,), (3,), 6, None),
    ((97,), (4,), 7, 6),
    ((96,), (5,), 8, 6),
    ((95,), (6,), 9, 7),
    ((93, 94), (7, 8), 10, 8),
    ((91, 92), (9, 10), 11, 9),
    ((90,), (11,), 12, 9),
    ((89,), (12,), 12, 10),
    ((88,), (13,), 13, 10),
    ((87,), (14,), 13, 11),
    ((84, 86), (15, 17), 14, 11),
    ((81, 83), (18, 20), 15, 12),
    ((78, 80), (21, 23), 16, 13),
    ((76, 77), (24, 25), 17, 13),
    ((73, 75), (26, 28), 17, 14),
    ((69, 72), (29, 32), 18, 14),
    ((67, 68), (33, 34), 18, 15),
    ((56, 66), (35, 45), 19, 15),
    ((55,), (46,), 20, 15),
    ((51, 54), (47, 50), 20, 16),
]


def averages(ends):
    return range(ends[0], ends[-1] + 1)


@pytest.mark.against("cfr-201-55")
@pytest.mark.parametrize(("upper", "lower", "four", "two"), PUBLISHED_RANGES)
def test_tolerances_of_four_replicates_are_those_published(upper, lower, four, two):
    for percent in (*averages(upper), *averages(lower)):
        found = compare_replicates([percent] * 4, 100)

        assert found.tolerance == pytest.approx(four / 100), percent
        assert found.source == "7 CFR 201.55, maximum tolerated ranges"


def test_every_average_from_2_to_99_has_its_published_row():
    rows = [row for upper, lower, _, _ in PUBLISHED_RANGES for row in (upper, lower)]

    assert sorted(percent for row in rows for percent in averages(row)) == [*range(2, 100)]


@pytest.mark.parametrize(("counts", "percent"), [((99, 99, 99, 97), 99), ((3, 2, 2, 3), 3)])
def test_an_average_is_rounded_to_a_whole_per_cent_a_half_up(counts, percent):
    (row,) = [row for row in PUBLISHED_RANGES if percent in (*averages(row[0]), *averages(row[1]))]

    assert compare_replicates(counts, 100).tolerance == pytest.approx(row[2] / 100)


@pytest.mark.against("cfr-201-55")
def test_the_rule_lies_within_one_of_what_is_published():
    """Where it serves: two replicates, 3.1698 sqrt(p (100 - p) / 100) in per cent."""
    for upper, _, _, two in PUBLISHED_RANGES[2:]:
        for percent in averages(upper):
            tolerance = compare_replicates([percent] * 2, 100).tolerance
            assert 100 * tolerance == pytest.approx(two, abs=0.8), percent


@pytest.mark.parametrize("percent", [0, 1, 100])
def test_beyond_the_published_rows_the_rule_serves(percent):
    found = compare_replicates([percent] * 4, 100)

    assert found.tolerance == pytest.approx(3.984 * math.sqrt(percent * (100 - percent)) / 1000)
    assert found.source == "range of normal values at the 2.5 % level"
