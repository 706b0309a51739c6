"""The desk: what is kept, what another tab may do, and what may come from outside."""

import json
import re
from hashlib import sha256

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversation import Conversation
from pennyflat.buying.highs import solve
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.link import encode
from share.keeping import MOST_PAST
from share.sharing import FILES, Refused, from_file, from_link, merged, qr_code
from tests.visits import Visit
from view import Page
from work.state import Work

PRICE = "media[0].packages[0].price"


class Device:
    """The storage of a device as the page keeps it, without a browser."""

    def __init__(self):
        self.texts = {}

    def tab(self, *, solve=None, **hello):
        """A page just opened."""
        work = Visit(solve)
        work.handle({"do": "hello", "kept": dict(self.texts), "pending": [], **hello})
        self.keep(work)
        return work

    def keep(self, work):
        told = work.desk.told()
        if told.get("forget"):
            self.texts.clear()
        for key, found in told.get("keep", {}).items():
            self.texts.pop(key, None) if found is None else self.texts.update({key: found})
        return told

    def do(self, work, act, **fields):
        work.handle({"do": act, **fields})
        return self.keep(work)

    def type(self, work, text, path=PRICE):
        self.do(work, "type", path=path, text=text)


@pytest.fixture
def device():
    return Device()


def price(work):
    return work.document["media"][0]["packages"][0]["price"]


def test_looking_at_the_example_keeps_nothing(device):
    work = device.tab()
    device.do(work, "show", row=1)

    assert device.texts == {}


def test_what_was_typed_is_there_again_and_so_is_the_last_answer(device):
    work = device.tab()
    device.type(work, "6,5")
    device.type(work, "a lot")
    again = device.tab()

    assert price(again) == "a lot" and not again.is_current
    assert again.report == work.report and again.answered == work.answered


def test_what_had_no_answer_when_the_page_closed_is_made_up_for(device):
    device.type(device.tab(), "6,5")
    missed = [{"do": "type", "path": PRICE, "text": "7,5"}, {"do": "copy", "path": "sowings[0]"}]
    again = device.tab(pending=missed)

    assert price(again) == 7.5 and len(again.document["sowings"]) == 4
    assert price(device.tab()) == 7.5


def test_one_state_for_each_field_and_at_most_twenty(device):
    work = device.tab()
    for text in ("6", "6.", "6.5"):
        device.type(work, text)
    assert len(work.desk.keeping.past) == 1
    for number in range(30):
        device.do(work, "copy", path="sowings[0]")
        device.type(work, str(number), "budget")
    past = device.tab().desk.keeping.past

    assert len(past) == MOST_PAST == 20
    assert [state.number for state in past] == sorted(state.number for state in past)
    assert past[-1].what == "before changing Budget for packages and trips"


def test_answering_that_there_is_no_feed_leaves_no_gap_in_the_list_of_earlier_states(device):
    work = device.tab()
    device.do(work, "empty")
    device.do(work, "remove", path="feed")

    assert [state.what for state in work.desk.keeping.past][1:] == ["before removing The feed"]


def test_an_earlier_state_is_named_by_what_was_pressed_after_it(device):
    work = device.tab()
    for path in ("sowings", "media[0].packages"):
        device.do(work, "add", path=path)
    device.do(work, "add-blend")
    device.do(work, "remove", path="energy")

    assert [state.what for state in work.desk.keeping.past] == [
        "before “Add a crop”",
        "before “Add another package”",
        "before “Add a home blend”",
        "before removing Light and heat",
    ]


def test_going_back_can_be_gone_back_from(device):
    work = device.tab()
    device.type(work, "6")
    device.do(work, "back", text=str(work.desk.keeping.past[0].number))
    assert price(work) == 5.9
    device.do(work, "back", text=str(work.desk.keeping.past[-1].number))

    assert price(work) == 6


def test_ticks_of_the_shopping_list_are_kept(device):
    work = device.tab()
    device.do(work, "more")
    device.do(work, "tick", line="a", count=2, text="yes")

    assert device.tab().errand.ticks == {"a": 2}


