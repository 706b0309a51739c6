"""What a package is worth to the plan, said beside its label once a price or size is typed."""

import json
import random
import re

import pytest

from conversation import Conversation
from page.worth import worth_said
from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.worth import worth_of
from pennyflat.scenario.document import read, write
from pennyflat_display.money import currency_of
from reader.words import said, text
from tests.strategies import random_scenario
from view import Page
from work import errand
from work.entry import FIELDS, path_of, write_text
from work.state import Work

BIG_BAG = "media[0].packages[1].price"
WORKING = text("worth.working")
BOUGHT = re.compile(r"worth it\.$|^It costs the same|^Your crops need it")


@pytest.fixture(autouse=True)
def nothing_searched_before():
    errand._search_for.cache_clear()


@pytest.fixture
def work():
    work = Work(solve=solve)
    work.handle({"do": "more"})
    return work


def typed(work, path, what, more=True):
    work.handle({"do": "type", "path": path, "text": what})
    if more:
        work.handle({"do": "more"})
    return worth_said(work)


def lines(work):
    """The lines about packages on the page: (fragment, text)."""
    shown = Page().all(work)
    return [
        (name, re.sub("<.*?>", "", line))
        for name, html in shown.items()
        for line in re.findall(r'<p class="worth".*?</p>', html)
    ]


def test_a_price_typed_says_what_the_bag_is_worth_and_stands_with_that_bag_alone(work):
    assert worth_said(work) == "" and lines(work) == []

    line = typed(work, BIG_BAG, "9.80")

    # by hand: 2 bags of 8 quarts at 5.90 in its place
    assert line == "$2.00 less than with 2 × Seed starter mix 8 qt (dry): worth it."
    assert lines(work) == [("mix-0-packages", line)]
    other = typed(work, "feed.packages[0].price", "6.40")
    assert lines(work) == [("feed", other)] and other.startswith("Your crops need it")


def test_a_bag_whose_price_takes_it_off_the_list_has_its_line_above_the_list(work):
    row = work.document["media"][0]["packages"]
    number = next(i for i, own in enumerate(row) if own["size"] == 16)
    line = typed(work, f"media[0].packages[{number}].price", "14.49")

    assert line.startswith("No better")
    on_list = dict(lines(work))["errand-list"]
    assert on_list == f"Seed starter mix: Price{line}"
    assert f'data-go="f-media-0-packages-{number}-price"' in Page().all(work)["errand-list"]


def test_no_old_line_stands_beside_a_new_price(work):
    before = typed(work, BIG_BAG, "9.80")

    assert typed(work, BIG_BAG, "9.90", more=False) == WORKING
    assert lines(work) == [("mix-0-packages", WORKING)]
    work.handle({"do": "more"})
    assert worth_said(work) not in (before, WORKING)
    assert typed(work, BIG_BAG, "a lot") == "" and lines(work) == []
    assert typed(work, "sowings[0].wanted", "12", more=False) == ""
    assert typed(work, BIG_BAG, "9.80", more=False) == WORKING


def test_another_entry_has_the_line_worked_out_anew(work):
    before = typed(work, BIG_BAG, "9.80")
    for row in range(3):
        assert typed(work, f"sowings[{row}].wanted", "9", more=False) == WORKING
    work.handle({"do": "more"})

    assert worth_said(work) not in (before, WORKING)
    assert worth_said(work).startswith("No better")


@pytest.mark.parametrize(
    "message",
    [
        {"do": "remove", "path": "media[2]"},
        {"do": "copy", "path": "media[0]"},
        {"do": "empty"},
        {"do": "reset"},
    ],
)
def test_the_line_goes_where_rows_move(work, message):
    typed(work, BIG_BAG, "9.90")
    work.handle(message)

    assert worth_said(work) == "" and lines(work) == []


