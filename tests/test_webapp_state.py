"""The work: what typing, adding, renaming, removing and undoing do to the scenario."""

import copy
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyflat.buying.highs import solve
from pennyflat.demo import DEMO
from pennyflat_display.money import currency_of
from pennyflat_display.places import DECIMALS
from share.desk import Desk
from share.pooling import Pooling
from share.prices import Prices
from view import Page
from work.edits import NAMES
from work.entry import FIELDS, path_of, place, steps
from work.errand import Errand
from work.messages import MESSAGES as MESSAGES_BY_NAME
from work.state import Work

PRICE = "media[0].packages[0].price"


@pytest.fixture
def work():
    return Work()


def typed(work, path, text, done=False):
    work.handle({"do": "type", "path": path, "text": text, "done": done})


def did(work, act, path=""):
    work.handle({"do": act, "path": path})


def test_every_message_has_one_handler_and_every_handler_a_message():
    owners = (Work, Errand, Desk, Pooling, Prices)
    handlers = sorted(name for owner in owners for name in vars(owner) if name.startswith("on_"))
    named = (f"on_{do.replace('-', '_')}" for do in MESSAGES_BY_NAME)

    assert handlers == sorted(named)


def test_a_price_that_is_typed_changes_the_answer(work):
    typed(work, PRICE, "6,90")

    assert work.document["media"][0]["packages"][0]["price"] == 6.9
    assert work.report["comparisons"][0]["at_the_till"]["paid"] == pytest.approx(
        6.9 + 6.4 + 2 * 3.2  # mix, feed, two packets of 40 seeds for 77
    )


def test_nonsense_is_kept_as_typed_and_so_is_the_last_good_answer(work):
    before = work.report

    typed(work, PRICE, "a lot")

    assert [fault.path for fault in work.faults] == [PRICE]
    assert work.document["media"][0]["packages"][0]["price"] == "a lot"
    assert work.report is before and not work.is_current


def test_a_percentage_is_kept_as_a_share(work):
    typed(work, "sowings[0].germination", "72,5 %")

    assert work.answered["sowings"][0]["germination"] == 0.725


def test_a_blank_field_with_a_default_is_left_out_of_the_scenario(work):
    typed(work, "media[0].fill_loss", "")

    assert work.is_current and "fill_loss" not in work.answered["media"][0]


def test_a_tray_of_which_nothing_is_known_is_no_tray(work):
    for key in ("price", "have"):
        typed(work, f"trays[0].{key}", "")

    assert work.is_current and work.document["sowings"][0]["tray"] == "72 cells"
    assert [tray["name"] for tray in work.answered["trays"]] == ["128 cells"]
    assert "tray" not in work.answered["sowings"][0]
    assert work.answered["sowings"][1]["tray"] == "128 cells"


def test_a_tray_added_asks_for_nothing_until_its_price_is_typed(work):
    did(work, "add", "trays")
    assert work.is_current and work.focus == "trays[2]"
    typed(work, "trays[2].price", "4")

    assert [fault.path for fault in work.faults] == ["trays[2].cells", "trays[2].uses"]
    typed(work, "trays[2].cells", "50")
    typed(work, "trays[2].uses", "3")
    typed(work, "sowings[2].tray", "New tray")
    assert work.is_current and work.answered["sowings"][2]["tray"] == "New tray"


def test_trays_at_home_that_are_not_enough_need_a_shop(work):
    typed(work, "trays[0].store", "")
    assert [fault.path for fault in work.faults] == ["trays[0].store"]

    typed(work, "trays[0].have", "")

    assert work.is_current and "have" not in work.answered["trays"][0]


def test_a_renamed_tray_and_shop_take_along_trays_packets_and_who_stands_in_them(work):
    typed(work, "sowings[1].remedy", "pot_on")
    typed(work, "sowings[1].pot_on.medium", "Bulk potting mix")
    typed(work, "sowings[1].pot_on.cell_ml", "300")
    typed(work, "sowings[1].pot_on.tray", "72 cells")
    typed(work, "trays[0].name", "My flats")
    typed(work, "stores[0].name", "Hill Street")

    assert work.is_current
    first, second, _ = work.answered["sowings"]
    assert first["tray"] == second["pot_on"]["tray"] == "My flats"
    assert second["tray"] == "128 cells"
    assert {tray["store"] for tray in work.answered["trays"]} == {"Hill Street"}
    assert first["seed_packets"][0]["store"] == "Hill Street"


def test_a_blank_packet_holds_up_no_answer_and_half_a_packet_is_asked_for(work):
    did(work, "add", "sowings[0].seed_packets")
    assert work.is_current and len(work.answered["sowings"][0]["seed_packets"]) == 1

    typed(work, "sowings[0].seed_packets[1].seeds", "200")

    assert [fault.path for fault in work.faults] == ["sowings[0].seed_packets[1].price"]
    typed(work, "sowings[0].seed_packets[1].price", "4,5")
    packet = {"store": "Corner shop", "seeds": 200, "price": 4.5}
    assert work.is_current and work.answered["sowings"][0]["seed_packets"][1] == packet