def test_another_tab_is_noticed_and_nothing_is_overwritten(device):
    one = device.tab()
    device.type(one, "6")
    two = device.tab()
    key = f"plan:{one.desk.keeping.id}"
    device.type(two, "7")
    theirs = device.texts[key]
    one.handle({"do": "elsewhere", "key": key, "text": theirs})

    assert "Another tab has changed" in Page(one.desk).all(one)["notice"] and price(one) == 6
    device.type(one, "8")
    assert device.texts[key] == theirs
    titles = {plan.title for plan in one.desk.keeping.listed()}
    assert titles == {DEMO["title"], f"{DEMO['title']} (from this tab)"}


def test_taking_what_the_other_tab_has_writes_no_plan(device):
    one = device.tab()
    device.type(one, "6")
    key = f"plan:{one.desk.keeping.id}"
    device.type(device.tab(), "7")
    one.handle({"do": "elsewhere", "key": key, "text": device.texts[key]})
    told = device.do(one, "theirs")

    assert price(one) == 7 and key not in told["keep"]
    device.do(one, "back", text=str(one.desk.keeping.past[-1].number))
    assert price(one) == 6


def test_a_change_that_came_too_late_is_kept_beside_the_others(device):
    one = device.tab()
    device.type(one, "6")
    key = f"plan:{one.desk.keeping.id}"
    device.type(device.tab(), "7")
    device.do(one, "elsewhere", key=key, text=device.texts[key], own="{}")

    assert prices(device) == [6, 7]
    assert "both are kept" in one.desk.notice


@pytest.mark.parametrize("act, name", [("plan-copy", "(copy)"), ("both", "(from this tab)")])
def test_what_is_sent_has_the_new_name_of_a_copy(device, behind, act, name):
    one, _ = behind
    device.do(one, act)

    assert one.answered["title"] == one.scenario.title == f"{DEMO['title']} {name}"


@pytest.fixture
def overtaken(device):
    """A tab whose plan another tab has changed, the plan's key, and what the tab has of it."""
    one = device.tab()
    device.type(one, "6")
    key = f"plan:{one.desk.keeping.id}"
    own = device.texts[key]
    device.type(device.tab(), "7")
    return one, key, own


@pytest.fixture
def behind(device, overtaken):
    """The same tab once it has been told, and the plan's key."""
    one, key, _ = overtaken
    device.do(one, "elsewhere", key=key, text=device.texts[key])
    return one, key


def prices(device):
    """The first price in each stored plan."""
    kept = [json.loads(text) for key, text in device.texts.items() if key.startswith("plan:")]
    return sorted(plan["document"]["media"][0]["packages"][0]["price"] for plan in kept)


def test_a_tick_overwrites_nothing_that_another_tab_has_changed(device, behind):
    one, key = behind
    device.do(one, "tick", line="a", count=2, text="yes")

    assert prices(device) == [6, 7]
    assert json.loads(device.texts[key]).get("ticks") is None
    assert json.loads(device.texts[f"plan:{one.desk.keeping.id}"])["ticks"] == {"a": 2}


@pytest.mark.parametrize("act, found", [("both", [6, 7]), ("theirs", [7])])
def test_a_choice_that_is_pressed_twice_is_made_once(device, behind, act, found):
    for _ in range(2):
        device.do(behind[0], act)

    assert prices(device) == found


def looks_at_another(device, work):
    device.do(work, "link", text="#" + encode(with_price(9)))
    device.do(work, "take", text="look")
    assert price(work) == 9


def with_price(number):
    mix = DEMO["media"][0]
    return DEMO | {"media": [mix | {"packages": [mix["packages"][0] | {"price": number}]}],
                   "ingredients": [], "sowings": []}  # fmt: skip


def test_the_own_change_is_kept_beside_the_others_also_while_another_plan_is_looked_at(
    device, overtaken
):
    one, key, own = overtaken
    looks_at_another(device, one)
    device.do(one, "elsewhere", key=key, text=device.texts[key], own=own)

    assert prices(device) == [6, 7] and price(one) == 9
    device.do(one, "own")
    device.type(one, "6.5")
    assert prices(device) == [6.5, 7]


@pytest.mark.parametrize("act, found", [("both", [6, 7]), ("theirs", [7])])
def test_another_tabs_version_can_be_chosen_while_another_plan_is_looked_at(
    device, behind, act, found
):
    one, _ = behind
    looks_at_another(device, one)
    device.do(one, act)
    device.do(one, "own")

    assert price(one) == found[0] and prices(device) == found
    device.type(one, "8")
    assert 8 in prices(device)


