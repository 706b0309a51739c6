"""The page, with its own Python and solver, gets the same results as native Python."""

import json
import random
import re

import pytest
from markupsafe import Markup
from playwright.sync_api import expect

from pennyflat.buying.highs import solve
from pennyflat.buying.shopping import shop
from pennyflat.comparing.report import compared
from pennyflat.scenario.document import read, write
from pennyflat.scenario.link import encode
from tests.browser.desk import PLANNED, fresh, until
from tests.strategies import random_scenario, whole_scenario
from view import Page
from work.state import Work

SCENARIOS = 30
AT_ONCE = 40
"""How many scenarios Python in the page is given in one go."""
TO_THE_BIT = """
import json
from pennyflat.buying.shopping import shop
from pennyflat.comparing.report import compared
from pennyflat.scenario.document import read

def worked_out(text):
    given = json.loads(text)
    asked, answers = [], iter(given["answers"])
    def solve(program):
        asked.append(program)
        return next(answers)
    scenario = read(given["document"])
    return json.dumps([compared(scenario), shop(scenario, solve=solve), asked])

lambda texts: [worked_out(text) for text in texts]
"""
"""
What is worked out from a document and the solver's answers, in Python in the page.

JSON has as many digits of a number as tell it from every other, so equal text is equal numbers.
"""


@pytest.fixture(scope="module")
def page(browser, site_url):
    context = fresh(browser, locale="en-US")
    page = context.new_page()
    page.goto(site_url)
    until(page, f"window.pennyflat && {PLANNED}")
    page.evaluate("pennyflat.post({ do: 'units', text: 'metric' })")
    yield page
    context.close()


def words(html):
    """The text of some HTML, without blanks."""
    return re.sub(r"\s", "", Markup(html).striptags())


@pytest.mark.parametrize("seed", range(SCENARIOS))
def test_the_plan_in_the_page_is_the_native_one(page, seed):
    document = write(random_scenario(random.Random(seed), media=3, sowings=3))
    natively = Work(document=document, solve=solve)
    natively.handle({"do": "more"})
    expected = Page().all(natively)

    page.evaluate("text => pennyflat.post({ do: 'link', text })", encode(document))
    page.evaluate("pennyflat.post({ do: 'take', text: 'copy' })")
    for name in ("advice", "verdicts", "errand-sums"):
        said = re.compile(r"\s*".join(map(re.escape, words(expected[name]))))
        expect(page.locator(f"#{name}")).to_have_text(said, timeout=60_000)


@pytest.mark.parametrize("start", range(0, 200, AT_ONCE))
def test_every_figure_and_every_program_in_the_page_is_the_native_one_to_the_last_bit(page, start):
    given, expected = [], []
    for seed in range(start, start + AT_ONCE):
        size = {"media": 2 + seed % 2, "sowings": 1 + seed % 3}
        scenario = read(write(whole_scenario(random.Random(seed), **size)))
        asked, answers = [], []

        def noted(program, asked=asked, answers=answers):
            asked.append(program)
            answers.append(solve(program))
            return answers[-1]

        found = [compared(scenario), shop(scenario, solve=noted), asked]
        expected.append(json.dumps(found))
        given.append(json.dumps({"document": write(scenario), "answers": answers}))

    [python] = [w for w in page.workers if w.evaluate("typeof bridge !== 'undefined'")]
    in_the_page = "([code, texts]) => python.runPython(code)(python.toPy(texts)).toJs()"
    found = python.evaluate(in_the_page, [TO_THE_BIT, given])

    assert found == expected
