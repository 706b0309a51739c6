"""CSV that any spreadsheet may open: no cell is a formula, and the figures are the report's."""

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat import DEMO, compare, read, shop
from pennyflat.club.pool import pool
from pennyflat.scenario.export import (
    FORMULA_SIGNS,
    comparison_csv,
    csv_text,
    payments_csv,
    pick_up_csv,
    shopping_csv,
)

HOSTILE = '=HYPERLINK("http://x.example";"+1")'


def cells(source, separator=","):
    return list(csv.reader(io.StringIO(source, newline=""), delimiter=separator))


def renamed(name):
    """The demo with a hostile name for everything that has one."""
    document = DEMO | {"title": name}
    mix, *others = document["media"]
    bags = [bag | {"store": name} for bag in mix["packages"]]
    document["media"] = [mix | {"name": name, "packages": bags}, *others]
    document["stores"] = [*document["stores"], {"name": name}]
    document["sowings"] = [row | {"crop": name, "medium": name} for row in DEMO["sowings"]]
    return read(document)


@pytest.mark.parametrize("sign", FORMULA_SIGNS)
@pytest.mark.parametrize("before", ["", " ", "\u00a0 "])
def test_no_text_begins_like_a_formula(sign, before):
    ((cell,),) = cells(csv_text([[f"{before}{sign}1+1"]]))

    assert cell == f"'{before}{sign}1+1"


def test_other_text_and_numbers_stay_as_they_are():
    row = [
        "mix",
        "a=b",
        "'x'",
        'say "no"',
        "a;b,c\td",
        "two\nlines",
        "",
        "  ",
        -5.25,
        0,
        1e-7,
        None,
    ]

    assert cells(csv_text([row])) == [
        ["mix", "a=b", "'x'", 'say "no"', "a;b,c\td", "two\nlines", "", "  ", "-5.25", "0", "1e-07",
         ""]
    ]  # fmt: skip


@given(st.lists(st.lists(st.text(), min_size=1, max_size=4), max_size=4), st.sampled_from(".,"))
def test_every_cell_comes_back_and_none_is_a_formula(rows, mark):
    source = csv_text(rows, decimal_mark=mark)
    separator = ";" if mark == "," else ","
    found = cells(source, separator)

    assert [[cell.removeprefix("'") for cell in row] for row in found] == [
        [cell.removeprefix("'") for cell in row] for row in rows
    ]
    assert not any(
        cell.strip(" \u00a0") and cell[0] in FORMULA_SIGNS for row in found for cell in row
    )


def test_a_decimal_comma_goes_with_semicolons():
    assert csv_text([["a", 1.5, 2]], decimal_mark=",") == '"a";"1,5";"2"\r\n'


@pytest.mark.parametrize("name", [HOSTILE, "@SUM(A1)", "-2+3", "+1", "\uff1d1"])
def test_hostile_names_come_out_as_text_in_every_table(name):
    scenario = renamed(name)
    report = pool([scenario, read(DEMO)])
    tables = [
        comparison_csv(compare(scenario)),
        shopping_csv(shop(scenario)),
        shopping_csv(report),
        payments_csv(report),
        pick_up_csv(report),
    ]

    for table in tables:
        texts = [
            cell for row in cells(table) for cell in row if not cell.replace(".", "").isdigit()
        ]
        assert not any(cell[:1] in FORMULA_SIGNS for cell in texts if cell)
        assert any(name in cell for cell in texts)


def test_comparison_holds_the_reports_figures():
    report = compare(read(DEMO | {"feed": None}))
    heads, *rows = cells(comparison_csv(report))
    wanted = {row["crop"]: row["wanted"] for row in DEMO["sowings"]}

    assert len(rows) == len(report["comparisons"])
    for row, entry in zip(rows, report["comparisons"], strict=True):
        found = dict(zip(heads, row, strict=True))
        assert (found["crop"], found["medium"]) == (entry["crop"], entry["medium"])
        assert found["wanted"] == str(wanted[entry["crop"]])
        if entry["ready"]:
            assert found["total as used [USD each]"] == f"{entry['as_used']['total']:.4f}"
            assert found["at the till [USD]"] == f"{entry['at_the_till']['paid']:.2f}"
        else:
            assert (found["ready"], found["total as used [USD each]"]) == ("no", "")
            assert found["why"] == entry["why_not"]


def test_shopping_list_adds_up():
    report = shop(read(DEMO | {"sowings": [DEMO["sowings"][0] | {"medium": "Home blend"}]}))
    _, *rows, last = cells(shopping_csv(report))

    assert any(row[1] == "Trip" for row in rows)
    assert sum(float(row[-1]) for row in rows) == pytest.approx(float(last[-1]))
    assert float(last[-1]) == report["total"]


def test_payments_and_pick_up_hold_the_reports_figures():
    members = [read(DEMO | {"title": p["crop"], "sowings": [p]}) for p in DEMO["sowings"]]
    report = pool(members)
    _, *rows, last = cells(payments_csv(report))
    _, *items = cells(pick_up_csv(report))

    assert [(row[0], float(row[3])) for row in rows] == [
        (member["name"], member["pays"]) for member in report["members"]
    ]
    for _, goods, trips, pays, alone, besides, saving in rows:
        assert float(goods) + float(trips) == pytest.approx(float(pays))
        assert float(alone) - float(besides) - float(saving) == pytest.approx(float(pays))
    assert sum(float(row[3]) for row in rows) == pytest.approx(float(last[3]))
    assert len(items) == sum(len(member["items"]) for member in report["members"])
    for _, _, takes, uses, left, missing, _ in items:
        assert float(takes) == pytest.approx(float(uses) + float(left), abs=0.0011)
        assert float(missing) == 0


def test_no_number_has_digits_that_nobody_means():
    members = [read(DEMO | {"title": p["crop"], "sowings": [p]}) for p in DEMO["sowings"]]
    order = pool(members)
    tables = [
        comparison_csv(compare(read(DEMO))),
        shopping_csv(shop(read(DEMO))),
        payments_csv(order),
        pick_up_csv(order),
    ]

    for table in tables:
        numbers = [cell for row in cells(table) for cell in row if re.fullmatch(r"-?[\d.]+", cell)]
        assert numbers and all(len(cell.partition(".")[2]) <= 4 for cell in numbers)
    assert '"9.80"' in tables[1] and '"31.30"' in tables[1]


def test_money_has_the_decimals_of_its_currency():
    (trip, *_, last) = cells(shopping_csv(shop(read(DEMO)), decimals=0))[1:]

    assert (trip[-1], last[-1]) == ("10", "31")