def test_seed_sold_by_weight_takes_the_place_of_a_number_of_seeds(work):
    typed(work, "sowings[1].seed_packets[0].grams", "2")
    typed(work, "sowings[1].seed_packets[0].seeds_per_gram", "800")
    assert [fault.path for fault in work.faults] == ["sowings[1].seed_packets[0].seeds"]

    typed(work, "sowings[1].seed_packets[0].seeds", "")

    assert work.is_current
    assert work.scenario.sowings[1].seed_packets[0].package.size == 1600


@pytest.mark.parametrize(
    ("text", "value"),
    [("17/20", (17, 20)), (" 17 of 20 ", (17, 20)), ("17 out of 20", (17, 20)), ("0/9", (0, 9))],
)
def test_a_share_may_be_typed_as_what_was_counted(work, text, value):
    counts = dict(zip(("up", "sown"), value, strict=True))
    for path in ("sowings[0].germination", "media[0].emergence.tomato"):
        typed(work, path, text)

    assert work.is_current and work.answered["sowings"][0]["germination"] == counts
    assert work.answered["media"][0]["emergence"] == {"tomato": counts}
    fragments = Page().all(work)
    assert f'value="{counts["up"]}/{counts["sown"]}"' in fragments["sowing-0"]
    assert f'value="{counts["up"]}/{counts["sown"]}"' in fragments["mix-0"]


@pytest.mark.parametrize("text", ["21/20", "3/0", "17/", "1e9", "17 20"])
def test_no_more_come_up_than_were_sown(work, text):
    typed(work, "sowings[0].germination", text)

    assert [fault.path for fault in work.faults] == ["sowings[0].germination"]
    assert "as in 17/20" in Page().all(work)["sowing-0"]


def test_survival_in_a_mix_is_kept_by_crop_and_follows_its_name(work):
    typed(work, "media[1].survival.lettuce", "70")
    typed(work, "sowings[1].crop", "cos lettuce")

    assert work.answered["media"][1]["survival"] == {"cos lettuce": 0.7}


@pytest.mark.parametrize(("text", "share"), [("0.5", 0.5), ("1", 1), ("0", 0)])
def test_how_much_of_the_leftovers_will_be_used_is_chosen(work, text, share):
    typed(work, "left_over_counts", text)

    assert work.is_current and work.scenario.left_over_counts == share


def test_a_new_mix_waits_for_size_and_price_and_leaves_the_answer_alone(work):
    before = work.report

    did(work, "add", "media")

    assert [fault.path for fault in work.faults] == [
        "media[3].packages[0].size",
        "media[3].packages[0].price",
    ]
    assert work.report is before
    typed(work, "media[3].packages[0].size", "40")
    typed(work, "media[3].packages[0].price", "9")
    assert work.is_current and len(work.report["comparisons"]) == 12


@pytest.mark.parametrize("size", ["1 qt", "32 fl oz"])
def test_a_liquid_feed_is_sold_in_liquid_measure_and_dosed_by_volume(work, size):
    typed(work, "feed.packages[0].size", size)
    assert [fault.path for fault in work.faults] == ["feed.packages[0].unit"]
    typed(work, "feed.ml_per_litre", "5")
    typed(work, "feed.target_ppm_n", "")

    assert work.is_current
    package = work.scenario.feed.packages[0]
    assert (package.size, package.unit) == (1, "qt_liq")


def test_a_renamed_mix_takes_along_everything_that_names_it(work):
    typed(work, "sowings[0].medium", "Bulk potting mix")
    typed(work, "sowings[1].remedy", "pot_on")
    typed(work, "sowings[1].pot_on.medium", "Bulk potting mix")
    typed(work, "sowings[1].pot_on.cell_ml", "300")

    typed(work, "media[1].name", "Big bag", done=True)

    sowings = work.answered["sowings"]
    assert sowings[0]["medium"] == sowings[1]["pot_on"]["medium"] == "Big bag"


def test_a_renamed_shop_ingredient_and_crop_take_along_everything_that_names_them(work):
    typed(work, "stores[0].name", "Hill Street")
    typed(work, "ingredients[1].name", "White grit")
    typed(work, "ingredients[3].name", "Meal")
    typed(work, "sowings[1].crop", "cos lettuce")

    assert work.is_current
    document = work.answered
    assert document["feed"]["packages"][0]["store"] == "Hill Street"
    assert document["media"][0]["packages"][1]["store"] == "Hill Street"
    assert document["media"][2]["parts"][1]["ingredient"] == "White grit"
    assert document["media"][2]["additions"][0]["ingredient"] == "Meal"
    assert document["media"][1]["emergence"] == {"cos lettuce": 0.58}


