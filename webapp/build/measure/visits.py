"""Visits to a built page in a browser: when it answered, how soon edits and plans followed.

Times are in milliseconds and sizes in bytes: lists, by what the bench's table calls them.

If a task in a page takes longer than PATIENCE_S, it stops and shows the page's console.
"""

import itertools
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import contextmanager
from pathlib import Path

from brotli import compress
from playwright.sync_api import TimeoutError as TookTooLong
from playwright.sync_api import sync_playwright

from pennyflat.demo import DEMO
from webapp.build import serve
from webapp.build.environment import Stop
from webapp.build.files import remembered
from webapp.build.measure import hard

BROWSERS = [
    *map(shutil.which, ["chromium", "chromium-browser", "google-chrome", "microsoft-edge"]),
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
]
SHELL = shutil.which("chromium-headless-shell")
"""The same browser without windows of its own: a page starts with a sixth less processor time."""

FIREFOX = [
    *map(shutil.which, ["firefox-esr", "firefox"]),
    "/Applications/Firefox.app/Contents/MacOS/firefox",
]
ARGUMENTS = [
    "--disable-quic",
    "--disable-background-networking",
    "--no-first-run",
    # parts of the browser's own window that it draws as pages, in a slow process
    "--disable-features=PreloadTopChromeWebUI,WebUIOmniboxPopup,WebUIOmniboxAimPopup,"
    "OmniboxPopupWebUI",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]

PATIENCE_S = 300  # ours: twice what the stock page takes on a slow line
LOOK_MS = 200  # between two checks whether a page is done
PAUSE_S = 20  # after the answer of a visit, for the page to fill its caches
PRICES = ("7.31", "8.53")  # typed in the visits: the second one finds the first one's price
SEEN = {"viewport": {"width": 1280, "height": 900}, "locale": "en"}

BYTES_PER_S, DELAY_S, PIECE = 200_000, 0.15, 16_384
"""A slow line: 1.6 Mbit/s, the time before an answer begins, and bytes sent at a time."""

TOLD = """(given) => {
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const answer = () => new Promise((done) => {
    addEventListener("pennyflat:answer", done, { once: true, capture: true });
  });
  const when = async (look) => {
    while (!look()) await Promise.race([answer(), pause(2)]);
    return performance.now();
  };
  const type = (field, text) => {
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const waiting = () => pennyflat.unanswered().some(({ do: act }) => act === "type");
  globalThis.measured = null;
  (CODE)(given).then((told) => (globalThis.measured = { told }));
}"""
"""Starts one of the following functions in a page, with what they share."""

READ_MARKS = """async (typed) => {
  const price = () => document.querySelector("#mix-0 [data-path$='price']");
  const visible = await when(() => document.getElementById("buying")?.innerText.trim());
  await when(price);
  type(price(), typed);
  const gist = document.getElementById("mix-0-gist");
  const edited = await when(() => gist.textContent.includes(typed));
  const paint = performance.getEntriesByName("first-contentful-paint")[0]?.startTime;
  return {
    "first contentful paint [s]": paint,
    "answer visible [s]": visible,
    "first edit answered [s]": edited,
  };
}"""
"""As a page opens: when it painted, showed an answer, and answered an edit."""

READ_CHARTS = """async () => {
  const places = [...document.querySelectorAll("[data-drawn]")];
  const drawn = await when(() => {
    const wanted = places.filter((place) => place.checkVisibility()).length;
    return wanted && (globalThis.Bokeh?.index?.roots?.length ?? 0) >= wanted;
  });
  return { "charts drawn [s]": drawn };
}"""
"""As a page opens where charts are: when those in sight were there."""

