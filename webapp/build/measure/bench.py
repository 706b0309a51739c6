"""Measures the page against the stock route, in the same run on the same machine.

Each run of each side has its own browsers with their own profiles: a first visit with nothing
cached, then, after a pause in which the page may cache things, a second one. The sides take turns.
"""

import datetime
import gzip
import math
import os
import platform
import re
import statistics
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from webapp.build import assemble, files
from webapp.build.environment import ROOT, say, step
from webapp.build.measure import stock, visits
from webapp.build.parts import front

README = ROOT / "README.md"
BEGIN, END = "<!-- bench: python3 build.py bench writes this -->", "<!-- /bench -->"

GOALS = {
    "first visit: first contentful paint [s]": "0.25 s",
    "first visit: first edit answered [s]": "0.10 of stock",
    "first visit: charts drawn [s]": "0.10 of stock",
    "first visit: most memory of the page's process [MB]": "0.60 of stock",
    "second visit: first edit answered [s]": "0.08 of stock",
    "first visit over the wire, Brotli 11 [MB]": "7.5",
    "all that works without network, Brotli 11 [MB]": "9",
    "the page as one file [MB]": "14",
    "edit to answer, 12 media × 12 sowings, median and p95 [ms]": "50",
    "edit to answer, 60 media × 60 sowings, median and p95 [ms]": "150",
    "edit to plan, the example: a plan, median and most [s]": "0.1",
    "edit to plan, 6 × 10: checked to the end, median and most [s]": "1",
    "edit to plan, 12 × 12: checked to the end, median and most [s]": "3",
    "edit to plan, 60 × 60: a plan, median and most [s]": "0.5",
}
"""Upper limits, by what is measured."""

UNITS = {"s": (1000, 2), "ms": (1, 0), "MB": (1e6, 1)}
"""Divisor and decimals of what is measured in milliseconds and bytes."""

SIDES = ("stock", "ours")


def run(runs):
    """Measure, print the table and write it into README.md."""
    folders = {"stock": stock.make(), "ours": assemble.SITE}
    found, asked = {}, {}

    def note(told, side="ours"):
        for words, figures in told.items():
            found.setdefault(words, {}).setdefault(side, []).extend(figures)

    for number in range(1, runs + 1):
        for side in SIDES:
            with step(f"Run {number} of {runs}, {side}"):
                told, asked[side], version = visits.opened_twice(folders[side])
            note(told, side)
    for side in SIDES:
        with step(f"Compressing, {side}"):
            note(wire("first visit over the wire", folders[side], asked[side]), side)
        with step(f"On a slow line, {side}"):
            note(visits.visited_slowly(folders[side]), side)
    site = files.files_in(assemble.SITE)
    kept = site.keys() - {front.ALONE, files.SUMS}  # the service worker's, and itself
    with step("Compressing everything"):
        note(wire("all that works without network", assemble.SITE, kept, ("Brotli 11",)))
    note({"the page as one file [MB]": [len(site[front.ALONE])]})
    for count in visits.EDITS:
        with step(f"Editing with {count} media and {count} sowings"):
            note(visits.edited(assemble.SITE, count))
    for name in visits.PLANS:
        with step(f"Planning {name}"):
            note(visits.planned(assemble.SITE, name))
    text = table(found, f"Medians of {runs} runs. {machine(version)}.")
    say(text)
    put_into(README, text)


def wire(what, folder, names, kinds=("raw", "gzip 9", "Brotli 11")):
    """The bytes of files by how they are compressed."""
    ways = {"raw": bytes, "gzip 9": gzip.compress, "Brotli 11": visits.brotli}
    datas = [Path(folder, name).read_bytes() for name in names if Path(folder, name).is_file()]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        sizes = {kind: sum(map(len, pool.map(ways[kind], datas))) for kind in kinds}
    return {f"{what}, {kind} [MB]": [size] for kind, size in sizes.items()}


def table(found, about):
    """The table in Markdown, with a line about it: found is {what is measured: {side: figures}}."""
    lines = ["| | stock | ours | ours / stock | at most |", "| --- | ---: | ---: | ---: | ---: |"]
    for words, sides in found.items():
        median = {side: statistics.median(figures) for side, figures in sides.items()}
        ratio = f"{median['ours'] / median['stock']:.2f}" if len(sides) == 2 else ""
        figures = [written(words, sides[side]) if side in sides else "" for side in SIDES]
        cells = (words, *figures, ratio, GOALS.get(words, ""))
        lines.append("|" + "".join(f" {cell} |" if cell else " |" for cell in cells))
    return "\n".join([*lines, "", about])


def written(words, figures):
    """The median of figures, and what else these words name, in their unit."""
    divisor, decimals = UNITS[words.rpartition("[")[2][:-1]]
    shown = [statistics.median(figures)]
    if "and p95" in words:
        shown.append(percentile(figures, 0.95))
    if "and most" in words:
        shown.append(max(figures))
    return ", ".join(f"{figure / divisor:.{decimals}f}" for figure in shown)


def percentile(values, share):
    """The least value that at least this share of the values does not exceed."""
    return sorted(values)[max(0, math.ceil(share * len(values)) - 1)]


def put_into(path, text):
    """Replace the text between the marks in a file."""
    marked, whole = re.compile(f"{BEGIN}.*?{END}", re.DOTALL), path.read_text("utf-8")
    if not marked.search(whole):
        raise ValueError(f"{path.name} does not have {BEGIN} and {END}.")
    path.write_text(marked.sub(lambda _: f"{BEGIN}\n{text}\n{END}", whole), "utf-8")


def machine(browser):
    """The machine, the browser and the day, in words."""
    paths = (Path("/proc/cpuinfo"), Path("/proc/meminfo"))
    told = "".join(path.read_text() for path in paths if path.exists())
    processor = re.search(r"^model name\s*: (.*)", told, re.MULTILINE)
    memory = re.search(r"^MemTotal: *(\d+) kB", told, re.MULTILINE)
    name = processor[1] if processor else platform.processor() or platform.machine()
    size = f"{os.cpu_count()} cores, {round(int(memory[1]) / 2**20) if memory else '?'} GB"
    system = f"{platform.system()} {platform.release()}"
    return f"{name}, {size}, {system}, Chromium {browser}, {datetime.date.today()}"
