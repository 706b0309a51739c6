"""Access in hard places: forced colours, 400 %, paper without colour, the keyboard alone.

What axe-core and the usual sizes show is in test_access.py.
"""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.desk import fresh, look_at, open_place, until
from tests.browser.states import STATES, grow_opened, on_paper, open_all, questions_opened

PLACES = ["enter", "buy", "compare", "grow", "share"]
SMALL = {"width": 320, "height": 256}
"""A window of 1280 × 1024 at 400 %. [WCAG 2.2, 1.4.10]"""

COLOUR = "(of) => getComputedStyle(document.querySelector(of[0]))[of[1]]"


# ---- Forced colours ----


@pytest.fixture
def forced(example):
    example.emulate_media(forced_colors="active")
    yield example
    example.emulate_media(forced_colors="none")


def test_the_open_place_is_marked_in_forced_colours(forced):
    open_place(forced, "compare")
    for width, side in ((390, "borderTopColor"), (1280, "borderBottomColor")):
        forced.set_viewport_size({"width": width, "height": 900})
        marked = forced.evaluate(COLOUR, ["#places [aria-current]", side])
        other = forced.evaluate(COLOUR, ["#places a:not([aria-current])", side])

        assert marked != other
        assert other == forced.evaluate(COLOUR, ["body", "backgroundColor"])


def test_names_and_choices_have_their_whole_edge_in_forced_colours(forced):
    """An edge is cut off where a name has the shape of a plant label."""
    look_at(forced)
    for of in (".pick label", ".verdict .plant-label", "#mix-0 .plant-label"):
        assert forced.evaluate(COLOUR, [of, "clipPath"]) == "none"
        assert forced.evaluate(COLOUR, [of, "borderTopStyle"]) == "solid"
    chosen = "getComputedStyle(document.querySelector('.pick input:checked + label'), '::before')"
    assert forced.evaluate(f"{chosen}.borderRightWidth") == "3px"  # a tick


def test_the_plans_choice_and_the_focus_are_seen_in_forced_colours(forced):
    open_place(forced, "compare")
    marked = "#crossed td:has(> .tag)"
    ground = forced.evaluate(COLOUR, [marked, "backgroundColor"])

    assert forced.locator(marked).count() == 3
    assert forced.evaluate(COLOUR, [marked, "outlineStyle"]) == "solid"
    assert forced.evaluate(COLOUR, [marked, "outlineColor"]) != ground
    assert tabbed_to(forced, f"({FOCUS})() && !({IS_ON_ITS_GROUND})()") >= 10


def test_what_is_wrong_is_told_by_more_than_colour_in_forced_colours(forced):
    field = forced.get_by_label("Price ($)").first
    usual = field.evaluate("e => getComputedStyle(e).borderTopWidth")
    field.fill("a lot")
    expect(forced.locator(".fault").first).to_be_visible()

    assert field.evaluate("e => getComputedStyle(e).borderTopWidth") != usual
    expect(forced.locator(".verdicts")).to_have_class(re.compile("is-stale"))
    assert forced.evaluate(COLOUR, [".verdict", "borderTopStyle"]) == "dashed"


def test_charts_can_be_read_on_a_dark_ground_in_forced_colours(forced):
    """Browsers say then that they prefer the scheme of that ground."""
    forced.emulate_media(forced_colors="active", color_scheme="dark")
    name = "drawing.figures.get('chart-cost')"
    forced.evaluate("chartsMade()")
    until(forced, f"{name}.below[0].major_label_text_color === '#c3b59f'")

    assert forced.evaluate(COLOUR, ["body", "backgroundColor"]) == "rgb(0, 0, 0)"


IS_ON_ITS_GROUND = """() => {
    const { outlineColor } = getComputedStyle(document.activeElement);
    return outlineColor === getComputedStyle(document.body).backgroundColor; }"""

FOCUS = """() => {
    const focused = document.activeElement;
    if (focused === document.body) return false;
    const marked = focused.matches("main, .place")
        ? [...focused.querySelectorAll("h2")].find((title) => title.checkVisibility())
        : (focused.closest(".pick") ?? focused);
    const style = getComputedStyle(marked), box = marked.getBoundingClientRect();
    const x = (Math.max(box.left, 0) + Math.min(box.right, innerWidth)) / 2;
    const seen = [box.top + 3, (box.top + box.bottom) / 2, box.bottom - 3]
        .filter((y) => y > 0 && y < innerHeight)
        .map((y) => document.elementsFromPoint(x, y)[0])
        .some((top) => top && (marked.contains(top) || top.contains(marked)));
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 && seen; }"""
"""Whether the focus has a mark that is in the window, and not under a bar."""


