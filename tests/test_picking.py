"""Picking a crop, a container or a kind of mix: what is filled in, what is left alone, and why."""

import pytest

from page.fields import Fields
from pennyflat.demo import DEMO
from pennyflat.trade import facts as tables
from pennyflat_display.money import currency_of
from work import edits, picking
from work.entry import FIELDS
from work.state import Work

USD = currency_of("USD")


def typed(work, path, text, *, done=False):
    work.handle({"do": "type", "path": path, "text": text, "done": done})


def picked(work, path, name):
    """Type a name letter by letter, then leave the field."""
    for end in range(1, len(name) + 1):
        typed(work, path, name[:end])
    typed(work, path, name, done=True)


def blank():
    work = Work()
    work.handle({"do": "empty"})
    work.handle({"do": "remove", "path": "media[1]"})
    return work


def sowing(work, row=0):
    return work.document["sowings"][row]


def shown(work, path):
    prefix = ("sowings", 0) if path.startswith("sowings") else ("media", 0)
    row = edits.at(work.document, prefix)
    return Fields(prefix, row, work.faults, USD, media=(), stores=()).field(path)


def test_tomato_a_72_cell_tray_and_a_light_bagged_mix_give_an_answer_from_the_tables():
    work = blank()
    picked(work, "sowings[0].crop", "tomato")
    typed(work, "sowings[0].container", "72-cell tray")
    typed(work, "media[0].kind", "peat-based potting mix")
    typed(work, "sowings[0].wanted", "60")
    typed(work, "media[0].packages[0].size", "50")
    typed(work, "media[0].packages[0].price", "12")

    row, mix = sowing(work), work.document["media"][0]
    assert (row["weeks"], row["germination"], row["seeds_per_cell"]) == (5.5, 0.89, 1)
    tray = {"name": "72-cell tray", "cells": 72, "price": None, "uses": 3.5, "store": "My shop"}
    assert (row["cell_ml"], row["tray"]) == (58.99, "72-cell tray")
    assert work.document["trays"] == [tray]
    # sources say 10 days to 6 weeks: the middle
    assert (mix["feeds_for_weeks"], mix["fill_loss"]) == (3.7, pytest.approx(0.15))
    assert work.faults == []
    # 3.7 of 5.5 weeks are fed, and there is no feed yet: said, not hidden
    assert work.report["comparisons"][0]["stalls_in_week"] == 3.7


def test_a_crop_is_known_however_it_is_written():
    work = blank()

    picked(work, "sowings[0].crop", " Cherry  Tomato")

    assert sowing(work)["weeks"] == 5.5


def test_half_a_name_fills_in_nothing():
    work = blank()

    for end in range(1, 7):
        typed(work, "sowings[0].crop", "tomato"[:end])

    assert sowing(work)["weeks"] is None


def test_what_was_typed_is_left_alone_and_called_yours():
    work = blank()
    typed(work, "sowings[0].weeks", "8")

    picked(work, "sowings[0].crop", "tomato")

    assert sowing(work)["weeks"] == 8
    field = shown(work, "sowings[0].weeks")
    assert (field.origin.state, field.origin.put) == ("yours", "5.5")


def test_a_figure_put_back_follows_the_next_pick():
    work = blank()
    picked(work, "sowings[0].crop", "tomato")
    typed(work, "sowings[0].weeks", "8")
    typed(work, "sowings[0].weeks", shown(work, "sowings[0].weeks").origin.put)
    assert shown(work, "sowings[0].weeks").origin.state == "table"

    picked(work, "sowings[0].crop", "pepper")

    assert sowing(work)["weeks"] == 8  # 7 to 9


def test_another_crop_takes_the_place_of_the_example_s_figures():
    work = Work()

    picked(work, "sowings[1].crop", "celery")

    assert (sowing(work, 1)["weeks"], sowing(work, 1)["germination"]) == (11, 0.76)
    assert sowing(work, 1)["seeds_per_cell"] == 2  # below 80 %
    assert sowing(work, 1)["wanted"] == DEMO["sowings"][1]["wanted"]


def test_a_crop_without_a_published_germination_says_so():
    work = blank()
    picked(work, "sowings[0].crop", "basil")

    field = shown(work, "sowings[0].germination")

    assert (field.text, field.origin.rows) == ("80", ())


def test_the_published_minimum_is_not_taken_for_an_expectation():
    work = blank()
    picked(work, "sowings[0].crop", "tomato")

    first, *_, last = shown(work, "sowings[0].germination").origin.rows

    assert first.used and "80 to 98" in first.figure
    assert "not an expectation" in last.note and not last.used


def test_where_sources_give_only_the_minimum_it_is_the_start_and_that_is_said():
    work = blank()
    picked(work, "sowings[0].crop", "kale")

    (row,) = shown(work, "sowings[0].germination").origin.rows

    assert (sowing(work)["germination"], sowing(work)["seeds_per_cell"]) == (0.75, 2)
    assert "Sources give only this minimum" in row.note


def test_every_source_is_listed_with_the_used_one_marked_and_why():
    work = blank()
    picked(work, "sowings[0].crop", "tomato")

    origin = shown(work, "sowings[0].weeks").origin

    assert [row.used for row in origin.rows] == [True, False, False]
    assert origin.gist == "5 to 8 weeks" and origin.is_figure
    assert origin.rows[0].note.startswith("Default: ")
    assert "University of Delaware" in origin.rows[0].who
    assert origin.rows[0].known.startswith("published")


def test_the_72_cell_tray_is_offered_at_each_published_volume():
    ((_, trays), *_) = picking.container_choices()

    assert [c.usual for _, c in trays if c.subject == "72-cell tray"] == [58.99, 45.06, 71.78]


