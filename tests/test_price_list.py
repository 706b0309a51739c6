"""Price lists in common shapes; each row is read or set aside with the reason."""

import contextlib
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pennyflat.scenario.package import Package
from pennyflat.trade.columns import MOST_CHARACTERS, MOST_ROWS
from pennyflat.trade.price_list import read_price_list, with_known_yield


def rows(source, **options):
    """What was recognised, in short."""
    return [
        (row.item, row.package.store, row.package.size, row.package.unit, row.package.price)
        for row in read_price_list(source, **options).rows
    ]


def reason(source, **options):
    """Why the last row was set aside."""
    return read_price_list(source, **options).aside[-1].reason


FINE = ("Fine mix", "Lane", 10, "L", 5.2)
BULK = ("Bulk mix", "Depot", 2, "cu_ft", 14.5)


@pytest.mark.parametrize(
    "source",
    [
        "item,store,size,unit,price\nFine mix,Lane,10,L,5.20\nBulk mix,Depot,2,cu_ft,14.50\n",
        "Price;Shop;Product;Bag size\n5,20 €;Lane;Fine mix;10 l\n14,50 €;Depot;Bulk mix;2 cu ft",
        "Store\tPrice\tName\tBag\r\nLane\t$5.20\tFine mix\t10 L\r\nDepot\t$14.50\tBulk mix\t2 cf",
        '\ufeff"Cost (EUR)";"Seller";"What";"Size"\n"5,20";"Lane";"Fine mix";"10 L"\n'
        '"14,50";"Depot";"Bulk mix";"2 cu. ft."',
        "Fine mix;Lane;10 L;5,20\nBulk mix;Depot;2 cu ft;14,50",
        "5.20\tFine mix\t10\tL\tLane\n14.50\tBulk mix\t2\tcu_ft\tDepot",
        "Prices;;;\n\nitem;store;size;price\nFine mix;Lane;10 L;5.2\nBulk mix;Depot;2 cf;14.5",
        "Price 2026|Price per litre|Mix|Where|Size\n5.20|0.52|Fine mix|Lane|10 L\n"
        "14.50|0.26|Bulk mix|Depot|2 cu ft",
    ],
)  # fmt: skip
def test_lists_in_many_shapes(source):
    assert rows(source) == [FINE, BULK]


def test_a_cell_may_be_as_long_as_is_said():
    source = f"item;store;size;price;note\nFine mix;Lane;10 L;5.20;{'x' * 300}"

    assert rows(source) == [FINE]


def test_without_heads_rows_that_lack_a_cell_still_tell_the_columns():
    source = "Mix;Lane;10 L;5\nMix;Depot;20 L;9\nMix;Lane;50 L;20\nGrit;;10 L;3\nBark;;10 L;4"

    assert [item for item, *_ in rows(source, store="Yard")] == ["Mix"] * 3 + ["Grit", "Bark"]


def test_without_heads_the_column_of_more_different_texts_is_the_item():
    source = "Lane\t10 L\t5.20\tFine mix\nLane\t2 cf\t14.50\tBulk mix\nLane\t20 L\t9\tGrit"

    assert [(item, store) for item, store, *_ in rows(source)] == [
        ("Fine mix", "Lane"),
        ("Bulk mix", "Lane"),
        ("Grit", "Lane"),
    ]


def test_the_shop_of_the_whole_list_is_taken_where_a_row_names_none():
    assert rows("item;size;price\nFine mix;10 L;5.2", store="Lane") == [FINE]
    assert reason("item;size;price\nFine mix;10 L;5.2") == (
        "There is no shop; say which shop the list is from."
    )


@pytest.mark.parametrize("head", ["Size (L)", "Litres", "Volume L", "liter"])
def test_the_unit_may_stand_in_the_head(head):
    assert rows(f"item;{head};price\nFine mix;10;5.2", store="Lane") == [FINE]


@pytest.mark.parametrize("name", ["Fine mix 10 L", "Fine mix, 10L", "Fine mix (10 litres)"])
def test_the_size_may_stand_in_the_name(name):
    assert rows(f"product;price\n{name};5.20", store="Lane") == [FINE]


def test_quarts_are_taken_as_dry_and_flagged():
    found = read_price_list("item;size;price\nFine mix;8 qt;5.2\nGrit;8 dry qt;4", store="Lane")

    assert [row.package.unit for row in found.rows] == ["qt_dry", "qt_dry"]
    assert found.rows[0].notices == (
        "Quarts taken as dry quarts, the measure for dry goods: 8.81 L.",
    )
    assert found.rows[1].notices == ()


def test_a_decimal_comma_is_read_from_the_rest_of_the_list():
    found = read_price_list("item;size;price\nA;1,250 L;5,20\nB;1.250 mL;1.234,5", store="Lane")

    assert [(r.package.size, r.package.price) for r in found.rows] == [(1.25, 5.2), (1250, 1234.5)]
    assert all(row.notices == () for row in found.rows)