@pytest.mark.parametrize(
    ("path", "other"), [("media[0].name", "Bulk potting mix"), ("media[0].name", " ")]
)
def test_a_name_that_cannot_be_taken_waits_and_the_last_one_is_kept(work, path, other):
    before = work.report

    typed(work, path, other, done=True)

    assert [fault.path for fault in work.faults] == [path]
    assert work.document["media"][0]["name"] == "Seed starter mix" and work.report is before
    typed(work, path, "Fine mix", done=True)
    assert work.is_current and work.answered["media"][0]["name"] == "Fine mix"


def test_a_crop_typed_letter_by_letter_does_not_take_over_another_crops_emergence(work):
    did(work, "add", "sowings")
    for length in range(1, len("lettuces") + 1):
        typed(work, "sowings[3].crop", "lettuces"[:length])

    assert work.document["media"][1]["emergence"] == {"lettuce": 0.58}


def test_two_sowings_may_share_a_crop_once_its_name_is_done(work):
    typed(work, "sowings[0].crop", "lettuce")
    assert not work.is_current

    typed(work, "sowings[0].crop", "lettuce", done=True)

    assert work.is_current and work.answered["sowings"][0]["crop"] == "lettuce"


@pytest.mark.parametrize(
    "path",
    [
        "media[1]",
        "media[0].packages[1]",
        "media[2].parts[0]",
        "media[2].additions[0]",
        "ingredients[2]",
        "sowings[0]",
        "sowings[1].seed_packets[0]",
        "trays[1]",
        "stores[1]",
        "feed",
        "energy",
    ],
)
def test_what_was_removed_comes_back_where_it_was(work, path):
    did(work, "remove", path)
    assert work.document != DEMO

    did(work, "undo")

    assert work.document == DEMO and work.is_current


def test_undo_keeps_what_was_typed_since(work):
    did(work, "remove", "media[1]")
    typed(work, "sowings[0].wanted", "75")

    did(work, "undo")

    assert work.document["sowings"][0]["wanted"] == 75
    assert [medium["name"] for medium in work.document["media"]] == [
        medium["name"] for medium in DEMO["media"]
    ]


def test_removals_are_undone_last_first(work):
    did(work, "remove", "sowings[2]")
    did(work, "remove", "sowings[0]")

    did(work, "undo")
    assert [row["crop"] for row in work.document["sowings"]] == ["tomato", "lettuce"]
    did(work, "undo")
    assert work.document == DEMO


def test_a_copy_stands_after_its_original_under_a_name_of_its_own(work):
    did(work, "copy", "media[0]")

    names = [medium["name"] for medium in work.answered["media"]]
    assert names[:3] == ["Seed starter mix", "Seed starter mix 2", "Bulk potting mix"]
    assert work.answered["media"][1]["packages"] == work.answered["media"][0]["packages"]


def test_starting_empty_asks_for_few_things_shows_no_old_answer_and_can_be_undone(work):
    typed(work, "budget", "40")
    did(work, "empty")
    assert work.report is None
    assert len(work.faults) == 8  # one for each field that is marked

    did(work, "undo")

    assert work.document == DEMO | {"budget": 40} and work.report["verdicts"]


def test_of_what_was_invented_nothing_stays_in_a_scenario_of_ones_own(work):
    did(work, "empty")
    own = json.dumps(work.document)

    invented = {row[key] for table, key in NAMES.items() for row in DEMO[table]}
    invented |= {DEMO["title"], DEMO["feed"]["name"]}
    assert not [name for name in invented if name in own]
    assert not {"budget", "feed", "energy", "tax"} & work.document.keys()
    assert work.document["trays"] == []
    assert 'price": null' in own and "deal" not in own
    html = "".join(Page().all(work).values())
    zeros = r'<input[^>]*(?:value|placeholder)="0(?:[.,]0+)?"[^>]*>'
    assert re.findall(zeros, html) == []


def test_the_example_is_the_example_again_when_a_choice_is_put_back(work):
    typed(work, "left_over_counts", "1")
    assert not work.is_example
    typed(work, "left_over_counts", "0")

    assert work.is_example and "invented example" in Page().all(work)["first"]
    typed(work, "left_over_counts", "a lot")
    assert not work.is_example


@pytest.mark.parametrize("act", ["empty", "reset"])
def test_the_untouched_example_is_not_offered_as_earlier_entries(work, act):
    did(work, act)

    assert Page().all(work)["undo"] == ""


