"""Bad documents: every fault is named at once, with its path, its value and what would be right."""

import copy
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import ScenarioError, check, parse, read


@pytest.fixture
def document():
    return copy.deepcopy(DEMO)


def lines(document):
    return [str(fault) for fault in check(document)]


def only_line(document):
    found = lines(document)
    assert len(found) == 1, found
    return found[0]


def test_the_demo_is_sound():
    assert check(DEMO) == []


@pytest.mark.parametrize("key", ["format", "title", "currency", "stores", "media", "sowings"])
def test_missing_key(document, key):
    del document[key]

    assert f"{key}: missing; it is required" in lines(document)


def test_unknown_key_is_named_with_its_place(document):
    document["media"][1]["colour"] = "brown"

    assert only_line(document).startswith("media[1].colour: unknown key; the keys known here are")


def test_percent_for_a_share(document):
    document["media"][0]["fill_loss"] = 12

    line = "media[0].fill_loss: 12 is not a share between 0 and 1, below 1; for 12 % write 0.12"
    assert only_line(document) == line


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0, "0 is too small; write a number more than 0"),
        (-3, "-3 is too small; write a number more than 0"),
        ("8", '"8" is not a number; write a number more than 0'),
        (True, "true is not a number; write a number more than 0"),
        (None, "null is not a number; write a number more than 0"),
        (float("nan"), "nan is not a finite number; write a number more than 0"),
        (float("inf"), "inf is not a finite number; write a number more than 0"),
        (10**400, "a number of more than nine digits is too large; write at most 1,000,000,000"),
    ],
)
def test_size_of_a_package(document, value, said):
    document["media"][0]["packages"][0]["size"] = value

    assert only_line(document) == f"media[0].packages[0].size: {said}"


@pytest.mark.parametrize("value", [10**400, -(10**400), float("nan"), float("inf")])
@pytest.mark.parametrize(("place", "key"), [("", "tax"), ("sowings", "wanted")])
def test_numbers_beyond_reason(document, place, key, value):
    (document[place][0] if place else document)[key] = value

    assert f"{key}: " in only_line(document)


def test_weeks_are_ten_years_at_most(document):
    document["sowings"][0]["weeks"] = 520
    read(document)
    document["sowings"][0]["weeks"] = 521

    line = "sowings[0].weeks: 521 is too large; write a number more than 0 and at most 520"
    assert only_line(document) == line


def test_a_bound_that_is_seldom_met_is_told_to_who_meets_it(document):
    document["sowings"][0]["wanted"] = 1_000_001

    assert only_line(document) == "sowings[0].wanted: 1000001 is too large; write at most 1,000,000"


def test_price_missing(document):
    del document["media"][0]["packages"][0]["price"]

    assert only_line(document) == "media[0].packages[0].price: missing; it is required"


def test_unknown_unit_lists_the_known_ones(document):
    document["media"][0]["packages"][0]["unit"] = "quarts"

    assert only_line(document).startswith('media[0].packages[0].unit: "quarts" is not one of L, mL')


def test_package_by_weight_needs_its_yield(document):
    del document["ingredients"][0]["packages"][0]["yields_l"]

    line = only_line(document)
    assert line == (
        "ingredients[0].packages[0].yields_l: missing; a package of 5 kg is sold by weight, so give"
        " the volume it makes once loosened"
    )


def test_addition_needs_a_weight(document):
    document["ingredients"][3]["packages"][0]["unit"] = "L"

    assert only_line(document).startswith("ingredients[3].packages[0].unit: 3 L is a volume")


def test_two_media_with_one_name(document):
    document["media"][2]["name"] = document["media"][0]["name"]

    line = only_line(document)
    assert line.startswith('media[2].name: "Seed starter mix" is already the name of media[0]')


def test_sowing_names_a_medium_that_does_not_exist(document):
    document["sowings"][1]["medium"] = "Rich mix"

    assert only_line(document) == (
        'sowings[1].medium: no mix is called "Rich mix";'
        ' there are "Seed starter mix", "Bulk potting mix", "Home blend"'
    )


def test_package_at_a_shop_that_does_not_exist(document):
    document["feed"]["packages"][0]["store"] = "Moon base"

    assert only_line(document).startswith('feed.packages[0].store: no shop is called "Moon base"')


