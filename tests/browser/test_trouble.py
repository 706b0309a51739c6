"""What keeps the calculator from starting is told in plain words, with what to do."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.desk import fresh, made_link, saved_calendar

START_UP_MS = 60_000


@pytest.fixture
def page(browser):
    """A page in which things go wrong."""
    context = fresh(browser)
    yield context.new_page()
    context.close()


def told(page, site_url, *words):
    """Open the page and see what it says, with the example still there."""
    page.goto(site_url)
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("could not start", timeout=START_UP_MS)
    for word in words:
        expect(alert).to_contain_text(word)
    expect(page.locator("#starting")).to_have_count(0)
    expect(page.locator("#buying")).not_to_be_empty()


def test_a_browser_without_webassembly(page, site_url):
    page.add_init_script("delete globalThis.WebAssembly")

    told(page, site_url, "cannot run WebAssembly", "Use a current Firefox")


@pytest.mark.parametrize("name", ["python.memory", "pyodide.asm.wasm", "pyodide.asm.js"])
@pytest.mark.parametrize("harm", ["cut short", "one byte changed"])
def test_a_damaged_file(page, site, site_url, name, harm):
    [path] = site.rglob(name)
    good = path.read_bytes()
    bad = good[:-1000] if harm == "cut short" else good[:-9] + bytes([good[-9] ^ 1]) + good[-8:]
    kind = "application/wasm" if name.endswith("wasm") else "application/octet-stream"
    page.route(f"**/{name}", lambda route: route.fulfill(body=bad, content_type=kind))

    told(page, site_url, f"The file {name} did not arrive as it should", "Load the page again")


def test_a_file_that_is_not_there(page, site_url):
    page.route("**/python.memory", lambda route: route.fulfill(status=404, body=""))

    told(page, site_url, "is being updated", "Load the page again in a minute")


def test_a_connection_that_breaks(page, site_url):
    page.route("**/python.memory", lambda route: route.abort())

    told(page, site_url, "python.memory could not be fetched", "Check the connection")


@pytest.mark.parametrize(
    "status, words", [(404, "is being updated"), (200, "did not arrive as it should have")]
)
def test_without_its_charts_the_page_does_all_else(page, site, site_url, status, words):
    [path] = site.rglob("bokeh.min.js")
    bad = path.read_bytes() + b";"
    page.route("**/bokeh.min.js", lambda route: route.fulfill(status=status, body=bad))
    page.goto(f"{site_url}#compare")

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("The charts could not be drawn", timeout=START_UP_MS)
    expect(alert).to_contain_text(words)
    expect(page.locator("#starting")).to_have_count(0)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30", timeout=START_UP_MS)
    made_link(page)
    expect(page.locator("#share-card .qr svg")).to_be_visible()
    assert "BEGIN:VEVENT" in Path(saved_calendar(page)).read_text("utf-8")


@pytest.mark.parametrize(
    "spoil",
    [
        # what browsers do when there is no room for Python's memory
        "WebAssembly.Memory = function () { throw new RangeError('could not allocate memory'); };",
        "WebAssembly.compileStreaming = () => Promise.reject(new RangeError('Out of memory'));",
        "WebAssembly.instantiate = () => Promise.reject(new RangeError('Out of memory'));",
    ],
)
def test_too_little_memory(page, site_url, spoil):
    page.add_init_script(
        f"""{spoil} globalThis.Worker = class extends Worker {{
          constructor(address) {{
            const request = new XMLHttpRequest();
            request.open("GET", address, false);
            request.send();
            super(URL.createObjectURL(new Blob([{spoil!r}, request.responseText])));
          }}
        }}"""
    )
    page.context.new_cdp_session(page).send("Page.setBypassCSP", {"enabled": True})

    told(page, site_url, "not enough memory", "Close other tabs or programs")