def test_an_empty_scenario_filled_in_is_answered(work):
    did(work, "empty")
    for path, text in {
        "sowings[0].wanted": "40",
        "media[0].packages[0].size": "10 L",
        "media[0].packages[0].price": "6",
        "media[1].packages[0].size": "2 cu ft",
        "media[1].packages[0].price": "14",
        "sowings[0].weeks": "3",
    }.items():
        typed(work, path, text)
    work.handle({"do": "type", "path": "sowings[0].crop", "text": "Lettuces", "done": True})

    assert work.is_current and work.report["verdicts"][0]["cheapest"] == "Potting mix"
    assert work.document["media"][1]["packages"][0]["unit"] == "cu_ft"


def test_a_home_blend_can_be_made_from_nothing(work):
    did(work, "empty")
    did(work, "add-blend")

    assert work.document["media"][2]["parts"] == [{"ingredient": "New ingredient", "parts": 1}]
    assert work.document["ingredients"][0]["packages"][0]["store"] == "My shop"


def test_potting_on_asks_for_the_pot(work):
    typed(work, "sowings[0].remedy", "pot_on")

    assert [fault.path for fault in work.faults] == [
        "sowings[0].pot_on.medium",
        "sowings[0].pot_on.cell_ml",
    ]
    typed(work, "sowings[0].remedy", "feed")
    assert work.is_current


def test_without_rows_there_is_something_to_do_and_no_answer_to_anything_else(work):
    before = work.report
    for _ in range(3):
        did(work, "remove", "media[0]")

    assert [fault.path for fault in work.faults] == ["media"]
    assert work.report["format"] == before["format"]


def test_the_curves_are_those_of_the_sowing_shown_and_of_the_plan():
    work = Work(solve=solve)
    work.handle({"do": "show", "row": 1})
    assert work.curves() is None

    work.handle({"do": "more"})
    curves = work.curves()

    assert curves.wanted == 120 and len(curves.lines) == 2
    assert next(iter(curves.lines)) == work.planned()[1]


def test_paths_and_places_agree():
    path = 'media[0].emergence["red \\"kale\\""]'
    assert path_of(steps(path)) == path
    assert place(steps(path)) in FIELDS
    for broken in ("", "media[", "media..name", "media[0]name!"):
        with pytest.raises(ValueError, match="path"):
            steps(broken)


TEXTS = st.sampled_from(
    ["", " ", "7", "2,5", "-1", "1e9", "a lot", "<b>x</b>", "tomato", "Home blend", "kg", "pot_on",
     "مزيج", "🌱", "expected", "yes", "EUR", "9" * 400, "17/20", "72 cells"]
)  # fmt: skip
PLACES = [
    spot.replace("[]", f"[{row}]").replace("{}", ".lettuce")
    for spot in FIELDS
    for row in (0, 1)
    if not spot.startswith(("packages", "parts", "additions", "seed_packets"))
] + [PRICE, "media[2].parts[0].parts", "feed.packages[0].unit", "sowings[0].seed_packets[0].seeds"]
LISTS = ["media", "media[0].packages", "media[2].parts", "media[2].additions", "ingredients",
         "sowings", "stores", "feed", "energy", "labour", "feed.packages", "trays",
         "sowings[0].seed_packets"]  # fmt: skip
MESSAGES = st.one_of(
    st.builds(lambda path, text, done: {"do": "type", "path": path, "text": text, "done": done},
              st.sampled_from(PLACES), TEXTS, st.booleans()),
    st.builds(lambda path: {"do": "add", "path": path}, st.sampled_from(LISTS)),
    st.builds(lambda act, path, row: {"do": act, "path": f"{path}[{row}]"},
              st.sampled_from(["remove", "copy"]), st.sampled_from(LISTS), st.integers(0, 3)),
    st.sampled_from([{"do": "remove", "path": "feed"}, {"do": "undo"}, {"do": "empty"},
                     {"do": "reset"}, {"do": "add-blend"}, {"do": "show", "row": 2},
                     {"do": "show", "row": "x"},
                     {"do": "type"}, {"do": "dance"}, {}]),
)  # fmt: skip


@given(st.lists(MESSAGES, max_size=12))
@settings(max_examples=60)
def test_no_message_breaks_the_work_and_the_page_keeps_up_with_it(messages):
    demo = copy.deepcopy(DEMO)
    work, page = Work(), Page()
    seen = page.all(work)
    for message in messages:
        work.handle(message)
        seen |= page.changed(work)

        fresh = Page().all(work)
        assert {name: seen[name] for name in fresh} == fresh
    assert demo == DEMO


@given(st.floats(-1e8, 1e8).map(lambda value: round(value, 4)))
def test_what_a_field_shows_reads_back_as_the_same_number(value):
    from work.entry import read_text, write_text

    for currency in map(currency_of, DECIMALS):
        for kind in ("packages[].price", "packages[].size", "media[].fill_loss"):
            shown = write_text(value, FIELDS[kind], currency)
            assert read_text(shown, FIELDS[kind], currency) == pytest.approx(value, rel=1e-11)
