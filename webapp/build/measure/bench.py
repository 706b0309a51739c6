"""Measures the page against the stock route, in the same run on the same machine.

Each run of each side has its own browser with its own profile: a first visit with nothing cached,
then, after a pause in which the page may cache things, a second visit. The sides take turns.
Medians are printed and written into README.md; stock.py explains the stock side.
"""

import gzip
import os
import statistics
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from webapp.build import assemble
from webapp.build.environment import ROOT
from webapp.build.measure import machine, stock, visits
from webapp.build.parts import single
from webapp.build.parts.compressed import brotli
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
        sizes = {side: wire(folders[side], asked[side]) for side in SIDES}
        whole = {
            "all that works without network, Brotli 11 [MB]": offline(assemble.SITE),
            "the page as one file [MB]": (assemble.SITE / single.NAME).stat().st_size,
        }
    slow = {}
    for side in SIDES:
        with step(f"On a slow line, {side}"):
            slow[side] = visits.visited_slowly(folders[side])
    edits = {}
    for count in visits.EDITS:
        with step(f"Editing with {count} media and {count} sowings"):
            edits[count] = visits.edited(assemble.SITE, count)
    plans = {}
    for name, size in visits.PLANS.items():
        with step(f"Planning {name}"):
            plans[name] = visits.planned(assemble.SITE, size)
    where = machine.named(version)
    text = table(medians(found), sizes, edits, plans, where, runs, slow=slow, whole=whole)
    say(text)
    put_into(README, text)


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


def medians(figures):
    """{(side, visit): {figure: median}}."""
    return {
        key: {name: statistics.median([one[name] for one in found]) for name in found[0]}
        for key, found in figures.items()
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
