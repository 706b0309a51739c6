"""After the season in the browser: written down, kept, sent by link, and next year's plan."""

import pytest
from playwright.sync_api import expect

from tests.browser.desk import START_UP_MS, kept, made_link, open_place, unfold

UP = [(68, 64), (130, 121), (60, 55)]


def begin(page):
    open_place(page, "grow")
    unfold(page, "season-card")
    page.get_by_role("button", name="Write down how it went").click()
    expect(field(page, "sowings[0].cells")).to_have_value("77")


def field(page, path):
    return page.locator(f"[data-path='happened.{path}']")


def fill_in(page):
    for place, (up, ready) in enumerate(UP):
        field(page, f"sowings[{place}].up").fill(str(up))
        field(page, f"sowings[{place}].ready").fill(str(ready))
    field(page, "bags[0].left").fill("2")
    expect(shows(page)).to_contain_text("tomato in Seed starter mix cost")


def shows(page):
    return page.locator("#season-shows")


def test_the_first_field_is_at_hand_and_the_result_waits_for_the_last(example):
    begin(example)
    expect(field(example, "sowings[0].medium")).to_be_focused()
    expect(shows(example)).to_contain_text("tomato, lettuce and marigold")

    fill_in(example)
    expect(shows(example)).to_contain_text("Seed starter mix: Lost in filling and firming")


def test_next_year_s_plan_opens_at_its_first_price_and_undo_goes_back(example):
    begin(example)
    fill_in(example)
    example.get_by_role("button", name="Start next year’s plan").click()

    price = example.locator("[data-path='media[0].packages[0].price']")
    expect(price).to_be_focused()
    expect(example.locator("#undo")).to_contain_text("This is next year’s plan")
    titles = {plan["title"]: plan["document"] for plan in kept(example)}
    assert len(titles) == 2 and sum("happened" in plan for plan in titles.values()) == 1

    example.get_by_role("button", name="Undo").click()
    expect(shows(example)).to_contain_text("tomato in Seed starter mix cost")
    (plan,) = kept(example)
    assert plan["document"]["happened"]["sowings"][0]["ready"] == 64


def test_the_season_is_there_after_a_reload(page, site_url):
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    begin(page)
    fill_in(page)
    assert kept(page)  # once the page has written
    before = shows(page).text_content()
    page.reload()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)

    unfold(page, "season-card")
    expect(field(page, "bags[0].left")).to_have_value("2")
    expect(shows(page)).to_have_text(before)


def test_a_link_carries_the_season(context, other_context, address):
    mine, theirs = context.new_page(), other_context.new_page()
    mine.goto(address)
    begin(mine)
    fill_in(mine)
    link = made_link(mine)
    theirs.goto(link)
    expect(theirs.locator("#starting")).to_have_count(0, timeout=START_UP_MS)

    unfold(theirs, "season-card")
    expect(field(theirs, "sowings[1].ready")).to_have_value("121")
    expect(shows(theirs)).to_have_text(shows(mine).text_content())


@pytest.mark.parametrize("width", [360, 390, 820, 1440])
def test_nothing_runs_out_of_the_page(example, width):
    example.set_viewport_size({"width": width, "height": 900})
    begin(example)
    fill_in(example)

    assert example.evaluate("document.documentElement.scrollWidth") <= width
