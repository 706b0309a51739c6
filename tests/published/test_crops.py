"""Emergence and germination standards against their tables, and the rule that NG is no number."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.trade.crops import (
    EmergenceRow,
    days_to_emergence,
    read_emergence,
)
from pennyflat.trade.facts import about, default, widest
from pennyflat.trade.suggest import as_share
from reader import tables

ROWS = tables.emergence()
CROPS = tables.facts("crops")
NAMES = sorted({row.crop for row in ROWS})

# A farm's page (weak, not named) that reprints the per cent of normal seedlings with the days in
# brackets, 32 to 104 °F in steps of 9: a second copy of Harrington and Minges 1954. A plain 0 has
# no days; it can stand for no germination or for not tested.
SECOND_COPY = """
asparagus  0  0 61(53) 80(24) 88(15) 95(10) 79(12) 37(19)  0
lima bean  0  0  1 52(31) 82(18) 90(7) 88(7)  2  0
snap bean  0  0  1 97(16) 90(11) 97(8) 47(6) 39(6)  0
beet  0 53(42) 72(17) 88(10) 90(6) 97(5) 89(5) 35(5)  0
cabbage  0 27 78(15) 93(9)  0(6) 99(5)  0(4)  0  0
carrot  0 48(51) 93(17) 95(10) 96(7) 96(6) 95(6) 74(9)  0
cauliflower  0  0 58(20) 60(10)  0(6) 63(5) 45(5)  0  0
celery  0 72(41) 70(16) 40(12) 97(7) 65  0  0  0
cucumber  0  0  0 95(13) 99(6) 99(4) 99(3) 99(3) 49
eggplant  0  0  0  0 21(13) 53(8) 60(5)  0  0
lettuce 98(49) 98(15) 98(7) 99(4) 99(3) 99(2) 12(3)  0  0
melon  0  0  0  0 38(8) 94(4) 90(3)  0  0
okra  0  0  0 74(27) 89(17) 92(13) 88(7) 85(6) 35(7)
onion 90(136) 98(31) 98(13) 98(7) 99(5) 97(4) 91(4) 73(13)  2
parsley  0  0 63(29)  0(17) 69(14) 64(13) 50(12)  0  0
parsnip 82(172) 87(57) 79(27) 85(19) 89(14) 77(15) 51(32)  1  0
pea  0 89(36) 94(14) 93(9) 93(8) 94(6) 86(6)  0  0
pepper  0  0  1 70(25) 96(13) 98(8) 95(8) 70(9)  0
radish  0 42(29) 76(11) 97(6) 95(4) 97(4) 95(3)  0  0
spinach 83(63) 96(23) 91(12) 82(7) 52(6) 28(5) 32(6)  0  0
sweet corn  0  0 47(22) 97(12) 97(7) 98(4) 91(4) 88(3) 10
tomato  0  0 82(43) 98(14) 98(8) 97(6) 83(6) 46(9)  0
turnip  1 14 79(5) 98(3) 99(2) 100(1) 99(1) 99(1) 88(3)
watermelon  0  0  0 17 94(12) 90(5) 92(4) 96(3)  0
"""

# asparagus at 95 and 104 °F: 20 and 28 days in the first copy, 19 and none in the second
DISAGREEMENTS = {("asparagus", 35.0): (20, 19), ("asparagus", 40.0): (28, None)}


def second_copy():
    for line in SECOND_COPY.strip().splitlines():
        words = line.split()
        crop, cells = " ".join(words[:-9]), words[-9:]
        for place, cell in enumerate(cells):
            days = float(cell.split("(")[1].strip(")")) if "(" in cell else None
            yield crop, 5.0 * place, days


def test_two_copies_of_the_days_agree_but_for_asparagus_in_heat():
    first = {(row.crop, row.temperature_c): row.days for row in ROWS}
    second = {(crop, temperature): days for crop, temperature, days in second_copy()}

    assert first.keys() == second.keys()
    different = {key: (first[key], second[key]) for key in first if first[key] != second[key]}
    assert different == DISAGREEMENTS


def test_pepper_at_two_tested_temperatures_and_between():
    # Harrington and Minges 1954: 13 days at 68 °F, 8 at 77 °F. Between, by hand: (13 + 8) / 2 and
    # 2 / (1/13 + 1/8)
    assert days_to_emergence(ROWS, "pepper", 20).days == 13
    assert days_to_emergence(ROWS, "pepper", 25).days == 8
    halfway = days_to_emergence(ROWS, "pepper", 22.5)
    assert (halfway.days, halfway.rule) == (10.5, "days")
    halfway = days_to_emergence(ROWS, "pepper", 22.5, rule="rate")
    assert halfway.days == pytest.approx(9.90, abs=0.005)
    assert halfway.rule == "rate"


@pytest.mark.parametrize(
    ("crop", "temperature_c", "why"),
    [
        ("tomato", 5, "tomato did not germinate at 5 °C."),
        ("celery", 25, "celery did not germinate at 25 °C."),
        ("celery", 22, "celery did not germinate at 25 °C, so nothing can be said of 22 °C."),
        ("tomato", 9.9, "tomato did not germinate at 5 °C, so nothing can be said of 9.9 °C."),
        ("eggplant", 17, "eggplant was not tested at 15 °C, so nothing can be said of 17 °C."),
        ("cabbage", 35, "cabbage was not tested at 35 °C."),
        ("lettuce", -1, "lettuce was tested from 0 °C to 40 °C, not at -1 °C."),
        ("okra", 41, "okra was tested from 0 °C to 40 °C, not at 41 °C."),
        ("marigold", 20, "marigold is not in the table of days to emergence."),
    ],
)
def test_no_number_without_a_test(crop, temperature_c, why):
    found = days_to_emergence(ROWS, crop, temperature_c)

    assert found.days is None
    assert found.rule == "none"
    assert found.why_not == why


@given(st.sampled_from(NAMES), st.floats(-10, 60), st.sampled_from(["days", "rate"]))
def test_a_number_rests_only_on_seeds_that_emerged(crop, temperature_c, rule):
    found = days_to_emergence(ROWS, crop, temperature_c, rule=rule)

    if found.days is None:
        assert found.why_not
    else:
        assert all(cell.outcome == "emerged" for cell in found.between)
        tested = [cell.days for cell in found.between]
        assert min(tested) * (1 - 1e-12) <= found.days <= max(tested) * (1 + 1e-12)


@given(st.sampled_from(NAMES), st.floats(0, 40))
def test_reading_by_rate_is_never_slower_than_by_days(crop, temperature_c):
    by_days = days_to_emergence(ROWS, crop, temperature_c).days
    by_rate = days_to_emergence(ROWS, crop, temperature_c, rule="rate").days

    assert (by_days is None) == (by_rate is None)
    assert by_days is None or by_rate <= by_days * (1 + 1e-12)


def test_every_cell_that_emerged_is_given_as_printed():
    for row in ROWS:
        found = days_to_emergence(ROWS, row.crop, row.temperature_c)
        assert found.days == row.days, row


def test_a_row_with_days_but_no_seedlings_is_refused():
    row = {"subject": "celery", "temperature_c": "25", "outcome": "no germination"}

    assert read_emergence({**row, "value": ""}).days is None
    with pytest.raises(ValueError, match="days must be given where it emerged"):
        read_emergence({**row, "value": "7"})
    with pytest.raises(ValueError, match="could not convert"):
        read_emergence({**row, "value": "NG"})
    with pytest.raises(ValueError, match="outcome must be one of"):
        EmergenceRow("celery", 25, "NG", None)
    with pytest.raises(ValueError, match="rule must be one of days, rate"):
        days_to_emergence(ROWS, "celery", 20, rule="straight")


@pytest.mark.parametrize(
    ("crop", "percent"),
    [
        # 7 CFR 201.31, 59 FR 64491
        ("tomato", 75),
        ("pepper", 55),
        ("lettuce", 80),
        ("kale", 75),
        ("onion", 70),
        ("cucumber", 80),
        ("summer squash", 75),
        ("winter squash", 75),
        ("collards", 80),
        ("celery", 55),
        ("chives", 50),
    ],
)
def test_least_germination_of_an_unmarked_packet(crop, percent):
    assert as_share(default(CROPS, crop, "minimum_germination")) == pytest.approx(percent / 100)


@pytest.mark.parametrize("crop", ["basil", "marigold", "petunia", "a crop nobody knows"])
def test_a_crop_not_on_the_list_has_no_standard(crop):
    assert default(CROPS, crop, "minimum_germination") is None


@pytest.mark.parametrize(
    ("crop", "low", "high"),
    [
        # University of Delaware, Times and Temperatures for Vegetable Transplant Production
        ("tomato", 5, 6),
        ("pepper", 7, 9),
        ("lettuce", 4, 6),
        ("onion", 9, 12),
        ("watermelon", 3, 4),
        # Iowa State University Extension, Seed Germination Guide 2017
        ("basil", 5, 6),
        ("marigold", 6, 8),
    ],
)
def test_weeks_to_transplanting_of_the_default_source(crop, low, high):
    fact = default(CROPS, crop, "weeks_to_transplant")

    assert (fact.low, fact.high, fact.usual) == (low, high, (low + high) / 2)


def test_other_sources_are_kept_beside_the_default():
    # Delaware 5 to 6 weeks, Utah State 6 to 8, Iowa State 5 to 7
    tomato = about(CROPS, "tomato", "weeks_to_transplant")

    assert [fact.source_id for fact in tomato] == [
        "udel-transplants",
        "usu-transplants",
        "iastate-seeds",
    ]
    assert widest(tomato) == (5, 8)


def test_where_three_guides_speak_of_a_crop_they_agree_within_four_weeks():
    for crop in ("tomato", "pepper", "cabbage", "broccoli", "onion", "cucumber", "eggplant"):
        low, high = widest(about(CROPS, crop, "weeks_to_transplant"))
        assert high - low <= 4, crop