def test_two_changes_that_came_too_late_are_kept_as_one(device, behind):
    one, key = behind
    own = json.dumps(json.loads(device.texts[key]) | {"document": one.document})
    for _ in range(2):
        device.do(one, "elsewhere", key=key, text=device.texts[key], own=own)

    assert prices(device) == [6, 7]


def test_a_change_that_came_too_late_is_kept_even_if_another_plan_is_open_by_then(
    device, overtaken
):
    one, key, own = overtaken
    device.do(one, "plan-copy")
    device.type(one, "8")
    told = device.do(one, "elsewhere", key=key, text=device.texts[key], own=own)

    assert prices(device) == [6, 7, 8] and price(one) == 8 and "current" not in told["keep"]
    assert "(from this tab)" in one.desk.notice


FIRST = {
    **{key: value for key, value in DEMO.items() if key not in ("sowings", "trays")},
    "format": "seedling-costs/1",
    "plantings": [
        {
            "crop": "tomato",
            "wanted": 60,
            "cell_ml": 59,
            "weeks": 6,
            "germination": 0.88,
            "tray": {"price": None, "cells": 72, "uses": 4},
            "remedy": "pot_on",
            "pot_on": {
                "medium": "Bulk potting mix",
                "cell_ml": 500,
                "tray": {"price": 2, "cells": 18, "uses": 4},
            },
        }
    ],
}
"""A plan as it was kept in format 1, still without the price of a tray."""


def test_a_plan_kept_in_format_1_opens_and_what_is_kept_from_then_on_is_format_2(device):
    now = {"title": "Old", "at": 1.0, "document": FIRST, "answered": FIRST}
    past = {"number": 3, "at": 0.5, "what": "before a change", "document": FIRST}
    for key, found in (("plan:a", now), ("past:a:3", past)):
        device.texts[key] = json.dumps(found)
    device.texts["current"] = "a"
    missed = [{"do": "type", "path": "plantings[0].wanted", "text": "75"}]
    missed += [{"do": "type", "path": "plantings[0].tray.price", "text": "3"}]
    work = device.tab(pending=missed)

    assert work.is_current and work.document["format"] == "seedling-costs/2"
    assert work.document["sowings"][0]["wanted"] == 75
    assert [tray["name"] for tray in work.document["trays"]] == ["18 cells", "72 cells"]
    assert work.answered["sowings"][0]["pot_on"]["tray"] == "18 cells"
    assert "tray" not in work.answered["sowings"][0]
    assert json.loads(device.texts["plan:a"])["document"]["format"] == "seedling-costs/2"
    device.do(work, "back", text="3")
    assert work.is_current and work.document["sowings"][0]["wanted"] == 60


def test_a_link_and_a_file_in_format_1_open_as_format_2():
    sound = json.loads(json.dumps(FIRST))
    sound["plantings"][0]["tray"]["price"] = 3.2
    offers = [from_link(encode(sound)), from_file("old.json", json.dumps(sound))]

    for offer in offers:
        assert offer.document["format"] == "seedling-costs/2"
        assert offer.document["sowings"][0]["tray"] == "72 cells"
        assert Work.on(offer.document).is_current


def test_forgetting_leaves_nothing(device):
    work = device.tab()
    device.type(work, "6")
    assert device.do(work, "forget-all")["forget"] is True

    assert device.texts == {} and price(work) == 5.9


