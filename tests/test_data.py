"""The tables in data/: every number can be traced, parsed and understood."""

import csv
import re
from pathlib import Path

import pytest

from pennyflat.trade import facts as tables
from pennyflat.trade.bag import METHODS, Band
from pennyflat.trade.crops import OUTCOMES, EmergenceRow
from pennyflat.trade.facts import KINDS
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import Container

DATA = Path(__file__).parent.parent / "data"
CORE = DATA.parent / "core"
BIBLIOGRAPHY = ("sources", "columns")
TABLES = sorted(p.stem for p in DATA.glob("*.csv") if p.stem not in BIBLIOGRAPHY)
FACT_TABLES = (
    "containers",
    "crops",
    "media",
    "compressed",
    "feeds",
    "nutrient_levels",
    "practice",
)
RECORDS = {"containers": Container, "emergence_days": EmergenceRow, "ec_bands": Band}
NUMBERS = {
    "value",
    "low",
    "high",
    "cells",
    "temperature_c",
    "temperature_f",
    "n_percent",
    "target_ppm_n",
    "g_per_litre",
    "oz_per_100_gal",
    "oz_by_rule_of_75",
    "normal_percent",
    "agree",
}


def rows(table):
    with open(DATA / f"{table}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("table", TABLES)
def test_every_row_cites_a_known_source(table):
    cited = {row["source_id"] for row in rows(table)}
    known = {row["source_id"] for row in rows("sources")}

    assert cited <= known, f"{table}.csv cites {cited - known}: add to sources.csv"


def named_by_checks():
    """What the tests say their expected numbers come from: sources and libraries."""
    marks = [
        mark
        for path in Path(__file__).parent.rglob("test_*.py")
        for mark in re.findall(r"mark\.against\(([^)]*)\)", path.read_text(encoding="utf-8"))
    ]
    return {name for mark in marks for name in re.findall(r'"([^"]+)"', mark)}


def test_no_source_is_listed_twice_or_unused():
    listed = [row["source_id"] for row in rows("sources")]
    cited = {row["source_id"] for table in TABLES for row in rows(table)}
    cited |= {row["percent_source_id"] for row in rows("emergence_days")}

    code = "".join(path.read_text(encoding="utf-8") for path in (CORE).rglob("*.py"))
    cited |= {source for source in listed if f"[{source}:" in code}

    assert len(listed) == len(set(listed))
    assert set(listed) - cited - named_by_checks() == set()


def test_what_is_known_from_memory_is_marked_the_same_everywhere():
    for row in rows("sources"):
        is_memory = row["accessed"] == "not opened"
        assert is_memory == row["where"].startswith(("from memory", "no source opened")), row


def test_no_entry_of_the_bibliography_is_blank():
    for row in rows("sources"):
        assert all(row.values()), row["source_id"]


@pytest.mark.parametrize("table", [*TABLES, *BIBLIOGRAPHY])
def test_every_column_is_described(table):
    described = [row["column"] for row in rows("columns") if row["table"] == table]
    with open(DATA / f"{table}.csv", encoding="utf-8", newline="") as file:
        header = next(csv.reader(file))

    assert described == header
    assert all(row["meaning"] for row in rows("columns"))


def test_only_tables_that_exist_are_described():
    assert {row["table"] for row in rows("columns")} == {*TABLES, *BIBLIOGRAPHY}


@pytest.mark.parametrize("table", TABLES)
def test_rows_are_whole_and_say_how_well_they_are_known(table):
    for row in rows(table):
        assert None not in row and None not in row.values(), row
        assert row["kind"] in KINDS
        assert row["place"]


@pytest.mark.parametrize("table", TABLES)
def test_numbers_parse_and_ranges_are_in_order(table):
    for row in rows(table):
        found = {name: row[name] for name in NUMBERS & set(row) if row[name] != ""}
        assert all(re.fullmatch(r"-?\d+(\.\d+)?", text) for text in found.values()), row
        ends = [float(found[name]) for name in ("low", "value", "high") if name in found]
        assert ends == sorted(ends), row


@pytest.mark.parametrize("table", FACT_TABLES)
def test_a_fact_says_something_and_numbers_have_a_unit(table):
    for row in rows(table):
        assert row["value"] or row["low"] or row["high"] or row["text"], row
        if row["value"] or row["low"] or row["high"]:
            assert row["unit"], row


@pytest.mark.parametrize("table", FACT_TABLES)
def test_each_quantity_of_a_subject_has_one_default(table):
    defaults = {}
    for row in rows(table):
        key = row["subject"], row["quantity"]
        assert row["default"] in ("yes", "no")
        defaults[key] = defaults.get(key, 0) + (row["default"] == "yes")

    assert {key for key, count in defaults.items() if count != 1} == set()


@pytest.mark.parametrize("table", FACT_TABLES)
def test_shares_lie_between_0_and_1(table):
    for row in rows(table):
        if row["unit"] == "share":
            numbers = [float(row[name]) for name in ("value", "low", "high") if row[name]]
            assert all(0 <= number <= 1 for number in numbers), row


def test_a_source_known_from_memory_is_never_called_published():
    unread = {row["source_id"] for row in rows("sources") if row["accessed"] == "not opened"}

    for table in TABLES:
        for row in rows(table):
            if row["source_id"] in unread:
                assert row["kind"] == "memory", (table, row)


def test_sellers_and_habits_are_called_what_they_are():
    publisher = {row["source_id"]: row["publisher"] for row in rows("sources")}
    for table in TABLES:
        for row in rows(table):
            if "seller not named" in publisher[row["source_id"]]:
                assert row["kind"] == "trade page", (table, row)
            if row["source_id"] == "common-practice":
                assert row["kind"] == "common practice", (table, row)


def figures(row):
    return [float(row[name]) for name in ("value", "low", "high") if row.get(name)]


def alike(table, row):
    return [
        r for r in rows(table) if (r["subject"], r["quantity"]) == (row["subject"], row["quantity"])
    ]


def test_a_start_in_the_middle_spans_what_the_sources_say():
    """Nothing below the legal minimum; from there, where one source is all there is."""
    spans = [(t, r) for t in FACT_TABLES for r in rows(t) if r["source_id"] == "span-of-rows"]

    assert len(spans) == 20
    for table, row in spans:
        said = [r for r in alike(table, row) if r is not row and r["source_id"] != "span-of-rows"]
        ends = [x for r in said for x in figures(r)]
        floor = 0.0
        if row["quantity"] == "expected_germination":
            (floor,) = (
                float(r["value"])
                for r in rows(table)
                if (r["subject"], r["quantity"]) == (row["subject"], "minimum_germination")
            )
            if len(said) == 1:
                ends.append(floor)
        assert figures(row) == [max(min(ends), floor), max(max(ends), floor)], row


@pytest.mark.parametrize("table", FACT_TABLES)
def test_how_many_publishers_agree_is_counted_from_the_rows(table):
    publisher = {row["source_id"]: row["publisher"] for row in rows("sources")}
    for row in rows(table):
        own, who = figures(row), set()
        for other in alike(table, row):
            said = figures(other)
            meets = own and said and min(own) <= max(said) and min(said) <= max(own)
            if other["kind"] in ("common practice", "memory", "computed"):
                continue
            if meets or (not own and other == row):
                who.add(publisher[other["source_id"]])
        assert int(row["agree"]) == len(who), row


def test_many_defaults_rest_on_two_publishers_or_say_that_they_do_not():
    """Weeks to transplant: two agree, or the note justifies the figure."""
    for row in rows("crops"):
        if row["quantity"] == "weeks_to_transplant" and row["default"] == "yes":
            assert int(row["agree"]) >= 2 or row["note"], row


def test_the_share_that_comes_up_has_a_source_and_goes_with_the_days():
    known = {row["source_id"] for row in rows("sources")}
    told = 0
    for row in rows("emergence_days"):
        assert (row["normal_percent"] != "") == (row["percent_source_id"] != ""), row
        if row["normal_percent"]:
            told += row["outcome"] == "emerged"
            assert row["percent_source_id"] in known
            assert 0 < float(row["normal_percent"]) <= 100
        contradicts = row["outcome"] == "no germination" and float(row["normal_percent"] or 0) >= 10
        assert row["agree"] == ("0" if contradicts else "1"), row

    assert told > 120


def test_only_seeds_that_emerged_have_days():
    for row in rows("emergence_days"):
        assert row["outcome"] in OUTCOMES
        assert (row["value"] != "") == (row["outcome"] == "emerged"), row


def test_both_temperatures_of_a_row_are_the_same():
    for row in rows("emergence_days"):
        assert float(row["temperature_f"]) == float(row["temperature_c"]) * 9 / 5 + 32


def test_a_reading_of_salts_is_by_a_known_method():
    assert {row["method"] for row in rows("ec_bands")} == set(METHODS)


def test_the_mat_is_timed_in_days_by_default():
    (row,) = (r for r in rows("practice") if r["quantity"] == "hours" and r["default"] == "yes")

    assert (row["subject"], row["unit"]) == ("mat", "day")


def test_there_are_at_least_thirty_crops_with_weeks_a_tray_and_seeds_a_cell():
    needed = {"weeks_to_transplant", "tray_cells", "seeds_per_cell", "presprout"}
    quantities = {}
    for row in rows("crops"):
        quantities.setdefault(row["subject"], set()).add(row["quantity"])

    assert len(quantities) >= 30
    assert {crop for crop, found in quantities.items() if not needed <= found} == set()


def test_some_cell_counts_have_several_volumes():
    volumes = {float(r["value"]) for r in rows("containers") if r["subject"] == "72-cell tray"}

    assert len(volumes) == 3
    assert min(volumes) < 46 and max(volumes) > 71


PROPER_NAMES = {
    "Legionella",
    "Legionnaires'",
    "Salmonella",
    "Escherichia",
    "EC",
    "SME",
    "PourThru",
    "N-P-K",
    "N",
    "P2O5",
    "K2O",
    "NG",
    "NIST",
    "US",
    "Below",
    "Standard",
    "Pennyflat",
    "L",
    "W",
    "K",
    "C",
    "Evans",
    "Table",
    "SI",
    "A",
    "Bete",
    "Bruselas",
    "Bruxelles",
    "Choi",
    "Inde",
}


@pytest.mark.parametrize("table", sorted({*TABLES} - {"places"}))  # patterns and months, not words
def test_no_word_looks_like_a_brand(table):
    """A capital inside a sentence belongs to a short list of names that are not brands."""
    for row in rows(table):
        for column in set(row) - {"source_id", "place", "kind"}:
            assert not re.search("[®™©]|www|https?:", row[column]), row
            for sentence in re.split(r"[.:;!?]\s+|\s\(", row[column]):
                words = re.findall(r"[^\s,;:()/]+", sentence)[1:]
                odd = {w.strip(".") for w in words if w[0].isupper()} - PROPER_NAMES
                assert not odd, f"{table}.csv, {column}: {odd} in {row[column]!r}"


def test_a_name_means_one_crop_and_each_crop_has_one_in_every_language():
    crops = {row["subject"] for row in rows("crops")}
    means, named = {}, set()
    for row in rows("crop_names"):
        assert row["crop"] in crops
        assert means.setdefault(row["name"].casefold(), row["crop"]) == row["crop"]
        named.add((row["crop"], row["language"]))

    assert named == {(crop, language) for crop in crops for language in ("en", "es", "fr", "de")}
    assert all(means[crop] == crop for crop in crops)


@pytest.mark.parametrize(
    ("crop", "plurals"),
    [
        ("tomato", "tomatoes Tomaten tomates"),
        ("cucumber", "cucumbers Gurken pepinos concombres"),
        ("pumpkin", "pumpkins Kürbisse calabazas citrouilles"),
        ("onion", "onions Zwiebeln cebollas oignons"),
        ("lettuce", "lettuces Salate lechugas laitues"),
        ("melon", "melons Melonen melones"),
        ("zucchini", "zucchinis calabacines courgettes"),
        ("leek", "leeks puerros poireaux"),
    ],
)
def test_a_crop_is_known_by_its_plural_in_every_language(crop, plurals):
    assert {known_crop(name) for name in plurals.split()} == {crop}


def test_the_reader_finds_the_tables_and_understands_every_row():
    assert [dict(row) for row in tables.rows("doses")] == rows("doses")
    for table in FACT_TABLES:
        assert len(tables.facts(table)) == len(rows(table))
    for table, kind in RECORDS.items():
        assert len(tables.records(table, kind)) == len(rows(table))
    assert set(tables.sources()) == {row["source_id"] for row in rows("sources")}
