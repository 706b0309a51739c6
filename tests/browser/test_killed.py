"""What was entered half a second before every process of the browser was killed is there again."""

import os
import signal
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Error, sync_playwright

from tests.browser.desk import WATCH, opened, price
from webapp.build.browser import installed

BEFORE_THE_END_MS = 500


def processes_of(profile):
    """The processes of the browser that keeps its things in this folder, and theirs."""
    children, first = {}, []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            words = (folder / "cmdline").read_bytes()
            parent = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
        except OSError:
            continue  # it has just ended
        children.setdefault(parent, []).append(int(folder.name))
        if f"--user-data-dir={profile}".encode() in words:
            first.append(int(folder.name))
    found = []
    while first:
        found.append(first.pop())
        first += children.get(found[-1], [])
    return set(found)


def killed_after(profile, address, enter):
    """Open the page in the browser of this folder, enter something, and kill the browser."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            profile, **installed(), locale="en", service_workers="block"
        )
        context.add_init_script(WATCH)
        page = opened(context, address)
        found = enter(page)
        page.wait_for_timeout(BEFORE_THE_END_MS)
        for process in processes_of(profile):
            os.kill(process, signal.SIGKILL)
        with suppress(Error):  # it is gone already
            context.close()
    return found


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="finds processes in /proc")
@pytest.mark.parametrize(
    ("address", "times"),
    [
        ("served", 3),
        pytest.param("served", 20, marks=pytest.mark.long),
        pytest.param("one file", 5, marks=pytest.mark.long),
    ],
    indirect=["address"],
)
def test_nothing_is_lost_when_the_browser_is_killed(tmp_path, address, times):
    prices = [f"{6 + turn / 100:.2f}" for turn in range(times + 1)]
    found = [
        killed_after(tmp_path, address, lambda page, text=text: changed(page, text))
        for text in prices
    ]

    assert found == ["5.90", *prices[:-1]]


def changed(page, text):
    """The price as the page has it before another is typed."""
    before = price(page).input_value()
    price(page).fill(text)
    return before