@settings(max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from(["current", "plan:a", "plan:b", "past:a:0", "past:a:1", "plan:"]),
        st.sampled_from(["", "{", "null", "a", "[]", "1e999", "NaN", '"a"', "{}", "[" * 3000])
        | st.builds(
            lambda title, at, document: json.dumps(
                {"title": title, "at": at, "document": document, "number": at, "what": title}
            ),
            st.none() | st.text(max_size=3) | st.integers(),
            st.none() | st.integers() | st.floats() | st.text(max_size=2),
            st.none()
            | st.just(DEMO)
            | st.just(FIRST)
            | st.sampled_from([10**400, None, "7", [], {}, True]).map(
                lambda cells: FIRST | {"plantings": [{"crop": "a", "tray": {"cells": cells}}]}
            )
            | st.fixed_dictionaries({k: st.just(1) for k in ("title", "media")})
            | st.sampled_from(list(DEMO)).map(lambda key: DEMO | {key: {"x": []}})
            | st.sampled_from(list(DEMO)).map(lambda key: DEMO | {key: [{}]})
            | st.sampled_from(list(DEMO)).map(lambda key: {k: DEMO[k] for k in DEMO if k != key}),
        ),
    )
)
def test_whatever_is_in_the_storage_the_page_shows(kept):
    work = Visit()
    work.handle({"do": "hello", "kept": kept, "pending": [], "storage": ""})

    fragments = Page(work.desk).all(work)
    work.handle({"do": "type", "path": "title", "text": "Mine"})
    assert fragments["mix-list"] and work.document["title"] == "Mine"
    assert all(work.desk.keeping.plans[key[5:]] for key in kept if key.startswith("plan:"))


def test_a_link_waits_for_a_choice_where_there_is_a_plan_and_looking_keeps_nothing(device):
    work = device.tab()
    device.type(work, "6")
    device.do(work, "link", text="#" + encode(DEMO | {"title": "Theirs"}))
    before = dict(device.texts)
    assert "Theirs" in Page(work.desk).all(work)["notice"] and price(work) == 6
    device.do(work, "take", text="look")
    device.type(work, "9")
    assert work.document["title"] == "Theirs" and device.texts == before
    device.do(work, "own")

    assert price(work) == 6 and work.document["title"] == DEMO["title"]
    device.do(work, "take", text="look")
    assert work.document["title"] == "Theirs"


def test_a_link_is_shown_at_once_where_there_is_no_plan(device):
    work = device.tab(link="#" + encode(DEMO | {"title": "Theirs"}))
    assert work.document["title"] == "Theirs" and set(device.texts) == {"visit"}
    device.do(work, "own")

    assert work.document == DEMO and not Page(work.desk).all(work)["notice"]


def test_a_link_stays_beside_the_own_plan_until_it_is_left(device):
    own = device.tab()
    device.type(own, "6")
    device.do(own, "link", text="#" + encode(DEMO | {"title": "Theirs"}))

    work = Visit()
    told = work.talk.answer(
        {"do": "hello", "kept": dict(device.texts), "visit": device.texts["visit"]}
    )
    assert price(work) == 6 and "Theirs" in told["fragments"]["notice"]
    assert not told.get("look") and not told["looking"]
    told = work.talk.answer({"do": "take", "text": "look"})
    assert work.document["title"] == "Theirs" and told["looking"]
    work.talk.answer({"do": "own"})
    told = work.talk.answer({"do": "take", "text": "leave"})
    assert told["keep"]["visit"] is None and not told["fragments"]["notice"]


def test_a_copy_of_a_link_takes_the_link_away_in_the_same_breath(device):
    work = device.tab(link="#" + encode(DEMO | {"title": "Theirs"}))
    told = device.do(work, "plan-copy")

    assert told["keep"]["visit"] is None and f"plan:{told['keep']['current']}" in told["keep"]
    assert "data-claims-kept" in Page(work.desk).all(work)["notice"]


def test_a_link_that_cannot_be_read_again_goes(device):
    device.texts["visit"] = "#pf1.AAAA"
    work = device.tab(visit="#pf1.AAAA")

    assert "visit" not in device.texts and work.desk.notice.startswith("This link")


@pytest.mark.parametrize("act", ["copy", "merge", "leave"])
def test_a_refused_link_leaves_nothing_to_choose(device, act):
    work = device.tab(link="#pf1.AAAA")
    device.do(work, "take", text=act)

    assert work.desk.notice.startswith("This link") and work.document == DEMO


@pytest.mark.parametrize("bad", [{"do": "link", "text": "pf1.AAAA"},
                                 {"do": "file", "name": "a.json", "text": "{"}])  # fmt: skip
