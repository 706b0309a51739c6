"""Measures the page against the stock route, in the same run on the same machine.

Each run of each side has its own browser with its own profile: a first visit with nothing cached,
then, after a pause in which the page may cache things, a second visit. The sides take turns.
"""

import datetime
import gzip
import os
import platform
import re
import statistics
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from webapp.build import assemble
from webapp.build.environment import ROOT
from webapp.build.measure import stock, visits
from webapp.build.measure.slow_line import brotli
from webapp.build.parts import single
from webapp.build.say import say, step

README = ROOT / "README.md"
BEGIN, END = "<!-- bench: python3 build.py bench writes this -->", "<!-- /bench -->"

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
    "edit to plan, the example: a plan, median and most [s]": "0.1",
    "edit to plan, 6 × 10: checked to the end, median and most [s]": "1",
    "edit to plan, 12 × 12: checked to the end, median and most [s]": "3",
    "edit to plan, 60 × 60: a plan, median and most [s]": "0.5",
}
"""Upper limits, by what is measured."""

SIDES = ("stock", "ours")


def run(runs):
    """Measure, print the table and write it into README.md."""
    body = assemble.demo_page()
    folders = {"stock": stock.make(body, assemble.shell()), "ours": assemble.SITE}
    found = {(side, visit): [] for side in SIDES for visit in ("cold", "warm")}
    asked = {}
    for number in range(1, runs + 1):
        for side in SIDES:
            with step(f"Run {number} of {runs}, {side}"):
                cold, warm, asked[side], version = visits.opened_twice(folders[side])
                found[side, "cold"].append(cold)
                found[side, "warm"].append(warm)
    with step("Compressing"):
        sizes = {side: [wire(folders[side], asked[side])] for side in SIDES}
        site = assemble.files_in(assemble.SITE)
        kept = site.keys() - {single.NAME, assemble.SUMS}  # the service worker's, and itself
        whole = {
            "all that works without network, Brotli 11 [MB]": wire(assemble.SITE, kept)[-1],
            "the page as one file [MB]": len(site[single.NAME]),
        }
    slow, edits, plans = {}, {}, {}
    for side in SIDES:
        with step(f"On a slow line, {side}"):
            slow[side] = [visits.visited_slowly(folders[side])]
    for count in visits.EDITS:
        with step(f"Editing with {count} media and {count} sowings"):
            edits[count] = visits.edited(assemble.SITE, count)
    for name, size in visits.PLANS.items():
        with step(f"Planning {name}"):
            plans[name] = visits.planned(assemble.SITE, size)
    where = machine(version)
    text = table(found, sizes, edits, plans, where, runs, slow=slow, whole=whole)
    say(text)
    put_into(README, text)


def wire(folder, names):
    """The bytes of files uncompressed, with gzip and with Brotli: three sums."""
    datas = [Path(folder, name).read_bytes() for name in names if Path(folder, name).is_file()]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return [sum(map(len, pool.map(send, datas))) for send in (bytes, gzip.compress, brotli)]


def table(figures, sizes, edits, plans, where, runs, *, slow, whole):
    """
    The table in Markdown.

    figures: {(side, visit): [what `visit` returns]}; sizes: {side: [what `wire` returns]}; edits:
    {size of scenario: what `edited` returns}; plans: {plan: what `planned` returns}; slow: {side:
    [what `visited_slowly` returns]}; whole: {what is measured: bytes}.
    """
    lines = ["| | stock | ours | ours / stock | at most |", "| --- | ---: | ---: | ---: | ---: |"]

    def compare(words, found, key, written):
        theirs, ours = (statistics.median(run[key] for run in found[side]) for side in SIDES)
        lines.append(row(words, written(ours), written(theirs), f"{ours / theirs:.2f}"))

    named = {
        "paint": "first contentful paint",
        "visible": "answer visible",
        "edited": "first edit answered",
        "drawn": "charts drawn",
    }
    cold, warm = ({side: figures[side, visit] for side in SIDES} for visit in ("cold", "warm"))
    for found, called in (cold, "first visit"), (warm, "second visit"):
        for name, words in named.items():
            compare(f"{called}: {words} [s]", found, name, lambda ms: f"{ms / 1000:.2f}")
    for i, kind in enumerate(("raw", "gzip 9", "Brotli 11")):
        compare(f"first visit over the wire, {kind} [MB]", sizes, i, in_mb)
    for name in ("visible", "edited"):
        words = f"slow line, 1.6 Mbit/s, 150 ms, compressed: {named[name]} [s]"
        compare(words, slow, name, lambda ms: f"{ms / 1000:.1f}")
    lines += [row(words, in_mb(amount)) for words, amount in whole.items()]
    if all("memory" in run for side in SIDES for run in cold[side]):
        compare("first visit: most memory of the page's process [MB]", cold, "memory", in_mb)
    for count, measured in edits.items():
        for took, when in zip(measured, ("", ", while the plan is solved"), strict=True):
            words = f"edit to answer, {count} media × {count} sowings{when}, median and p95 [ms]"
            figure = f"{statistics.median(took):.0f}, {percentile(took, 0.95):.0f}"
            lines.append(row(words, figure))
    for name, took in plans.items():
        for i, words in enumerate(("a plan", "checked to the end")):
            seconds = [pair[i] / 1000 for pair in took]
            figure = f"{statistics.median(seconds):.2f}, {max(seconds):.2f}"
            lines.append(row(f"edit to plan, {name}: {words}, median and most [s]", figure))
    return "\n".join([*lines, "", f"Medians of {runs} runs. {where}."])


def row(words, ours, theirs="", ratio=""):
    """A line of the table, with the goal if there is one."""
    cells = (words, theirs, ours, ratio, GOALS.get(words, ""))
    return "|" + "".join(f" {cell} |" if cell else " |" for cell in cells)


def in_mb(amount):
    """Bytes as megabytes."""
    return f"{amount / 1e6:.1f}"


def percentile(values, share):
    """The least value that at least this share of the values does not exceed."""
    ordered = sorted(values)
    return ordered[max(0, -int(-share * len(ordered) // 1) - 1)]


def put_into(path, text):
    """Replace the text between the marks in a file."""
    marked, whole = re.compile(f"{BEGIN}.*?{END}", re.DOTALL), path.read_text("utf-8")
    if not marked.search(whole):
        raise ValueError(f"{path.name} does not have {BEGIN} and {END}.")
    path.write_text(marked.sub(lambda _: f"{BEGIN}\n{text}\n{END}", whole), "utf-8")


def machine(browser):
    """The machine, the browser and the day, in words."""
    return (
        f"{processor()}, {os.cpu_count()} cores, {memory_gb()} GB, {platform.system()}"
        f" {platform.release()}, Chromium {browser}, {datetime.date.today().isoformat()}"
    )


def processor():
    """The processor's name."""
    told = Path("/proc/cpuinfo")
    found = told.exists() and re.search(r"^model name\s*: (.*)", told.read_text(), re.MULTILINE)
    return found[1] if found else platform.processor() or platform.machine()


def memory_gb():
    """The machine's memory. [GB]"""
    try:
        return round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30)
    except (ValueError, OSError, AttributeError):
        return "?"
