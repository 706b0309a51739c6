"""After the season: costs as they were, why they differ, and next year's plan."""

import math

import pytest

from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.comparing.season import season, season_form
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
    "feed_had": 220.0,
    "feed_left": 200.0,
    "minutes": 230.0,
}


def after(went=WENT, **fields):
    return season(read(DEMO | fields | {"happened": went}))


def own_figures(report):
    """What the report hands over to next year, by its place in the plan."""
    return {tuple(change["place"]): change["now"] for change in report["changes"]}


def test_a_plan_without_a_season_has_no_report():
    assert season(read(DEMO)) is None


def test_what_happened_is_kept_in_files_and_links_and_costs_nothing():
    scenario = read(DEMO | {"happened": WENT})

    assert read(write(scenario)) == scenario == decode(encode(write(scenario)))
    assert "happened" not in write(read(DEMO))


def test_a_sowing_of_which_nothing_came_up_can_be_told():
    went = WENT | {"sowings": [TOMATO | {"up": 0, "ready": 0}]}

    assert read(DEMO | {"happened": went}).happened.sowings[0].up == 0


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


def test_what_cannot_be_is_named_beside_what_cannot_be_read():
    went = WENT | {"sowings": [TOMATO | {"up": 81}], "minutes": "many"}
    faults = check(DEMO | {"happened": went})

    assert [fault.path for fault in faults] == ["happened.minutes", "happened.sowings[0].up"]


@pytest.mark.parametrize("missing", ["cells", "ready"])
def test_nothing_is_told_while_a_sowing_is_not_filled_in(missing):
    begun = {key: value for key, value in TOMATO.items() if key != missing}
    scenario = read(DEMO | {"happened": WENT | {"sowings": [begun, LETTUCE]}})

    assert read(write(scenario)) == scenario
    assert scenario.happened.unfinished == ("tomato",)
    assert season(scenario) is None


def test_a_bag_of_which_half_is_known_is_taken_as_expected():
    bags = [WENT["bags"][0], {"medium": STARTER, "litres": 17.6}]
    untold, measured = after(WENT | {"bags": bags}), after()

    assert untold["sowings"][0] == measured["sowings"][0]
    assert "lies in mix" not in untold["sowings"][1]["says"]
    assert [0, "fill_loss"] not in [c["place"][1:] for c in untold["changes"]]


def test_the_form_has_what_the_plan_buys_and_what_was_at_home():
    media = [DEMO["media"][0] | {"stock": 3.0}, *DEMO["media"][1:]]
    scenario = read(DEMO | {"media": media})
    plan = run(Planner(scenario).best(), solve)
    form = season_form(scenario, plan)

    assert [row["crop"] for row in form["sowings"]] == ["tomato", "lettuce", "marigold"]
    assert [row["medium"] for row in form["sowings"]] == list(plan.media)
    assert [row["cells"] for row in form["sowings"]] == [pick.cells for pick in plan.picks]
    bought = {line.item: line for line in plan.basket.lines}
    starter, feed = bought[STARTER], bought[scenario.feed.name]
    assert (starter.package.unit, feed.package.unit) == ("qt_dry", "oz")
    # 1.101220942715 L to a dry quart, 28.349523125 g to an ounce
    litres = 3 + starter.count * starter.package.size * 1.101220942715
    assert form["bags"] == [{"medium": STARTER, "litres": pytest.approx(litres)}]
    assert form["feed_had"] == pytest.approx(feed.count * feed.package.size * 28.349523125)
    assert check(DEMO | {"happened": form}) == []


def test_what_a_blend_held_is_left_to_whoever_mixed_it():
    sowings = [row | {"medium": "Home blend"} for row in DEMO["sowings"]]
    scenario = read(DEMO | {"sowings": sowings})
    form = season_form(scenario, run(Planner(scenario).best(), solve))

    assert form["bags"] == [{"medium": "Home blend"}]