def test_a_bad_link_leaves_what_another_has_offered(device, bad):
    device.do(device.tab(), "type", path="title", text="Mine")  # else the link opens at once
    work = device.tab(link="#" + encode(DEMO | {"title": "Theirs"}))
    device.do(work, **{"act" if key == "do" else key: value for key, value in bad.items()})

    notice = Page(work.desk).all(work)["notice"]
    assert "Theirs" in notice and work.desk.notice in notice and "visit" in device.texts
    device.do(work, "take", text="copy")
    assert work.document["title"] == "Theirs"


def test_another_link_ends_looking_at_the_first(device):
    """Otherwise nothing would tell of it."""
    work = device.tab(link="#" + encode(DEMO | {"title": "First"}))
    device.do(work, "link", text="#" + encode(DEMO | {"title": "Second"}))
    assert work.document["title"] == "Second"  # nothing of the reader's own is there
    device.do(work, "own")
    device.do(work, "type", path="title", text="Mine")
    for title in ("First", "Second"):
        device.do(work, "link", text="#" + encode(DEMO | {"title": title}))
        device.do(work, "take", text="look")
    device.do(work, "link", text="#" + encode(DEMO | {"title": "Third"}))

    assert work.document["title"] == "Mine"
    assert "Third" in Page(work.desk).all(work)["notice"]


def test_what_is_in_the_cart_stays_there_while_another_plan_is_looked_at(device):
    work = device.tab()
    device.type(work, "6")
    device.do(work, "tick", line="a", count=2, text="yes")
    device.do(work, "link", text="#" + encode(DEMO | {"title": "Theirs"}))
    device.do(work, "take", text="look")
    assert work.errand.ticks == {}
    device.do(work, "own")
    device.do(work, "type", path="title", text="Mine")

    assert work.errand.ticks == device.tab().errand.ticks == {"a": 2}


def test_without_an_answer_nothing_is_printed_and_why_is_said():
    talk = Conversation()
    talk.answer({"do": "empty"})
    answer = talk.answer({"do": "print", "text": "handout", "page": "https://example.invalid/"})

    assert "trouble" not in answer and "print" not in answer
    assert "fill in what is needed" in answer["fragments"]["notice"]


def test_a_handout_of_the_last_complete_entries_says_so():
    talk = Conversation(solve=solve)
    talk.answer({"do": "type", "path": PRICE, "text": "a lot"})
    message = {"do": "print", "text": "handout", "page": "https://example.invalid/"}
    stale = talk.answer(message)["fragments"]["sheet"]
    talk.answer({"do": "type", "path": PRICE, "text": "6"})

    assert "For the last complete entries" in stale
    assert "For the last complete entries" not in talk.answer(message)["fragments"]["sheet"]


def test_prices_of_the_same_package_are_taken_and_the_rest_is_left():
    dearer = json.loads(json.dumps(DEMO))
    dearer["media"][0]["packages"][0]["price"] = 6.6
    dearer["media"][1]["name"] = "Never heard of"
    del dearer["media"][0]["packages"][1]["deal"]
    dearer["feed"]["packages"] = [{"store": "Elsewhere", "size": 1, "unit": "kg", "price": 9}]
    found = merged(DEMO, dearer)

    assert (found.changed, found.added, found.unknown) == (2, 1, ("Never heard of",))
    assert found.document["media"][0]["packages"][0]["price"] == 6.6
    assert "deal" not in found.document["media"][0]["packages"][1]
    assert found.document["stores"][-1] == {"name": "Elsewhere"}
    compare(read(found.document))
    assert DEMO["media"][0]["packages"][0]["price"] == 5.9


def test_prices_in_another_currency_are_refused():
    with pytest.raises(Refused, match="EUR"):
        merged(DEMO, DEMO | {"currency": "EUR"})


def test_a_price_list_fills_the_shelf(device):
    work = device.tab()
    rows = ["Item;Size;Price;Shop", "Bulk potting mix;2 cu ft;12,50;Farm counter"]
    rows += ["New;40 L;6;Lane", "?;?;?;?"]
    device.do(work, "prices", text="\n".join(rows))
    assert work.document == DEMO and len(work.desk.prices.list.aside) == 1
    device.do(work, "prices-take")

    assert work.document["media"][1]["packages"][0]["price"] == 12.5
    assert work.document["media"][-1]["name"] == "New" and work.is_current
    assert "Prices changed: 1. Packages added: 1." in work.desk.notice