TIME_EDITS = """async ([count, rest, looks]) => {
  const field = document.querySelector("[data-path='media[0].packages[0].price']");
  const advice = document.getElementById("advice"), price = Number(field.value);
  const took = Object.fromEntries(looks.map((look) => [look, []]));
  const is = {
    answered: () => !waiting(),
    planned: () => !advice.querySelector(".working"),
    proven: () => !advice.querySelector(".checking"),
  };
  if (looks.includes("proven")) await when(() => is.planned() && is.proven());
  for (let i = 1; i <= count; i++) {
    const from = performance.now();
    type(field, (price * (1 - 0.01 * i)).toFixed(4));
    for (const look of looks) took[look].push((await when(is[look])) - from);
    await pause(rest);
  }
  return took;
}"""
"""After edits of a price, each followed by a pause: when it was answered, planned and proven."""

EDITS = {12: 30, 60: 8}  # timed edits, by the number of media and of sowings
AT_ONCE_MS, SEARCHING_MS, PLANNED_MS = 50, 1000, 300
"""Pauses: before the page asks for the plan, while it is being solved, and after that."""

PLAN_EDITS = 5
PLANS = {"the example": None, "6 × 10": (6, 10), "12 × 12": (12, 12), "60 × 60": (60, 60)}
"""Timed plans, after PLAN_EDITS each: mixes × sowings of nearly equal price (see hard.py)."""


@contextmanager
def launched(*arguments, first=None):
    """A browser as `installed`, with additional arguments."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(**installed(*arguments, first=first))
        yield running
        running.close()


def installed(*arguments, first=None):
    """Path of an installed browser, `first` if it is there, or of Playwright's own; its options."""
    found = next((path for path in (first, *BROWSERS) if path and os.path.exists(path)), None)
    if not found:
        subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=True)
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return {"executable_path": found, "args": [*ARGUMENTS, *root, *arguments]}


def opened_twice(folder):
    """A first and a second visit: their figures, the first one's files, the browser's version."""
    marks, _, version = two_visits(folder, "", READ_MARKS, PRICES)
    charts, asked, _ = two_visits(folder, "#compare", READ_CHARTS, (None, None))
    told = marks | charts | marks  # in this order, with the memory of a visit without charts
    return dict(sorted(told.items(), key=lambda row: row[0].split(":")[0])), asked, version


def two_visits(folder, place, code, given):
    """
    What a function tells as a page opens at a place, for the first time and again.

    Returns that, with the memory it took the first time, where it is known; the files that it asked
    for the first time; and the browser's version.
    """
    found, asked = {}, set()
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile,
        serve.served(folder) as address,
        sync_playwright() as playwright,
        # with a folder for its profile, like a user's own browser
        playwright.chromium.launch_persistent_context(profile, **installed(), **SEEN) as context,
    ):
        for visit, typed in zip(("first visit", "second visit"), given, strict=True):
            with new_page(context) as page:
                if not found:
                    page.on("request", lambda request: asked.add(request.url))
                marks = told_first(page, address + place, code, typed)
                if not found:
                    page.wait_for_timeout(1000 * PAUSE_S)
                    marks |= most_memory(context.browser)
                found |= {f"{visit}: {words}": [figure] for words, figure in marks.items()}
                page.goto("about:blank")
        version = context.browser.version
    own = {re.split("[?#]", url)[0] for url in asked if url.startswith(address)}
    return found, [url.removeprefix(address) or "index.html" for url in sorted(own)], version


def most_memory(browser):
    """Peak memory of any of a browser's processes; nothing off Linux."""
    running = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
    paths = [Path(f"/proc/{process['id']}/status") for process in running]
    told = "".join(path.read_text() for path in paths if path.exists())
    peaks = [1024 * int(kilobytes) for kilobytes in re.findall(r"VmHWM:\s*(\d+) kB", told)]
    return {"most memory of the page's process [MB]": max(peaks)} if peaks else {}


def told_first(page, address, code, given=None):
    """What a function tells that runs as soon as the page's own scripts can be asked."""
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.pennyflat && document.readyState !== 'loading'")
    return told(page, code, given)


def told(page, code, given=None):
    """The result of a slow function that runs in the page."""
    page.evaluate(TOLD.replace("CODE", code), given)
    measured = page.wait_for_function("() => globalThis.measured", polling=LOOK_MS)
    return measured.evaluate("({ told }) => told")


