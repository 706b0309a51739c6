"""Measures the page against the stock route, in the same run on the same machine.

Each run of each side has its own browser with its own profile: a first visit with nothing cached,
then, after a pause in which the page may cache things, a second visit. The sides take turns.
Medians are printed and written into README.md; stock.py explains the stock side.
"""

import gzip
import json
import os
import statistics
import tempfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from webapp.build import assemble, environment, serve
from webapp.build.environment import ROOT
from webapp.build.measure import hard, machine, slow_line, stock
from webapp.build.measure.browser import at_home, launched
from webapp.build.parts import single
from webapp.build.parts.compressed import brotli
from webapp.build.say import say, step

README = ROOT / "README.md"
BEGIN, END = "<!-- bench: python3 build.py bench writes this -->", "<!-- /bench -->"

PATIENCE_MS = 300_000
PAUSE_S = 20
"""How long a visit lasts after its answer, so that the page can cache what it caches."""

GOALS = {
    "first visit: first contentful paint [s]": "0.25 s",
    "first visit: first edit answered [s]": "0.10 of stock",
    "first visit: charts drawn [s]": "0.10 of stock",
    "second visit: first edit answered [s]": "0.08 of stock",
    "first visit over the wire, Brotli 11 [MB]": "7.5",
    "all that works without network, Brotli 11 [MB]": "9",
    "the page as one file [MB]": "14",
    "first visit: most memory of the page's process [MB]": "0.60 of stock",
    "edit to answer, 12 media × 12 sowings, median and p95 [ms]": "50",
    "edit to answer, 60 media × 60 sowings, median and p95 [ms]": "150",
    "edit to plan, the example: checked to the end, median and most [s]": "0.1",
    "edit to plan, 6 × 10: checked to the end, median and most [s]": "1",
    "edit to plan, 12 × 12: checked to the end, median and most [s]": "3",
    "edit to plan, 60 × 60: a plan, median and most [s]": "0.5",
}
"""Upper limits, by what is measured."""

EDITS = {12: 30, 60: 8}
"""Timed edits, by the number of media and of sowings."""

SIDES = ("stock", "ours")
PRICES = {"cold": "7.31", "warm": "8.53"}
"""What is typed: in the second visit the first one's price is already there."""

READ_MARKS = """async (typed) => {
  const when = async (look) => {
    while (!look()) await new Promise((done) => setTimeout(done, 5));
    return performance.now();
  };
  const price = () => document.querySelector("#mix-0 [data-path$='price']");
  const answer = () => document.getElementById("buying")?.innerText.trim();
  const charts = when(() => globalThis.Bokeh?.index?.roots?.length);
  const visible = await when(answer);
  await when(price);
  price().value = typed;
  price().dispatchEvent(new Event("input", { bubbles: true }));
  const edited = await when(() => answer().includes(typed));
  const paint = performance.getEntriesByName("first-contentful-paint")[0]?.startTime;
  return { paint, visible, edited, drawn: await charts };
}"""
"""Run in a page as it opens: when it painted, showed an answer, answered an edit, and had its
charts."""

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


def run(runs):
    """Measure, print the table and write it into README.md."""
    body = assemble.demo_page()
    folders = {"stock": stock.make(body, assemble.shell()), "ours": assemble.SITE}
    visits = {(side, visit): [] for side in SIDES for visit in ("cold", "warm")}
    asked = {}
    for number in range(1, runs + 1):
        for side in SIDES:
            with step(f"Run {number} of {runs}, {side}"):
                cold, warm, asked[side], version = opened_twice(folders[side])
                visits[side, "cold"].append(cold)
                visits[side, "warm"].append(warm)
    with step("Compressing"):
        sizes = {side: wire(folders[side], asked[side]) for side in SIDES}
        whole = {
            "all that works without network, Brotli 11 [MB]": offline(assemble.SITE),
            "the page as one file [MB]": (assemble.SITE / single.NAME).stat().st_size,
        }
    slow = {}
    for side in SIDES:
        with step(f"On a slow line, {side}"):
            slow[side] = visited_slowly(folders[side])
    edits = {}
    for count in EDITS:
        with step(f"Editing with {count} media and {count} sowings"):
            edits[count] = edited(assemble.SITE, count)
    plans = {}
    for name, size in PLANS.items():
        with step(f"Planning {name}"):
            plans[name] = planned(assemble.SITE, size)
    where = machine.named(version)
    text = table(medians(visits), sizes, edits, plans, where, runs, slow=slow, whole=whole)
    say(text)
    put_into(README, text)


