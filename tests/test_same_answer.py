"""One recommendation: the command line's, the list's and the page's are the same."""

import json
import random

import pytest

from conversation import Conversation
from pennyflat import compare, shop, write
from pennyflat.buying.highs import solve
from pennyflat.cli import command as cli
from tests.strategies import random_scenario
from work import errand
from work.state import Work

SEEDS = range(200)


@pytest.fixture(autouse=True)
def nothing_searched_before():
    errand._search_for.cache_clear()


def head(found):
    """A recommendation without what is for reading."""
    return json.loads(json.dumps(found | {"sentence": "", "turns": []}))


@pytest.mark.parametrize("start", SEEDS[::50])
def test_compare_and_shop_agree_on_plan_and_sums(start):
    for seed in range(start, start + 50):
        scenario = random_scenario(random.Random(seed), media=2, sowings=2)
        report, bill = compare(scenario), shop(scenario)
        advice = report["recommendation"]

        assert head(advice) == head(bill["recommendation"]), seed
        assert advice["to_pay"] == bill["total"]
        assert advice["with_the_rest"] == bill["with_the_rest"]
        planned = [row["medium"] for row in advice["plan"]]
        rows = report["comparisons"]
        marked = [row["medium"] for row in rows if row["in_plan"]]
        assert marked == [medium for medium in planned if medium]


@pytest.mark.parametrize("seed", SEEDS[::60])
def test_the_page_recommends_the_same_as_the_command_line(seed, tmp_path, capsys):
    document = write(random_scenario(random.Random(seed), media=3, sowings=3))
    (tmp_path / "plan.json").write_text(json.dumps(document), encoding="utf-8")
    cli.main(["shop", str(tmp_path / "plan.json"), "--json"])
    from_cli = json.loads(capsys.readouterr().out)

    work = Work(document=document, solve=solve)
    work.handle({"do": "more"})

    assert head(work.errand.bill["recommendation"]) == head(from_cli["recommendation"])
    assert work.planned() == tuple(row["medium"] for row in from_cli["plan"])


def solved(conversation, told):
    """Do as the page does until nothing is left: go on, or hand over what was solved."""
    found = dict(told.get("fragments", {}))
    while told.get("solve") or told["more"]:
        message = {"do": "more"}
        if asked := told.get("solve"):
            message = {"do": "solved", "id": asked["id"]}
            message |= solve(json.loads(json.dumps(asked["model"])))
        told = conversation.answer(message)
        found |= told.get("fragments", {})
    return found


def first_of(conversation):
    """The plan that needs no solver, and what the page's solver is asked then."""
    plan = conversation.answer({"do": "more", "seq": 2})
    return plan, plan if "solve" in plan else conversation.answer({"do": "more", "seq": 2})


def test_the_page_has_its_solver_elsewhere_and_shows_the_plan_once_it_is_proven():
    conversation = Conversation()
    conversation.answer({"do": "hello", "seq": 1})
    plan, asked = first_of(conversation)

    assert asked["solve"]["model"]["cost"]
    assert not conversation.work.errand.bill["proven"]
    assert "Still checking" in plan["fragments"]["advice"]

    shown = solved(conversation, asked)

    assert "Still checking" not in shown["advice"]
    assert "What would change this" in shown["turns"]
    assert conversation.work.errand.bill["proven"]
    assert not conversation.work.more


def test_no_old_plan_is_shown_after_an_edit():
    conversation = Conversation()
    conversation.work = Work(solve=solve)
    conversation.answer({"do": "hello", "seq": 1})
    conversation.answer({"do": "more", "seq": 2})
    before = conversation.work.errand.bill["total"]
    edit = {"do": "type", "path": "media[0].packages[0].price", "text": "91", "done": True}
    told = conversation.answer(edit | {"seq": 3})["fragments"]

    assert f"{before:.2f}" not in told["bar"] + told["advice"] + told["verdicts"]
    assert "Working it out" in told["bar"]
    assert "Working it out" in told["verdicts"]


def test_a_small_plan_comes_with_the_edit_unless_half_a_price_would_do_harm():
    conversation = Conversation()
    conversation.answer({"do": "hello", "seq": 1})
    edit = {"do": "type", "path": "media[0].packages[0].price", "text": "91"}

    assert conversation.answer(edit | {"unfinished": True, "seq": 2})["waits"]
    told = conversation.answer(edit | {"text": "9.1", "seq": 3})
    assert not told["waits"]
    assert "Working it out" not in told["fragments"]["bar"]
    assert conversation.work.planned()


def test_what_the_solver_answers_too_late_is_passed_over():
    conversation = Conversation()
    conversation.answer({"do": "hello", "seq": 1})
    first = first_of(conversation)[1]["solve"]
    edit = {"do": "type", "path": "media[0].packages[0].price", "text": "91", "done": True}
    second = conversation.answer(edit | {"seq": 3})["solve"]
    late = conversation.answer(
        {"do": "solved", "id": first["id"], "seq": 5} | solve(first["model"])
    )

    assert second["id"] != first["id"]
    assert "solve" not in late
    assert not conversation.work.errand.bill["proven"]


def test_without_a_solver_the_plan_stays_and_says_that_it_is_not_proven():
    conversation = Conversation()
    conversation.answer({"do": "hello", "seq": 1})
    asked = first_of(conversation)[1]["solve"]
    trouble = {"do": "solved", "id": asked["id"], "trouble": "no solver", "seq": 3}
    shown = solved(conversation, conversation.answer(trouble))

    assert "No proof could be made" in shown["advice"]