def test_what_a_price_list_has_none_of_is_not_on_the_shelf_without_limit(device):
    work = device.tab()
    device.do(work, "prices", text="Item;Size;Price;Shop;Limit\nNew;40 L;6;Lane;0")
    device.do(work, "prices-take")

    assert work.document["media"][-1]["packages"][0]["limit"] == 0


def listed(device, work, *rows):
    """Read a price list; the page's words about it."""
    device.do(work, "prices", text="\n".join(["Item;Size;Price;Shop", *rows]))
    return re.sub(r"<[^>]*>", " ", Page(work.desk).all(work)["prices"])


def test_names_match_but_for_hyphens_capitals_and_plurals(device):
    work = device.tab()
    listed(device, work, "seed-starter MIXES;8 qt;5,10;Corner shop", "Coir blocks;5 kg;14;Lane")
    device.do(work, "prices-take")

    assert [row["name"] for row in work.document["media"]] == [m["name"] for m in DEMO["media"]]
    assert price(work) == 5.1
    coir = work.document["ingredients"][0]["packages"]
    assert coir[1] == {"store": "Lane", "size": 5, "unit": "kg", "price": 14, "yields_l": 62}
    assert work.is_current


def test_a_yield_is_kept_and_that_of_another_size_follows(device):
    work = device.tab()
    shown = listed(device, work, "Coir block;5 kg;13;Farm counter", "Coir block;650 g;3;Lane")
    assert "Makes 8.06 L, as the same goods on your shelf do." in shown
    device.do(work, "prices-take")

    first, second = work.document["ingredients"][0]["packages"]
    assert (first["price"], first["yields_l"], second["yields_l"]) == (13, 62, 8.06)


def test_what_is_pressed_once_the_list_is_gone_changes_nothing(device):
    work = device.tab()
    listed(device, work, "Seed starter mix;8 qt;5,10;Corner shop")
    device.do(work, "prices-take")
    taken, notice = work.document, work.desk.notice
    device.do(work, "prices-take")
    device.do(work, "prices-mean")

    assert (work.document, work.desk.notice) == (taken, notice)


def test_an_absurd_price_can_be_unticked(device):
    work = device.tab()
    listed(device, work, "Seed starter mix;8 qt;590;Corner shop", "Perlite;8 qt;5,00;Corner shop")
    device.do(work, "prices-tick", line="2", text="")
    device.do(work, "prices-take")

    assert price(work) == 5.9
    assert work.document["ingredients"][1]["packages"][0]["price"] == 5


def test_prices_in_another_currency_are_asked_about(device):
    work = device.tab()
    rows = ["Seed starter mix;8 qt;5,10 €;Corner shop", "Perlite;8 qt;$ 5,00;Corner shop"]
    shown = listed(device, work, *rows)
    assert "marked €, and your plan is in USD" in shown and "5.10 (€)" in shown
    device.do(work, "prices-take")
    assert (price(work), work.document["ingredients"][1]["packages"][0]["price"]) == (5.9, 5)
    listed(device, work, *rows)
    device.do(work, "prices-mean")
    device.do(work, "prices-take")

    assert price(work) == 5.1


def test_a_feed_is_no_new_mix(device):
    work = device.tab()
    shown = listed(device, work, "Liquid seaweed feed;500 mL;7;Lane", "Grit;5 L;4;Lane")
    assert "a feed other than yours: left out" in shown
    device.do(work, "prices-tick", line="2", text="yes")
    device.do(work, "prices-take")

    names = [row["name"] for row in work.document["media"]]
    assert "Grit" in names and "Liquid seaweed feed" not in names


def test_a_mix_by_weight_is_taken_only_if_it_is_ticked(device):
    work = device.tab()
    assert "is still to be told" in listed(device, work, "Peat block;5 kg;9;Lane")
    assert not work.desk.prices.offered(work.document)[0][0].is_ticked


def test_one_undo_takes_a_price_list_back(device):
    work = device.tab()
    device.type(work, "6")
    before = work.document
    listed(device, work, "Seed starter mix;8 qt;5;Lane", "Grit;5 L;4;Elsewhere")
    device.do(work, "prices-take")
    assert work.document != before and "Undo" in Page(work.desk).all(work)["undo"]
    device.do(work, "undo")

    assert work.document == before
    assert json.loads(device.texts[f"plan:{work.desk.keeping.id}"])["document"] == before