def opened_twice(folder):
    """A first and a second visit: their figures, the first one's files, the browser's version."""
    size = {"width": 1280, "height": 900}
    with (
        tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile,
        serve.served(folder) as address,
        at_home(profile, viewport=size, locale="en") as context,
    ):
        asked = []
        cold = visit(context, address, PRICES["cold"], asked, pause=PAUSE_S)
        files = sorted({url.split("?")[0] for url in asked if url.startswith(address)})
        warm = visit(context, address, PRICES["warm"], [])
        version = context.browser.version
    return cold, warm, [url.removeprefix(address) or "index.html" for url in files], version


def visit(context, address, price, asked, pause=0):
    """
    One visit in which this is typed, and a pause. [s]

    Returns {"paint", "visible", "edited", "drawn" [ms], "memory" [bytes]}.
    """
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.pennyflat && document.readyState !== 'loading'")
    found = page.evaluate(READ_MARKS, price)
    page.wait_for_timeout(1000 * pause)
    found["memory"] = most_memory()
    page.goto("about:blank")
    page.close()
    return found


def visited_slowly(folder):
    """A first visit on a slow line with the page's thread slowed: as from `visit`."""
    with slow_line.served(folder) as address, launched() as browser:
        page = browser.new_page(locale="en", viewport={"width": 1280, "height": 900})
        page.set_default_timeout(PATIENCE_MS)
        slower = page.context.new_cdp_session(page)
        slower.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        page.goto(address, wait_until="commit")
        page.wait_for_function("() => window.pennyflat && document.readyState !== 'loading'")
        return page.evaluate(READ_MARKS, PRICES["cold"])


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
        return [page.evaluate(TIME_EDITS, [EDITS[count], ms]) for ms in (AT_ONCE_MS, SEARCHING_MS)]


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
        return page.evaluate(TIME_PLANS, PLAN_EDITS)


@contextmanager
def opened(folder, plan):
    """A page that has stored a plan, or the example, with Python running."""
    with serve.served(folder) as address, launched() as browser:
        page = browser.new_page(locale="en", viewport={"width": 1280, "height": 900})
        page.set_default_timeout(PATIENCE_MS)
        if plan:
            page.add_init_script(
                f"localStorage.setItem('pennyflat:plan:bench', {json.dumps(plan)});"
                "localStorage.setItem('pennyflat:current', 'bench');"
            )
        page.goto(address)
        page.locator("#starting").wait_for(state="detached")
        yield page


def wire(folder, names):
    """The bytes of files uncompressed, with gzip and with Brotli: three sums."""
    datas = [Path(folder, name).read_bytes() for name in names if Path(folder, name).is_file()]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return (
            sum(map(len, datas)),
            sum(pool.map(lambda data: len(gzip.compress(data, 9)), datas)),
            sum(pool.map(brotli_size, datas)),
        )


def brotli_size(data):
    """The size with Brotli."""
    return len(brotli(data))


def offline(folder):
    """The bytes with Brotli of everything the service worker caches, itself included."""
    kept = [path for path in Path(folder).rglob("*") if path.is_file()]
    kept = [path for path in kept if path.name not in (single.NAME, assemble.SUMS)]
    return sum(brotli_size(path.read_bytes()) for path in kept)


