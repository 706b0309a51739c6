"""The page without a mouse, without sight, in large print, in the dark and on a small screen.

The rules are those of axe-core, at the version and sum in access/package-lock.json; states.py has
the states that the page is tried in.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.desk import fresh, look_at, open_place, start_over, without_python
from tests.browser.states import STATES, fold, open_all

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).parent / "access"
CACHE = ROOT / ".cache" / "access"
START_UP_MS = 60_000
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
COLOURS = ["color-contrast", "link-in-text-block"]
"""Rules whose outcome depends on colours, which are all that the dark scheme changes."""
SPACE = ["target-size", "scrollable-region-focusable", "region", "heading-order"]
"""Rules whose outcome depends on what has room, and so is shown, at a width."""
LOOKS = [
    ((390, 844), "light", TAGS, COLOURS),
    ((820, 1180), "dark", COLOURS + SPACE, ()),
    ((1440, 900), "light", TAGS, ()),
]
"""Width, scheme, rules, and those left out: a colour is the same at every width."""


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
        if not npm:
            pytest.skip("axe-core comes from npm, and there is no npm here")
        subprocess.run(
            [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"], cwd=CACHE, check=True
        )
        stamp.write_bytes(lock)
    return (CACHE / "node_modules" / "axe-core" / "axe.min.js").read_text("utf-8")


@pytest.fixture(scope="module")
def visit(browser, site_url, rules):
    """One page for the whole file, since starting takes the longest; each test starts it over."""
    context = fresh(browser, reduced_motion="reduce")
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    page.evaluate(rules)
    page.on("dialog", lambda dialog: dialog.accept())
    yield page
    context.close()


@pytest.fixture
def demo(visit):
    """The page as it is at the start, at the size of a desktop."""
    start_over(visit)
    visit.set_viewport_size({"width": 1440, "height": 900})
    return visit


def broken_rules(page, which=TAGS, without=()):
    """What breaks a rule, of all or of those chosen: [((rule, element), why)]."""
    page.evaluate("scrollTo(0, 0)")
    options = {"runOnly": which, "resultTypes": ["violations"], "preload": False}
    options["rules"] = {rule: {"enabled": False} for rule in without}
    found = page.evaluate(f"axe.run(document, {json.dumps(options)})")["violations"]
    return [((v["id"], str(n["target"])), n["failureSummary"]) for v in found for n in v["nodes"]]


@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_no_rule_is_broken(demo, state):
    state(demo)
    found = {}
    for (width, height), scheme, which, without in LOOKS:
        demo.set_viewport_size({"width": width, "height": height})
        demo.emulate_media(color_scheme=scheme)
        found |= {
            (*broken, width, scheme): why for broken, why in broken_rules(demo, which, without)
        }

    assert found == {}


def test_the_bar_of_a_small_screen_is_readable_in_the_light(demo):
    demo.set_viewport_size({"width": 390, "height": 844})

    assert broken_rules(demo, COLOURS) == []


def test_no_rule_is_broken_while_it_starts(page, site_url, rules):
    without_python(page)
    page.goto(site_url)
    expect(page.get_by_role("progressbar")).to_be_visible()
    page.evaluate(rules)

    assert broken_rules(page) == []


@pytest.mark.parametrize("size", [(320, 640), (390, 844), (640, 450), (1440, 900)])
def test_everything_fits_and_can_be_hit(demo, size):
    """640 px wide is a window of 1280 at 200 %, 320 px one at 400 %."""
    demo.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
    open_all(demo)
    for place in PLACES:
        open_place(demo, place)
        assert demo.evaluate(MISFITS) == NO_MISFITS, place


MISFITS = """async () => {
    const isWide = () => document.documentElement.scrollWidth > innerWidth;
    for (let tries = 0; isWide() && tries < 20; tries++) // charts follow the window a little later
        await new Promise((go) => setTimeout(go, 100));
    const isForEars = (e) => getComputedStyle(e).clipPath === "inset(50%)" || e.closest(".unseen");
    const isShown = (e) => e.checkVisibility({ visibilityProperty: true }) && !isForEars(e);
    const all = (query) => [...document.querySelectorAll(query)].filter(isShown);
    const name = (e) => e.outerHTML.slice(0, 120);
    const size = (e) => {
        const own = e.getBoundingClientRect();
        const label = e.type === "checkbox" && e.labels[0]?.getBoundingClientRect();
        return Math.min(own.width, label ? Math.max(own.height, label.height) : own.height);
    };
    const isInText = (e) =>
        e.closest("p, li, td") && getComputedStyle(e).display.startsWith("inline");
    const isCut = (e) => e.clientWidth && e.scrollWidth > e.clientWidth + 1;
    const words = "button, .button, label, legend, summary, th, td, h1, h2, h3, h4, p, li";
    const main = "button.main, .button.main, .field :is(input:not([type=checkbox]), select)";
    return {
        isWide: isWide(),
        cut: all(words).filter((e) => isCut(e) && !e.matches(".stamp")).map(name),
        small: all("a:not(.skip), button, input, select, summary")
            .filter((e) => size(e) < (isInText(e) ? 20 : 24)).map(name),
        smallForMain: all(main).filter((e) => size(e) < 44).map(name),
    };
}"""
NO_MISFITS = {"isWide": False, "cut": [], "small": [], "smallForMain": []}
PLACES = ["enter", "buy", "compare", "grow", "share", "notes"]
LONGER = """
import math, re, sys
from reader import words
longer = lambda word: word[0] + "ü" * math.ceil(0.4 * len(word[0]))
stretch = lambda text: re.sub(r"(?<![{\\w.])[^\\W\\d_]+(?![\\w}])", longer, text)
words.CATALOGUE = {
    key: stretch(text) if isinstance(text, str) else tuple(map(stretch, text))
    for key, text in words.CATALOGUE.items()
}
import view
sys.stdout.write(view.render_page())
"""


@pytest.fixture(scope="module")
def longer():
    """The example with every word of the catalogue 40 % longer, as in another language."""
    path = os.pathsep.join(str(ROOT / folder) for folder in ("webapp", "core"))
    environment = os.environ | {"PYTHONPATH": path, "PYTHONUTF8": "1"}
    command = [sys.executable, "-c", LONGER]
    done = subprocess.run(
        command, env=environment, capture_output=True, encoding="utf-8", check=True
    )
    return done.stdout


@pytest.mark.parametrize("width", [320, 390, 820, 1440])
def test_nothing_breaks_with_words_forty_percent_longer(page, site_url, longer, width):
    style = (ROOT / "webapp" / "shell" / "style.css").read_text("utf-8")
    head = f"<!doctype html><meta charset=utf-8><title>.</title><style>{style}</style>"
    page.route(site_url, lambda route: route.fulfill(body=head + longer, content_type="text/html"))
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(site_url)
    open_all(page)
    expect(page.locator("#raising-title")).to_have_text("Whatüü youüü areüü raisingüüü")

    for place in PLACES:
        page.evaluate("place => { document.documentElement.dataset.place = place }", place)
        expect(page.locator(f"#{place}")).to_be_visible()
        assert page.evaluate(MISFITS) == NO_MISFITS, place


def test_the_main_things_can_be_done_by_keyboard_alone_and_focus_is_seen(demo):
    keys = demo.keyboard
    keys.press("Tab")
    expect(demo.get_by_role("link", name="Skip to the page")).to_be_focused()
    assert focus_is_seen(demo)
    for choice in ("Language", "Units"):
        keys.press("Tab")
        expect(demo.get_by_role("combobox", name=choice)).to_be_focused()
        assert focus_is_seen(demo)
    for link in ("Buy 1 ×", "Enter", "Buy", "Compare", "Grow", "Share"):
        keys.press("Tab")
        expect(demo.locator("#rail :focus")).to_contain_text(link)
        assert focus_is_seen(demo)
    keys.press("Tab")
    expect(demo.get_by_role("button", name="Use my own prices")).to_be_focused()
    assert focus_is_seen(demo)
    tab_to(demo, "media[0].packages[0].price")
    keys.press("Control+A")
    keys.type("7.45")
    expect(demo.locator("#buying")).to_contain_text("$7.45")

    tab_to_button(demo, "Add a bought mix")
    keys.press("Enter")
    expect(demo.get_by_label("Name of the mix").last).to_be_focused()
    keys.type("Fine mix")
    tab_to_button(demo, "Remove Fine mix")
    keys.press("Space")
    expect(demo.get_by_role("button", name="Undo")).to_be_focused()
    keys.press("Enter")
    expect(demo.locator("#mix-3")).to_contain_text("Fine mix")


def test_focus_goes_down_the_page_as_it_is_read(demo):
    order = []
    for _ in range(60):
        demo.keyboard.press("Tab")
        assert focus_is_seen(demo)
        order.append(demo.evaluate(SECTION))
        if order[-1] == "buy":
            break

    sections = ["top", "raising", "shelf", "feeding", "enter", "buy"]
    assert list(dict.fromkeys(order)) == sections


SECTION = """(document.activeElement.closest(".place, #entry > section")?.id ?? "top")"""
FOCUS = """() => {
    const focused = document.activeElement;
    const marked = focused.closest(".pick") ?? focused;
    const style = getComputedStyle(marked);
    const box = marked.getBoundingClientRect();
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2
        && box.bottom > 0 && box.top < innerHeight; }"""


def focus_is_seen(page):
    return page.evaluate(FOCUS)


def tab_to(page, path):
    for _ in range(80):
        if page.evaluate("document.activeElement.dataset.path") == path:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{path} cannot be reached")


def tab_to_button(page, name):
    for _ in range(80):
        focused = page.locator(":focus")
        if focused.count() and name in (
            focused.get_attribute("aria-label") or focused.inner_text() or ""
        ):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{name} cannot be reached")


def test_nothing_moves_for_those_who_ask_for_that(demo):
    moving = demo.evaluate("""() => [...document.querySelectorAll("*")].filter((e) => {
        const style = getComputedStyle(e);
        return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0;
    }).length""")

    assert moving == 0


def test_every_picture_and_chart_has_its_numbers_in_words(demo):
    look_at(demo, "cells", "alone", "growing-number")
    expect(demo.locator("#chart-cost")).to_have_accessible_name(re.compile("mix \\$0.168; Home"))
    expect(demo.locator("#tray svg[role=img]")).to_have_accessible_name(
        "Of 77 cells sown: 64 expected ready, 4 lost on the way, 9 stay empty."
    )
    expect(demo.locator("#buying svg[role=img]").first).to_have_accessible_name(
        "Of 8.81 L bought, 4.54 L end up in cells, 0.62 L are lost on the way,"
        " 3.65 L are left over."
    )
    fold(demo, "These lines as numbers").click()
    expect(demo.locator("#steps-table")).to_contain_text("$15.50")


def test_a_focused_field_of_a_phone_is_not_under_the_recommendation(demo):
    demo.set_viewport_size({"width": 390, "height": 844})
    open_place(demo, "enter")

    for field in demo.locator("#entry :is(input, select):visible").all():
        field.focus()
        box, rail = field.bounding_box(), demo.locator("#rail").bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= rail["y"]
        assert rail["y"] + rail["height"] == 844
