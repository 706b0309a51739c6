"""
The main journey, by the pointer and the keys of each browser that is installed.

From one's own prices to the recommendation; a link to it, opened by somebody who has nothing of it;
a reload; and another one without network.
"""

import os
from contextlib import contextmanager

import pytest

from tests.browser.marionette import Driven, firefox
from tests.browser.webkit import IS_INSTALLED, webkit
from webapp.build import serve
from webapp.build.measure.visits import FIREFOX

FIREFOX = next((path for path in FIREFOX if path and os.path.exists(path)), None)
OTHERS = ["firefox", "webkit"]
OWN = {
    "sowings[0].crop": "Cucumbers",
    "sowings[0].wanted": "40",
    "media[0].packages[0].size": "8 qt",
    "media[0].packages[0].price": "5.90",
    "media[1].packages[0].size": "2 cu ft",
    "media[1].packages[0].price": "14.50",
}
ANSWERED = (
    "window.pennyflat && !document.getElementById('starting') && !pennyflat.unanswered().length"
    " && !/working|Still checking/.test(document.getElementById('advice').innerHTML)"
)
ADVICE = "document.getElementById('advice').innerText"
NOTICE = "document.getElementById('notice').innerText"
LINK = "document.getElementById('share-link')?.value"


class Chromium(Driven):
    """A page of Playwright's."""

    def __init__(self, page):
        self._page = page

    def open(self, address):
        self._page.goto(address)

    def reload(self):
        self._page.reload()

    def run(self, script):
        return self._page.evaluate(f"() => {{ {script} }}")

    def click(self, selector):
        self._page.click(selector)

    def type(self, selector, text):
        self._page.keyboard.type(text)


@pytest.fixture(params=["chromium", *OTHERS])
def visitor(request, browser, tmp_path):
    """How to make a browser that knows nothing yet, for somebody of that name."""
    if request.param == "firefox" and not FIREFOX:
        pytest.skip("no Firefox is installed")
    if request.param == "webkit" and not IS_INSTALLED:
        pytest.skip("WebKitWebDriver, MiniBrowser (Debian: webkit2gtk-driver) or Xvfb is not there")

    @contextmanager
    def made(name):
        if request.param == "chromium":
            context = browser.new_context(locale="en")
            yield Chromium(context.new_page())
            context.close()
        elif request.param == "firefox":
            (tmp_path / name).mkdir()
            with firefox(FIREFOX, tmp_path / name) as page:
                yield page
        else:
            with webkit() as page:
                yield page

    return made


def go(page, place):
    page.click(f"#places a[href='#{place}']")


def enter(page, path, text):
    """Type into a field, in the place of what is in it."""
    field = f'[data-path="{path}"]'
    page.run(
        f"const field = document.querySelector('{field}');"
        "field.closest('details').open = true; field.scrollIntoView({ block: 'center' })"
    )
    page.click(field)
    page.type(field, text)
    page.wait_until(f"document.querySelector('{field}').value === '{text}' && {ANSWERED}")


def advice(page):
    """The recommendation that is read in "buy", once it is there."""
    go(page, "buy")
    page.wait_until(f"{ANSWERED} && {ADVICE}.includes('Buy 1 ×')")
    return page.run(f"return {ADVICE}")


def test_from_own_prices_to_the_recommendation_a_link_a_reload_and_no_network(visitor, site):
    with visitor("ann") as page:
        with serve.served(site) as address:
            page.open(address)
            page.wait_until(ANSWERED)
            page.click("[data-do=empty]")
            page.wait_until(f"{ANSWERED} && location.hash === '#enter'")
            for path, text in OWN.items():
                enter(page, path, text)
            said = advice(page)
            assert "40 ready" in said

            go(page, "share")
            page.click("#share-card > summary")
            page.click("[data-do=share]")
            page.wait_until(LINK)
            with visitor("bea") as other:
                other.open(page.run(f"return {LINK}"))
                assert advice(other) == said
                assert "You are looking at" in other.run(f"return {NOTICE}")

            page.reload()
            assert advice(page) == said
            page.run("navigator.serviceWorker.ready.then(({ active }) => { window.kept = active })")
            page.wait_until("window.kept?.state === 'activated'")
        page.reload()
        assert advice(page) == said
        go(page, "enter")
        enter(page, "media[1].packages[0].price", "13.90")
        assert "$13.90" in advice(page)
        assert page.run("return document.getElementById('trouble').hidden")
