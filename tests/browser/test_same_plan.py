"""The page, with its own Python and its own solver, comes to the plan that Python natively does."""

import random
import re

import pytest
from markupsafe import Markup
from playwright.sync_api import expect

from pennyflat.buying.highs import solve
from pennyflat.scenario.document import write
from pennyflat.scenario.link import encode
from tests.browser.desk import PLANNED, fresh, until
from tests.strategies import random_scenario
from view import Page
from work.state import Work

SCENARIOS = 30


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
