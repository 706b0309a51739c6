"""Salts against the salinity laboratory's table and the bands of an extension service."""

from itertools import pairwise

import pytest

from pennyflat.trade import facts as tables
from pennyflat.trade.bag import METHODS, Band, readings
from pennyflat.trade.facts import default

CROPS = tables.facts("crops")
BANDS = {
    method: [band for band in tables.records("ec_bands", Band) if band.method == method]
    for method in METHODS
}


@pytest.mark.against("usda-salt")
@pytest.mark.parametrize(
    ("crop", "threshold", "slope"),
    [
        # Maas 1990, Relative Salt Tolerance of Herbaceous Crops, USDA-ARS Salinity Laboratory:
        # threshold dS/m, slope % per dS/m
        ("beet", 4.0, 9.0),
        ("broccoli", 2.8, 9.2),
        ("cabbage", 1.8, 9.7),
        ("celery", 1.8, 6.2),
        ("cucumber", 2.5, 13.0),
        ("eggplant", 1.1, 6.9),
        ("lettuce", 1.3, 13.0),
        ("onion", 1.2, 16.0),
        ("pepper", 1.5, 14.0),
        ("spinach", 2.0, 7.6),
        ("scallop squash", 3.2, 16.0),
        ("zucchini", 4.7, 9.4),
        ("tomato", 2.5, 9.9),
        ("cherry tomato", 1.7, 9.1),
    ],
)
def test_thresholds_and_slopes_are_the_salinity_laboratorys(crop, threshold, slope):
    assert default(CROPS, crop, "salt_threshold").value == threshold
    assert default(CROPS, crop, "salt_slope").value == slope


# University of Massachusetts Extension, Table 2 (second-hand), and the sentence of the same text:
# "2.6 is extreme for 1:2, normal for SME, low for PourThru". In the table 2.6 by PourThru is the
# border of low and normal, so both names are given.
@pytest.mark.against("umass-ec")
@pytest.mark.parametrize(
    ("method", "names"),
    [("1:2", ("extreme",)), ("SME", ("normal",)), ("PourThru", ("low", "normal"))],
)
def test_one_reading_means_three_things(method, names):
    assert readings(BANDS[method], 2.6) == names


@pytest.mark.parametrize(
    ("method", "ec", "names"),
    [
        ("1:2", 0, ("very low",)),
        ("1:2", 2.3, ("very high",)),
        ("1:2", 2.31, ("extreme",)),
        ("SME", 1.0, ("low",)),
        ("SME", 9, ("extreme",)),
        ("PourThru", 6.55, ("high", "very high")),
    ],
)
def test_every_reading_has_a_name(method, ec, names):
    assert readings(BANDS[method], ec) == names


@pytest.mark.parametrize("method", METHODS)
def test_bands_of_a_method_climb_without_overlap(method):
    ladder = BANDS[method]

    assert len(ladder) == 6
    assert ladder[0].low == 0 and ladder[-1].high is None
    for lower, upper in pairwise(ladder):
        assert lower.low < lower.high <= upper.low
