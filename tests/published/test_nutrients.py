"""Feed reckoning against extension publications, and against definitions worked out by hand."""

import pytest

from pennyflat.growing.feeding import (
    K_PER_K2O,
    P_PER_P2O5,
    Grade,
    addition_feeds_for,
    g_per_gallon,
    g_per_litre,
    strength,
)
from pennyflat.trade import facts as tables
from pennyflat.units import from_customary, to_customary

RULE_OF_75 = 75.0
"""ppm that many tables take an ounce in 100 gallons for. [mg/L] [Texas A&M University, fertilizer
calculations, hortipm.tamu.edu]"""


def test_an_ounce_in_a_hundred_gallons_by_definition():
    # 28.349523125 g in 100 x 231 cubic inches of 16.387064 mL: 74.8915 mg a litre
    grams = 28.349523125 / (100 * 231 * 0.016387064)

    assert grams == pytest.approx(0.0748915, abs=5e-8)
    assert to_customary(grams, "dry_dose") == pytest.approx(1)


def test_oxides_hold_what_analysts_say():
    # usual conversion factors of fertiliser analysts, P2O5 x 0.4364 and K2O x 0.8301
    assert pytest.approx(0.43642, abs=1e-5) == P_PER_P2O5
    assert pytest.approx(0.83015, abs=1e-5) == K_PER_K2O


@pytest.mark.against("cavins-13-2-13")
def test_a_grade_as_a_paper_prints_its_elements():
    # Cavins et al., journals.ashs.org: 13-2-13 is given as 13N-0.88P-10.8K (0.87 is nearer)
    found = strength(Grade(13, 2, 13), 0.1)  # 1 mg/L for each per cent

    assert found.n == 13
    assert found.p == pytest.approx(0.88, abs=0.01)
    assert found.k == pytest.approx(10.8, abs=0.05)


def test_150_ppm_from_20_percent_nitrogen():
    # worked by hand: 150 mg / 0.20 = 0.75 g a litre, in 3.785411784 L 2.839 g
    assert g_per_litre(150, 20) == pytest.approx(0.75)
    assert g_per_gallon(0.75) == pytest.approx(2.839, abs=5e-4)


@pytest.mark.against("umass-calculations")
@pytest.mark.parametrize(
    ("n_percent", "ounces"),
    [
        # University of Massachusetts Extension, Fertilizer Calculations for Greenhouse Crops:
        # 13 1/2 oz of 20-20-20 and 18 oz of 15-15-15 in 100 gallons, both printed as 200 ppm N
        (20, 13.5),
        (15, 18),
    ],
)
def test_ounces_printed_for_200_ppm(n_percent, ounces):
    label = Grade(n_percent)

    assert strength(label, from_customary(ounces, "dry_dose")).n == pytest.approx(202.207, abs=5e-4)
    by_rule = g_per_litre(202.5, n_percent) * 1000 / RULE_OF_75
    assert by_rule == pytest.approx(ounces)


@pytest.mark.against("tamu-calculations")
def test_ounces_printed_for_250_ppm():
    # Texas A&M University, hortipm.tamu.edu, fertilizer calculations: 250 ppm of 15 % N take 22 oz
    ounces = g_per_litre(250, 15) * 1000 / RULE_OF_75

    assert round(ounces) == 22


def test_20_10_20_at_100_ppm_nitrogen():
    # by hand: 0.5 g/L; P 10 % x 0.43642, K 20 % x 0.83015
    found = strength(Grade(20, 10, 20), g_per_litre(100, 20))

    assert (found.n, found.p, found.k) == pytest.approx((100, 21.82, 83.01), abs=0.01)


def test_the_dose_table_is_what_the_formulas_give():
    for row in tables.rows("doses"):
        n, ppm = float(row["n_percent"]), float(row["target_ppm_n"])
        by_rule = g_per_litre(ppm, n) * 1000 / RULE_OF_75
        if row["kind"] == "computed":
            assert g_per_litre(ppm, n) == pytest.approx(float(row["g_per_litre"]), abs=5e-5)
            exact = to_customary(g_per_litre(ppm, n), "dry_dose")
            assert exact == pytest.approx(float(row["oz_per_100_gal"]), abs=5e-4)
            assert by_rule == pytest.approx(float(row["oz_by_rule_of_75"]), abs=5e-4)
        else:  # printed by a source, rounded to half an ounce
            assert by_rule == pytest.approx(float(row["oz_by_rule_of_75"]), abs=0.25)


@pytest.mark.against("hartz-2006")
def test_how_long_a_meal_feeds_by_hand():
    # 3 g/L with 12 % N in 59 mL is 21.24 mg N. Hartz and Johnstone 2006: 47 % released at least in
    # two weeks, 66 % at most in eight. Twice a week 12 mL of 100 ppm N is 2.4 mg N.
    found = addition_feeds_for(
        3, 12, 59, released=(0.47, 0.66), ppm_n=100, per_week=2, ml_per_cell=12
    )

    assert found.low == pytest.approx(21.24 * 0.47 / 2.4)
    assert found.high == pytest.approx(21.24 * 0.66 / 2.4)
    assert "47% to 66%" in found.assumption
    assert "none is washed out" in found.assumption


@pytest.mark.parametrize(("g_per_l", "n_percent"), [(1, 10), (20, 0.5)])
def test_a_weak_feed_is_one_too(g_per_l, n_percent):
    weak = {"released": (1, 1), "ppm_n": 1, "per_week": 1, "ml_per_cell": 10}
    found = addition_feeds_for(g_per_l, n_percent, 10, **weak)

    assert found.low == found.high == pytest.approx(100)  # 1 mg N, and 0.01 mg a week


@pytest.mark.parametrize("numbers", [(-1, 0, 0), (50, 40, 20)])
def test_a_grade_that_cannot_be_is_refused(numbers):
    with pytest.raises(ValueError, match="at most 100 %"):
        Grade(*numbers)


def test_a_grade_may_add_up_to_all_of_it():
    assert Grade(50, 30, 20).n == 50