def test_a_crop_that_nothing_got_ready_stands_in_the_mix_chosen_for_it():
    tomato, *others = DEMO["sowings"]
    hungry = {"remedy": "none", "weeks": 30}
    rows = [tomato | hungry, others[0] | hungry | {"medium": BULK}, others[1]]
    scenario = read(DEMO | {"sowings": rows})
    form = season_form(scenario, run(Planner(scenario).best(), solve))

    assert form["sowings"][:2] == [
        {"crop": "tomato", "medium": STARTER},  # the first of all
        {"crop": "lettuce", "medium": BULK},
    ]


def test_each_crop_of_a_mix_keeps_its_own_counts():
    changes = own_figures(after(WENT | {"sowings": [TOMATO | {"medium": STARTER}, LETTUCE]}))

    assert changes["media", 0, "emergence", "tomato"] == {"up": 64, "sown": 80}
    assert changes["media", 0, "emergence", "lettuce"] == {"up": 120, "sown": 150}


def test_what_sprouted_of_one_sowing_is_taken_though_another_came_to_nothing():
    rows = [TOMATO, TOMATO | {"medium": STARTER, "cells": 20, "up": 0, "ready": 0}, LETTUCE]
    sown = [DEMO["sowings"][0] | {"presprout": True}, *DEMO["sowings"][1:]]
    changes = own_figures(after(WENT | {"sowings": rows}, sowings=sown))

    assert changes["sowings", 0, "take"] == 0.64  # 64 of 80 + 20


def test_of_a_crop_that_was_not_to_get_ready_none_was_expected():
    hungry = [DEMO["sowings"][0] | {"remedy": "none", "weeks": 30}, *DEMO["sowings"][1:]]

    assert after(sowings=hungry)["sowings"][0]["expected_ready"] == 0


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


def test_a_bag_that_was_not_opened_tells_nothing_of_its_filling():
    bags = [WENT["bags"][0] | {"left": 56.6}, WENT["bags"][1]]
    changes = own_figures(after(WENT | {"bags": bags}))

    assert ("media", 1, "fill_loss") not in changes
    assert ("media", 0, "fill_loss") in changes


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
    changes = own_figures(after())

    # 80 cells of 59 mL out of 6.6 L; 150 of 25 mL out of 5.6 L
    assert changes["media", 1, "fill_loss"] == pytest.approx(1 - 4.72 / 6.6, abs=5e-4)
    assert changes["media", 0, "fill_loss"] == pytest.approx(1 - 3.75 / 5.6, abs=5e-4)
    assert changes["media", 1, "pace"] == 7.5 / 6
    assert changes["media", 1, "emergence", "tomato"] == {"up": 64, "sown": 80}
    assert changes["media", 0, "survival", "lettuce"] == pytest.approx(110 / 120, abs=5e-5)
    assert changes["media", 1, "measured"] == ["fill_loss", "pace"]
    assert changes["media", 1, "stock"] == 50


def test_a_pace_has_two_decimals():
    changes = own_figures(after({"sowings": [TOMATO | {"weeks": 7}]}))

    assert changes["media", 1, "pace"] == 1.17  # 7 / 6


def test_feed_and_time_are_shared_over_all_cells():
    report = after(labour={"minutes_per_cell": 0.7, "wage": 12.0})
    changes = own_figures(report)
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


def test_what_is_left_is_next_year_s_stock_and_nothing_is_none():
    media = [DEMO["media"][0] | {"stock": 9.0}, DEMO["media"][1] | {"keeps_seasons": 0}]
    bags = [{"medium": STARTER, "litres": 26.6, "left": 0}, WENT["bags"][0]]
    document = after(WENT | {"bags": bags}, media=media)["next_year"]
    scenario = read(document)

    assert [medium.stock for medium in scenario.media] == [0, 0]
    assert scenario.feed.stock == 200