def medians(visits):
    """{(side, visit): {figure: median}}."""
    return {
        key: {name: statistics.median([one[name] for one in found]) for name in found[0]}
        for key, found in visits.items()
    }


def table(figures, sizes, edits, plans, where, runs, *, slow, whole):
    """
    The table in Markdown.

    figures: {(side, visit): what `visit` returns}, its memory None if unknown; sizes: {side: (raw,
    gzip, Brotli) [bytes]}; edits: {size of scenario: what `edited` returns}; plans: {plan: what
    `planned` returns}; slow: {side: what `visited_slowly` returns}; whole: {what is measured:
    bytes}.
    """
    lines = ["| | stock | ours | ours / stock | at most |", "| --- | ---: | ---: | ---: | ---: |"]
    named = {
        "paint": "first contentful paint",
        "visible": "answer visible",
        "edited": "first edit answered",
        "drawn": "charts drawn",
    }
    for visit_, called in {"cold": "first visit", "warm": "second visit"}.items():
        for name, words in named.items():
            pair = [figures[side, visit_][name] for side in SIDES]
            lines.append(row(f"{called}: {words} [s]", pair, lambda ms: f"{ms / 1000:.2f}"))
    for i, kind in enumerate(("raw", "gzip 9", "Brotli 11")):
        pair = [sizes[side][i] for side in SIDES]
        lines.append(row(f"first visit over the wire, {kind} [MB]", pair, in_mb))
    for name in ("visible", "edited"):
        words = f"slow line, 1.6 Mbit/s, 150 ms, compressed: {named[name]} [s]"
        lines.append(
            row(words, [slow[side][name] for side in SIDES], lambda ms: f"{ms / 1000:.1f}")
        )
    lines += [alone(words, in_mb(amount)) for words, amount in whole.items()]
    pair = [figures[side, "cold"]["memory"] for side in SIDES]
    if None not in pair:
        lines.append(row("first visit: most memory of the page's process [MB]", pair, in_mb))
    for count, (quiet, solving) in edits.items():
        size = f"{count} media × {count} sowings"
        for took, when in (quiet, ""), (solving, ", while the plan is solved"):
            middle, high = statistics.median(took), percentile(took, 0.95)
            words = f"edit to answer, {size}{when}, median and p95 [ms]"
            lines.append(alone(words, f"{middle:.0f}, {high:.0f}"))
    for name, took in plans.items():
        for i, words in enumerate(("a plan", "checked to the end")):
            times = [pair[i] for pair in took]
            middle, most = statistics.median(times) / 1000, max(times) / 1000
            line = f"edit to plan, {name}: {words}, median and most [s]"
            lines.append(alone(line, f"{middle:.2f}, {most:.2f}"))
    return "\n".join([*lines, "", f"Medians of {runs} runs. {where}."])


def row(words, pair, written):
    """A line of the table: both sides, their ratio and the goal."""
    theirs, ours = pair
    return f"| {words} | {written(theirs)} | {written(ours)} | {ours / theirs:.2f} |" + goal(words)


def alone(words, ours):
    """A line of the table for something the stock side lacks."""
    return f"| {words} | | {ours} | |" + goal(words)


def goal(words):
    """The end of a line: the goal."""
    return f" {GOALS[words]} |" if words in GOALS else " |"


def in_mb(amount):
    """Bytes as megabytes."""
    return f"{amount / 1e6:.1f}"


def percentile(values, share):
    """The least value that at least this share of the values does not exceed."""
    ordered = sorted(values)
    return ordered[max(0, -int(-share * len(ordered) // 1) - 1)]


def put_into(path, text):
    """Replace the text between the marks in a file."""
    whole = path.read_text("utf-8")
    before, begin, rest = whole.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError(f"{path.name} does not have {BEGIN} and {END}.")
    path.write_text(f"{before}{begin}\n{text}\n{end}{after}", "utf-8")