def test_a_bag_that_is_added_leaves_the_line_of_the_last_one(work):
    typed(work, BIG_BAG, "9.80")
    work.handle({"do": "add", "path": "media"})
    row = len(work.document["media"]) - 1
    typed(work, f"media[{row}].packages[0].size", "25 L")
    line = typed(work, f"media[{row}].packages[0].price", "3.10")

    assert line.endswith("worth it.")
    assert lines(work) == [(f"mix-{row}-packages", line)]


def test_without_a_plan_the_line_says_why_there_is_none(work):
    work.handle({"do": "remove", "path": "feed"})
    for row in range(3):
        typed(work, f"sowings[{row}].weeks", "20", more=False)

    assert typed(work, BIG_BAG, "9.90") == (
        "Every mix runs out of feed: there is nothing to buy yet."
    )


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_the_line_is_the_models_and_agrees_with_the_recommendation(seed):
    rng = random.Random(seed)
    document = write(random_scenario(rng, media=3, sowings=2))
    places = [
        ("media", i, j)
        for i, row in enumerate(document["media"])
        for j, _ in enumerate(row.get("packages", ()))
    ]
    place = rng.choice(places)
    work = Work(document=document, solve=solve)
    parts = ("media", place[1], "packages", place[2], "price")
    price = document["media"][place[1]]["packages"][place[2]]["price"]
    shown = write_text(price * 0.8, FIELDS["packages[].price"], currency_of(document["currency"]))
    line = typed(work, path_of(parts), shown)

    planner = Planner(read(work.answered))
    found = run(worth_of(planner, run(planner.best(), solve), place), solve)
    assert line == (said(found) if found else line)
    package = work.answered["media"][place[1]]["packages"][place[2]]
    label = [work.answered["media"][place[1]]["name"], package["store"], package["size"]]
    counts = [
        row["count"]
        for store in work.errand.bill["stores"]
        for row in store["items"]
        if [row["item"], store["store"], row["size"]] == label
    ]
    assert bool(found and BOUGHT.search(found.template)) == (sum(counts) > 0)


def test_the_pages_solver_is_asked_for_it_and_a_late_answer_is_passed_over():
    conversation = Conversation()
    numbers = iter(range(1, 500))

    def told(**message):
        return conversation.answer(message | {"seq": next(numbers)})

    def on(answer, count=500):
        """Do as the page does, up to a maximum number of times; returns the last answer."""
        for _ in range(count):
            if asked := answer.get("solve"):
                model = json.loads(json.dumps(asked["model"]))
                answer = told(do="solved", id=asked["id"], **solve(model))
            elif answer.get("more"):
                answer = told(do="more")
            else:
                break
        return answer

    def plan_is_proven():
        work = conversation.work
        return work.planned() is not None and work.errand.bill["proven"]

    on(told(do="hello"))
    asked = told(do="type", path=BIG_BAG, text="9.80")
    while not plan_is_proven() or not asked.get("solve"):
        asked = on(asked, 1)
    assert worth_said(conversation.work) == WORKING  # the plan is there, the line is asked for

    late, program = asked["solve"]["id"], asked["solve"]["model"]
    answer = told(do="type", path=BIG_BAG, text="12")
    assert worth_said(conversation.work) == WORKING
    answer |= told(do="solved", id=late, **solve(program))
    assert worth_said(conversation.work) == WORKING
    answer = on(answer)

    assert worth_said(conversation.work).startswith("No better: 8 qt (dry)")
    assert worth_said(conversation.work) in answer["say"]


@pytest.mark.parametrize("where", ["media", "media[0].packages", "feed.packages"])
def test_a_new_package_with_only_a_price_does_not_stop_the_plan(where):
    work = Work(solve=solve)
    work.handle({"do": "add", "path": where})
    package = f"{work.focus}.packages[0]" if where == "media" else work.focus
    work.handle({"do": "type", "path": f"{package}.price", "text": "5", "done": True})

    assert not work.is_current and work.catch_up()
