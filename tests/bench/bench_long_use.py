"""Two thousand edits in one tab of Chromium: memory and time after each hundred.

Run, after python3 build.py: PYTHONPATH=core:webapp:. .venv/bin/python tests/bench/bench_long_use.py
"""

import statistics
from pathlib import Path

from tests.browser.desk import SETTLED, WATCH, fresh, opened, until
from webapp.build import assemble, serve
from webapp.build.measure.visits import launched

ROUNDS, EDITS = 20, 100

TYPED = """async (edits) => {
    const took = [];
    const field = (path) => document.querySelector(`[data-path="${path}"]`);
    for (let i = 0; i < edits; i++) {
        const path = i % 3 ? "media[0].packages[0].price" : "sowings[0].wanted";
        const begun = performance.now();
        const answered = new Promise((done) =>
            document.addEventListener("pennyflat:answer", done, { once: true }));
        field(path).value = i % 3 ? (5 + (i % 50) / 100).toFixed(2) : String(40 + (i % 30));
        field(path).dispatchEvent(new Event("input", { bubbles: true }));
        await answered;
        took.push(performance.now() - begun);
        if (i % 10 === 9) await new Promise((done) => setTimeout(done, 300)); // plan and charts
    }
    return took;
}"""


def renderers_mb(session):
    """What the browser's pages have in memory; needs Linux. [MB]"""
    found = session.send("SystemInfo.getProcessInfo")["processInfo"]
    sizes = [
        line.split()[1]
        for process in found
        if process["type"] == "renderer"
        for line in Path(f"/proc/{process['id']}/status").read_text().splitlines()
        if line.startswith("VmRSS")
    ]
    return sum(map(int, sizes)) / 1024


def main():
    """Print one row a round."""
    print("edits   memory, MB   median edit, ms")
    with serve.served(assemble.SITE) as address, launched() as browser:
        context = fresh(browser)
        context.add_init_script(WATCH)
        page = opened(context, address)
        session, own = browser.new_browser_cdp_session(), context.new_cdp_session(page)
        for number in range(1, ROUNDS + 1):
            took = statistics.median(page.evaluate(TYPED, EDITS))
            until(page, SETTLED)
            own.send("HeapProfiler.collectGarbage")
            print(f"{number * EDITS:>5} {renderers_mb(session):>12.0f} {took:>17.0f}", flush=True)
        context.close()


if __name__ == "__main__":
    main()