def tabbed_to(page, condition):
    """Go through the rest of the page by Tab, which is so on each element: their number."""
    for count in range(200):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            return count
        assert page.evaluate(condition), page.evaluate("document.activeElement.outerHTML")
    raise AssertionError("The page has no end.")


# ---- 400 % ----

SPREADS = """() => ({
    isWide: document.documentElement.scrollWidth > innerWidth,
    scrolls: [...document.querySelectorAll("*")]
        .filter((e) => e.checkVisibility() && e.scrollWidth > e.clientWidth + 1
            && /auto|scroll/.test(getComputedStyle(e).overflowX) && !e.matches("pre, textarea"))
        .filter((e) => !e.querySelector(":scope > table"))
        .map((e) => e.outerHTML.slice(0, 100)),
    bars: [...document.querySelectorAll("body *")]
        .filter((e) => e.checkVisibility() && getComputedStyle(e).position === "fixed")
        .map((e) => [e.id || e.className, e.getBoundingClientRect().height])
        .filter(([, height]) => height > 0),
})"""


def test_at_400_percent_only_tables_scroll_sideways_and_no_bar_takes_the_room(example):
    example.set_viewport_size(SMALL)
    open_all(example)
    for place in PLACES:
        open_place(example, place)
        until(example, f"!({SPREADS})().isWide")  # charts follow the window a little later
        assert example.evaluate(SPREADS) == {"isWide": False, "scrolls": [], "bars": []}, place


def test_at_400_percent_what_is_focused_is_seen(example):
    example.set_viewport_size(SMALL)

    assert tabbed_to(example, FOCUS) > 20


def test_at_400_percent_the_names_of_the_places_are_not_broken(example):
    example.set_viewport_size(SMALL)
    lines = """(e) => {
        const words = document.createRange();
        words.selectNodeContents(e);
        return new Set([...words.getClientRects()].map((line) => line.top)).size; }"""

    named = example.locator("#places a, .masthead h1").all()
    assert len(named) == 6
    assert [one.text_content() for one in named if one.evaluate(lines) > 1] == []


def test_an_offer_to_undo_does_not_lie_on_what_is_focused(example):
    example.set_viewport_size({"width": 390, "height": 500})
    open_place(example, "enter")
    example.get_by_role("button", name="Remove tomato").click()
    expect(example.get_by_role("button", name="Undo")).to_be_visible()

    covered = example.evaluate("""() => {
        const offer = document.querySelector("#undo p").getBoundingClientRect();
        const fields = document.querySelectorAll("#entry :is(input, select, summary, button, a)");
        return [...fields].filter((e) => e.checkVisibility())
            .filter((e) => (e.focus(), e.getBoundingClientRect().bottom > offer.top))
            .map((e) => e.outerHTML.slice(0, 100)); }""")
    assert covered == []


# ---- No motion ----


@pytest.mark.parametrize("state", [STATES[0], questions_opened, grow_opened])
def test_nothing_moves_by_itself_for_those_who_ask_for_that(example, state):
    example.emulate_media(reduced_motion="reduce")
    state(example)

    assert example.evaluate(MOVING) == []
    example.emulate_media(reduced_motion="no-preference")
    assert example.evaluate(MOVING) != []  # the fold's arrow turns


MOVING = """() => [...document.querySelectorAll("*")].flatMap((e) =>
    ["", "::before", "::after"].filter((part) => {
        const style = getComputedStyle(e, part || null);
        return style.animationName !== "none" || style.scrollBehavior === "smooth"
            || style.transitionDuration.split(",").some((time) => parseFloat(time) > 0);
    }).map((part) => e.localName + part))"""


# ---- Paper without colour ----


def test_the_handout_is_the_same_without_colour(example):
    on_paper(example)
    example.emulate_media(media="print", color_scheme="dark")

    coloured = example.evaluate("""() => {
        const isGrey = (colour) => {
            const [red, green, blue, alpha = 1] = colour.match(/[\\d.]+/g).map(Number);
            return alpha === 0 || (red === green && green === blue);
        };
        const kinds = ["color", "backgroundColor", "fill", "stroke"];
        return [...document.querySelectorAll("body, #sheet, #sheet *")].flatMap((e) =>
            kinds.map((kind) => [e.localName, kind, getComputedStyle(e)[kind]]))
            .filter(([, , colour]) => colour !== "none" && !isGrey(colour)); }""")

    assert example.locator("#sheet h1").is_visible()
    assert coloured == []


# ---- By keyboard ----