@contextmanager
def new_page(context, **options):
    """A page that gives up after PATIENCE_S and then reports its console."""
    page, said = context.new_page(**options), []
    page.set_default_timeout(1000 * PATIENCE_S)
    page.on("console", lambda line: said.append(line.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    try:
        yield page
    except TookTooLong as late:
        raise Stop("\n".join([f"The page has not answered: {late}", *said])) from None
    page.close()


@contextmanager
def alone(folder, handler=serve.Handler):
    """A page in a browser of its own, and the address of the folder that is served to it."""
    with (
        serve.served(folder, handler) as address,
        launched() as browser,
        new_page(browser, **SEEN) as page,
    ):
        yield page, address


class SlowHandler(serve.Handler):
    """Files with Brotli, one piece after another, as a compressing server on a slow line."""

    line, free_at = threading.Lock(), 0.0

    def do_GET(self):
        time.sleep(DELAY_S)
        path = Path(self.translate_path(self.path))
        path = path / "index.html" if path.is_dir() else path
        if not path.is_file():
            self.send_error(404)
            return
        data = brotli(path.read_bytes())
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "br")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        for start in range(0, len(data), PIECE):
            piece = data[start : start + PIECE]
            with self.line:  # one piece after another passes, whoever sends it
                now, seconds = time.monotonic(), len(piece) / BYTES_PER_S
                free_at = SlowHandler.free_at = max(SlowHandler.free_at, now) + seconds
            time.sleep(free_at - now)
            self.wfile.write(piece)


def brotli(data):
    """The bytes compressed at the best quality, cached."""
    return remembered("brotli", data, lambda: compress(data, quality=11, lgwin=24))


def visited_slowly(folder):
    """When a first visit on a slow line, with the page's thread slowed, was answered."""
    with alone(folder, SlowHandler) as (page, address):
        slower = page.context.new_cdp_session(page)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        marks = told_first(page, address, READ_MARKS, PRICES[0]).items()
        line = "slow line, 1.6 Mbit/s, 150 ms, compressed"
        return {f"{line}: {words}": [when] for words, when in marks if "paint" not in words}


def edited(folder, count):
    """How long answers took with this many media, and so while the plan is solved."""

    def grown(table, key):
        rows = itertools.islice(itertools.cycle(DEMO[table]), count)
        return [row | {key: f"{row[key]} {i}"} for i, row in enumerate(rows)]

    more, found = {"media": grown("media", "name"), "sowings": grown("sowings", "crop")}, {}
    with opened(folder, DEMO | more) as page:
        page.wait_for_timeout(1000 * PAUSE_S)
        for when, rest in ("", AT_ONCE_MS), (", while the plan is solved", SEARCHING_MS):
            words = f"edit to answer, {count} media × {count} sowings{when}, median and p95 [ms]"
            [found[words]] = told(page, TIME_EDITS, [EDITS[count], rest, ["answered"]]).values()
    return found


def planned(folder, name):
    """When there was a plan of this name in PLANS, and when it was proven."""
    with opened(folder, hard.document(*PLANS[name]) if PLANS[name] else DEMO) as page:
        page.locator("#advice .buy").wait_for(state="attached")
        looks = ["answered", "planned", "proven"]
        took = told(page, TIME_EDITS, [PLAN_EDITS, PLANNED_MS, looks])
    each = {"a plan": took["planned"], "checked to the end": took["proven"]}.items()
    return {f"edit to plan, {name}: {what}, median and most [s]": times for what, times in each}


@contextmanager
def opened(folder, document):
    """A page that has stored a plan with this document, with Python running."""
    plan = json.dumps({"title": "bench", "at": 0, "document": document})
    with alone(folder) as (page, address):
        page.add_init_script(
            f"localStorage.setItem('pennyflat:plan:bench', {json.dumps(plan)});"
            "localStorage.setItem('pennyflat:current', 'bench');"
        )
        page.goto(address)
        page.locator("#starting").wait_for(state="detached")
        page.locator(f"#mix-{len(document['media']) - 1}").wait_for(state="attached")
        yield page
