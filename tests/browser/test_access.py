"""The page as used without a mouse, without sight, in large print, in the dark or on a small screen.

The rules are those of axe-core, at the version and sum in access/package-lock.json.
"""

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import expect

HERE = Path(__file__).parent / "access"
CACHE = Path(__file__).resolve().parents[2] / ".cache" / "access"
START_UP_MS = 60_000
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SIZES = [(390, 844), (820, 1180), (1440, 900)]


@pytest.fixture(scope="session")
def rules():
    """axe-core's script, fetched once."""
    lock = (HERE / "package-lock.json").read_bytes()
    stamp = CACHE / "stamp"
    if not stamp.exists() or stamp.read_bytes() != lock:
        CACHE.mkdir(parents=True, exist_ok=True)
        for name in ("package.json", "package-lock.json"):
            shutil.copy(HERE / name, CACHE / name)
        npm = shutil.which("npm")
        assert npm, "these tests need npm, to fetch axe-core"
        subprocess.run(
            [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"], cwd=CACHE, check=True
        )
        stamp.write_bytes(lock)
    return (CACHE / "node_modules" / "axe-core" / "axe.min.js").read_text("utf-8")


@pytest.fixture(scope="module")
def visit(browser, site_url, rules):
    """One page for the whole file, since starting takes the longest; each test starts it over."""
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(page.locator("#chart-cost canvas").first).to_be_attached(timeout=START_UP_MS)
    page.evaluate(rules)
    yield page
    context.close()


@pytest.fixture
def demo(visit):
    """The page as it is at the start, at the size of a desktop."""
    visit.set_viewport_size({"width": 1440, "height": 900})
    visit.get_by_role("button", name="Back to the example").click()
    close = visit.get_by_role("button", name="Close", exact=True)
    close.click()
    expect(close).to_have_count(0)
    visit.evaluate("""() => {
        for (const fold of document.querySelectorAll("details"))
            fold.open = ["planting-0", "mix-0"].includes(fold.id);
        document.activeElement.blur();
        scrollTo(0, 0); }""")
    return visit


def broken_rules(page, only=None):
    """What breaks a rule: [(rule, element, why)]."""
    options = {"runOnly": {"type": "rule", "values": only} if only else TAGS}
    options["resultTypes"] = ["violations"]
    found = page.evaluate(f"axe.run(document, {json.dumps(options)})")["violations"]
    return [(v["id"], n["target"], n["failureSummary"]) for v in found for n in v["nodes"]]


def nothing(page):
    pass


def empty(page):
    page.get_by_role("button", name="Start empty").click()
    expect(page.locator("#standing")).to_contain_text("The answer appears here")


def wrong_entry(page):
    page.get_by_label("Price ($)").first.fill("a lot")
    expect(page.locator("#standing")).to_contain_text("For the last complete entries")


def not_ready(page):
    page.get_by_text("Seed, tray and feeding").first.click()
    page.get_by_label("When the mix's fertiliser runs out").first.select_option("do nothing")
    expect(page.locator("#table")).to_contain_text("Not ready")


def removed(page):
    page.get_by_role("button", name="Remove Home blend").click()
    expect(page.get_by_role("button", name="Undo")).to_be_visible()


def all_open(page):
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")


def everything_counted(page):
    all_open(page)
    page.get_by_role("button", name="Count my time").click()
    page.get_by_role("button", name="Add a feed").count() or page.get_by_role(
        "button", name="Remove Soluble"
    ).click()
    page.get_by_role("button", name="Add a home blend").click()
    expect(page.locator("#mix-3")).to_be_attached()
    page.locator("[data-path='plantings[0].presprout']").check()
    page.locator("[data-path='plantings[1].remedy']").select_option("pot_on")
    page.locator("[data-path='plantings[2].container']").select_option(index=1)
    expect(page.locator("[data-path='plantings[1].pot_on.medium']")).to_be_visible()


STATES = [nothing, empty, wrong_entry, not_ready, removed, all_open, everything_counted]


@pytest.mark.parametrize("state", STATES)
def test_no_rule_is_broken(demo, state):
    if state is not empty:
        demo.get_by_label("Crop", exact=True).first.fill("tomato")
    state(demo)
    found = []
    for width, height in SIZES:
        demo.set_viewport_size({"width": width, "height": height})
        found += broken_rules(demo)
    for scheme in ("dark", "light"):
        demo.emulate_media(color_scheme=scheme)
        found += broken_rules(demo, ["color-contrast"]) if scheme == "dark" else []

    assert found == []