def test_of_a_long_list_what_is_on_the_shelf_comes_first(device):
    work = device.tab()
    rows = [f"Grit {n};5 L;4;Lane" for n in range(300)]
    shown = listed(device, work, *rows, "Perlite;8 qt;5,00;Corner shop")
    offered, more = work.desk.prices.offered(work.document)

    assert offered[0].item == "Perlite" and (len(offered), more) == (200, 101)
    assert "101 rows more are left out" in shown


def test_each_line_left_out_is_shown_with_the_reason(device):
    work = device.tab()
    shown = listed(device, work, *(f"Grit {n};5 L;ask;Lane" for n in range(60)))

    for n in range(60):
        assert f"Line {n + 2}  Grit {n} | 5 L | ask | Lane" in shown
    assert shown.count("&#34;ask&#34; is not a price.") == 60


@pytest.mark.parametrize("source", ["", "{", "[]", "NaN", '{"format": 1}', "[" * 9999, None])
def test_a_file_that_is_no_plan_is_one_sentence(source):
    with pytest.raises(Refused, match=r"^odd\.json .*\.$"):
        from_file("odd.json", source)


def test_a_link_that_is_none_is_one_sentence():
    with pytest.raises(Refused, match=r"^This is no link .*\.$"):
        from_link("#nothing-of-ours")


def test_a_qr_code_is_a_drawing_and_stops_where_codes_stop():
    code = qr_code("https://example.org/#" + encode(DEMO))
    assert code.svg.startswith("<svg")
    assert f'viewBox="0 0 {code.modules} {code.modules}"' in code.svg
    assert qr_code("x" * 2953).modules == 177 + 8
    assert qr_code("x" * 2954) is None


def test_a_plan_too_long_for_a_code_is_sent_without_one_and_says_so(device):
    work = device.tab()
    rows = [DEMO["sowings"][0] | {"crop": f"{i}: {hash_of(i)}"} for i in range(60)]
    device.do(work, "link", text=encode(DEMO | {"sowings": rows}))
    device.do(work, "take", text="look")
    device.do(work, "share", page="https://example.org/")
    device.do(work, "print", text="handout", page="https://example.org/")

    shown = Page(work.desk).all(work)
    assert "holds 2,953 characters" in shown["sent"] and "<svg" not in shown["sent"]
    assert "too long for a QR code" in shown["sheet"]


def test_a_handout_follows_the_plan_by_weeks_until_there_is_a_day(device):
    work = device.tab(solve=solve)
    device.do(work, "print", text="handout", page="https://example.org/")
    shown = handout_of(work)

    for row in work.errand.bill["plan"]:
        cells = f"{row['wanted']} {row['crop']} {row['medium']} {row['cells']} {row['seeds']}"
        assert cells in shown
    assert "60 tomato Seed starter mix 77 77 6 weeks before 3 weeks on" in shown
    assert "The blend" not in shown and "Soluble feed 20-20-20: 5 g to a bucket of water" in shown
    assert f"To pay: ${work.errand.bill['total']:.2f}" in shown
    device.type(work, "2027-05-15", "last_frost")
    device.do(work, "print", text="handout", page="https://example.org/")
    assert "77 77 Apr 10 May 1 May 22" in handout_of(work)


def test_a_handout_says_when_and_into_what_to_pot_on(device):
    work = device.tab(solve=solve)
    device.type(work, "pot_on", "sowings[0].remedy")
    device.type(work, "Bulk potting mix", "sowings[0].pot_on.medium")
    device.type(work, "500", "sowings[0].pot_on.cell_ml")
    device.type(work, "Seed starter mix", "sowings[0].medium")
    device.do(work, "print", text="handout", page="https://example.org/")

    assert "77 77 6 weeks before 3 weeks on: Bulk potting mix no feed" in handout_of(work)


def test_a_handout_without_feed_says_nothing_of_it(device):
    work = device.tab(solve=solve)
    for row in range(3):
        device.type(work, "4", f"sowings[{row}].weeks")
        device.type(work, "Bulk potting mix", f"sowings[{row}].medium")
    device.do(work, "print", text="handout", page="https://example.org/")

    shown = handout_of(work)
    assert "Soluble feed" not in shown and "Storing feed" not in shown
    assert "Lights and mats near water: Plug" in shown


