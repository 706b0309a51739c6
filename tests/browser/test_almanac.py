"""Picking from the tables, sources, the calendar and its file, as a visitor does it."""

import re

import pytest
from icalendar import Calendar
from playwright.sync_api import expect

from tests.browser.desk import open_place

START_UP_MS = 60_000


def open_fold(page, within, words):
    page.locator(f"{within} summary", has_text=words).first.click()


def test_a_newcomer_picks_and_gets_an_answer_whose_figures_have_sources(example):
    example.get_by_role("button", name="Use my own prices").click()
    crop = example.get_by_label("Crop", exact=True)
    expect(crop).to_have_count(1)
    crop.fill("Tomato")
    crop.press("Tab")
    weeks = example.get_by_label("Sowing to transplanting (weeks)")
    expect(weeks).to_have_value("5.5")
    open_fold(example, "#sowing-0", "Tray, pot or own measure")
    example.get_by_label("Tray or pot").select_option(label="72-cell tray, 59 mL a cell")
    expect(example.get_by_label("Cell size (mL)")).to_have_value("58.99")
    example.get_by_label("Seedlings wanted").fill("60")
    for card, size, price in (("#mix-0", "50", "12"), ("#mix-1", "20", "9")):
        example.locator(card).get_by_label("Size on the label").fill(size)
        example.locator(card).get_by_label("Price ($)").fill(price)
    mix = example.locator("#mix-0")
    mix.get_by_label("Kind of mix").select_option("peat-based potting mix")
    open_fold(example, "#mix-0", "Kind of mix")

    expect(mix.get_by_label("Its own fertiliser lasts (weeks)")).to_have_value("3.7")
    expect(example.locator("#table")).to_contain_text("stalls in week 3.7")
    example.locator("#f-sowings-0-weeks-source summary").click()
    source = example.locator("#f-sowings-0-weeks-source")
    expect(source).to_contain_text("University of Delaware Cooperative Extension")
    expect(source).to_contain_text("published: read in the issuer's own text")
    expect(source.locator("li")).to_have_count(3)


def test_the_crops_of_the_table_are_offered(example):
    crop = example.locator("#f-sowings-0-crop")

    offered = example.locator(f"#{crop.get_attribute('list')} option")

    assert "scallop squash" in [option.get_attribute("value") for option in offered.all()]


def test_a_figure_of_one_s_own_is_marked_and_can_be_put_back(example):
    weeks = example.locator("#f-sowings-0-weeks")
    expect(weeks).to_have_value("6")  # the example's own
    open_fold(example, "#sowing-0", "Tray, pot or own measure")

    example.get_by_role("button", name="use 5.5").first.click()

    expect(weeks).to_have_value("5.5")
    field = example.locator(".field", has=weeks)
    expect(field.locator(".yours")).to_have_count(0)
    weeks.fill("7")
    expect(field.locator(".yours")).to_have_text("you changed this")


def test_a_cell_of_one_s_own_is_measured(example):
    open_fold(example, "#sowing-0", "Tray, pot or own measure")
    example.get_by_label("Tray or pot").first.select_option("own shape")
    example.get_by_label("Shape of a cell").select_option("cone frustum")
    for label, text in (
        ("Across at the brim", "9"),
        ("Across at the bottom", "6.5"),
        ("Depth (cm)", "8"),
    ):
        example.get_by_label(label).fill(text)

    expect(example.locator("#f-sowings-0-cell_ml")).to_have_value("380.66")


@pytest.fixture
def calendar(example):
    open_place(example, "grow")
    example.get_by_label("Last frost").fill("2027-05-15")
    expect(example.locator("#calendar table").first).to_be_visible()
    return example


