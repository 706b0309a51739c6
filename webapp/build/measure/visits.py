"""Visits to a built page in a browser: when it answered, how soon edits and plans followed.

Each task in a page reports its times when it is done. If it takes longer than PATIENCE_S, the
measurement stops and shows the page's console.
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

PATIENCE_S = 300
"""Ours: twice what the stock page takes on a slow line."""

LOOK_MS = 200
"""Pause between two checks whether a page is done."""

PAUSE_S = 20
"""How long a visit lasts after its answer, so that the page can cache what it caches."""

EDITS = {12: 30, 60: 8}
"""Timed edits, by the number of media and of sowings."""

PRICES = {"cold": "7.31", "warm": "8.53"}
"""What is typed: in the second visit the first one's price is already there."""

SEEN = {"viewport": {"width": 1280, "height": 900}, "locale": "en"}
"""The size of the page and its language."""

READ_MARKS = """async (typed) => {
  const when = async (look) => {
    while (!look()) await new Promise((done) => setTimeout(done, 5));
    return performance.now();
  };
  const price = () => document.querySelector("#mix-0 [data-path$='price']");
  const answer = () => document.getElementById("buying")?.innerText.trim();
  const visible = await when(answer);
  await when(price);
  price().value = typed;
  price().dispatchEvent(new Event("input", { bubbles: true }));
  const gist = document.getElementById("mix-0-gist");
  const edited = await when(() => gist.textContent.includes(typed));
  const paint = performance.getEntriesByName("first-contentful-paint")[0]?.startTime;
  return { paint, visible, edited };
}"""
"""Run in a page as it opens: when it painted, showed an answer, and answered an edit."""

READ_CHARTS = """async () => {
  const places = [...document.querySelectorAll("[data-drawn]")];
  const missing = () => {
    const wanted = places.filter((place) => place.checkVisibility()).length;
    return !wanted || (globalThis.Bokeh?.index?.roots?.length ?? 0) < wanted;
  };
  while (missing()) await new Promise((done) => setTimeout(done, 5));
  return performance.now();
}"""
"""Run in a page that opens where charts are: when those in sight were there."""

TIME_EDITS = """async ([count, pause]) => {
  const took = [], typed = ({ do: act }) => act === "type";
  const answer = () => new Promise((done) => {
    addEventListener("pennyflat:answer", done, { once: true, capture: true });
  });
  for (let i = 0; i < count; i++) {
    const field = document.querySelector("[data-path='media[0].packages[0].price']");
    const from = performance.now();
    field.value = (5 + Math.random()).toFixed(4);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    while (pennyflat.unanswered().some(typed)) await answer();
    took.push(performance.now() - from);
    await new Promise((done) => setTimeout(done, pause));
  }
  return took;
}"""
"""Times of edits, with a pause after each."""

TIME_PLANS = """async (count) => {
  const field = document.querySelector("[data-path='media[0].packages[0].price']");
  const advice = document.getElementById("advice"), price = Number(field.value), took = [];
  const when = async (look) => {
    while (!look()) await new Promise((done) => setTimeout(done, 2));
  };
  const waits = () => advice.querySelector(".working");
  const checks = () => advice.querySelector(".checking");
  await when(() => !waits() && !checks());
  for (let i = 0; i < count; i++) {
    const from = performance.now();
    field.value = (price * (1 - 0.01 * (i + 1))).toFixed(2);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    await when(() => !pennyflat.unanswered().some(({ do: act }) => act === "type"));
    await when(() => !waits());
    const there = performance.now() - from;
    await when(() => !checks());
    took.push([there, performance.now() - from]);
    await new Promise((done) => setTimeout(done, 300));
  }
  return took;
}"""
"""Run after edits of a price: when a plan was there, and when it was proven."""

AT_ONCE_MS, SEARCHING_MS = 50, 1000
"""Pauses after edits: before the page asks for the plan, and while it is being solved."""

PLANS = {"the example": None, "6 × 10": (6, 10), "12 × 12": (12, 12), "60 × 60": (60, 60)}
"""Timed plans: mixes × sowings of nearly equal price (see hard.py), and the number of edits."""

PLAN_EDITS = 5

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
        cold = visit(context, address, PRICES["cold"], pause=PAUSE_S)
        warm = visit(context, address, PRICES["warm"])
        version = context.browser.version
    asked = []
    with visitor(folder) as (context, address):  # who wants to see charts
        cold["drawn"] = charts_drawn(context, f"{address}#compare", asked, pause=PAUSE_S)
        files = sorted({re.split("[?#]", url)[0] for url in asked if url.startswith(address)})
        warm["drawn"] = charts_drawn(context, f"{address}#compare", [])
    return cold, warm, [url.removeprefix(address) or "index.html" for url in files], version


