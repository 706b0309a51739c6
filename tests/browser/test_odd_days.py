"""The page on a device whose clock is wrong, and on a line that breaks half-way."""

import socket
import threading
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.desk import (
    START_UP_MS,
    WATCH,
    fresh,
    kept,
    open_place,
    opened,
    price,
    unfold,
)

CLOCK = """(now) => {
    const shift = now - Date.now(), Usual = Date;
    globalThis.Date = class extends Usual {
        constructor(...parts) { super(...(parts.length ? parts : [Usual.now() + shift])); }
        static now() { return Usual.now() + shift; }
    };
}"""
EVERYWHERE = f"""(now) => {{
    ({CLOCK})(now);
    window.Worker = class extends Worker {{
        constructor(address) {{
            const request = new XMLHttpRequest();
            request.open("GET", address, false);
            request.send();
            const code = `({CLOCK})(${{now}});\\n${{request.responseText}}`;
            super(URL.createObjectURL(new Blob([code])));
        }}
    }};
}}"""
"""In the page and in its workers."""

MOMENTS = {
    "the first day": (0, "1970"),
    "the last second of 32 bits": (2_147_483_647_000, "2038"),
    "after it": (2_147_483_648_000 + 86_400_000, "2038"),
    "far off": (7_258_118_400_000, "2200"),
}


@pytest.mark.parametrize(("now", "year"), MOMENTS.values(), ids=MOMENTS)
def test_a_wrong_clock_changes_dates_and_breaks_nothing(browser, site_url, now, year):
    context = fresh(browser, bypass_csp=True, timezone_id="UTC")
    context.add_init_script(WATCH)
    context.add_init_script(f"({EVERYWHERE})({now})")
    page = opened(context, site_url)
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    [plan] = kept(page)
    page.close()
    page = opened(context, site_url)

    expect(price(page)).to_have_value("7.30")
    assert abs(plan["at"] - now / 1000) < 600
    unfold(page, "plans-card")
    expect(page.locator("#plans")).to_contain_text("Seedling table")
    expect(page.get_by_role("alert")).to_be_hidden()
    python = next(w for w in page.workers if w.evaluate("typeof python !== 'undefined'"))
    code = "import datetime; str(datetime.datetime.now().year)"
    assert python.evaluate("code => python.runPython(code)", code) == year
    context.close()


@pytest.mark.parametrize(
    ("here", "there"),
    [("Pacific/Kiritimati", "Pacific/Pago_Pago"), ("America/Los_Angeles", "Asia/Kolkata")],
)
def test_another_time_zone_leaves_the_days_of_a_kept_plan(browser, site_url, here, there):
    context = fresh(browser, timezone_id=here)
    context.add_init_script(WATCH)
    page = opened(context, site_url)
    open_place(page, "grow")
    page.get_by_label("Last frost").fill("2027-03-29")
    before = days_of(page)
    kept(page)
    state = context.storage_state(indexed_db=True)
    context.close()
    context = fresh(browser, timezone_id=there, storage_state=state)
    context.add_init_script(WATCH)
    page = opened(context, site_url)

    open_place(page, "grow")
    expect(page.locator("#f-last_frost")).to_have_value("2027-03-29")
    assert days_of(page) == before
    context.close()


def days_of(page):
    """The days in the calendar, on the page and in the file, around the change of the clocks."""
    expect(page.locator("#calendar table").first).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("button", name="Save for my calendar").click()
    lines = Path(download.value.path()).read_text("utf-8").splitlines()
    days = [line for line in lines if line.startswith(("DTSTART", "DTEND", "SUMMARY"))]
    assert days
    return page.locator("#calendar").all_inner_texts(), days


@contextmanager
def line_that_breaks(site, name):
    """A server that closes the connection in the middle of one file."""
    listening = socket.create_server(("127.0.0.1", 0))

    def answer(line):
        with line, suppress(ConnectionError):  # the page may have gone
            asked = line.recv(65536).decode().split(" ")
            path = site / ((len(asked) > 1 and asked[1].lstrip("/")) or "index.html")
            data = path.read_bytes() if path.is_file() else b""
            kinds = {".html": "text/html", ".js": "text/javascript", ".wasm": "application/wasm"}
            head = (
                f"HTTP/1.1 200 OK\r\nContent-Length: {len(data)}\r\nConnection: close\r\n"
                f"Content-Type: {kinds.get(path.suffix, 'application/octet-stream')}\r\n\r\n"
            )
            line.sendall(head.encode() + data[: len(data) // 2 if path.name == name else None])

    def serve():
        while True:
            try:
                line, _ = listening.accept()
            except OSError:
                return  # it is over
            threading.Thread(target=answer, args=(line,), daemon=True).start()

    threading.Thread(target=serve, daemon=True).start()
    yield f"http://127.0.0.1:{listening.getsockname()[1]}/"
    listening.close()


@pytest.mark.parametrize("name", ["python.memory", "pyodide.asm.wasm", "pyodide.asm.js"])
def test_a_line_that_breaks_half_way_is_told_with_the_file(browser, site, name):
    context = fresh(browser)
    page = context.new_page()
    with line_that_breaks(site, name) as address:
        page.goto(address)

        alert = page.get_by_role("alert")
        expect(alert).to_contain_text(f"{name} could not be fetched", timeout=START_UP_MS)
        expect(alert).to_contain_text("Check the connection and load the page again")
        expect(page.locator("#buying")).not_to_be_empty()
    context.close()
