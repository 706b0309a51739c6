"""Numbers, sizes and units as people write them; what is unclear is not read at all."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.trade.label import (
    SPELLINGS,
    decimal_mark_in,
    leaves_mark_open,
    read_number,
    read_size,
    read_unit,
)
from pennyflat.units import GRAMS, LITRES


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("5", 5), ("5.20", 5.2), ("5,20", 5.2), ("5,2", 5.2), ("0,500", 0.5), ("0.125", 0.125),
        ("1,234.50", 1234.5), ("1.234,50", 1234.5), ("1 234,50", 1234.5), ("1'234.50", 1234.5),
        ("1\u202f234,5", 1234.5), ("1.234.567", 1234567), ("1,234,567.8", 1234567.8),
        ("€ 5,20", 5.2), ("5,20 €", 5.2), ("$5.90", 5.9), ("5.90 USD", 5.9), ("EUR5", 5),
        ("5,-", 5), ("5.-", 5), ("1/2", 0.5), ("1 1/2", 1.5), ("1½", 1.5), ("¾", 0.75),
        ("", None), ("-", None), ("free", None), ("-5", None), ("5-6", None), ("2 x 10", None),
        ("1e5", None), ("NaN", None), ("inf", None), ("1,2,3", None), ("1.23.4", None),
        ("1/0", None), ("5" * 40, None), ("١٢", None),
    ],
)  # fmt: skip
def test_number(text, number):
    assert read_number(text) == number


@pytest.mark.parametrize(("text", "point", "comma"), [("1,250", 1250, 1.25), ("1.250", 1.25, 1250)])
def test_a_mark_before_three_digits_is_read_as_in_the_rest_of_the_list(text, point, comma):
    assert read_number(text, decimal_mark=".") == point
    assert read_number(text, decimal_mark=",") == comma
    assert leaves_mark_open(text)


@given(st.integers(0, 10**9), st.sampled_from([".", ","]))
def test_a_number_written_with_either_mark_is_read_back(cents, mark):
    grouped = f"{cents / 100:,.2f}"
    if mark == ",":
        grouped = grouped.translate(str.maketrans(",.", ".,"))

    assert read_number(grouped, decimal_mark=mark) == cents / 100
    assert read_number(f"€ {grouped}") == cents / 100


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["5,20", "10 L", "9,90"], ","),
        (["5.20", "2 cu. ft.", "1,250"], "."),
        (["1,250", "10"], None),
        (["mix, fine", "a.b"], None),
    ],
)
def test_decimal_mark_of_a_list(cells, mark):
    assert decimal_mark_in(cells) == mark


@pytest.mark.parametrize("unit", [*LITRES, *GRAMS])
def test_every_unit_of_the_format_can_be_written(unit):
    assert read_unit(unit) == unit
    for spelling in SPELLINGS[unit].split(", "):
        for written in (spelling, spelling.upper(), f" {spelling}. "):
            assert read_unit(written) == unit


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("25 L", 25, "L"), ("25L", 25, "L"), ("7,5 Liter", 7.5, "L"), ("2 cu. ft.", 2, "cu_ft"),
        ("3.8 ft³", 3.8, "cu_ft"), ("1 m³", 1, "m3"), ("½ cu yd", 0.5, "cu_yd"),
        ("8 US dry quarts", 8, "qt_dry"), ("8 liquid qt", 8, "qt_liq"), ("5-kg", 5, "kg"),
        ("40 lbs", 40, "lb"), ("1,000 mL", 1000, "mL"), ("(25 L)", None, None), ("25", 25, ""),
        ("12 fl oz", 0.375, "qt_liq"), ("3 pints", None, None), ("10-12 L", None, None),
        ("2 x 25 L", None, None), ("L", None, None), ("", None, None),
    ],
)  # fmt: skip
def test_size(text, number, unit):
    size = read_size(text)

    assert (size and size.number, size and size.unit) == (number, unit)
    assert size is None or size.notice is None


@pytest.mark.parametrize("word", ["qt", "Qts.", "quart", "QUARTS"])
def test_quarts_are_dry_and_said_to_be(word):
    size = read_size(f"16 {word}")

    assert size.unit == "qt_dry"
    assert size.notice == "Quarts taken as dry quarts, the measure for dry goods: 17.6 L."


def test_gallons_are_those_of_the_us_and_said_to_be():
    assert read_size("5 gal").notice == "Gallons taken as US liquid gallons: 18.9 L."
