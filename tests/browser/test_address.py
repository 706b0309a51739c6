"""The address of the page, changed by hand and by going back."""

import re

import pytest
from playwright.sync_api import expect

from pennyflat.scenario.link import encode
from tests.browser.desk import SETTLED, kept, opened, price, until, with_title

ANN = encode(with_title("From Ann"))
BY_HAND = ["compare", "nowhere", ANN, ANN[: len(ANN) // 2], "%", "grow", "order-card", ""]


def at_rest(page):
    until(page, SETTLED)
    expect(page.locator(".place:visible:not(#enter)")).to_have_count(1)
    expect(page.get_by_role("alert")).to_be_hidden()


def test_an_address_changed_by_hand_and_back_leaves_the_page_usable_and_the_own_plan(
    context, address
):
    page = opened(context, address)
    price(page).fill("8")
    own = kept(page)
    for name in BY_HAND:
        page.evaluate("name => { location.hash = name }", name)
        at_rest(page)
        expect(price(page)).to_have_value(re.compile(r"^8(\.00)?$"))
    for _ in BY_HAND:
        page.evaluate("history.back()")
        page.wait_for_timeout(100)
        at_rest(page)

    assert kept(page) == own
    price(page).fill("9")
    expect(page.locator("#buying")).to_contain_text("$9.00")
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#notice")).to_contain_text("You are looking at “From Ann”")


@pytest.mark.parametrize("bad", ["nowhere", ANN[: len(ANN) // 2]], ids=["nonsense", "cut"])
def test_a_bad_link_is_said_beside_the_one_on_offer_which_stays(context, address, bad):
    page = opened(context, address)
    price(page).fill("8")
    own = kept(page)
    notice = page.locator("#notice")
    for link, said in ((ANN, "holds the plan “From Ann”"), (bad, "This ")):
        page.evaluate("link => { location.hash = link }", link)
        expect(notice).to_contain_text(said)
    expect(notice.locator(".slip")).to_have_count(2)
    expect(notice.locator(".slip").last).to_contain_text("link")
    assert kept(page) == own

    page.reload()
    expect(notice).to_contain_text("holds the plan “From Ann”")
    page.get_by_role("button", name="Look at it").click()
    expect(notice).to_contain_text("You are looking at “From Ann”")


def test_another_link_takes_the_place_of_the_one_that_is_looked_at(context, address):
    page = opened(context, f"{address}#{ANN}")
    expect(page.locator("#notice")).to_contain_text("You are looking at “From Ann”")
    page.evaluate("link => { location.hash = link }", encode(with_title("From Bea")))

    expect(page.locator("#notice")).to_contain_text("You are looking at “From Bea”")
    assert kept(page) == []
