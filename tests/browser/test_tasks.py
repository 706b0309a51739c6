"""What people come for, done on a phone by touch, with the numbers that design.md states.

A tap opens, presses, chooses or goes into a field; typing and scrolling are not counted.
"""

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from pennyflat.demo import DEMO
from pennyflat.scenario.link import encode
from tests.browser.desk import PLANNED, fresh, open_place, start_over, until

DESIGN = Path(__file__).resolve().parents[2] / "webapp" / "design.md"
START_UP_MS = 60_000
SIZE = {"width": 390, "height": 844}
MOST_FIELDS = 8
WORTH = re.compile("worth it|no better", re.IGNORECASE)
PLACES = ["enter", "buy", "compare", "grow", "share"]


class Phone:
    """A page used by touch, with a count of the taps and of the fields typed into."""

    def __init__(self, page):
        self.page, self.taps, self.fields = page, 0, 0

    def tap(self, place):
        place.tap()
        self.taps += 1

    def go(self, name):
        self.tap(self.page.locator(f"#places a[href='#{name}']"))
        expect(self.page.locator(f"#{name}")).to_be_visible()

    def type(self, label, text, within="#entry"):
        """What is in a field is marked once it is tapped, so that typing replaces it."""
        self.tap(self._field(within, label))
        self.page.keyboard.type(text)
        self.fields += 1

    def choose(self, label, value, within="#entry"):
        """Opening the list and choosing from it."""
        self._field(within, label).select_option(value)
        self.taps += 2

    def paste(self, text):
        """Pastes from a received message into the focused field."""
        self.page.evaluate("text => navigator.clipboard.writeText(text)", text)
        self.page.keyboard.press("Control+V")

    def _field(self, within, label):
        fields = self.page.locator(within).get_by_label(label)
        return fields.and_(self.page.locator(":is(input, select):visible")).first


