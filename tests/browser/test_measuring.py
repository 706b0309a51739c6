"""What `build.py bench` measures happens: on the page, on the stock page, and it never waits."""

import json

import pytest

from conversation import Conversation
from pennyflat.buying.highs import solve
from view import render_page
from webapp.build import assemble
from webapp.build.environment import Stop
from webapp.build.measure import stock, visits

PANEL = """
var pyodideWorker = { jsdoc: true };
const heard = (text) => pennyflat.take(JSON.parse(text));
pennyflat.connect((message) => ask(JSON.stringify(message)).then(heard));
"""
"""What Panel's own template has, with Python out here."""


@pytest.fixture(autouse=True)
def patience(monkeypatch):
    """A minute, for the machine does other things besides."""
    monkeypatch.setattr(visits, "PATIENCE_S", 60)


def test_marks_edits_and_plans_are_there_on_the_page(page, site_url):
    marks = visits.told_first(page, site_url, visits.READ_MARKS, "7.31")

    assert 0 < marks["first contentful paint [s]"] < marks["first edit answered [s]"]
    took = visits.told(page, visits.TIME_EDITS, [2, 0, ["answered", "planned", "proven"]])
    for answered, there, checked in zip(*took.values(), strict=True):
        assert 0 < answered <= there <= checked
    assert len(took["answered"]) == 2
    page.evaluate("places.go('compare')")
    assert visits.told(page, visits.READ_CHARTS)["charts drawn [s]"] > 0


def test_what_stands_in_the_stock_page_answers(browser, tmp_path):
    conversation = Conversation()
    conversation.prepare(solve)
    page = tmp_path / "index.html"
    html = stock.shell(render_page(), assemble.shell())
    page.write_text(f"<!doctype html><meta charset=utf-8>{html}<script>{PANEL}</script>")
    with visits.new_page(browser.new_context(locale="en")) as stands:
        stands.expose_function(
            "ask", lambda text: json.dumps(conversation.answer(json.loads(text)))
        )
        stands.goto(page.as_uri())
        marks = visits.told(stands, visits.READ_MARKS, "7.31")

    assert 0 < marks["answer visible [s]"] < marks["first edit answered [s]"]


def test_a_page_that_does_not_answer_is_given_up_with_what_it_said(browser, monkeypatch):
    monkeypatch.setattr(visits, "PATIENCE_S", 0.5)
    never = "() => { console.log('no such worker'); return new Promise(() => {}); }"

    with pytest.raises(Stop, match="no such worker"), visits.new_page(browser) as page:
        visits.told(page, never, None)