def test_a_last_frost_gives_a_calendar_in_a_table_and_a_timeline(calendar):
    table = calendar.get_by_role("region", name="What to do, day by day")

    expect(table).to_contain_text("Sat, Apr 10, 2027")
    calendar.locator("#timeline > summary").click()
    expect(calendar.get_by_role("img", name="Timeline")).to_be_visible()
    # BokehJS draws into shadow roots, which Playwright's locators see through
    expect(calendar.locator("#chart-calendar canvas").first).to_be_visible()
    box = calendar.locator("#chart-calendar").bounding_box()
    assert box["width"] > 300 and box["height"] > 100


def test_the_calendar_is_saved_as_a_file_that_can_be_read_back(calendar):
    with calendar.expect_download() as download:
        calendar.get_by_role("button", name="Save for my calendar").click()

    assert download.value.suggested_filename.endswith("-calendar.ics")
    with open(download.value.path(), "rb") as file:
        events = Calendar.from_ical(file.read()).walk("VEVENT")
    on_page = calendar.locator("#calendar time").evaluate_all("all => all.map(t => t.dateTime)")
    assert {event.decoded("dtstart").isoformat() for event in events} == set(on_page)


def test_a_sight_leads_to_causes_with_what_help_costs_here(example):
    open_place(example, "grow")
    example.locator("#sights-card > summary").click()
    example.get_by_label("What you see").select_option(label="nothing comes up")

    causes = example.locator("#sights .causes > li")
    expect(causes).to_have_count(5)
    expect(causes.nth(1)).to_contain_text(
        re.compile(r"\$\d+\.\d\d here, by what you use up: seed and")
    )


def test_salts_and_strength_answer_while_typing(example):
    open_place(example, "grow")
    example.locator("#salts-card > summary").click()
    example.get_by_label("How it was measured").select_option("SME")
    example.get_by_label("Reading (dS/m)").fill("2.6")
    expect(example.locator("#salts")).to_contain_text("this reading is called normal.")

    example.locator("#reckoner-card > summary").click()
    example.get_by_label("A usual feed").select_option("water-soluble 20-10-20")
    example.get_by_label("or strength wanted (ppm N)").fill("100")
    expect(example.get_by_role("region", name="Dose and strength")).to_contain_text("6.68")


def test_an_old_bag_and_two_labels_are_judged_while_typing(example):
    open_place(example, "grow")
    example.locator("#age-card > summary").click()
    example.get_by_label("Time in store (months)").fill("15")
    expect(example.locator("#age")).to_contain_text("weeks, not 3.0 (common practice).")

    open_place(example, "compare")
    example.locator("#two-card > summary").click()
    example.get_by_label("First bag: size").fill("8 quarts")
    example.get_by_label("First bag: price").fill("5.90")
    example.get_by_label("Second bag: size").fill("2 cu ft")
    example.get_by_label("Second bag: price").fill("14.50")
    expect(example.locator("#two")).to_contain_text("The second bag costs 62 % less")
    example.locator("#label-card > summary").click()
    example.get_by_label("Words on the front").fill("Wets easily")
    example.get_by_label("List of ingredients").fill("peat, lime")
    expect(example.locator("#label")).to_contain_text("the list names no wetting agent")


def test_cautions_and_the_check_of_the_bag_open_on_the_shelf(example):
    open_fold(example, "#shelf", "Check the bag")

    expect(example.get_by_text("Which quart: dry (1.101 L)")).to_be_visible()
    expect(example.get_by_text("Put on a mask and gloves first")).to_be_visible()


def test_the_almanac_fits_the_page(calendar):
    for card in ("sights", "age", "salts", "reckoner"):
        calendar.locator(f"#{card}-card > summary").click()
    calendar.locator("#timeline > summary").click()
    open_fold(calendar, "#sowing-0", "Tray, pot or own measure")
    calendar.locator("#f-sowings-0-weeks-source summary").click()

    for width in (1440, 820, 390):
        calendar.set_viewport_size({"width": width, "height": 900})
        calendar.wait_for_timeout(300)  # the chart follows
        assert calendar.evaluate("document.documentElement.scrollWidth") <= width
