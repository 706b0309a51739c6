"""The built site, served on a free port, in a browser that can look up no other host."""

import os
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.desk import START_UP_MS, WATCH, fresh, open_place, start_over
from webapp.build import serve
from webapp.build.measure.visits import SHELL, launched
from webapp.build.parts import front

ROOT = Path(__file__).resolve().parents[2]

expect.set_options(timeout=20_000)  # the machine does other things besides, and charts are loaded


@pytest.fixture(scope="session")
def site():
    """The folder of the site, built from what is here now."""
    subprocess.run([sys.executable, ROOT / "build.py"], check=True)
    return ROOT / "site"


@pytest.fixture(scope="session")
def site_url(site):
    """Where the site is served."""
    with serve.served(site) as address:
        yield address


@pytest.fixture(scope="session")
def browser():
    """One browser for all tests, which never stay long enough for WebAssembly compiled twice."""
    with launched("--js-flags=--liftoff-only", first=SHELL) as running:
        yield running


@pytest.fixture
def page(browser, site_url):
    """An empty page; fails if it does anything wrong."""
    context = fresh(browser)
    page = context.new_page()
    wrong = faults_of(page, site_url)
    yield page
    context.close()
    assert wrong == []


@pytest.fixture(scope="module")
def standing(browser, site_url):
    """A page in which all has been loaded, and what it did wrong since."""
    context = fresh(browser)
    page = context.new_page()
    wrong = faults_of(page, site_url)
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    open_place(page, "compare")
    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)
    yield page, wrong
    context.close()


@pytest.fixture
def example(standing):
    """
    The example as when the page has just been opened; fails if the page does anything wrong.

    One page serves all tests of a module, since starting takes the longest.
    """
    page, wrong = standing
    start_over(page)
    yield page
    found = wrong.copy()
    wrong.clear()
    assert found == []


def faults_of(page, site_url):
    """A list that grows when a page logs or throws an error, or asks for anything outside."""
    wrong = []

    def requested(request):
        if not inside(request.url, site_url):
            wrong.append(f"asked for {request.url}")

    page.on("console", lambda told: told.type == "error" and wrong.append(f"logged {told.text}"))
    page.on("pageerror", lambda error: wrong.append(f"threw {error}"))
    page.on("request", requested)
    return wrong


def inside(url, site_url):
    """Whether an address is in the site's own folder, or made in the page itself."""
    return url.startswith((site_url, f"blob:{site_url}", "data:"))


@pytest.fixture
def address(request, site, site_url):
    """Where the page is: "served", which is the usual case, or "one file"."""
    if getattr(request, "param", "served") == "one file":
        return (site / front.ALONE).as_uri()
    return os.environ.get("PENNYFLAT_PAGE") or site_url


@pytest.fixture
def context(browser, address):
    """A user's browser, without network for a file; fails if a page in it throws an error."""
    with visiting(browser, address) as made:
        yield made


@pytest.fixture
def other_context(browser, address):
    """Another user's."""
    with visiting(browser, address) as made:
        yield made


@contextmanager
def visiting(browser, address):
    """A fresh browser that notes when Python answers, held to `address`."""
    wrong = []
    made = fresh(browser, accept_downloads=True, offline=address.startswith("file:"))
    made.add_init_script(WATCH)
    made.on("weberror", lambda error: wrong.append(str(error.error)))
    yield made
    made.close()
    assert wrong == []