def test_a_mark_that_nothing_tells_is_pointed_out():
    (row,) = read_price_list("item;size;price\nA;1,250 mL;5", store="Lane").rows

    assert row.package.size == 1250
    assert row.notices == ('"1,250 mL" read as 1250.',)


def test_deals_limits_and_yields():
    source = (
        "item;size;price;deal;limit;yields (L)\nCoir;5 kg;13,00;3 for 36,00 €;4;62\n"
        "Grit;10 L;4,00;;;\nSand;10 L;4,00;cheap;;"
    )
    found = read_price_list(source, store="Lane")

    coir, grit = (row.package for row in found.rows)
    assert (coir.deal.take, coir.deal.pay, coir.limit, coir.yields_l) == (3, 36, 4, 62)
    assert (grit.deal, grit.limit, grit.yields_l) == (None, None, None)
    assert found.aside[0].reason == 'The deal "cheap" is not like "3 for 26.00".'


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Fine mix;10 L;", "There is no price."),
        ("Fine mix;10 L;ask", '"ask" is not a price.'),
        ("Fine mix;10 L;-3", '"-3" is not a price.'),
        ("Fine mix;;5", "There is no size."),
        ("Fine mix;10;5", 'The size "10" has no unit; write L, kg or another beside it.'),
        ("Fine mix;10 scoops;5", '"10 scoops" is not a size with a unit.'),
        ("Fine mix;0 L;5", "size: 0 is too small; write a number more than 0."),
        ("Fine mix;10 L;99999999999", "price: 99999999999 is too large;"),
        (";10 L;5", "There is no name."),
        ("Fine mix;10 L;5;20", "It has more than 3 cells; a number with a comma may need quotes."),
        (f"{'x' * 400};10 L;5", "A cell is longer than 300 characters."),
        (f"{'x' * 250};10 L;5", "is longer than 200 characters."),
    ],
)
def test_why_a_row_is_kept_aside(row, said):
    source = f"item;size;price\nGrit;5 L;4\n{row}"

    assert said in reason(source, store="Lane")
    assert read_price_list(source, store="Lane").aside[-1].line == 3
    assert len(rows(source, store="Lane")) == 1


def test_the_same_package_twice():
    source = "item;size;price\nFine mix;10 L;5.2\nFine mix;10 L;5.9"

    assert reason(source, store="Lane") == "Line 2 has the same package already."


def test_prices_torn_at_a_decimal_comma_are_not_taken_for_two_numbers():
    assert "more than 3 cells" in reason("item,size,price\nFine mix,10 L,5,20", store="Lane")
    with pytest.raises(ValueError, match="whether 5,20 is one number here or two"):
        read_price_list("Fine mix,10 L,5,20\nBulk mix,70 L,11,50", store="Lane")
    assert rows('Fine mix,10 L,"5,20"\nBulk mix,70 L,"11,50"', store="Lane")[0] == FINE


def test_an_apostrophe_against_formulas_is_taken_off_again():
    assert rows("item;size;price\n'-Fine;10 L;5.2", store="Lane")[0][0] == "-Fine"


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("", "No columns can be made out"),
        ("just words", "No columns can be made out"),
        ("a;b\n" * (MOST_ROWS + 1), "more than 20,000 rows"),
        ("a" * (MOST_CHARACTERS + 1), "longer than 2,000,000 characters"),
        ('a;"' + "b" * 200_000, "cannot be read"),
    ],
)
def test_what_is_no_list(source, said):
    with pytest.raises(ValueError, match=said):
        read_price_list(source)


CELLS = st.sampled_from(
    ["Fine mix", "Lane", "10 L", "8 qt", "5,20", "5.20 €", "price", "size", "item", "", "'=1+1",
     "2 for 9", '"', "1,250", "-1", "½ cu yd", "item;x", "NaN", "9" * 500, "\x00",
     "\u2028", "/" * 9]
) | st.text(max_size=8)  # fmt: skip


@settings(max_examples=1500)
@given(
    st.lists(st.lists(CELLS, max_size=6), max_size=8),
    st.sampled_from("\t;,|"),
    st.sampled_from(["", "Lane"]),
)
@example([["price", "item"], ["1" + " 1" * 150, "x"]], ";", "Lane")
def test_every_row_that_is_not_empty_is_read_or_kept_aside(table, separator, store):
    source = "\n".join(separator.join(row) for row in table)
    try:
        found = read_price_list(source, store=store)
    except ValueError:
        return

    lines = [row.line for row in found.rows] + [row.line for row in found.aside]
    assert len(set(lines)) == len(lines)
    for row in found.rows:
        assert row.item.strip() and row.package.size > 0 and row.package.price >= 0
    assert all(row.reason.endswith(".") for row in found.aside)


