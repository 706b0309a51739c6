"""The built page in a real browser, used as a visitor would: by label, by role, by keyboard."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.desk import PLANNED, look_at, open_place, until, without_python

START_UP_MS = 60_000
FOCUSED = "document.activeElement.dataset.path ?? document.activeElement.localName"
PRICE = "Price ($)"
PLACES = ["enter", "buy", "compare", "grow", "share"]


def mix(page, number):
    return page.locator(f"#mix-{number}")


def test_the_answer_is_on_the_page_before_python_is(page, site_url):
    without_python(page)
    page.goto(site_url)

    expect(page.get_by_role("heading", name="Buy", exact=True)).to_be_visible()
    expect(page.locator("#advice")).to_contain_text("for each of 228 ready seedlings")
    expect(page.locator("#table")).to_contain_text("Bulk potting mix")


@pytest.mark.parametrize("name", PLACES)
def test_every_place_can_be_opened_before_python_is_up(page, site_url, name):
    without_python(page)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(site_url)
    open_place(page, name)
    page.goto("about:blank")
    page.goto(f"{site_url}#{name}")

    expect(page.locator(".place:visible")).to_have_count(1)
    expect(page.locator(f"#{name}")).to_be_visible()
    expect(page.locator("#places [aria-current]")).to_have_attribute("href", f"#{name}")
    expect(page.locator("#bar")).to_contain_text("Buy 1 ×")
    assert page.locator(f"#{name}").inner_text().count("\n") > 5  # it is filled


@pytest.mark.parametrize("hash", ["nowhere", "%", "%00", "pf1.AAAA"])
def test_an_address_that_names_no_place_opens_what_to_buy(page, site_url, hash):
    without_python(page)
    page.goto(f"{site_url}#{hash}")

    expect(page.locator("#buy")).to_be_visible()
    expect(page.locator("#places [aria-current]")).to_have_attribute("href", "#buy")


def test_an_address_inside_a_place_leads_there(page, site_url):
    page.goto(f"{site_url}#order-card")

    expect(page.locator("#order-card")).to_be_in_viewport()
    expect(page.locator("#order-card")).to_have_attribute("open", "")


def test_on_a_desk_what_is_entered_stays_beside_every_place(example):
    for width, seen in ((1100, 2), (1099, 1)):
        example.set_viewport_size({"width": width, "height": 900})
        for name in PLACES[1:]:
            open_place(example, name)
            expect(example.locator(".place:visible")).to_have_count(seen)


def test_the_notice_of_the_example_goes_when_it_is_looked_around(example):
    first = example.locator("#first")
    expect(first).to_contain_text("This is an invented example.")
    first.get_by_role("button", name="Look around").click()

    expect(first).to_be_empty()
    mix(example, 0).get_by_label(PRICE).first.fill("7")
    expect(example.locator("#buying")).to_contain_text("$7.00")
    expect(first).to_be_empty()


def test_a_fragment_has_the_mark_that_the_build_gave_it(page, site_url):
    page.add_init_script("""addEventListener("DOMContentLoaded", () => {
        window.marks = () => Object.fromEntries([...document.querySelectorAll("[data-fragment]")]
            .map((place) => [place.id, place.dataset.fragment]));
        window.built = marks(); })""")
    page.goto(site_url)
    built = page.evaluate("built")
    for text in ("7.30", "5.90"):  # there and back again
        mix(page, 0).get_by_label(PRICE).first.fill(text)
        expect(page.locator("#bay-0")).to_contain_text(f"${text}", timeout=START_UP_MS)

    until(page, PLANNED)
    marks = page.evaluate("marks()")
    assert all(marks[name] == built[name] for name in ("mix-0-gist", "bay-0", "table-0", "feed"))
    assert all(built.values()) and len(set(built.values())) > 30


def test_what_the_browser_filled_in_at_a_reload_gives_way_to_the_answer(page, site_url):
    page.add_init_script("""addEventListener("DOMContentLoaded", () => {
        document.querySelector("[name=shown][value='1']").checked = true; })""")
    page.goto(site_url + "#compare")

    expect(page.get_by_role("radio", name="tomato")).to_be_checked(timeout=START_UP_MS)


def test_a_price_typed_before_python_is_up_counts_all_the_same(page, site_url):
    page.goto(site_url)
    mix(page, 0).get_by_label(PRICE).first.fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30", timeout=START_UP_MS)
    expect(mix(page, 0).get_by_label(PRICE).first).to_have_value("7,30")


def test_a_typed_price_changes_price_per_litre_and_answer(example):
    price = mix(example, 0).get_by_label(PRICE).first
    price.fill("7,3")

    expect(mix(example, 0)).to_contain_text("$0.829 a litre")
    expect(example.locator("#buying")).to_contain_text("$7.30")
    price.press("Tab")
    expect(price).to_have_value("7.30")


def test_nonsense_is_named_at_its_field_and_the_last_answer_stays(example):
    before = example.locator("#table").inner_text()
    price = mix(example, 0).get_by_label(PRICE).first
    price.fill("a lot")

    expect(price).to_have_attribute("aria-invalid", "true")
    expect(price).to_have_accessible_description(re.compile("“a lot” is not a number"))
    expect(example.locator("#standing")).to_contain_text("For the last complete entries")
    assert example.locator("#table").inner_text() == before
    price.press("Tab")
    expect(price).to_have_value("a lot")
    for place in ("compare", "grow", "share", "buy"):
        example.locator(f"#places a[href='#{place}']").click()
        expect(example.locator("#standing")).to_be_visible()
    price.fill("5.9")
    expect(example.locator("#standing")).to_be_empty()


def test_a_fold_stays_open_and_keeps_the_focus_when_a_line_above_it_goes(example):
    bought = mix(example, 0).locator(".package").first
    bought.get_by_label(PRICE).fill("7")
    expect(bought.locator(".worth")).to_be_visible()
    bought.get_by_text("Deal, limit and loosened volume").click()
    deal = bought.get_by_label("Deal: take")
    deal.press("3")  # without what to pay, it is a fault, and the line of its worth goes
    expect(bought.locator(".worth")).to_have_count(0)

    expect(deal).to_be_focused()
    example.keyboard.type("0")
    expect(deal).to_have_value("30")


def test_a_mix_can_be_added_removed_and_brought_back(example):
    example.get_by_role("button", name="Add a bought mix").click()
    expect(mix(example, 3).get_by_label("Name of the mix")).to_be_focused()
    example.keyboard.type("Peat-free <mix> 🌱 مزيج")
    mix(example, 3).get_by_label("Size on the label").fill("40")
    mix(example, 3).get_by_label(PRICE).fill("8")
    expect(example.locator("#table")).to_contain_text("Peat-free <mix> 🌱 مزيج")

    mix(example, 3).get_by_role("button", name="Remove Peat-free").click()
    expect(example.locator("#mix-list > details")).to_have_count(3)
    expect(example.get_by_role("button", name="Undo")).to_be_focused()

    example.keyboard.press("Enter")
    expect(example.locator("#mix-list > details")).to_have_count(4)
    expect(example.locator("#table")).to_contain_text("Peat-free <mix> 🌱 مزيج")


def test_a_mix_that_stalls_says_so_with_week_and_rescue(example):
    example.get_by_text("Seed, tray and feeding").first.click()
    example.get_by_label("When the mix's fertiliser runs out").first.select_option("do nothing")

    expect(example.locator("#table")).to_contain_text("stalls in week 3")
    expect(example.locator("#rescues")).to_contain_text("from the start would do, at $")


def test_liquid_quarts_can_be_taken_instead(example):
    mix(example, 0).get_by_role("button", name="Use liquid quarts (7.57 L)").click()

    expect(mix(example, 0)).to_contain_text("Taken as liquid quarts: 7.57 L.")
    expect(mix(example, 0).get_by_label("Unit").first).to_have_value("qt_liq")


def test_another_crop_can_be_looked_at_closely(example):
    open_place(example, "compare")
    example.get_by_role("radio", name="lettuce").check()

    expect(example.locator("#cost-title")).to_contain_text("lettuce")
    expect(example.locator("#buying")).to_contain_text("lettuce: what to buy for 120")


def test_a_crop_chosen_before_python_is_up_stays_chosen_at_every_answer(page, site_url):
    page.add_init_script(
        """window.chosen = [];
        const note = () => chosen.push(document.querySelector("[name=shown]:checked").value);
        addEventListener("change", () => document.addEventListener("pennyflat:answer", note));"""
    )
    page.goto(site_url + "#compare")
    page.get_by_role("radio", name="lettuce").check()

    expect(page.locator("#buying")).to_contain_text(
        "lettuce: what to buy for 120", timeout=START_UP_MS
    )
    assert set(page.evaluate("chosen")) == {"1"}


def test_starting_empty_asks_for_few_things_and_leads_to_an_answer(example):
    example.get_by_role("button", name="Use my own prices").click()
    expect(example.locator("#standing")).to_contain_text("The answer appears here")
    assert example.locator("#entry .field.is-needed").count() <= 8

    for card, label, text in (
        ("sowing-0", "Crop", "an old bean"),
        ("sowing-0", "Seedlings wanted", "40"),
        ("sowing-0", "Cell size", "50"),
        ("sowing-0", "Sowing to transplanting", "3"),
        ("mix-0", "Size on the label", "10"),
        ("mix-0", PRICE, "6"),
        ("mix-1", "Size on the label", "50"),
        ("mix-1", PRICE, "30"),
    ):
        example.locator(f"#{card}").get_by_label(label).first.fill(text)

    expect(example.locator("#advice")).to_contain_text("Buy 1 × ")
    expect(example.locator("#errand-list")).not_to_contain_text("Soluble feed")  # the example's
    expect(example.locator("#first")).to_be_empty()
    open_place(example, "compare")
    expect(example.locator("#chart-cost canvas").first).to_be_visible()


def test_the_answer_is_spoken_once_after_a_pause(example):
    status = example.locator("#status")
    expect(status).to_contain_text("Buy 1 × Seed starter mix")
    before = status.inner_text()
    example.evaluate(
        """() => { window.spoken = []; new MutationObserver(() =>
            window.spoken.push(document.getElementById("status").textContent))
            .observe(document.getElementById("status"), { childList: true }); }"""
    )
    price = example.locator("#feed").get_by_label(PRICE).first
    price.evaluate("field => field.closest('details').open = true")
    price.fill("")
    price.press_sequentially("12.25", delay=60)

    expect(status).not_to_have_text(before)
    expect(status).to_contain_text("Buy 1 × Seed starter mix")
    assert len(example.evaluate("window.spoken")) == 1


def test_charts_hold_what_they_show_and_have_words_for_it(example):
    drawn = """id => {
        const seek = root => [...root.querySelectorAll("*")]
            .flatMap(e => [e, ...(e.shadowRoot ? seek(e.shadowRoot) : [])]);
        const canvas = seek(document.getElementById(id)).find(e => e.localName === "canvas");
        const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
        return new Set(new Uint32Array(pixels.buffer)).size; }"""
    look_at(example, "growing-number")
    for chart in ("chart-cost", "chart-steps"):
        expect(example.locator(f"#{chart} canvas").first).to_be_visible()
        assert example.evaluate(drawn, chart) > 10
        expect(example.locator(f"#{chart}")).to_have_role("img")
    expect(example.locator("#chart-cost")).to_have_accessible_name(
        re.compile("Bulk potting mix \\$0")
    )
    expect(example.locator("#chart-steps")).to_have_accessible_name(re.compile("seedlings"))


def test_nothing_is_wider_than_the_window(example):
    example.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")

    for name in PLACES:
        open_place(example, name)
        for width in (1440, 820, 390, 320):
            example.set_viewport_size({"width": width, "height": 900})
            example.wait_for_timeout(300)  # the charts follow
            assert example.evaluate("document.documentElement.scrollWidth") <= width


def test_on_a_phone_the_answer_stays_in_view_and_covers_no_field(example):
    example.set_viewport_size({"width": 390, "height": 700})
    open_place(example, "enter")
    price = mix(example, 0).get_by_label(PRICE).first
    price.focus()

    rail, field = example.locator("#rail").bounding_box(), price.bounding_box()
    assert rail["y"] + rail["height"] == 700
    assert field["y"] >= 0 and field["y"] + field["height"] <= rail["y"]


def test_fields_can_be_reached_and_left_by_keyboard_alone(example):
    example.get_by_label("Crop", exact=True).first.focus()
    seen = []
    for _ in range(6):
        seen.append(example.evaluate(FOCUSED))
        example.keyboard.press("Tab")

    assert seen[:3] == [f"sowings[0].{key}" for key in ("crop", "wanted", "cell_ml")]
    assert seen[3] in ("button", "summary")  # what is known of the weeks, or the next fold
