"""What was entered half a second before every process of the browser was killed is there again."""

import os
import signal
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Error

from tests.browser.desk import WATCH, opened, price, without_python
from tests.times import TIMES
from webapp.build.measure.visits import installed

BEFORE_THE_END_MS = 500
NEEDS_PROC = pytest.mark.skipif(
    not Path("/proc/self/cmdline").exists(), reason="finds the processes in /proc"
)


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


def killed_after(browser, profile, address, enter, *, is_up=True):
    """
    Open the page in the browser of this folder, enter something, and kill the browser.

    Python does not come unless `is_up`.
    """
    context = browser.browser_type.launch_persistent_context(
        profile, **installed(), locale="en", service_workers="block"
    )
    context.add_init_script(WATCH)
    if is_up:
        page = opened(context, address)
    else:
        page = context.new_page()
        without_python(page)
        page.goto(address)
    found = enter(page)
    page.wait_for_timeout(BEFORE_THE_END_MS)
    processes = processes_of(profile)
    assert len(processes) > 2
    for process in processes:
        os.kill(process, signal.SIGKILL)
    with suppress(Error):  # it is gone already
        context.close()
    return found


@NEEDS_PROC
@pytest.mark.parametrize(
    ("address", "times"),
    [("served", 3 * TIMES), ("one file", TIMES)],
    indirect=["address"],
)
def test_nothing_is_lost_when_the_browser_is_killed(browser, tmp_path, address, times):
    prices = [f"{6 + turn / 100:.2f}" for turn in range(times + 1)]
    found = [
        killed_after(browser, tmp_path, address, lambda page, text=text: changed(page, text))
        for text in prices
    ]

    assert found == ["5.90", *prices[:-1]]


def changed(page, text):
    """The price as the page has it before another is typed."""
    before = price(page).input_value()
    price(page).fill(text)
    return before


@NEEDS_PROC
def test_what_was_typed_before_python_was_up_is_not_lost_either(browser, tmp_path, site_url):
    killed_after(browser, tmp_path, site_url, lambda page: price(page).fill("7.31"), is_up=False)

    found = killed_after(browser, tmp_path, site_url, lambda page: price(page).input_value())

    assert found == "7.31"