@pytest.mark.parametrize(
    "cell", ["1 " * 4000, "1." * 4000, "a1" * 4000, "1/" * 4000, "'" * 8000, "€" * 8000, " " * 8000]
)
def test_hostile_cells_take_no_long_time(cell):
    begun = time.process_time()
    with contextlib.suppress(ValueError):
        read_price_list("\n".join([f"{cell};{cell};5"] * 60), store="Lane")
    assert time.process_time() - begun < 3


def test_a_remark_does_not_become_the_heads():
    source = "Fine mix;Lane;10 L;5.20;sale price\nBulk mix;Depot;2 cf;14.50;\nGrit;Lane;5 L;4;"

    assert rows(source)[:2] == [FINE, BULK]


@pytest.mark.parametrize(
    "junk",
    [
        "Sale price list;Shop: Lane;;",
        "Green Lane nursery;;;\nPrices and sizes as of spring 2027;;;\n;;;",
        "Item;Price;;\nof the week: Grit;ask;;",
        "\n".join(f"Our terms, part {n};all goods at list price;;" for n in range(1, 40)),
    ],
)
def test_junk_before_the_list_is_left_out_line_by_line_with_the_reason(junk):
    source = f"{junk}\nitem;store;size;price\nFine mix;Lane;10 L;5.20\nBulk mix;Depot;2 cf;14.50"
    found = read_price_list(source)

    assert rows(source) == [FINE, BULK]
    blank = sum(1 for line in junk.split("\n") if not line.strip(";"))
    assert len(found.aside) == len(junk.split("\n")) - blank
    assert all(row.reason == "It stands above the heads of the columns." for row in found.aside)


def test_junk_before_a_list_without_heads_is_left_out_with_the_reason():
    junk = ["Green Lane nursery", "All prices in euros; sizes loose", "Valid until May 2027"]
    source = "\n".join([*junk, "Fine mix;Lane;10 L;5.20", "Bulk mix;Depot;2 cf;14.50"])
    found = read_price_list(source)

    assert rows(source) == [FINE, BULK]
    assert [row.line for row in found.aside] == [1, 2, 3]


@pytest.mark.parametrize(
    ("source", "currency", "signs"),
    [
        ("item;size;price\nA;5 L;$4\nB;5 L;4 €\nC;5 L;4", "EUR", ["$", "", ""]),
        ("item;size;price\nA;5 L;$4\nB;5 L;US$ 4\nC;5 L;C$4", "CAD", ["", "US$", ""]),
        ("item;size;Price (USD)\nA;5 L;4\nB;5 L;4 EUR", "EUR", ["USD", ""]),
        ("item;size;price;deal\nA;5 L;4;3 for 9 £\nB;5 L;4;", "EUR", ["£", ""]),
        ("item;size;price\nA;5 L;RRP 4\nB;5 L;49 kr", "EUR", ["", "kr"]),
        ("item;size;price\nA;5 L;$4\nB;5 L;£4", "", ["", ""]),
    ],
)
def test_a_price_with_the_sign_of_another_currency_says_so(source, currency, signs):
    found = read_price_list(source, store="Lane", currency=currency)

    assert [row.other_sign for row in found.rows] == signs


def test_a_yield_is_that_of_the_same_size_or_for_a_weight_in_proportion():
    block = Package("Depot", 5, "kg", 13.0, yields_l=62)
    brick = Package("Depot", 650, "g", 3.0, yields_l=9)
    bale = Package("Depot", 3.8, "cu_ft", 13.0, yields_l=204)

    assert with_known_yield(Package("Lane", 10, "kg", 20.0), [bale, block]).yields_l == 124
    assert with_known_yield(Package("Lane", 650, "g", 2.5), [block, brick]).yields_l == 9
    assert with_known_yield(Package("Lane", 3.8, "cu_ft", 7.0), [block, bale]).yields_l == 204
    own = Package("Lane", 10, "kg", 20.0, yields_l=99)
    assert with_known_yield(own, [block]) == own
    bag = Package("Lane", 1, "cu_ft", 6.10)
    assert with_known_yield(bag, [block, bale]) == bag


def test_ten_thousand_rows_are_read_soon():
    heads = "item;size;price;shop"
    lines = [f"Mix number {n};{n % 90 + 1} L;{n % 70},{n % 90 + 10} €;Lane" for n in range(10_000)]
    source = "\n".join([heads, *lines])

    def seconds():
        begun = time.process_time()
        read_price_list(source, currency="EUR")
        return time.process_time() - begun

    assert any(seconds() < 2 for _ in range(3))  # other processes can slow one down
    assert len(read_price_list(source, currency="EUR").rows) == 10_000