def test_pots_take_their_share_of_the_bags():
    # 80 cells of 59 mL in starter mix; the 64 that came up moved into pots of 500 mL of bulk mix.
    pot_on = {"remedy": "pot_on", "pot_on": {"medium": BULK, "cell_ml": 500}}
    sowings = [DEMO["sowings"][0] | pot_on, *DEMO["sowings"][1:]]
    tomato = TOMATO | {"medium": STARTER, "weeks": None}
    starter = 80 * 0.059 / (1 - 0.12)
    bags = [
        {"medium": STARTER, "litres": 10, "left": 10 - starter},
        {"medium": BULK, "litres": 56.6, "left": 56.6 - 64 * 0.5 / (1 - 0.2)},
    ]
    report = after({"sowings": [tomato], "bags": bags}, sowings=sowings)
    (row,) = report["sowings"]
    changes = own_figures(report)
    litre = {STARTER: 9.8 / (16 * 1.101220942715), BULK: 14.5 / (2 * 28.316846592)}
    demo = read(DEMO | {"sowings": sowings})
    needed = requirement(demo, demo.sowings[0], demo.medium(STARTER))
    others = needed.costs.total - needed.costs.medium
    money = starter * litre[STARTER] + 64 * 0.5 / 0.8 * litre[BULK] + others / needed.cells * 80

    assert row["was_each"] == pytest.approx(money / 60)
    assert ("media", 0, "fill_loss") not in changes  # as entered
    assert changes["media", 1, "fill_loss"] == 0.2
    assert changes["media", 1, "measured"] == ["fill_loss"]


def test_two_sowings_of_a_crop_are_told_apart_and_counted_together():
    sowings = [DEMO["sowings"][1], DEMO["sowings"][1] | {"cell_ml": 50}, DEMO["sowings"][0]]
    second = LETTUCE | {"cells": 50, "up": 30, "ready": 24}
    report = after({"sowings": [LETTUCE, second]}, sowings=sowings)
    first, other = report["sowings"]
    changes = own_figures(report)

    assert other["expected_each"] > first["expected_each"]
    assert changes["media", 0, "emergence", "lettuce"] == {"up": 150, "sown": 200}
    assert changes["media", 0, "survival", "lettuce"] == pytest.approx(134 / 150, abs=5e-5)


def test_sprouted_seed_hands_over_what_took():
    sowings = [DEMO["sowings"][0] | {"presprout": True}, *DEMO["sowings"][1:]]
    report = after({"sowings": [TOMATO]}, sowings=sowings)
    changes = own_figures(report)

    assert changes["sowings", 0, "take"] == 64 / 80
    assert not [place for place in changes if "emergence" in place]


def test_the_reason_named_points_the_way_of_the_difference():
    # The bags went fast, yet everything that was sown came up and lived: less in all.
    bag = {"medium": BULK, "litres": 56.6, "left": 43.6}
    tomato = {"crop": "tomato", "medium": BULK, "cells": 80, "up": 80, "ready": 80}
    (row,) = after({"sowings": [tomato], "bags": [bag]})["sowings"]
    (first, second, *_) = row["why"]

    assert row["was_each"] < row["expected_each"]
    assert (first["what"], second["what"]) == ("medium", "emergence")
    assert first["each"] > 0 > second["each"]
    assert row["says"].endswith(f"came up: {-second['each']:.3f} USD less.")


def test_two_seeds_a_cell_hand_over_the_share_of_one():
    sowings = [DEMO["sowings"][0] | {"seeds_per_cell": 2}, *DEMO["sowings"][1:]]
    report = after({"sowings": [TOMATO]}, sowings=sowings)
    changes = own_figures(report)

    # 64.5 of 81 cells, so 1 - sqrt(1 - 64.5 / 81) of a seed
    assert changes["media", 1, "emergence", "tomato"] == round(1 - math.sqrt(1 - 64.5 / 81), 4)


def test_nothing_ready_has_no_cost_and_says_so():
    (row,) = after({"sowings": [TOMATO | {"ready": 0}]})["sowings"]

    assert row["was_each"] is None and row["why"] == []
    assert row["says"] == f"No seedling of tomato in {BULK} was ready."
