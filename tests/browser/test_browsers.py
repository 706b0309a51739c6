"""The main journey in Firefox and WebKitGTK: own prices, recommendation, link, reload, offline.

In Chromium every other file of this folder is such a test. What is not installed is skipped.
"""

import os
import threading

import pytest

from tests.browser import webdriver
from tests.browser.marionette import firefox
from webapp.build import serve
from webapp.build.measure.browser import FIREFOX

FIREFOX = next((path for path in FIREFOX if path and os.path.exists(path)), None)
ENTER = """
  for (const [path, text] of %s) {
    const field = document.querySelector(`[data-path="${path}"]`);
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }"""
OWN_PRICES = [
    ["sowings[0].crop", "Cucumbers"],
    ["sowings[0].wanted", "40"],
    ["media[0].packages[0].size", "8 qt"],
    ["media[0].packages[0].price", "5.90"],
    ["media[1].packages[0].size", "2 cu ft"],
    ["media[1].packages[0].price", "14.50"],
]
ANSWERED = (
    "window.pennyflat && !document.getElementById('starting') && !pennyflat.unanswered().length"
)
PLANNED = (
    f"{ANSWERED} && document.getElementById('advice').innerText.includes('Buy 1 ×')"
    " && !/Still checking/.test(document.getElementById('advice').innerText)"
)
ADVICE = r"return document.getElementById('advice').textContent.replace(/\s+/g, ' ').trim()"


@pytest.fixture(params=["firefox", "webkit"])
def page(request, tmp_path):
    """A browser just opened."""
    if request.param == "firefox":
        if not FIREFOX:
            pytest.skip("no Firefox is installed")
        with firefox(FIREFOX, tmp_path) as running:
            yield running
        return
    if not webdriver.IS_INSTALLED:
        pytest.skip("WebKitGTK's WebKitWebDriver and MiniBrowser, or Xvfb, are not installed")
    with webdriver.webkit() as running:
        yield running


@pytest.fixture
def served(site, tmp_path):
    """The address of the site, and how to take its server away."""
    server = serve.server(site)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    ended = []

    def end():
        if not ended:
            ended.append(True)
            server.shutdown()
            server.server_close()
            thread.join()

    yield f"http://127.0.0.1:{server.server_port}/", end
    end()


@pytest.mark.long
def test_from_ones_own_prices_to_the_recommendation_a_link_a_reload_and_offline(page, served):
    address, end_server = served
    page.open(address)
    page.wait_until(ANSWERED)
    page.run("document.querySelector('[data-do=empty]').click()")
    page.wait_until("document.getElementById('standing').innerText.includes('appears here')")
    for field in OWN_PRICES:
        page.run(ENTER % [field])
    page.wait_until(
        f"{PLANNED} && document.getElementById('advice').innerText.includes('40 ready')"
    )
    advice = page.run(ADVICE)
    assert "Buy 1 ×" in advice

    page.run("document.querySelector('[data-do=share]').click()")
    page.wait_until("document.querySelector('#sent input')?.value.includes('#pf1.')")
    link = page.run("return document.querySelector('#sent input').value")
    page.open(address + "?again")
    page.wait_until(PLANNED)
    assert page.run(ADVICE) == advice

    page.run("navigator.serviceWorker.ready.then(({ active }) => { window.worker = active })")
    page.wait_until("window.worker?.state === 'activated'")
    end_server()
    page.open(link)
    page.wait_until(f"{PLANNED} && document.querySelector('#notice [data-text=look]')")
    assert page.run(ADVICE) == advice
    page.run(ENTER % [["media[0].packages[0].price", "7.77"]])
    page.wait_until(f"{PLANNED} && document.getElementById('buying').innerText.includes('7.77')")
    assert page.run("return document.getElementById('trouble').hidden")