@pytest.fixture(scope="module")
def opened(browser, site_url):
    """The page, once for all tasks."""
    context = fresh(browser, viewport=SIZE, has_touch=True)
    context.grant_permissions(["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    yield page
    context.close()


@pytest.fixture
def phone(opened):
    """The page as it is when it has just been opened."""
    start_over(opened)
    opened.set_viewport_size(SIZE)
    until(opened, PLANNED)
    return Phone(opened)


def stated(task):
    """The number that design.md states, at the end of a row of a table."""
    row = rf"^\| {re.escape(task)} \|(?:.*\|)? ([\d.]+) \|$"
    [found] = re.findall(row, DESIGN.read_text("utf-8"), re.M)
    return float(found)


@pytest.mark.parametrize("name", PLACES)
def test_a_place_takes_no_more_screens_than_stated(phone, name):
    page = phone.page
    page.get_by_role("button", name="Look around").tap()
    expect(page.locator("#first")).to_be_empty()
    phone.go(name)
    if name == "compare":
        expect(page.locator("#chart-cost canvas").first).to_be_visible()

    height = page.evaluate("document.documentElement.scrollHeight")
    assert height / SIZE["height"] <= stated(name.title())


def test_the_recommendation_and_the_places_are_in_view_wherever_one_is(phone):
    page = phone.page
    said = "Buy 1 × Seed starter mix"
    for name in PLACES:
        phone.go(name)
        page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
        for part in ("#bar", "#places"):
            expect(page.locator(part)).to_be_in_viewport(ratio=1)
        expect(page.locator("#bar")).to_contain_text(said)
        expect(page.locator("#bar strong")).to_be_in_viewport(ratio=1)  # what to pay
        last = page.locator(f"#{name} > :last-child").bounding_box()
        assert last["y"] + last["height"] <= page.locator("#rail").bounding_box()["y"]

    phone.tap(page.locator("#bar a"))
    expect(page.locator("#advice")).to_be_in_viewport()


def test_the_recommendation_shows_no_old_sum_as_if_it_were_new(phone):
    page = phone.page
    phone.go("enter")
    phone.type("Price", "lots", within="#mix-0")
    expect(page.locator("#bar")).to_have_text("Some entries need correcting")
    page.keyboard.press("Control+A")
    page.keyboard.type("5.90")
    expect(page.locator("#bar")).to_contain_text("$31.30")


def test_back_forward_and_reload_keep_the_place_and_where_one_was(phone):
    page = phone.page
    phone.go("enter")
    page.evaluate("scrollTo(0, 700)")
    phone.go("grow")
    page.evaluate("scrollTo(0, 300)")
    phone.go("share")

    page.go_back()
    expect(page.locator(".place:visible")).to_have_id("grow")
    assert page.evaluate("scrollY") == 300
    page.go_back()
    expect(page.locator(".place:visible")).to_have_id("enter")
    assert page.evaluate("scrollY") == 700
    page.go_forward()
    expect(page.locator(".place:visible")).to_have_id("grow")
    assert page.evaluate("scrollY") == 300

    page.reload()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(page.locator(".place:visible")).to_have_id("grow")
    expect(page.locator("#places [aria-current]")).to_have_text("Grow")


def test_going_to_another_place_keeps_the_focus_and_what_is_open(phone):
    page = phone.page
    phone.go("enter")
    phone.tap(page.locator("#mix-1 > summary"))
    phone.type("Price", "14", within="#mix-1")
    phone.go("buy")
    phone.go("enter")

    expect(page.locator("#mix-1").get_by_label("Price ($)")).to_be_focused()
    expect(page.locator("#mix-1")).to_have_attribute("open", "")


def test_price_a_new_bag_in_the_aisle(phone):
    """A third mix, in another size, with the price on its tag and the shop that sells it."""
    page = phone.page
    phone.go("enter")
    phone.tap(page.get_by_role("button", name="Add a bought mix"))
    expect(page.locator("#mix-3").get_by_label("Name of the mix")).to_be_focused()
    page.keyboard.type("Fine mix")
    phone.type("Size on the label", "25 L", within="#mix-3")
    phone.type("Price ($)", "3.10", within="#mix-3")

    expect(page.locator("#mix-3 .taken").first).to_contain_text("$0.124 a litre")
    expect(page.locator("#bar")).to_be_in_viewport()
    expect(page.locator("#bar")).to_contain_text("Buy 1 × Fine mix, 25 L")
    expect(page.locator("#mix-3 .worth")).to_have_text(re.compile("less .*: worth it"))
    assert phone.taps == stated("Price a third bag in the aisle") <= 5

    phone.choose("Shop", "Farm counter", within="#mix-3")
    expect(page.locator("#mix-3 .worth")).to_have_text(WORTH)
    assert phone.taps == stated("The same, from another shop") <= 8
    page.keyboard.press("Control+A")  # the price still has the focus
    page.keyboard.type("31.10")
    expect(page.locator("#mix-3 .worth")).to_have_text(re.compile("No better"))


@pytest.mark.parametrize("task, crop, feeds", (
    ("The first recommendation from my own prices", "Tomatoes", True),
    ("The same, without a feed", "Cucumbers", False),
))  # fmt: skip
def test_the_first_recommendation_from_ones_own_prices(phone, task, crop, feeds):
    page = phone.page
    phone.tap(page.get_by_role("button", name="Use my own prices"))
    expect(page.locator(".place:visible")).to_have_id("enter")
    expect(page.locator("#standing")).to_contain_text("The answer appears here")
    expect(page.locator("#entry .is-wrong")).to_have_count(0)
    phone.type("Crop", crop, within="#sowing-0")
    phone.type("Seedlings wanted", "40", within="#sowing-0")
    for mix, size, price in (("#mix-0", "8 qt", "5.90"), ("#mix-1", "2 cu ft", "14.50")):
        phone.type("Size on the label", size, within=mix)
        phone.type("Price ($)", price, within=mix)
    feed = page.get_by_role("group", name="Do you feed your seedlings?")
    if feeds:
        phone.tap(feed.get_by_role("button", name="Yes"))
        expect(page.locator("#feed .is-needed")).to_have_count(2)
        phone.type("Size on the label", "8 oz", within="#feed")
        phone.type("Price ($)", "6.40", within="#feed")
    else:
        phone.tap(feed.get_by_role("button", name="No"))
        expect(page.locator("#feed")).to_contain_text("No feed is entered.")
    page.keyboard.press("Tab")

    expect(page.locator("#bar")).to_contain_text("Buy 1 × ")
    bought = page.locator("#errand-list .line").filter(has_text="Soluble feed")
    expect(bought).to_have_count(int(feeds))
    phone.tap(page.locator("#bar a"))
    expect(page.locator("#advice")).to_be_in_viewport()
    expect(page.locator("#advice")).to_contain_text("for each of 40 ready seedlings")
    assert phone.fields == stated(task) <= MOST_FIELDS
    page.evaluate("pennyflat.post({ do: 'forget' })")  # the strip would lie over what follows


def test_a_crop_that_no_mix_feeds_to_the_end_leads_to_a_feed(phone):
    page = phone.page
    page.get_by_role("button", name="Use my own prices").tap()
    expect(page.locator("#standing")).to_contain_text("The answer appears here")
    phone.type("Crop", "Tomatoes", within="#sowing-0")
    phone.type("Seedlings wanted", "40", within="#sowing-0")
    for mix in ("#mix-0", "#mix-1"):
        phone.type("Size on the label", "8 qt", within=mix)
        phone.type("Price ($)", "5.90", within=mix)
    page.keyboard.press("Tab")
    expect(page.locator("#bar")).to_contain_text("Every mix runs out of feed")
    phone.tap(page.locator("#bar a"))
    phone.tap(page.locator("#verdicts").get_by_role("button", name="Add a feed"))

    expect(page.locator(".place:visible")).to_have_id("enter")
    expect(page.get_by_label("Name of the feed")).to_be_focused()
    page.evaluate("pennyflat.post({ do: 'forget' })")


def test_find_out_whether_the_starter_bag_is_worth_it_for_40_lettuces(phone):
    page = phone.page
    phone.go("enter")
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
    open_place(page, "enter")
    page.locator("#feed-card > summary").tap()
    page.get_by_role("button", name="Remove Soluble").tap()
    open_place(page, "buy")
    expect(page.locator("#table")).to_contain_text("Not ready")

    phone.go("compare")
    phone.tap(page.locator("#crossed button").first)

    expect(page.locator("#rescues")).to_be_in_viewport()
    expect(page.locator("#rescues")).to_contain_text("What would make it ready")
    expect(page.locator("#rescues")).to_contain_text("week 3")
    assert phone.taps == stated("Why is this mix not ready?")


def test_plan_a_club_order_for_three_members(phone):
    page = phone.page
    ann, bea = (
        encode(DEMO | {"title": title, "sowings": [DEMO["sowings"][row]]})
        for title, row in (("Ann", 1), ("Bea", 2))
    )
    phone.go("share")
    phone.tap(page.locator("#order-card > summary"))
    phone.tap(page.get_by_role("button", name="Add this plan"))
    expect(page.locator("#order .kept li")).to_have_count(1)
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
    phone.go("share")
    phone.tap(page.get_by_role("button", name="Print the handout"))

    expect(page.locator("#sheet h1")).to_have_count(1)
    page.wait_for_timeout(100)  # the page prints once it shows the sheet
    assert page.evaluate("window.printed") == 1
    assert phone.taps == stated("Print the handout")
