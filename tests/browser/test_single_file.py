"""The page as one file, opened by double click: no server and no network, Chromium and Firefox."""

import os
import re

import pytest
from playwright.sync_api import expect

from tests.browser.desk import look_at, made_link
from tests.browser.marionette import firefox
from tests.browser.test_notes import seen
from webapp.build.measure.visits import FIREFOX
from webapp.build.parts import front

START_UP_MS = 90_000
PRICE = "Price ($)"


@pytest.fixture(scope="module")
def alone(site, tmp_path_factory):
    """The address of the file, with nothing beside it."""
    copy = tmp_path_factory.mktemp("alone") / front.ALONE
    copy.write_bytes((site / front.ALONE).read_bytes())
    return copy.as_uri()


@pytest.fixture(scope="module")
def opened(browser, alone):
    """The file opened and answering, without network; fails on any error or request."""
    context = browser.new_context(locale="en", offline=True)
    page = context.new_page()
    wrong = []
    page.on("console", lambda told: told.type == "error" and wrong.append(told.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on(
        "request",
        lambda request: request.url.startswith(("http", "ws")) and wrong.append(request.url),
    )
    page.goto(alone)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    yield page
    context.close()
    assert wrong == []


def test_a_typed_price_changes_the_answer(opened):
    opened.locator("#mix-0").get_by_label(PRICE).first.fill("7,30")

    expect(opened.locator("#buying")).to_contain_text("$7.30")


def test_charts_are_drawn(opened):
    look_at(opened, "growing-number")
    for chart in ("#chart-cost", "#chart-steps"):
        expect(opened.locator(f"{chart} canvas").first).to_be_visible()


def test_what_the_start_does_not_need_is_there_too(opened):
    made_link(opened)
    expect(opened.locator("#share-card .qr svg")).to_be_visible()
    opened.evaluate("pennyflat.post({ do: 'speak', text: 'de' })")
    expect(opened.locator("html")).to_have_attribute("lang", "de")
    opened.evaluate("pennyflat.post({ do: 'speak', text: 'en' })")


def test_parts_licences_and_notes_are_in_the_file(opened, site):
    seen(opened, site)


def test_it_works_in_firefox(alone, tmp_path):
    program = next((path for path in FIREFOX if path and os.path.exists(path)), None)
    if not program:
        pytest.skip("no Firefox is installed")
    with firefox(program, tmp_path) as page:
        page.open(alone)
        page.wait_until("!document.getElementById('starting')")
        page.run(
            """const price = document.querySelector("#mix-0 [data-path$='price']");
               price.value = "7,30";
               price.dispatchEvent(new Event("input", { bubbles: true }));"""
        )

        page.wait_until("document.getElementById('buying').innerText.includes('$7.30')")
        page.run("location.hash = 'compare'")
        page.wait_until("document.querySelector('#chart-cost > *')")
        assert page.run("return document.getElementById('trouble').hidden")


def test_the_policy_names_each_script_and_allows_no_connection(site):
    html = (site / front.ALONE).read_text("utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)[1]

    assert policy.startswith("default-src 'none'")
    assert "connect-src 'none'" in policy
    assert "http" not in policy and "'unsafe-eval'" not in policy and "'self'" not in policy
    assert "'unsafe-inline'" not in policy.split("script-src")[1].split(";")[0]
    html = re.sub(r"(<script[^>]*>).*?</script>", r"\1", html, flags=re.DOTALL)
    assert re.findall(r"<(?:script|link|img)\b[^>]*\b(?:src|href)=\"(?!data:)[^\"]*", html) == []
