"""After the season: costs as they were, why they differ, and next year's plan."""

import math

import pytest

from pennyflat.comparing.season import season
from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.scenario.document import check, read, write
from pennyflat.scenario.link import decode, encode

BULK, STARTER = "Bulk potting mix", "Seed starter mix"
TOMATO = {"crop": "tomato", "medium": BULK, "cells": 80, "up": 64, "ready": 60, "weeks": 7.5}
LETTUCE = {"crop": "lettuce", "medium": STARTER, "cells": 150, "up": 120, "ready": 110}
WENT = {
    "sowings": [TOMATO, LETTUCE],
    "bags": [
        {"medium": BULK, "litres": 56.6, "left": 50.0},
        {"medium": STARTER, "litres": 17.6, "left": 12.0},
    ],
    "feed_used": 20.0,
    "minutes": 230.0,
}


def after(went=WENT, **fields):
    return season(read(DEMO | fields | {"happened": went}))


def test_a_plan_without_a_season_has_no_report():
    assert season(read(DEMO)) is None


def test_what_happened_is_kept_in_files_and_links_and_costs_nothing():
    scenario = read(DEMO | {"happened": WENT})

    assert read(write(scenario)) == scenario == decode(encode(write(scenario)))
    assert "happened" not in write(read(DEMO))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"up": 81}, "happened.sowings[0].up: 81 is more than the 80 cells sown"),
        ({"ready": 65}, "happened.sowings[0].ready: 65 is more than the 64 that came up"),
        ({"up": None, "ready": 81}, "happened.sowings[0].ready: 81 is more than the 80 cells sown"),
        ({"cells": 0}, "happened.sowings[0].cells: 0 is too small"),
    ],
)
def test_counts_that_cannot_be_are_named(change, said):
    (fault,) = check(DEMO | {"happened": {"sowings": [TOMATO | change]}})

    assert str(fault).startswith(said)


def test_more_cannot_be_left_in_a_bag_than_was_in_it():
    bag = {"medium": BULK, "litres": 10, "left": 12}
    (fault,) = check(DEMO | {"happened": {"bags": [bag]}})

    assert str(fault) == "happened.bags[0].left: 12 is more than the 10 that were in it"


def test_costs_as_they_were_by_hand():
    # Tomato, 80 cells: 6.6 L at 14.50 for 2 cu ft; seed 3.20 for 40; tray 3.20 for 72, 4 uses;
    # light 40 W x 15 h x 7 x 7.5 weeks and mat 20 W x 24 h x 7 days at 0.16, shared by 144 cells.
    # In the bulk mix nothing is fed in six weeks. 60 were ready.
    litre = 14.5 / (2 * 28.316846592)
    light = (40 * 15 * 7 * 7.5 + 20 * 24 * 7) / 1000 * 0.16 / 144
    money = 6.6 * litre + 80 * (3.2 / 40 + 3.2 / 72 / 4 + light)
    row, _ = after()["sowings"]

    assert row["was_each"] == pytest.approx(money / 60)
    assert row["expected_ready"] == pytest.approx(80 * 0.88 * 0.95)


def test_what_was_expected_is_what_the_comparison_says():
    demo = read(DEMO)
    needed = requirement(demo, demo.sowings[0], demo.medium(BULK))
    row, _ = after()["sowings"]

    assert row["expected_each"] == pytest.approx(needed.each.total)


@pytest.mark.parametrize("labour", [None, {"minutes_per_cell": 0.7, "wage": 12.0}])
def test_the_reasons_add_up_to_the_difference(labour):
    fields = {} if labour is None else {"labour": labour}
    for row in after(**fields)["sowings"]:
        reasons = math.fsum(one["each"] for one in row["why"])

        assert reasons == pytest.approx(row["was_each"] - row["expected_each"])
        assert [abs(one["each"]) for one in row["why"]] == sorted(
            (abs(one["each"]) for one in row["why"]), reverse=True
        )


def test_what_went_as_expected_says_so():
    demo = read(DEMO)
    needed = requirement(demo, demo.sowings[0], demo.medium(BULK))
    # 0.88 x 0.95 of 2,500 cells, to the seedling
    went = {"crop": "tomato", "medium": BULK, "cells": 2500, "up": 2200, "ready": 2090}
    (row,) = after({"sowings": [went]})["sowings"]

    assert row["was_each"] == pytest.approx(needed.each.total)
    assert row["why"] == []
    assert row["says"].endswith("a ready seedling, as expected.")


def test_one_s_own_figures_by_hand():
    changes = {tuple(c["place"]): c["now"] for c in after()["changes"]}

    # 80 cells of 59 mL out of 6.6 L; 150 of 25 mL out of 5.6 L
    assert changes["media", 1, "fill_loss"] == pytest.approx(1 - 4.72 / 6.6, abs=5e-4)
    assert changes["media", 0, "fill_loss"] == pytest.approx(1 - 3.75 / 5.6, abs=5e-4)
    assert changes["media", 1, "pace"] == 7.5 / 6
    assert changes["media", 1, "emergence", "tomato"] == {"up": 64, "sown": 80}
    assert changes["media", 0, "survival", "lettuce"] == pytest.approx(110 / 120, abs=5e-5)
    assert changes["media", 1, "measured"] == ["fill_loss", "pace"]
    assert changes["media", 1, "stock"] == 50


def test_feed_and_time_are_shared_over_all_cells():
    report = after(labour={"minutes_per_cell": 0.7, "wage": 12.0})
    changes = {tuple(c["place"]): c["now"] for c in report["changes"]}
    demo = read(DEMO)
    lettuce = requirement(demo, demo.sowings[1], demo.medium(STARTER))
    # tomato in the bulk mix is not fed; lettuce was expected to take so much for 150 cells
    expected = lettuce.feed_amount / lettuce.cells * 150

    assert changes["feed", "ml_per_cell"] == pytest.approx(12 * 20 / expected, abs=0.005)
    assert changes["labour", "minutes_per_cell"] == 1.0  # 230 minutes, 230 cells


def test_next_year_starts_from_last_year_with_one_s_own_figures():
    report = after(last_frost="2027-05-15")
    document = report["next_year"]
    scenario = read(document)

    assert check(document) == []
    assert scenario.happened is None and scenario.last_frost is None
    bulk = scenario.medium(BULK)
    assert (bulk.pace, bulk.stock, bulk.measured) == (1.25, 50, ("fill_loss", "pace"))
    assert bulk.packages == read(DEMO).medium(BULK).packages
    assert (bulk.emergence["tomato"].up, bulk.emergence["lettuce"]) == (64, 0.58)


def test_two_seeds_a_cell_hand_over_the_share_of_one():
    sowings = [DEMO["sowings"][0] | {"seeds_per_cell": 2}, *DEMO["sowings"][1:]]
    report = after({"sowings": [TOMATO]}, sowings=sowings)
    changes = {tuple(c["place"]): c["now"] for c in report["changes"]}

    # 64.5 of 81 cells, so 1 - sqrt(1 - 64.5 / 81) of a seed
    assert changes["media", 1, "emergence", "tomato"] == pytest.approx(
        1 - math.sqrt(1 - 64.5 / 81), abs=5e-5
    )


def test_nothing_ready_has_no_cost_and_says_so():
    (row,) = after({"sowings": [TOMATO | {"ready": 0}]})["sowings"]

    assert row["was_each"] is None and row["why"] == []
    assert row["says"] == f"No seedling of tomato in {BULK} was ready."
