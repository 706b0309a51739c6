"""The shopping list in a real browser: as in the aisle of a shop, mostly on a phone."""

import re

import pytest
from playwright.sync_api import expect

from pennyflat.buying.shopping import shop
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from tests.browser.desk import open_place, unfold

START_UP_MS = 60_000
BILL = shop(read(DEMO))
ROWS = sum(len(store["items"]) for store in BILL["stores"])
FEED = next(
    row["paid"] for store in BILL["stores"] for row in store["items"] if "feed" in row["item"]
)


def with_feed_at(price):
    """The total where only the price of the feed is another."""
    return f"${BILL['total'] - FEED + price:.2f}"


@pytest.fixture
def phone(example):
    """The same on a narrow screen."""
    example.set_viewport_size({"width": 390, "height": 844})
    open_place(example, "buy")
    return example


def total(page):
    return page.locator("#errand-sums .sum-total dd")


def line(page, text):
    return page.locator("#errand-list .line").filter(has_text=text)


def test_the_list_matches_the_model(example):
    expect(example.locator("#errand-list .stop")).to_have_count(len(BILL["stores"]))
    for store in BILL["stores"]:
        for item in store["items"]:
            said = line(example, item["item"])
            expect(said).to_contain_text(f"{item['count']} × {item['item']}")
            expect(said).to_contain_text(f"${item['paid']:.2f}")
    expect(total(example)).to_have_text(f"${BILL['total']:.2f}")


