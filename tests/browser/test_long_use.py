"""Two thousand edits in one tab: no more memory than after the first hundreds, and as quick."""

import statistics
from pathlib import Path

import pytest

from tests.browser.desk import PLANNED, WATCH, fresh, opened, until
from webapp.build.measure.browser import launched

ROUNDS, EDITS = 20, 100
WARM = 5
"""Rounds before memory is compared: the browser optimises, Python's free lists fill."""

MORE_MEMORY, MORE_TIME = 1.2, 1.5
"""Of what there was after warming up. The issue asks for the first; the second is for a machine
that does other things besides."""

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
    """What the browser's pages have in memory. [MB]"""
    found = session.send("SystemInfo.getProcessInfo")["processInfo"]
    sizes = [
        line.split()[1]
        for process in found
        if process["type"] == "renderer"
        for line in Path(f"/proc/{process['id']}/status").read_text().splitlines()
        if line.startswith("VmRSS")
    ]
    return sum(map(int, sizes)) / 1024


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads memory in /proc")
def test_two_thousand_edits_leave_memory_and_time_as_they_were(site_url):
    times, memory = [], []
    with launched() as browser:
        context = fresh(browser)
        context.add_init_script(WATCH)
        page = opened(context, site_url)
        session, own = browser.new_browser_cdp_session(), context.new_cdp_session(page)
        for _ in range(ROUNDS):
            times.append(statistics.median(page.evaluate(TYPED, EDITS)))
            until(page, f"!pennyflat.unanswered().length && {PLANNED} && picture.isKept()")
            own.send("HeapProfiler.collectGarbage")
            memory.append(renderers_mb(session))
        context.close()
    print("median of each round [ms]", [round(ms, 1) for ms in times])
    print("memory after it [MB]", [round(mb) for mb in memory])

    assert memory[-1] < MORE_MEMORY * memory[WARM - 1]
    assert statistics.median(times[-WARM:]) < MORE_TIME * statistics.median(times[:WARM])