@contextmanager
def visitor(folder):
    """A browser with a profile of its own, and the page's address for it."""
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile,
        serve.served(folder) as address,
        at_home(profile, **SEEN) as context,
    ):
        yield context, address


def charts_drawn(context, address, asked, pause=0):
    """
    When the charts in sight were drawn, in a visit with a pause [s] at its end. [ms]

    The addresses it asks for are added to the list.
    """
    with new_page(context) as page:
        page.on("request", lambda request: asked.append(request.url))
        opened_at(page, address)
        found = told(page, READ_CHARTS)
        page.wait_for_timeout(1000 * pause)
        page.goto("about:blank")
    return found


def visit(context, address, price, pause=0):
    """
    One visit in which this is typed, and a pause. [s]

    Returns {"paint", "visible", "edited" [ms], "memory" [bytes]}.
    """
    with new_page(context) as page:
        found = first_marks(page, address, price)
        page.wait_for_timeout(1000 * pause)
        found["memory"] = most_memory()
        page.goto("about:blank")
    return found


def first_marks(page, address, price):
    """When a page painted and answered as it opened: as from `visit`, without the memory."""
    opened_at(page, address)
    return told(page, READ_MARKS, price)


def opened_at(page, address):
    """Open an address, up to where the page's own scripts can be asked."""
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.pennyflat && document.readyState !== 'loading'")


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


def told(page, code, given=None):
    """The result of a slow function that runs in the page."""
    page.evaluate(
        f"""(given) => {{
          globalThis.measured = null;
          ({code})(given).then((told) => (globalThis.measured = {{ told }}));
        }}""",
        given,
    )
    measured = page.wait_for_function("() => globalThis.measured", polling=LOOK_MS)
    return measured.evaluate("({ told }) => told")


def visited_slowly(folder):
    """A first visit on a slow line with the page's thread slowed: as from `visit`."""
    with (
        slow_line.served(folder) as address,
        launched() as browser,
        new_page(browser, **SEEN) as page,
    ):
        slower = page.context.new_cdp_session(page)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        return first_marks(page, address, PRICES["cold"])


def most_memory():
    """Peak memory of any of the browser's processes; None off Linux. [bytes]"""
    own = Path("/proc/self/task")
    if not own.exists():
        return None
    most, parents = {}, {}
    for path in Path("/proc").glob("[0-9]*/status"):
        try:
            told = dict(line.split(":", 1) for line in path.read_text().splitlines() if ":" in line)
        except OSError:
            continue  # it has ended
        parents[int(told["Pid"])] = int(told["PPid"])
        most[int(told["Pid"])] = int(told.get("VmHWM", "0 kB").split()[0]) * 1024

    def is_ours(pid):
        return pid == os.getpid() or (pid in parents and is_ours(parents[pid]))

    return max(amount for pid, amount in most.items() if pid != os.getpid() and is_ours(pid))


def edited(folder, count):
    """
    How long answers took in a scenario of this size. [ms]

    Returns a list for edits, and one for edits while the plan is being solved.
    """
    with opened(folder, environment.page_code(GROWN, str(count))) as page:
        page.locator(f"#mix-{count - 1}").wait_for(state="attached")
        page.wait_for_timeout(1000 * PAUSE_S)
        return [told(page, TIME_EDITS, [EDITS[count], ms]) for ms in (AT_ONCE_MS, SEARCHING_MS)]


def planned(folder, size):
    """
    When there was a plan after an edit, and when it was proven: pairs. [ms]

    size: mixes and sowings, or None for the example.
    """
    plan = size and {"title": "bench", "at": 0, "document": hard.document(*size)}
    with opened(folder, plan and json.dumps(plan)) as page:
        if size:
            page.locator(f"#mix-{size[0] - 1}").wait_for(state="attached")
        page.locator("#advice .buy").wait_for(state="attached")
        return told(page, TIME_PLANS, PLAN_EDITS)


@contextmanager
def opened(folder, plan):
    """A page that has stored a plan, or the example, with Python running."""
    with (
        serve.served(folder) as address,
        launched() as browser,
        new_page(browser, **SEEN) as page,
    ):
        if plan:
            page.add_init_script(
                f"localStorage.setItem('pennyflat:plan:bench', {json.dumps(plan)});"
                "localStorage.setItem('pennyflat:current', 'bench');"
            )
        page.goto(address)
        page.locator("#starting").wait_for(state="detached")
        yield page