def test_medium_is_bought_or_mixed(document):
    document["media"][2]["packages"] = document["media"][0]["packages"]
    assert only_line(document).startswith("media[2].parts: a mix is either bought")

    del document["media"][2]["packages"], document["media"][2]["parts"]
    assert "media[2].packages: missing; give the packages" in "\n".join(lines(document))


def test_feed_has_one_dose(document):
    document["feed"]["g_per_litre"] = 1.0
    assert only_line(document).startswith("feed.g_per_litre: only one dose")

    del document["feed"]["g_per_litre"], document["feed"]["target_ppm_n"]
    assert only_line(document).startswith("feed.target_ppm_n: missing")


def test_liquid_feed_is_sold_by_volume(document):
    del document["feed"]["target_ppm_n"]
    document["feed"]["ml_per_litre"] = 4
    assert "feed.packages[0].yields_l" in only_line(document)

    document["feed"]["packages"][0]["unit"] = "qt_liq"
    assert read(document).feed.measure == "mL"


def test_potting_on_needs_its_details(document):
    document["sowings"][0]["remedy"] = "pot_on"

    assert only_line(document) == "sowings[0].pot_on: missing; the remedy pot_on needs it"


def test_ingredient_is_counted_one_way(document):
    document["media"][2]["additions"].append({"ingredient": "Perlite", "g_per_l": 2})

    assert any("by volume in a blend's parts and by weight" in line for line in lines(document))


def test_all_faults_at_once(document):
    document["tax"] = 19
    document["media"][0]["packages"][0]["price"] = -1
    document["sowings"][2]["wanted"] = 1.5
    document["sowings"][0]["crop"] = ""

    assert sorted(fault.path for fault in check(document)) == [
        "media[0].packages[0].price",
        "sowings[0].crop",
        "sowings[2].wanted",
        "tax",
    ]


def test_ten_thousand_rows_are_one_fault(document):
    document["sowings"] *= 10_000

    assert only_line(document) == "sowings: 30000 rows are too many; at most 10000"


@pytest.mark.parametrize(
    "name", ["🍅 tomaat", "עגבנייה", "<script>alert(1)</script>", '"quoted" & more', "Ö" * 200]
)
def test_any_name_will_do(document, name):
    document["sowings"][0]["crop"] = name
    document["media"][0]["emergence"] = {name: 0.5}

    found = compare(read(document))["comparisons"][0]
    assert (found["crop"], found["ready_share"]) == (name, pytest.approx(0.5 * 0.95))


@pytest.mark.parametrize("name", ["", "   ", "a\nb", "\x1b[31m", "x" * 201, "half \ud800"])
def test_names_that_will_not_do(document, name):
    document["sowings"][0]["crop"] = name

    assert only_line(document).startswith("sowings[0].crop: ")


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("", "the file is empty"),
        ("  \n", "the file is empty"),
        ("{", "not JSON at line 1"),
        ("hello", "not JSON at line 1"),
        ("[" * 100_000, "nested too deeply"),
        ("3", "3 is not an object"),
        ("1" * 10_000, "too many digits"),
        (b"\xff\xfe", "not UTF-8"),
        ('{"format": "other/1"}', '"other/1" is not one of seedling-costs/2'),
        ('{"tax": 0, "tax": 1}', 'the key "tax" stands 2 times'),
        ('{"tax": NaN}', "tax: nan is not"),
    ],
)
def test_text_that_is_no_scenario(source, said):
    with pytest.raises(ScenarioError) as caught:
        parse(source)

    assert said in str(caught.value)


def test_text_with_a_byte_order_mark(document):
    assert parse(b"\xef\xbb\xbf" + json.dumps(document).encode()) == read(document)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


def places(value, found=()):
    """Every place in a document, as a tuple of keys."""
    if found:
        yield found
    if isinstance(value, dict | list):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, item in items:
            yield from places(item, (*found, key))


@given(st.sampled_from(list(places(DEMO))), json_values)
def test_any_value_anywhere_is_read_or_named(place, value):
    document = copy.deepcopy(DEMO)
    parent = document
    for step in place[:-1]:
        parent = parent[step]
    parent[place[-1]] = value

    faults = check(document)

    if not faults:
        json.dumps(compare(read(document)), allow_nan=False)
    for fault in faults:
        assert fault.message
        assert "\n" not in str(fault)