class Keys:
    """A page used by keyboard alone; each key leaves the focus where it is seen."""

    def __init__(self, page):
        self.page = page

    def press(self, key):
        self.page.keyboard.press(key)
        until(self.page, f"({FOCUS})()")

    def type(self, text):
        self.page.keyboard.type(text)
        assert self.page.evaluate(FOCUS)

    def to(self, which, key="Tab", most=150):
        """Go on to an element of that selector."""
        for _ in range(most):
            if self.page.evaluate("of => document.activeElement.matches(of)", which):
                return
            self.press(key)
        raise AssertionError(f"{which} cannot be reached")

    def open(self, place):
        self.to(f"#places a[href='#{place}']", "Shift+Tab")
        self.press("Enter")
        expect(self.page.locator(f"#{place}")).to_be_visible()


def test_the_whole_job_is_done_by_keyboard_and_the_focus_is_never_lost(browser, site_url):
    context = fresh(browser, viewport={"width": 820, "height": 1180})
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=60_000)
    page.evaluate("""() => {
        for (const kind of ["mousedown", "pointerdown", "touchstart"])
            addEventListener(kind, () => { window.touched = true }, true); }""")
    keys = Keys(page)
    keys.press("Tab")
    keys.to("[data-do=empty]")
    keys.press("Enter")
    expect(page.locator("#enter")).to_be_visible()

    for path, text in ENTRIES.items():
        keys.to(f"[data-path='{path}']")
        keys.type(text)
    expect(page.locator("#bar")).to_contain_text("$", timeout=60_000)
    keys.to("a[href='#buy'].button")
    keys.press("Enter")
    expect(page.locator("#advice")).to_contain_text("Buy 1 × Coarse mix, 40 L: $19.00")
    keys.to("#errand-list [type=checkbox]")
    keys.press("Space")
    expect(page.locator("#errand-list :checked")).to_have_count(1)

    keys.open("grow")
    keys.to("#grow input[type=date]")
    keys.type("05152027")
    expect(page.locator("#grow input[type=date]").first).to_have_value("2027-05-15")
    keys.open("share")
    keys.to("#share-card > summary")
    keys.press("Enter")
    keys.to("#share-card button[data-do=share]")
    keys.press("Enter")
    expect(page.get_by_label("Link to this plan")).not_to_have_value("")
    assert page.evaluate("window.touched") is None
    context.close()


ENTRIES = {
    "sowings[0].crop": "My own",
    "sowings[0].wanted": "40",
    "sowings[0].cell_ml": "30",
    "sowings[0].weeks": "2",
    "media[0].name": "Fine mix",
    "media[0].packages[0].size": "20",
    "media[0].packages[0].price": "7.50",
    "media[1].name": "Coarse mix",
    "media[1].packages[0].size": "40",
    "media[1].packages[0].price": "19",
}


# ---- What a screen reader says of the tables ----


def test_each_cell_of_the_comparison_has_its_row_and_its_column(example):
    look_at(example, "numbers")
    session = example.context.new_cdp_session(example)
    document = session.send("DOM.getDocument")["root"]
    for of in ("#crossed table", "#table table"):
        found = session.send("DOM.querySelector", {"nodeId": document["nodeId"], "selector": of})
        tree = session.send("Accessibility.queryAXTree", {"nodeId": found["nodeId"]})["nodes"]
        roles = [node["role"]["value"] for node in tree if not node["ignored"]]
        cells, heads = roles.count("cell"), roles.count("columnheader")
        rows = example.locator(f"{of} tbody tr:has(td)").count()

        assert "table" in roles
        assert heads >= 3
        assert roles.count("rowheader") >= rows
        assert cells >= 3 * rows
        assert example.locator(f"{of} th:not([scope])").count() == 0


def test_the_plans_choice_is_in_the_name_of_its_cell(example):
    open_place(example, "compare")

    marked = example.get_by_role("cell", name="in the plan")
    expect(marked).to_have_count(3)
    expect(example.get_by_role("table").first).to_match_aria_snapshot("""
      - table:
        - rowgroup:
          - row:
            - columnheader "Seed starter mix"
            - columnheader "Bulk potting mix"
            - columnheader "Home blend"
        - rowgroup:
          - row:
            - rowheader "tomato"
            - cell /\\$\\d.\\d+ till \\$\\d.\\d+ in the plan/
    """)
    for cell in marked.all():
        assert cell.evaluate("e => e.parentElement.cells[0].scope") == "row"


def test_everything_in_compare_that_can_be_used_has_a_name(example):
    look_at(example, "numbers", "cells", "alone", "growing-number")
    session = example.context.new_cdp_session(example)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    used = {"button", "link", "radio", "checkbox", "combobox", "textbox", "table", "image"}
    used |= {"figure", "region", "DisclosureTriangle", "heading", "columnheader", "rowheader"}

    unnamed = [
        (node["role"]["value"], node.get("backendDOMNodeId"))
        for node in nodes
        if not node["ignored"]
        and node["role"]["value"] in used
        and not node.get("name", {}).get("value", "").strip()
    ]
    assert unnamed == []
