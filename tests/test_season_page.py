"""After the season on the page: writing it down, what it shows, and next year's plan."""

import json
import re
from datetime import date

import pytest

from conversation import Conversation
from pennyflat.buying.highs import solve
from pennyflat.demo import DEMO
from pennyflat.scenario.link import encode
from pennyflat_display import places
from share import sharing
from view import Page
from work import fresh
from work.state import Work

STARTER = "Seed starter mix"


@pytest.fixture
def talk():
    """A conversation in which the season was begun."""
    talk = Conversation(solve=solve)
    did(talk, "add", path="happened")
    return talk


@pytest.fixture
def in_us_units():
    places.measure_in(places.US)
    yield
    places.measure_in(places.METRIC)


def did(talk, act, **fields):
    return talk.answer({"do": act, **fields})


def typed(talk, path, text):
    return did(talk, "type", path=path, text=text)


def filled(talk):
    """Every crop written down; the shelf and the feed as they are left."""
    for place, (up, ready) in enumerate([(68, 64), (130, 121), (60, 55)]):
        typed(talk, f"happened.sowings[{place}].up", str(up))
        typed(talk, f"happened.sowings[{place}].ready", str(ready))
    typed(talk, "happened.bags[0].left", "2")
    typed(talk, "happened.feed_left", "150")


def text_of(talk, name):
    html = Page().all(talk.work)[name]
    return " ".join(re.sub(r"<[^>]*>", " ", html).split())


def test_the_form_is_begun_from_the_plan_in_one_tap(talk):
    went = talk.work.document["happened"]
    plan = talk.work.errand.bill["plan"]

    assert [(r["crop"], r["medium"], r["cells"]) for r in went["sowings"]] == [
        (row["crop"], row["medium"], row["cells"]) for row in plan
    ]
    assert (
        text_of(talk, "season-shows")
    ) == "Still needed: seedlings ready for tomato, lettuce and marigold."


def test_the_form_waits_while_something_is_wrong():
    work = Work(solve=solve)
    work.handle({"do": "type", "path": "media[0].packages[0].price", "text": "a lot"})
    work.handle({"do": "add", "path": "happened"})

    assert "happened" not in work.document
    assert 'data-path="happened"' not in Page().all(work)["season"]


def test_what_is_written_down_leaves_the_plan_as_it_is(talk):
    before = talk.work.errand.bill
    filled(talk)

    assert talk.work.errand.bill is before and talk.work.planned() is not None


def test_the_result_follows_the_last_figure_and_none_is_shown_for_earlier_ones(talk):
    filled(talk)
    shown = text_of(talk, "season-shows")
    assert "tomato in Seed starter mix cost" in shown and re.search(r"\bmix: ", shown)

    typed(talk, "happened.sowings[0].ready", "70")  # more than came up
    assert text_of(talk, "season-shows") == "Correct what is marked, and the result appears here."

    typed(talk, "happened.sowings[0].ready", "")
    assert text_of(talk, "season-shows").endswith("seedlings ready for tomato.")

    typed(talk, "happened.sowings[0].ready", "60")
    assert text_of(talk, "season-shows") not in (shown, "")
    assert "tomato in Seed starter mix cost" in text_of(talk, "season-shows")


def test_amounts_are_typed_and_shown_in_the_reader_s_units(talk, in_us_units):
    typed(talk, "happened.bags[0].left", "2")
    typed(talk, "happened.feed_left", "4")
    went = talk.work.document["happened"]

    # litres to a dry quart, grams to an ounce
    assert went["bags"][0]["left"] == pytest.approx(2 * 1.101220942715)
    assert went["feed_left"] == pytest.approx(4 * 28.349523125)
    form = Page().all(talk.work)["season"]
    assert "Left (dry qt)" in form and 'value="8"' in form  # the bottle's 8 ounces
    places.measure_in(places.METRIC)
    assert "Left (L)" in Page().all(talk.work)["season"]


def test_what_was_written_down_follows_a_new_name(talk):
    typed(talk, "sowings[0].crop", "Roma")
    typed(talk, "media[0].name", "Fine mix")
    went = talk.work.document["happened"]

    assert went["sowings"][0]["crop"] == "Roma"
    assert {row["medium"] for row in went["bags"]} == {"Fine mix"}


def test_a_crop_taken_out_of_the_plan_is_named(talk):
    filled(talk)
    did(talk, "remove", path="sowings[2]")

    assert text_of(talk, "season-shows").startswith("marigold is not in this plan any more.")
    did(talk, "remove", path="happened.sowings[2]")
    assert "lettuce in Seed starter mix cost" in text_of(talk, "season-shows")


def test_a_crop_in_two_mixes_has_two_lines(talk):
    did(talk, "copy", path="happened.sowings[0]")
    typed(talk, "happened.sowings[1].medium", "Bulk potting mix")
    first, second = talk.work.document["happened"]["sowings"][:2]

    assert second == {"crop": "tomato", "medium": "Bulk potting mix"}
    assert first["cells"] == 77


