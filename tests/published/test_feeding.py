"""Feed strength against the tables of extension services."""

import pytest

from pennyflat.growing.feeding import g_per_litre
from pennyflat.units import GRAMS, LITRES

UMASS_OZ_PER_100_GAL = [
    # University of Massachusetts Extension, Greenhouse Crops & Floriculture Program, "Fertilizer
    # Calculations for Greenhouse Crops": 20-20-20, 13 1/2 oz in 100 US gallons for 200 ppm N;
    # 15-15-15, 18 oz. The table is rounded to half ounces, hence 2 %.
    (200, 20, 13.5),
    (200, 15, 18.0),
]


def oz_per_100_gal(ppm_n, n_percent):
    return g_per_litre(ppm_n, n_percent) * 100 * LITRES["gal_liq"] / GRAMS["oz"]


@pytest.mark.against("umass-calculations")
@pytest.mark.parametrize(("ppm_n", "n_percent", "ounces"), UMASS_OZ_PER_100_GAL)
def test_ounces_in_a_hundred_gallons(ppm_n, n_percent, ounces):
    assert oz_per_100_gal(ppm_n, n_percent) == pytest.approx(ounces, rel=0.02)


@pytest.mark.against("tamu-calculations")
def test_texas_rule_of_75():
    # Texas A&M AgriLife Extension, Greenhouse IPM guide, nutrient calculations: one ounce in 100
    # gallons of a feed with 15 % N gives 75 x 0.15 = 11.25 ppm; 250 ppm take 22 oz.
    assert 1 / oz_per_100_gal(1, 15) == pytest.approx(11.25, rel=0.002)
    assert oz_per_100_gal(250, 15) == pytest.approx(22, abs=0.5)


@pytest.mark.parametrize(
    ("ppm_n", "n_percent", "expected"),
    # ppm / (10 x %N), by hand
    [(50, 20, 0.25), (100, 20, 0.5), (150, 20, 0.75), (200, 20, 1.0), (100, 15, 0.6667)],
)
def test_grams_in_a_litre(ppm_n, n_percent, expected):
    assert g_per_litre(ppm_n, n_percent) == pytest.approx(expected, abs=5e-5)


def test_label_without_nitrogen():
    with pytest.raises(ValueError, match="n_percent must be more than 0"):
        g_per_litre(100, 0)
