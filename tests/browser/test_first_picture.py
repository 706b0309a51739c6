"""Before Python is up: one's own page as it was last, and typing that is not lost."""

import pytest
from playwright.sync_api import expect

from tests.browser.desk import beside, fresh, on_device, put

START_UP_MS = 90_000
PRICE = "Price ($)"
PICTURE = "pennyflat:picture"
KEPT = f"""(text) => localStorage.getItem("{PICTURE}")?.includes(text)"""


@pytest.fixture
def visit(browser):
    """A browser that remembers from page to page."""
    context = fresh(browser)
    yield context
    context.close()


@pytest.fixture
def kept(visit, site_url):
    """A visit in which a price was changed and the page's state was stored."""
    page = visit.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    page.wait_for_function(KEPT, arg="$7.30")
    page.close()
    return visit


def price(page):
    return page.locator("#mix-0").get_by_label(PRICE).first


def held_back(visit):
    """A page whose Python does not come until it is let."""
    page = visit.new_page()
    waiting = []
    page.route("**/python.memory", lambda route: waiting.append(route))
    page.let_go = lambda: [route.continue_() for route in waiting]
    return page


def where(page):
    """How far down the page, or the column that scrolls by itself, its parts begin. [px]"""
    return page.evaluate(
        """() => ["main", "shelf", "mix-0", "advice", "errand-sums", "asking-title"].map(
          (id) => document.getElementById(id).offsetTop)"""
    )


def is_up(page):
    return page.evaluate("performance.getEntriesByName('pennyflat: ready').length > 0")


def test_ones_own_numbers_are_there_before_python_is_and_nothing_jumps(kept, site_url):
    page = held_back(kept)

    page.goto(site_url)

    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(price(page)).to_be_editable()
    expect(price(page)).to_have_value("7.30")
    expect(page.locator("#fetching")).to_be_hidden()
    assert not is_up(page)
    places = where(page)
    page.let_go()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    page.wait_for_function("() => !window.pennyflat.unanswered().length")
    assert where(page) == pytest.approx(places, abs=2)


def test_what_is_typed_into_the_picture_is_applied(kept, site_url):
    page = held_back(kept)
    page.goto(site_url)

    price(page).fill("8,45")
    page.let_go()

    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(page.locator("#buying")).to_contain_text("$8.45")
    expect(price(page)).to_be_focused()


def test_what_is_said_at_every_start_is_said_over_a_picture_too(visit, site_url):
    put(visit, site_url, {"plan:bad": "{"})
    for _ in range(2):
        page = visit.new_page()
        page.goto(site_url)
        expect(page.locator("#notice")).to_contain_text("cannot be read", timeout=START_UP_MS)
        page.wait_for_function(KEPT, arg="tomato", timeout=START_UP_MS)
        page.close()


def example_is_shown(page, site_url, before=None):
    if before:
        page.add_init_script(before)
    page.goto(site_url)
    expect(page.locator("#buying")).not_to_be_empty()
    expect(page.locator("#buying")).not_to_contain_text("$7.30")
    expect(page.locator("html.arriving")).to_have_count(0)


STAND = "pennyflat:stand"


SPOILT = [
    f"localStorage.setItem('{PICTURE}', '{{\"of\":')",
    f"localStorage.setItem('{PICTURE}', '7')",
    f"localStorage.setItem('{STAND}', '[[')",
    f"""localStorage.setItem('{STAND}', '{{"plan": {{}}, "print": [], "units": null}}')""",
    f"""{{ const kept = JSON.parse(localStorage.getItem('{PICTURE}'));
        kept.of = kept.of.replace(/^\\["\\w+"/, '["another build"');
        localStorage.setItem('{PICTURE}', JSON.stringify(kept)); }}""",
    "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })",
]


def test_no_picture_is_shown_of_anything_else(kept, site_url):
    def beside_it():
        page = held_back(kept)
        page.goto(beside(site_url))
        return page

    stored = beside_it().evaluate("({ ...localStorage })")
    for spoil in SPOILT:
        page = beside_it()
        page.evaluate("stored => Object.assign(localStorage, stored)", stored)
        example_is_shown(page, site_url, spoil)
        page.close()
    example_is_shown(held_back(kept), f"{site_url}#pf1.AAAA")


def test_a_picture_gives_way_when_the_storage_holds_something_else(kept, site_url):
    page = kept.new_page()
    page.goto(beside(site_url))
    there = on_device(page)
    name = f"plan:{there['current']}"
    plan = {"current": name, name: there[name], "language": None, "units": None}
    for changed in (
        {name: there[name] + " "},
        {"current": "x"},
        {"language": "fr"},
        {name: None},
        {name: 7, "units": []},
    ):
        put(kept, site_url, plan | changed)
        page = held_back(kept)
        example_is_shown(page, site_url)
        page.close()


@pytest.mark.parametrize("slow", [False, True])
def test_a_price_typed_after_three_tenths_of_a_second_counts(visit, site_url, slow):
    page = held_back(visit) if slow else visit.new_page()
    page.goto(site_url, wait_until="commit")
    page.wait_for_function("() => performance.now() > 300 && window.pennyflat")

    price(page).press_sequentially("9")
    price(page).fill("7,30")

    if slow:
        assert not is_up(page)
        page.let_go()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(price(page)).to_have_value("7,30")
    expect(price(page)).to_be_focused()