def test_the_form_goes_and_comes_back(talk):
    filled(talk)
    before = talk.work.document
    did(talk, "remove", path="happened")
    assert "happened" not in talk.work.document

    did(talk, "undo")
    assert talk.work.document == before


def test_one_s_own_figures_stand_beside_those_of_the_plan(talk):
    filled(talk)
    shown = text_of(talk, "season-shows")

    assert re.search(r"Seed starter mix: Lost in filling and firming 12% \d", shown)
    assert "Seed starter mix, tomato: Emergence – 68/77" in shown
    assert "Soluble feed 20-20-20: At home already 0 g 150 g" in shown


def test_next_year_starts_from_one_s_own_figures_and_last_year_s_plan_stays(talk):
    filled(talk)
    before = talk.work.document
    last = talk.desk.keeping.id
    answer = did(talk, "season-next")
    year = date.today().year + (date.today().month > 3)
    document = talk.work.document

    assert "happened" not in document and document["title"] == f"{DEMO['title']} {year}"
    assert document["media"][0]["emergence"]["tomato"] == {"up": 68, "sown": 77}
    assert document["media"][0]["stock"] == 2 and document["feed"]["stock"] == 150
    assert document["media"][0]["packages"] == DEMO["media"][0]["packages"]
    assert answer["focus"] == "f-media-0-packages-0-price"
    assert talk.desk.keeping.id != last
    kept = {key: json.loads(text)["document"] for key, text in answer["keep"].items()
            if key.startswith("plan:")}  # fmt: skip
    assert kept == {f"plan:{talk.desk.keeping.id}": document}
    assert talk.desk.keeping.plans[last].kept["document"] == before


def test_next_year_starts_where_every_mix_is_a_blend():
    talk = Conversation(solve=solve)
    for place in (0, 0):
        did(talk, "remove", path=f"media[{place}]")
    did(talk, "add", path="happened")
    filled(talk)
    last = talk.desk.keeping.id
    answer = did(talk, "season-next")

    assert [row["name"] for row in talk.work.document["media"]] == ["Home blend"]
    assert not answer["focus"] and talk.desk.keeping.id != last
    assert "happened" in talk.desk.keeping.plans[last].kept["document"]


def test_undo_goes_back_to_last_year_and_takes_the_new_plan_away(talk):
    filled(talk)
    before, last = talk.work.document, talk.desk.keeping.id
    past = talk.desk.keeping.past
    did(talk, "season-next")
    made = talk.desk.keeping.id
    answer = did(talk, "undo")

    assert talk.work.document == before and talk.desk.keeping.id == last
    assert list(talk.desk.keeping.plans) == [last]
    assert answer["keep"]["current"] == last and answer["keep"][f"plan:{made}"] is None
    assert talk.desk.keeping.past[: len(past)] == past


def test_undo_goes_back_to_last_year_even_if_another_tab_has_deleted_the_new_plan(talk):
    filled(talk)
    last = talk.desk.keeping.id
    did(talk, "season-next")
    did(talk, "elsewhere", key=f"plan:{talk.desk.keeping.id}")
    answer = did(talk, "undo")

    assert "trouble" not in answer and f"plan:{last}" in answer["keep"]


def test_undo_keeps_a_new_plan_that_was_worked_on(talk):
    filled(talk)
    before, last = talk.work.document, talk.desk.keeping.id
    did(talk, "season-next")
    made = talk.desk.keeping.id
    typed(talk, "media[0].packages[0].price", "7")
    did(talk, "undo")

    assert talk.work.document == before and talk.desk.keeping.id == last
    assert set(talk.desk.keeping.plans) == {last, made}


@pytest.mark.parametrize("missing", ["", "ready"])
def test_the_season_goes_with_the_plan_in_links_and_files(talk, missing):
    filled(talk)
    if missing:
        typed(talk, f"happened.sowings[1].{missing}", "")
    went = talk.work.answered["happened"]
    link = sharing.address(talk.work.answered, "https://example.org/")
    did(talk, "share", page="https://example.org/")
    saved = sharing.as_file(talk.work)

    for offer in (sharing.from_link(link), sharing.from_file(saved["name"], saved["text"])):
        other = Conversation(solve=solve)
        other.work.open(offer.document)
        assert other.work.answered["happened"] == went
        assert text_of(other, "season-shows") == text_of(talk, "season-shows")


def test_an_old_link_opens_without_a_season():
    offer = sharing.from_link(encode(DEMO))
    work = Work(solve=solve)
    work.open(offer.document)

    assert "Write down how it went" in Page().all(work)["season"]
    assert Page().all(work)["season-shows"] == ""


def test_the_year_follows_the_last_season_s_days(talk):
    typed(talk, "last_frost", "2031-05-15")
    filled(talk)

    assert fresh.next_season(talk.work.scenario)["title"].endswith(" 2032")