def test_the_list_is_on_the_page_before_python_is(page, site_url):
    page.route("**/worker.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    page.goto(site_url)

    expect(total(page)).to_have_text(f"${BILL['total']:.2f}")


def test_a_new_price_in_the_aisle_changes_the_total_at_once(phone):
    price = line(phone, "Soluble feed").get_by_label("New price ($)")
    price.fill("7,10")

    expect(total(phone)).to_have_text(with_feed_at(7.1))
    expect(line(phone, "Soluble feed")).to_contain_text("$7.10")
    expect(price).to_be_focused()
    expect(price).to_have_value("7,10")
    price.press("Tab")
    expect(price).to_have_value("7.10")
    expect(phone.locator("#feed").get_by_label("Price ($)")).to_have_value("7.10")


def test_a_price_that_takes_its_line_away_leaves_the_focus_in_the_list(phone):
    price = line(phone, "Seed starter mix").get_by_label("New price ($)")
    price.fill("60")
    price.press("Enter")

    expect(line(phone, "16 qt (dry)")).to_have_count(0)
    expect(phone.locator("#buy")).to_be_focused()
    said = phone.locator("#errand-list .worth")
    expect(said).to_contain_text("No better: ")
    said.get_by_role("link", name="Seed starter mix: Price").click()
    expect(phone.locator("#mix-0").get_by_label("Price ($)").nth(1)).to_be_focused()


def test_ticks_stay_after_an_edit(phone):
    mix = line(phone, "Seed starter mix")
    mix.get_by_role("checkbox").check()
    expect(phone.locator("#errand-list")).to_contain_text(f"1 of {ROWS} in the cart")

    line(phone, "Soluble feed").get_by_label("New price ($)").fill("5")

    expect(total(phone)).to_have_text(with_feed_at(5))
    expect(mix.get_by_role("checkbox")).to_be_checked()
    expect(line(phone, "Soluble feed").get_by_role("checkbox")).not_to_be_checked()


def test_a_tick_made_before_python_is_up_counts_all_the_same(page, site_url):
    page.goto(site_url)
    line(page, "Soluble feed").get_by_role("checkbox").check()

    expect(page.locator("#errand-list")).to_contain_text(
        f"1 of {ROWS} in the cart", timeout=START_UP_MS
    )
    expect(line(page, "Soluble feed").get_by_role("checkbox")).to_be_checked()


def test_a_tick_goes_when_its_count_changes(example):
    line(example, "Seed starter mix").get_by_role("checkbox").check()
    expect(example.locator("#errand-list input:checked")).to_have_count(1)

    example.get_by_label("Seedlings wanted").first.fill("900")

    expect(example.locator("#errand-list input:checked")).to_have_count(0)


def test_by_how_much_the_budget_is_missed_is_shown(example):
    unfold(example, "rest-part")
    example.locator("#money-card > summary").click()
    example.get_by_label("Budget for packages and trips").fill("12")

    over = f"Over the budget of $12.00 by ${BILL['total'] - 12:.2f}."
    expect(example.locator("#errand-sums")).to_contain_text(over)


def test_nothing_is_wider_than_a_phone_and_all_is_large_enough_for_a_thumb(phone):
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    for target in phone.locator("#errand-list :is(input[type=text], label.what)").all():
        box = target.bounding_box()
        assert box["height"] >= 44 and box["x"] >= 0 and box["x"] + box["width"] <= 390
    for row in phone.locator("#errand-list .line").all():
        row.locator("label.what").click(position={"x": 2, "y": 2})  # beside the box itself
        expect(row.get_by_role("checkbox")).to_be_checked()


def test_the_list_can_be_reached_from_the_recommendation(phone):
    open_place(phone, "share")
    phone.locator("#bar a").click()

    expect(phone.get_by_role("heading", name="Buy", exact=True)).to_be_in_viewport()
    expect(phone.locator("#errand-list")).to_be_visible()


def test_nothing_is_worked_out_while_a_price_is_half_typed(phone):
    phone.evaluate(
        """() => { window.totals = []; new MutationObserver(() =>
            window.totals.push(document.querySelector("#errand-sums .sum-total dd")?.textContent))
            .observe(document.getElementById("errand-sums"),
                { childList: true, subtree: true, characterData: true }); }"""
    )
    price = line(phone, "Soluble feed").get_by_label("New price ($)")
    price.fill("")
    price.press_sequentially("12.45", delay=80)

    expect(total(phone)).to_have_text(with_feed_at(12.45))
    assert set(phone.evaluate("window.totals")) == {with_feed_at(12.45)}


def opened(page, question):
    card = page.locator("details.card").filter(has=page.get_by_role("heading", name=question))
    card.locator("summary").click()
    return card


def test_a_question_is_answered_when_it_is_opened(phone):
    card = opened(phone, "which package costs least?")

    expect(card).to_contain_text("Seed starter mix: least per litre as 3 × 16 qt (dry)")
    expect(card.get_by_role("table")).to_have_count(2)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_an_open_question_follows_the_crop_looked_at(example):
    card = opened(example, "Feed, pot on, or a richer mix?")
    expect(card).to_contain_text("Seed starter mix, hungry weeks: 3")

    open_place(example, "compare")
    example.get_by_role("radio", name="lettuce").check()
    open_place(example, "buy")

    expect(card).to_contain_text("Seed starter mix, hungry weeks: 1")


def test_what_matters_is_drawn_with_words_beside_it(phone):
    card = opened(phone, "Which guess matters most?")
    expect(card).to_contain_text("germination matters most: $0.217 each at 78%")

    expect(phone.locator("#chart-swings canvas").first).to_be_visible()
    expect(phone.locator("#chart-swings")).to_have_role("img")
    expect(phone.locator("#chart-swings")).to_have_accessible_name(re.compile("low and a high"))
    expect(card.get_by_role("row")).to_have_count(6)
    phone.wait_for_function(COLOURS_DRAWN)


def test_a_chart_is_there_again_after_a_plan_without_an_answer(example):
    example.evaluate("pennyflat.post({ do: 'empty' })")
    expect(example.get_by_role("heading", name="Before you pay", exact=True)).to_be_hidden()
    example.evaluate("pennyflat.post({ do: 'reset' })")
    opened(example, "Which guess matters most?")

    expect(example.locator("#chart-swings canvas").first).to_be_visible()


COLOURS_DRAWN = """() => {
    const seek = root => [...root.querySelectorAll("*")]
        .flatMap(e => [e, ...(e.shadowRoot ? seek(e.shadowRoot) : [])]);
    const chart = document.getElementById("chart-swings");
    const canvas = seek(chart).find(e => e.localName === "canvas");
    if (!canvas?.width) return false;
    const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
    const found = new Set();
    for (let i = 0; i < pixels.length; i += 4)
        if (pixels[i + 3] === 255) found.add(`${pixels[i]},${pixels[i + 1]},${pixels[i + 2]}`);
    return found.has("243,207,99") && found.has("169,188,203"); }"""
"""Whether both sides of the bars, in the colours of charts.LIGHT, are among the pixels."""


def test_no_answer_is_wider_than_the_window(example):
    example.evaluate("document.querySelectorAll('[data-ask]').forEach(d => { d.open = true })")
    expect(example.locator(".asking .wait")).to_have_count(0)
    expect(example.locator("#chart-swings canvas").first).to_be_visible()

    for width in (1440, 820, 390, 320):
        example.set_viewport_size({"width": width, "height": 900})
        example.wait_for_timeout(300)  # the charts follow
        assert example.evaluate("document.documentElement.scrollWidth") <= width