def handout_of(work):
    """The words of the handout, blanks run together."""
    found = re.sub(r"<[^>]*>", " ", Page(work.desk).all(work)["sheet"])
    return re.sub(r"\s+", " ", found)


def hash_of(number):
    """Text that cannot be compressed."""
    return sha256(bytes([number])).hexdigest()


def test_an_order_splits_the_bill_and_refuses_two_currencies(device):
    work = device.tab(solve=solve)
    for row in (0, 1):
        sent = DEMO | {"title": f"Member {row}", "sowings": DEMO["sowings"][row : row + 1]}
        device.do(work, "order-link", text=encode(sent))
    report, reasons = work.desk.order.report, work.desk.order.reasons
    assert reasons == ()
    assert round(sum(m["pays"] for m in report["members"]), 2) == round(report["total"], 2)
    assert "Member 0" in Page(work.desk).all(work)["order"]
    device.do(work, "order-link", text=encode(DEMO | {"currency": "EUR"}))
    assert "differ in currency" in Page(work.desk).all(work)["order"]
    device.do(work, "order-remove", text="2")
    assert work.desk.order.report == report


def test_a_club_may_divide_what_it_saves_equally_and_sees_every_share(device):
    work = device.tab(solve=solve)
    for row in (0, 1):
        sent = DEMO | {"title": f"Member {row}", "sowings": DEMO["sowings"][row : row + 1]}
        device.do(work, "order-link", text=encode(sent))
    first = work.desk.order.report
    device.do(work, "order-split", text="equal")
    report = work.desk.order.report

    assert (first["split"]["rule"], report["split"]["rule"]) == ("shapley", "equal")
    one, other = (member["saving"] for member in report["members"])
    assert one == pytest.approx(other, abs=0.011)
    shown = Page(work.desk).all(work)["order"]
    for head in ("Goods", "Share of trips", "Share of the saving", "Pays"):
        assert head in shown
    assert "from Corner shop" in shown and "fetched by" in shown
    assert '<option value="equal" selected>' in shown


def test_saved_files_hold_the_digits_that_are_meant_and_are_called_after_the_plan(device):
    work = device.tab(solve=solve)
    document = DEMO | {"title": "Spring", "tax": 0.1 + 0.05}
    device.do(work, "link", text=encode(document))
    device.do(work, "take", text="copy")
    told = {what: FILES[what](work, work.desk) for what in ("plan", "results", "shopping")}

    assert '"tax": 0.15,' in told["plan"]["text"]
    assert json.loads(told["plan"]["text"])["tax"] == 0.15
    assert [file["name"] for file in told.values()] == [
        "Spring.json", "Spring-comparison.csv", "Spring-shopping.csv",
    ]  # fmt: skip
    for what in ("results", "shopping"):
        assert told[what]["text"].startswith('\ufeff"')
    assert '"crop","wanted","medium"' in told["results"]["text"]


def test_another_plan_does_not_show_the_trials_of_the_one_before(device):
    work = device.tab()
    device.do(work, "trial-example")
    device.do(work, "trial-show")
    assert work.document["trials"] and work.bench.report is not None
    device.do(work, "link", text=encode(DEMO))
    device.do(work, "take", text="copy")

    assert work.bench.report is None and not work.document.get("trials")
    plans = work.desk.keeping.plans.values()
    first = next(plan for plan in plans if plan.kept["document"].get("trials"))
    device.do(work, "plan", text=first.id, kept=device.texts)
    assert work.document["trials"]


def test_a_file_is_saved_though_the_plan_was_left_off_before():
    talk = Conversation()
    talk.answer({"do": "hello", "seq": 0})
    talk.work.is_left_off = True  # as after a message that ran out of patience

    assert "file" in talk.answer({"do": "save", "text": "plan", "seq": 3})


def test_a_refusal_is_shown_again_although_it_is_the_same():
    talk = Conversation()
    talk.answer({"do": "hello", "seq": 0})

    assert all(talk.answer({"do": "link", "text": "junk", "seq": n})["look"] for n in (1, 2))
