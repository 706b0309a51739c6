"""Cells to sow against scipy's binomial distribution and figures worked out with it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pennyflat.chances.probability import fewest_trials
from pennyflat.growing.sowing import occupied_share
from pennyflat.scenario.records import Medium, Sowing

FIFTY_USABLE = [
    # (share, assurance, cells, chance with them, chance with one fewer); scipy 1.17:
    # stats.binom.sf(49, cells, share)
    (0.80, 0.90, 68, 0.92731, 0.89227),
    (0.80, 0.95, 69, 0.95239, 0.92731),
    (0.96, 0.95, 55, 0.97776, None),
]

AT_LEAST_ONE = [
    # 1 - (1 - p)^k by hand
    (0.55, 2, 0.7975),
    (0.75, 2, 0.9375),
    (0.80, 2, 0.9600),
    (0.90, 2, 0.9900),
    (0.55, 3, 0.9089),
    (0.75, 3, 0.9844),
    (0.80, 3, 0.9920),
    (0.90, 3, 0.9990),
]


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("share", "assurance", "cells", "chance", "one_fewer"), FIFTY_USABLE)
def test_fifty_usable(share, assurance, cells, chance, one_fewer):
    assert fewest_trials(share, 50, assurance) == cells
    assert stats.binom.sf(49, cells, share) == pytest.approx(chance, abs=5e-6)
    if one_fewer is not None:
        assert stats.binom.sf(49, cells - 1, share) == pytest.approx(one_fewer, abs=5e-6)


@pytest.mark.against("scipy")
def test_expected_number_succeeds_little_more_than_half_the_time():
    cells = fewest_trials(0.8, 50, None)

    assert cells == 63
    assert stats.binom.sf(49, cells, 0.8) == pytest.approx(0.623, abs=5e-4)


@pytest.mark.parametrize(("germination", "seeds", "expected"), AT_LEAST_ONE)
def test_at_least_one_of_several_seeds(germination, seeds, expected):
    sowing = Sowing("crop", 1, 25, 4, germination, seeds_per_cell=seeds)

    assert occupied_share(sowing, Medium("mix", 4)) == pytest.approx(expected, abs=5e-5)


@pytest.mark.against("scipy")
@given(
    st.integers(1, 2000),
    st.floats(0.02, 1.0),
    st.floats(0.05, 0.999),
)
def test_fewest_cells_by_scipy(wanted, share, assurance):
    cells = fewest_trials(share, wanted, assurance)

    assert stats.binom.sf(wanted - 1, cells, share) >= assurance - 1e-11
    assert stats.binom.sf(wanted - 1, cells - 1, share) < assurance + 1e-11


@pytest.mark.parametrize("share", [0, -0.1, 1.1])
def test_share_out_of_range(share):
    with pytest.raises(ValueError, match="share must be more than 0"):
        fewest_trials(share, 10, 0.9)
