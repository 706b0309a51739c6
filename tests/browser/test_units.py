"""The units and the place of a reader, in a real browser: chosen, typed in, kept, and put back."""

import pytest
from playwright.sync_api import expect

from tests.browser.desk import fresh, kept, open_place

START_UP_MS = 60_000


@pytest.fixture
def opened(browser, site_url):
    """Opens the page for a reader whose browser has a locale; fails if it throws an error."""
    wrong, contexts = [], []

    def at(locale):
        context = fresh(browser, locale=locale)
        context.on("weberror", lambda error: wrong.append(str(error.error)))
        contexts.append(context)
        return started(context.new_page(), site_url)

    yield at
    for context in contexts:
        context.close()
    assert wrong == []


def started(page, address):
    page.goto(address)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    return page


def cell_size(page):
    return page.locator("#sowing-0").get_by_label("Cell size")


def units(page):
    return page.get_by_role("combobox", name="Units", exact=True)


def test_units_are_chosen_typed_in_kept_and_put_back(opened):
    page = opened("en-GB")
    expect(units(page)).to_have_value("metric")
    expect(cell_size(page)).to_have_value("59")
    expect(page.locator("#advice")).to_contain_text("US$0.")  # as in Britain
    advice, paid = page.locator("#advice").inner_text(), page.locator("#buying .sum").all()
    paid = [sum_.inner_text() for sum_ in paid]

    units(page).select_option("US")
    expect(page.get_by_label("Cell size (cu in)").first).to_have_value("3.6")
    expect(page.locator("#mix-0")).to_contain_text("$0.738 a dry quart")
    assert page.locator("#advice").inner_text() == advice
    assert [sum_.inner_text() for sum_ in page.locator("#buying .sum").all()] == paid

    cell_size(page).fill("18.7")
    expect(page.locator("#tray")).to_contain_text("a cube of 18.7 cu in")
    kept(page)  # once the page has written
    page.reload()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    expect(units(page)).to_have_value("US")
    expect(cell_size(page)).to_have_value("18.7")

    units(page).select_option("metric")
    expect(cell_size(page)).to_have_value("306.4")
    expect(page.locator("#tray")).to_contain_text("a cube of 306 mL")
    units(page).select_option("US")
    expect(cell_size(page)).to_have_value("18.7")


def test_units_start_from_the_region_of_the_browser(opened):
    page = opened("en-US")

    expect(units(page)).to_have_value("US")
    expect(cell_size(page)).to_have_value("3.6")
    expect(page.locator("#table")).to_contain_text("Mix (dry qt)")


def test_money_and_dates_follow_the_region_of_the_browser(opened):
    page = opened("en-CA")
    expect(page.locator("#buying")).to_contain_text("US$18.70 at the till")

    open_place(page, "grow")
    page.get_by_label("Last frost, as a rule (date)").fill("2027-05-15")
    expect(page.locator("#calendar")).to_contain_text("Sat, May 22, 2027")