def test_a_second_volume_of_the_same_tray_is_from_the_table_too():
    work = blank()
    typed(work, "sowings[0].container", "72-cell tray, 45.06 mL")

    field = shown(work, "sowings[0].cell_ml")

    assert (field.text, field.origin.state) == ("45.06", "table")
    assert field.origin.rows[0].figure.startswith("45.06 mL")
    assert len(field.origin.rows) == 3


def test_a_container_chosen_stays_when_the_crop_changes():
    work = blank()
    typed(work, "sowings[0].container", "128-cell tray, 25.07 mL")

    picked(work, "sowings[0].crop", "tomato")

    assert sowing(work)["container"] == "128-cell tray"


def test_a_picked_tray_without_a_price_costs_nothing_and_asks_for_nothing():
    work = Work()
    work.handle({"do": "add", "path": "sowings"})
    picked(work, "sowings[3].crop", "tomato")
    typed(work, "sowings[3].wanted", "10")

    assert work.faults == []
    assert work.document["sowings"][3]["tray"] == "72 cells"  # the example has one


def test_a_tray_of_as_many_cells_is_found_and_one_that_is_needed_is_added():
    work = blank()
    typed(work, "sowings[0].container", "72-cell tray, 45.06 mL")
    typed(work, "trays[0].price", "3")
    work.handle({"do": "add", "path": "sowings"})
    typed(work, "sowings[1].container", "72-cell tray")
    typed(work, "sowings[1].container", "128-cell tray")
    assert (sowing(work)["tray"], sowing(work, 1)["tray"]) == ("72-cell tray", "128-cell tray")
    typed(work, "sowings[1].container", "round pot 9 cm")

    # of the trays that a pick had added the one without a price and without a crop is gone
    assert [row["name"] for row in work.document["trays"]] == ["72-cell tray", "round pot 9 cm"]
    typed(work, "sowings[0].container", "round pot 11 cm")
    assert sowing(work)["tray"] == "round pot 11 cm"
    assert [row["price"] for row in work.document["trays"]] == [3, None, None]


def test_the_cells_of_a_picked_tray_have_a_source():
    work = blank()
    typed(work, "sowings[0].container", "72-cell tray")
    row = {"trays": work.document["trays"]}

    fields = Fields((), row, (), USD, stores=("My shop",))

    assert fields.field("trays[0].cells").origin.state == "table"
    assert fields.field("trays[0].uses").origin.state == "table"
    typed(work, "trays[0].cells", "70")
    fields = Fields((), {"trays": work.document["trays"]}, (), USD, stores=("My shop",))
    assert fields.field("trays[0].cells").origin.state == "yours"


@pytest.mark.parametrize(
    ("form", "measures", "volume"),
    [
        ("cylinder", {"top_cm": "4", "depth_cm": "5"}, 62.83),
        ("cone frustum", {"top_cm": "9", "bottom_cm": "6,5", "depth_cm": "8"}, 380.66),
        ("square frustum", {"top_cm": "3.8", "bottom_cm": "2.5", "depth_cm": "5"}, 50.32),
        ("cube", {"top_cm": "5.08"}, 131.10),
    ],
)
def test_a_measured_cell_sets_the_cell_size(form, measures, volume):
    work = Work()
    typed(work, "sowings[0].container", picking.OWN_SHAPE)
    typed(work, "sowings[0].shape.form", form)
    for key, text in measures.items():
        typed(work, f"sowings[0].shape.{key}", text)

    assert sowing(work)["cell_ml"] == volume
    assert work.faults == []
    assert shown(work, "sowings[0].cell_ml").origin.state == "table"


def test_a_cell_filled_to_half_its_depth_holds_less():
    work = Work()
    typed(work, "sowings[0].container", picking.OWN_SHAPE)
    typed(work, "sowings[0].shape.form", "cube")
    typed(work, "sowings[0].shape.top_cm", "4")
    typed(work, "sowings[0].shape.fill_height", "50 %")

    assert sowing(work)["cell_ml"] == 32


def test_half_measured_changes_nothing_and_a_wrong_measure_is_named():
    work = Work()
    typed(work, "sowings[0].container", picking.OWN_SHAPE)
    typed(work, "sowings[0].shape.top_cm", "4")
    assert sowing(work)["cell_ml"] == 59
    assert work.faults == []

    typed(work, "sowings[0].shape.bottom_cm", "wide")

    assert [fault.path for fault in work.faults] == ["sowings[0].shape.bottom_cm"]


def test_a_block_sold_by_weight_is_told_what_it_may_give_as_a_range():
    block = {"size": 5, "unit": "kg", "price": 15}

    found = {y.subject: (y.low, y.high) for y in picking.yields(block) if y.default}

    assert found["coir block, 5 kg"] == (60, 75)


def test_every_kind_of_mix_in_the_table_can_be_picked():
    for kind in picking.kinds():
        work = Work()
        typed(work, "media[0].kind", kind)

        assert work.faults == []
        assert work.document["media"][0]["feeds_for_weeks"] >= 0
        assert shown(work, "media[0].feeds_for_weeks").origin.state == "table"


def test_every_crop_of_the_table_can_be_picked():
    for crop in picking.crop_names("en"):
        work = Work()
        work.handle({"do": "add", "path": "sowings"})
        typed(work, "sowings[3].wanted", "9")
        typed(work, "sowings[3].crop", crop, done=True)

        assert work.faults == [], crop
        weeks = picking.suggestion("sowings[].weeks", {"crop": crop}).value
        assert sowing(work, 3)["weeks"] == weeks


def test_fields_with_a_figure_of_practice_exist_and_their_facts_too():
    for spot, (table, subject, quantity) in picking.PRACTICE.items():
        assert spot in FIELDS
        assert any(f.subject == subject and f.quantity == quantity for f in tables.facts(table))
