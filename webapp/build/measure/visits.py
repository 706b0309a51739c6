"""Visits to a built page in a browser: when it answered, how soon edits and plans followed.

If a task in a page takes longer than PATIENCE_S, it stops and shows the page's console.
"""

import itertools
import json
import re
import tempfile
import threading
import time
from contextlib import contextmanager
from pathlib import Path

from brotli import compress
from playwright.sync_api import TimeoutError as TookTooLong

from pennyflat.demo import DEMO
from webapp.build import serve
from webapp.build.files import remembered
from webapp.build.measure import hard
from webapp.build.measure.browser import at_home, launched
from webapp.build.say import Stop

PATIENCE_S = 300  # ours: twice what the stock page takes on a slow line
LOOK_MS = 200  # between two checks whether a page is done
PAUSE_S = 20  # after the answer of a visit, for the page to fill its caches
PRICES = ("7.31", "8.53")  # typed in the visits: the second one finds the first one's price
SEEN = {"viewport": {"width": 1280, "height": 900}, "locale": "en"}

BYTES_PER_S, DELAY_S, PIECE = 200_000, 0.15, 16_384
"""A slow line: 1.6 Mbit/s, the time before an answer begins, and bytes sent at a time."""

TOLD = """(given) => {
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const when = async (look) => {
    while (!look()) await pause(2);
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
  return { paint, visible, edited };
}"""
"""As a page opens: when it painted, showed an answer, and answered an edit."""

READ_CHARTS = """async () => {
  const places = [...document.querySelectorAll("[data-drawn]")];
  const drawn = await when(() => {
    const wanted = places.filter((place) => place.checkVisibility()).length;
    return wanted && (globalThis.Bokeh?.index?.roots?.length ?? 0) >= wanted;
  });
  return { drawn };
}"""
"""As a page opens where charts are: when those in sight were there."""

TIME_EDITS = """async ([count, rest]) => {
  const took = [];
  const answer = () => new Promise((done) => {
    addEventListener("pennyflat:answer", done, { once: true, capture: true });
  });
  for (let i = 0; i < count; i++) {
    const field = document.querySelector("[data-path='media[0].packages[0].price']");
    const from = performance.now();
    type(field, (5 + Math.random()).toFixed(4));
    while (waiting()) await answer();
    took.push(performance.now() - from);
    await pause(rest);
  }
  return took;
}"""
"""Times of edits, with a pause after each."""

TIME_PLANS = """async (count) => {
  const field = document.querySelector("[data-path='media[0].packages[0].price']");
  const advice = document.getElementById("advice"), price = Number(field.value), took = [];
  const found = () => !advice.querySelector(".working");
  const proven = () => !advice.querySelector(".checking");
  await when(() => found() && proven());
  for (let i = 0; i < count; i++) {
    const from = performance.now();
    type(field, (price * (1 - 0.01 * (i + 1))).toFixed(2));
    await when(() => !waiting());
    const there = (await when(found)) - from;
    took.push([there, (await when(proven)) - from]);
    await pause(300);
  }
  return took;
}"""
"""After edits of a price: when a plan was there, and when it was proven."""

EDITS = {12: 30, 60: 8}  # timed edits, by the number of media and of sowings
AT_ONCE_MS, SEARCHING_MS = 50, 1000
"""Pauses after edits: before the page asks for the plan, and while it is being solved."""

PLAN_EDITS = 5
PLANS = {"the example": None, "6 × 10": (6, 10), "12 × 12": (12, 12), "60 × 60": (60, 60)}
"""Timed plans, after PLAN_EDITS each: mixes × sowings of nearly equal price (see hard.py)."""


def opened_twice(folder):
    """A first and a second visit: their figures, the first one's files, the browser's version."""
    marks, _, version = two_visits(folder, "", READ_MARKS, PRICES)
    charts, asked, _ = two_visits(folder, "#compare", READ_CHARTS, (None, None))
    cold, warm = (drawn | rest for drawn, rest in zip(charts, marks, strict=True))
    return cold, warm, asked, version


def two_visits(folder, place, code, given):
    """
    What a function tells as a page opens at a place, for the first time and again.

    Returns both, the first with its "memory" [bytes] where it is known; the files that it asked
    for; and the browser's version.
    """
    found, asked = [], set()
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile,
        serve.served(folder) as address,
        at_home(profile, **SEEN) as context,
    ):
        for typed in given:
            with new_page(context) as page:
                if not found:
                    page.on("request", lambda request: asked.add(request.url))
                found.append(told_first(page, address + place, code, typed))
                if len(found) == 1:
                    page.wait_for_timeout(1000 * PAUSE_S)
                    found[0] |= most_memory(context.browser)
                page.goto("about:blank")
        version = context.browser.version
    own = {re.split("[?#]", url)[0] for url in asked if url.startswith(address)}
    return found, [url.removeprefix(address) or "index.html" for url in sorted(own)], version


def most_memory(browser):
    """Peak memory of any of a browser's processes, {"memory": [bytes]}; {} off Linux."""
    running = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
    paths = [Path(f"/proc/{process['id']}/status") for process in running]
    told = "".join(path.read_text() for path in paths if path.exists())
    peaks = [1024 * int(kilobytes) for kilobytes in re.findall(r"VmHWM:\s*(\d+) kB", told)]
    return {"memory": max(peaks)} if peaks else {}


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

    line = threading.Lock()

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
            with self.line:  # one piece at a time passes, whoever sends it
                time.sleep(len(piece) / BYTES_PER_S)
            self.wfile.write(piece)


def brotli(data):
    """The bytes compressed at the best quality, cached."""
    return remembered("brotli", data, lambda: compress(data, quality=11, lgwin=24))


def visited_slowly(folder):
    """A first visit on a slow line with the page's thread slowed: what READ_MARKS tells."""
    with alone(folder, SlowHandler) as (page, address):
        slower = page.context.new_cdp_session(page)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        return told_first(page, address, READ_MARKS, PRICES[0])


def edited(folder, count):
    """How long answers took with this many media, and so while the plan is solved: lists. [ms]"""

    def grown(table, key):
        rows = itertools.islice(itertools.cycle(DEMO[table]), count)
        return [row | {key: f"{row[key]} {i}"} for i, row in enumerate(rows)]

    more = {"media": grown("media", "name"), "sowings": grown("sowings", "crop")}
    with opened(folder, DEMO | more) as page:
        page.wait_for_timeout(1000 * PAUSE_S)
        return [told(page, TIME_EDITS, [EDITS[count], ms]) for ms in (AT_ONCE_MS, SEARCHING_MS)]


def planned(folder, size):
    """When there was a plan of this size, or the example's, and when it was proven: pairs. [ms]"""
    with opened(folder, hard.document(*size) if size else DEMO) as page:
        page.locator("#advice .buy").wait_for(state="attached")
        return told(page, TIME_PLANS, PLAN_EDITS)


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
