"""Emergence and germination standards against their tables, and the rule that NG is no number."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.trade import facts as tables
from pennyflat.trade.crops import EmergenceRow, days_to_emergence
from pennyflat.trade.facts import about, default, widest
from pennyflat.trade.suggest import TWO_SEEDS_BELOW, for_crop

ROWS = tables.records("emergence_days", EmergenceRow)
CROPS = tables.facts("crops")
NAMES = sorted({row.subject for row in ROWS})

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
            yield crop, 5.0 * place, days, float(cell.split("(")[0])


@pytest.mark.against("harrington-minges-1954", "harrington-minges-percent")
def test_two_copies_of_the_days_agree_but_for_asparagus_in_heat():
    first = {(row.subject, row.temperature_c): row.value for row in ROWS}
    second = {(crop, temperature): days for crop, temperature, days, _ in second_copy()}

    assert first.keys() == second.keys()
    different = {key: (first[key], second[key]) for key in first if first[key] != second[key]}
    assert different == DISAGREEMENTS


def test_shares_of_the_table_are_those_of_the_copy_and_a_zero_beside_days_is_a_gap():
    copied = {(crop, temperature): (days, pct) for crop, temperature, days, pct in second_copy()}
    gaps = {key for key, (days, percent) in copied.items() if days and not percent}

    assert gaps == {("cabbage", 20.0), ("cabbage", 30.0), ("cauliflower", 20.0), ("parsley", 15.0)}
    for row in ROWS:
        percent = copied[row.subject, row.temperature_c][1]
        assert row.share == (percent / 100 if percent else None), row


@pytest.mark.against("harrington-minges-1954")
def test_pepper_at_two_tested_temperatures_and_between():
    # Harrington and Minges 1954: 13 days at 68 °F, 8 at 77 °F. Between, by hand: 2 / (1/13 + 1/8)
    assert days_to_emergence(ROWS, "pepper", 20).days == 13
    assert days_to_emergence(ROWS, "pepper", 25).days == 8
    halfway = days_to_emergence(ROWS, "pepper", 22.5)
    assert halfway.days == pytest.approx(9.90, abs=0.005)
    assert len(halfway.between) == 2


@pytest.mark.against("harrington-minges-percent")
@pytest.mark.parametrize(
    ("crop", "temperature_c", "share", "warns"),
    [
        # the companion table of Harrington and Minges, per cent of normal seedlings
        ("lettuce", 30, 0.12, "About 12 % of lettuce seed gives a normal seedling at 30 °C; 99 %"),
        ("tomato", 35, 0.46, "About 46 % of tomato seed gives a normal seedling at 35 °C; 98 %"),
        ("spinach", 25, 0.28, "About 28 % of spinach seed gives a normal seedling at 25 °C; 96 %"),
        ("lettuce", 27.5, 0.555, "About 55 % of lettuce seed"),  # halfway from 99 to 12, by hand
        ("pepper", 25, 0.98, None),
        ("onion", 20, 0.99, None),
    ],
)
def test_days_come_with_the_share_that_comes_up(crop, temperature_c, share, warns):
    found = days_to_emergence(ROWS, crop, temperature_c)

    assert found.share == pytest.approx(share)
    assert [w[: len(warns or "")] for w in found.warnings] == ([warns] if warns else [])


@pytest.mark.against("harrington-minges-1954", "harrington-minges-percent")
def test_sources_that_disagree_are_both_shown():
    celery = days_to_emergence(ROWS, "celery", 25)
    asparagus = days_to_emergence(ROWS, "asparagus", 35)

    assert celery.days is None and celery.share == 0.65
    assert "Sources disagree on celery at 25 °C: in one table nothing came up, in another 65 %" in (
        " ".join(celery.warnings)
    )
    assert asparagus.days == 20
    assert "Copies of the table disagree on asparagus at 35 °C: 19 or 20 days." in (
        asparagus.warnings
    )


def test_a_share_is_untold_where_one_end_is():
    # cabbage: a gap in the copies at 20 °C
    assert days_to_emergence(ROWS, "cabbage", 22).share is None
    assert days_to_emergence(ROWS, "cabbage", 22).warnings == ()


@pytest.mark.parametrize(
    ("crop", "percent", "seeds"),
    [
        # Middle of the rows of data/crops.csv: pepper 70 to 98, tomato 80 to 98, lettuce 80 to 99,
        # eggplant 60 to 75, celery 55 to 97; kale has the legal minimum alone
        ("pepper", 84, 1),
        ("tomato", 89, 1),
        ("lettuce", 89.5, 1),
        ("eggplant", 67.5, 2),
        ("celery", 76, 2),
        ("kale", 75, 2),
        ("collards", 80, 1),
    ],
)
def test_a_crop_starts_from_what_is_expected_and_the_practice_row(crop, percent, seeds):
    found = for_crop(CROPS, [], crop)

    assert found["germination"].value == pytest.approx(percent / 100)
    assert found["seeds_per_cell"].value == seeds == found["seeds_per_cell"].facts[0].usual
    assert found["germination"].facts[-1].quantity == "minimum_germination"


def test_two_seeds_below_is_the_practice_row():
    (row,) = about(tables.facts("practice"), "sowing", "two_seeds_below")

    assert row.value == TWO_SEEDS_BELOW


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
    assert found.why_not == why


@given(st.sampled_from(NAMES), st.floats(-10, 60))
def test_a_number_rests_only_on_seeds_that_emerged(crop, temperature_c):
    found = days_to_emergence(ROWS, crop, temperature_c)

    if found.days is None:
        assert found.why_not
    else:
        assert all(cell.outcome == "emerged" for cell in found.between)
        tested = [cell.value for cell in found.between]
        assert min(tested) * (1 - 1e-12) <= found.days <= max(tested) * (1 + 1e-12)


def test_every_cell_that_emerged_is_given_as_printed():
    for row in ROWS:
        found = days_to_emergence(ROWS, row.subject, row.temperature_c)
        assert found.days == row.value, row


@pytest.mark.against("cfr-201-31")
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
    found = default(CROPS, crop, "minimum_germination")

    assert (found.figure, found.unit) == (percent, "percent")


@pytest.mark.parametrize("crop", ["basil", "marigold", "petunia", "a crop nobody knows"])
def test_a_crop_not_on_the_list_has_no_standard(crop):
    assert default(CROPS, crop, "minimum_germination") is None


@pytest.mark.against("udel-transplants", "iastate-seeds", "iastate-2023")
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
        # Iowa State University Extension 2023, which follows the guide of 2017
        ("celosia", 6, 7),
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


@pytest.mark.against("udel-transplants", "usu-transplants", "iastate-seeds")
@pytest.mark.parametrize(
    ("crop", "low", "high"),
    [
        # Read from the three tables, the University of Delaware's, Utah State University's and Iowa
        # State University's: 5-6, 6-8, 5-7; 7-9, 7-9, 6-8; 6-7, 5-7, 4-6; 9-12, 8-12, 8-10; 2-4,
        # 3-4, 3-4; 6-9, 6-8, 6-8
        ("tomato", 5, 8),
        ("pepper", 6, 9),
        ("cabbage", 4, 7),
        ("onion", 8, 12),
        ("cucumber", 2, 4),
        ("eggplant", 6, 9),
    ],
)
def test_the_range_shown_is_that_of_the_three_guides(crop, low, high):
    assert widest(about(CROPS, crop, "weeks_to_transplant")) == (low, high)


@pytest.mark.against("conn-artichoke-2001")
def test_artichokes_need_cold_and_more_than_six_weeks():
    # Hill 2001, summary: 250 hours below 50 °F for early cultivars, 500 for Green Globe
    cold = default(CROPS, "artichoke", "cold_before_planting")

    assert (cold.low, cold.high, cold.unit) == (250, 500, "h")
    assert default(CROPS, "artichoke", "weeks_to_transplant").low == 8


@pytest.mark.parametrize("crop", ["chinese cabbage", "pak choi"])
@pytest.mark.against("cornell-pak-choi", "chinese-vegetables-book")
def test_what_bolts_in_the_cold_is_not_set_out_before_the_last_frost(crop):
    assert default(CROPS, crop, "weeks_from_last_frost").low == 0
    assert default(CROPS, crop, "bolting").value == 10  # 50 °F printed
