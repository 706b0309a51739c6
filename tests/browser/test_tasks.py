"""What people come for, done on a phone by touch, with the number of taps that design.md states.

A tap opens, presses, chooses or goes into a field; typing and scrolling are not counted.
"""

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from pennyflat.scenario.demo import DEMO
from pennyflat.scenario.link import encode
from tests.browser.desk import fresh

DESIGN = Path(__file__).resolve().parents[2] / "webapp" / "design.md"
START_UP_MS = 60_000


class Phone:
    """A page used by touch, with a count of the taps."""

    def __init__(self, page):
        self.page, self.taps = page, 0

    def tap(self, place):
        place.tap()
        self.taps += 1

    def type(self, label, text, within="#entry"):
        field = self._field(within, label)
        self.tap(field)
        field.press("Control+A")
        self.page.keyboard.type(text)

    def choose(self, label, value, within="#entry"):
        """Opening the list and choosing from it."""
        self._field(within, label).select_option(value)
        self.taps += 2

    def paste(self, text):
        """From the message that somebody has sent, into the field that has the focus."""
        self.page.evaluate("text => navigator.clipboard.writeText(text)", text)
        self.page.keyboard.press("Control+V")

    def _field(self, within, label):
        fields = self.page.locator(within).get_by_label(label)
        return fields.and_(self.page.locator(":is(input, select):visible")).first


@pytest.fixture(scope="module")
def opened(browser, site_url):
    """The page, once for all tasks."""
    size = {"width": 390, "height": 844}
    context = fresh(browser, viewport=size, has_touch=True)
    context.grant_permissions(["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    yield page
    context.close()


@pytest.fixture
def phone(opened):
    """The page as it is when it has just been opened."""
    opened.get_by_role("button", name="Back to the example", exact=True).click()
    opened.get_by_role("button", name="Close", exact=True).click()
    expect(opened.locator("#undo")).to_be_empty(timeout=START_UP_MS)
    opened.evaluate("""() => {
        for (const fold of document.querySelectorAll("details"))
            fold.open = ["sowing-0", "mix-0"].includes(fold.id);
        scrollTo(0, 0); }""")
    return Phone(opened)


def stated(task):
    """The number of taps that design.md states."""
    row = rf"^\| {re.escape(task)} \|.*\| (\d+) \|$"
    [found] = re.findall(row, DESIGN.read_text("utf-8"), re.M)
    return int(found)


def test_price_a_new_bag_in_the_aisle(phone):
    page = phone.page
    phone.type("Size on the label", "25")
    phone.choose("Unit", "L")
    phone.type("Price ($)", "9,50")

    expect(page.locator("#mix-0 .taken").first).to_contain_text("$0.380 a litre")
    expect(page.locator("#bar")).to_be_in_viewport()
    expect(page.locator("#bar")).to_contain_text("Buy 1 × Seed starter mix, 25 L")
    assert phone.taps == stated("Price a new bag in the aisle")


def test_find_out_whether_the_starter_bag_is_worth_it_for_40_lettuces(phone):
    page = phone.page
    phone.tap(page.locator("#sowing-1 > summary"))
    phone.type("Seedlings wanted", "40", within="#sowing-1")
    expect(page.locator("#bar")).to_contain_text("Buy")
    phone.tap(page.locator("#bar a"))

    verdict = page.locator(".verdict").filter(has_text="lettuce")
    expect(verdict).to_be_in_viewport()
    expect(verdict).to_contain_text("Seed starter mix")
    assert phone.taps == stated("Is the starter bag worth it for 40 lettuces?")


def test_find_why_a_mix_is_shown_as_not_ready(phone):
    page = phone.page
    page.locator("#feed-card > summary").tap()
    page.get_by_role("button", name="Remove Soluble").tap()
    page.evaluate("scrollTo(0, 0)")
    expect(page.locator("#table")).to_contain_text("Not ready")

    phone.tap(page.locator("#bar a"))

    expect(page.locator("#answer")).to_be_in_viewport()
    expect(page.locator("#table .not-ready").first).to_contain_text("week 3")
    expect(page.locator("#rescues")).to_contain_text("What would make it ready")
    assert phone.taps == stated("Why is this mix not ready?")


def test_plan_a_club_order_for_three_members(phone):
    page = phone.page
    ann, bea = (
        encode(DEMO | {"title": title, "sowings": [DEMO["sowings"][row]]})
        for title, row in (("Ann", 1), ("Bea", 2))
    )
    phone.tap(page.locator("#order-card > summary"))
    phone.tap(page.get_by_role("button", name="Add the plan in hand"))
    phone.tap(page.get_by_label("A member's link"))
    phone.paste(ann)
    expect(page.locator("#order tbody tr")).to_have_count(2)
    phone.paste(bea)

    rows = page.locator("#order tbody tr")
    expect(rows).to_have_count(3)
    assert [row.locator("th").inner_text() for row in rows.all()] == [DEMO["title"], "Ann", "Bea"]
    expect(page.locator("#order")).to_contain_text("What to buy together")
    expect(page.locator("#order")).to_contain_text("Who takes what")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert phone.taps == stated("Plan a club order for three members")


def test_print_the_handout(phone):
    page = phone.page
    phone.tap(page.get_by_role("button", name="Print the handout"))

    expect(page.locator("#sheet h1")).to_have_count(1)
    page.wait_for_timeout(100)  # the page prints once it shows the sheet
    assert page.evaluate("window.printed") == 1
    assert phone.taps == stated("Print the handout")
