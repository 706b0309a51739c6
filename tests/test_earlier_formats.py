"""Documents in format 1 can be read forever with the same meaning; format 2 is written."""

import copy
import json
from pathlib import Path

import pytest

from pennyflat.comparing.report import compare
from pennyflat.scenario.document import ScenarioError, check, parse, read, write
from pennyflat.scenario.link import decode, encode

HERE = Path(__file__).parent / "golden"
LINKS = {row["name"]: row for row in json.loads((HERE / "links.json").read_text(encoding="utf-8"))}
COSTS = json.loads((HERE / "costs.json").read_text(encoding="utf-8"))["reports"]
"""Costs as used, worked out by the code of the time; the file says how it was made."""


def document_of(golden):
    return golden.get("document") or LINKS[golden["name"]]["document"]


every_golden = pytest.mark.parametrize("golden", COSTS, ids=lambda golden: golden["name"])


@every_golden
def test_costs_as_used_are_what_they_were(golden):
    found = compare(read(document_of(golden)))["comparisons"]

    assert len(found) == len(golden["rows"])
    for row, before in zip(found, golden["rows"], strict=True):
        assert (row["crop"], row["medium"]) == (before["crop"], before["medium"])
        assert row["ready"] == before["ready"]
        if not is_laid_on_a_towel(golden, row["crop"]):
            assert row["cells"] == before["cells"]
        if before["ready"]:
            found_each, each = dict(row["as_used"]), dict(before["each"])
            if is_potted_on_late(golden, row):
                more = found_each.pop("feed") - each.pop("feed")
                assert more > 0
                assert found_each.pop("total") == pytest.approx(each.pop("total") + more)
            assert found_each == pytest.approx(each, rel=1e-12)


def is_potted_on_late(golden, found):
    """These are now fed in the weeks before they are potted on, where the first mix has run out."""
    document = document_of(golden)
    (medium,) = (row for row in document["media"] if row["name"] == found["medium"])
    return any(
        row.get("remedy") == "pot_on"
        and row["pot_on"].get("at_week", 0) > medium["feeds_for_weeks"]
        for row in document["plantings"]
        if row["crop"] == found["crop"]
    )


def is_laid_on_a_towel(golden, crop):
    """For these the cells are more than they were, so that seed on the towel is enough too."""
    rows = document_of(golden)["plantings"]
    return any(row.get("presprout") for row in rows if row["crop"] == crop)


@every_golden
def test_every_way_in_reads_it_the_same(golden):
    document = document_of(golden)
    before = copy.deepcopy(document)
    scenario = read(document)

    assert document == before and document["format"] == "seedling-costs/1"
    assert check(document) == []
    assert parse(json.dumps(document)) == scenario
    assert decode(encode(document)) == scenario
    written = write(scenario)
    assert written["format"] == "seedling-costs/2"
    assert "plantings" not in written
    assert read(written) == scenario


@pytest.mark.parametrize("link", LINKS.values(), ids=lambda link: link["name"])
def test_links_decode_to_the_documents(link):
    assert decode(link["link"]) == read(link["document"])


def stall():
    return copy.deepcopy(LINKS["a plant stall"]["document"])


def test_trays_alike_become_one_and_others_get_names_of_their_own():
    document = stall()
    first, second = document["plantings"]
    second["tray"] = first["tray"] | {"price": 4.0}
    first["pot_on"] = {"medium": "Bulk potting mix", "cell_ml": 300, "tray": dict(first["tray"])}
    scenario = read(document)

    assert [tray.name for tray in scenario.trays] == ["72 cells", "72 cells (2)"]
    assert [sowing.tray for sowing in scenario.sowings] == ["72 cells", "72 cells (2)"]
    assert scenario.sowings[0].pot_on.tray == "72 cells"
    assert all(tray.have is None for tray in scenario.trays)


def test_late_potting_on_stalls_where_it_used_to_go_on():
    document = stall()
    del document["feed"]
    document["plantings"] = document["plantings"][:1]
    document["plantings"][0] |= {
        "remedy": "pot_on",
        "pot_on": {"medium": "Bulk potting mix", "cell_ml": 350, "at_week": 5},
    }
    found = compare(read(document))["comparisons"][0]

    assert (found["ready"], found["stalls_in_week"]) == (False, 3)


@pytest.mark.parametrize(
    ("cells", "place"),
    [(0, "trays[0].cells"), (10**400, "trays[0].cells"), ("many", "trays[0].cells")],
)
def test_what_is_wrong_with_a_tray_is_named(cells, place):
    document = stall()
    document["plantings"][0]["tray"]["cells"] = cells

    assert [fault.path for fault in check(document)] == [place]


@pytest.mark.parametrize("plantings", [None, 3, {}, [3], [None], [[]], [{"tray": 3}]])
def test_what_is_no_list_of_plantings_is_refused(plantings):
    with pytest.raises(ScenarioError):
        read(stall() | {"plantings": plantings})


def test_format_2_knows_no_plantings():
    document = stall() | {"format": "seedling-costs/2"}

    paths = [fault.path for fault in check(document)]
    assert "plantings" in paths and "sowings" in paths


def test_thousands_of_kinds_of_tray_are_named_at_once():
    document = stall()
    row = document["plantings"][0]
    document["plantings"] = [
        row | {"tray": row["tray"] | {"price": 1 + number / 100}} for number in range(5_000)
    ]

    names = [tray.name for tray in read(document).trays]
    assert len(set(names)) == 5_000
