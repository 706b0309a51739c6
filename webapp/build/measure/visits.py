"""Visits to a built page in a browser: when it answered, how soon edits and plans followed.

If a task in a page takes longer than PATIENCE_S, it stops and shows the page's console.
"""

import json
import os
import re
import tempfile
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import TimeoutError as TookTooLong

from webapp.build import environment, serve
from webapp.build.measure import hard, slow_line
from webapp.build.measure.browser import at_home, launched
from webapp.build.say import Stop

PATIENCE_S = 300  # ours: twice what the stock page takes on a slow line
LOOK_MS = 200  # between two checks whether a page is done
PAUSE_S = 20  # after the answer of a visit, for the page to fill its caches
PRICES = {"cold": "7.31", "warm": "8.53"}  # the second visit finds the first one's price
SEEN = {"viewport": {"width": 1280, "height": 900}, "locale": "en"}

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

GROWN = """
import json, sys
from pennyflat.demo import DEMO
count = int(sys.argv[1])
def grown(rows, key):
    return [{**rows[i % len(rows)], key: f"{rows[i % len(rows)][key]} {i}"} for i in range(count)]
document = DEMO | {"media": grown(DEMO["media"], "name")}
document["sowings"] = grown(DEMO["sowings"], "crop")
json.dump({"title": "bench", "at": 0, "document": document}, sys.stdout)
"""
"""The example with this many media and sowings, as the page stores a plan."""


def opened_twice(folder):
    """A first and a second visit: their figures, the first one's files, the browser's version."""
    with visitor(folder) as (context, address):
        cold, _ = visit(context, address, READ_MARKS, PRICES["cold"], pause=PAUSE_S)
        warm, _ = visit(context, address, READ_MARKS, PRICES["warm"])
        version = context.browser.version
    with visitor(folder) as (context, address):  # who wants to see charts
        cold_charts, asked = visit(context, f"{address}#compare", READ_CHARTS, pause=PAUSE_S)
        warm_charts, _ = visit(context, f"{address}#compare", READ_CHARTS)
    own = {re.split("[?#]", url)[0] for url in asked if url.startswith(address)}
    files = [url.removeprefix(address) or "index.html" for url in sorted(own)]
    return cold_charts | cold, warm_charts | warm, files, version


@contextmanager
def visitor(folder):
    """A browser with a profile of its own, and the page's address for it."""
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile,
        serve.served(folder) as address,
        at_home(profile, **SEEN) as context,
    ):
        yield context, address


def visit(context, address, code, given=None, pause=0):
    """
    What a function tells as the page opens, in a visit with a pause [s] at its end.

    Returns that with its "memory" [bytes], where it is known, and the addresses asked for.
    """
    asked = []
    with new_page(context) as page:
        page.on("request", lambda request: asked.append(request.url))
        found = told_first(page, address, code, given)
        page.wait_for_timeout(1000 * pause)
        found |= most_memory()
        page.goto("about:blank")
    return found, asked


def told_first(page, address, code, given=None):
    """What a function tells that runs as soon as the page's own scripts can be asked."""
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.pennyflat && document.readyState !== 'loading'")
    return told(page, code, given)


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
def alone(served):
    """A page in a browser of its own, and the address of what is served."""
    with served as address, launched() as browser, new_page(browser, **SEEN) as page:
        yield page, address


def told(page, code, given=None):
    """The result of a slow function that runs in the page."""
    page.evaluate(TOLD.replace("CODE", code), given)
    measured = page.wait_for_function("() => globalThis.measured", polling=LOOK_MS)
    return measured.evaluate("({ told }) => told")


def visited_slowly(folder):
    """A first visit on a slow line with the page's thread slowed: what READ_MARKS tells."""
    with alone(slow_line.served(folder)) as (page, address):
        slower = page.context.new_cdp_session(page)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        return told_first(page, address, READ_MARKS, PRICES["cold"])


def most_memory():
    """Peak memory of any of the browser's processes, {"memory": [bytes]}; {} off Linux."""
    most, parents = {}, {}
    for path in Path("/proc").glob("[0-9]*/status"):
        try:
            told = dict(line.split(":", 1) for line in path.read_text().splitlines() if ":" in line)
        except OSError:
            continue  # it has ended
        parents[int(told["Pid"])] = int(told["PPid"])
        most[int(told["Pid"])] = int(told.get("VmHWM", "0 kB").split()[0]) * 1024

    def is_within(pid):
        return parents.get(pid) == os.getpid() or (pid in parents and is_within(parents[pid]))

    ours = [amount for pid, amount in most.items() if is_within(pid)]
    return {"memory": max(ours)} if ours else {}


def edited(folder, count):
    """How long answers took with this many media, and so while the plan is solved: lists. [ms]"""
    with opened(folder, environment.page_code(GROWN, str(count))) as page:
        page.locator(f"#mix-{count - 1}").wait_for(state="attached")
        page.wait_for_timeout(1000 * PAUSE_S)
        return [told(page, TIME_EDITS, [EDITS[count], ms]) for ms in (AT_ONCE_MS, SEARCHING_MS)]


def planned(folder, size):
    """When there was a plan of this size, or the example's, and when it was proven: pairs. [ms]"""
    plan = size and {"title": "bench", "at": 0, "document": hard.document(*size)}
    with opened(folder, plan and json.dumps(plan)) as page:
        if size:
            page.locator(f"#mix-{size[0] - 1}").wait_for(state="attached")
        page.locator("#advice .buy").wait_for(state="attached")
        return told(page, TIME_PLANS, PLAN_EDITS)


@contextmanager
def opened(folder, plan):
    """A page that has stored a plan, or the example, with Python running."""
    with alone(serve.served(folder)) as (page, address):
        if plan:
            page.add_init_script(
                f"localStorage.setItem('pennyflat:plan:bench', {json.dumps(plan)});"
                "localStorage.setItem('pennyflat:current', 'bench');"
            )
        page.goto(address)
        page.locator("#starting").wait_for(state="detached")
        yield page
