import pytest

from pennyflat.trade.facts import Fact, about, default, from_row, read_number, widest

ROW = {
    "subject": "coir",
    "quantity": "litres_per_kg",
    "value": "",
    "unit": "L/kg",
    "low": "12",
    "high": "15",
    "text": "",
    "default": "no",
    "source_id": "somewhere",
    "place": "the text",
    "kind": "second-hand",
    "note": "",
}


def read_fact(row):
    return from_row(Fact, row)


def test_the_figure_to_start_from_is_the_value_else_the_middle_else_none():
    assert read_fact({**ROW, "value": "13"}).usual == 13
    assert read_fact(ROW).usual == 13.5
    assert read_fact({**ROW, "high": ""}).usual is None


def test_the_default_comes_first_and_the_others_are_kept():
    facts = [read_fact(ROW), read_fact({**ROW, "low": "4", "high": "5", "default": "yes"})]

    assert [fact.low for fact in about(facts, "coir", "litres_per_kg")] == [4, 12]
    assert default(facts, "coir", "litres_per_kg").low == 4
    assert widest(facts) == (4, 15)
    assert widest([*facts, read_fact({**ROW, "value": "20"})]) == (4, 20)


def test_nothing_known_is_none_and_not_zero():
    assert default([read_fact(ROW)], "coir", "price") is None
    assert widest([]) is None
    assert widest([read_fact({**ROW, "low": "", "high": ""})]) is None


def test_an_empty_cell_is_no_number():
    assert (read_number("58.99"), read_number("")) == (58.99, None)


@pytest.mark.parametrize("text", ["NG", "nan", "inf", "5-6", "1,5", " "])
def test_what_is_not_a_number_is_refused(text):
    with pytest.raises(ValueError, match=r"could not convert|must be finite"):
        read_number(text)


def test_a_row_with_something_else_in_place_of_a_number_is_refused():
    with pytest.raises(ValueError, match="could not convert"):
        read_fact({**ROW, "value": "7 days"})
