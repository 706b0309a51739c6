"""The language of the page in a real browser: chosen, kept, and without disturbing anything."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.desk import ANSWERED, fresh, kept, on_device, open_place, until
from webapp.build.texts import catalogues

START_UP_MS = 60_000
TOO_WIDE = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


def told(language, key):
    """A text as in the catalogue."""
    messages, _ = catalogues.read(language)
    return next(message.string for message in messages if message.context == key)


def named(language, name):
    """What a name of the example is in a language."""
    messages, _ = catalogues.read(language)
    return next(m.string for m in messages if (m.context, m.id) == ("example", name))


@pytest.fixture
def open_page(browser, site_url):
    """Opens the page in a browser whose reader prefers a language."""
    contexts, wrong = [], []

    def opened(language="en", width=1280):
        context = fresh(browser, locale=language, viewport={"width": width, "height": 844})
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(site_url)
        ready(page)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert wrong == []


def ready(page):
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    until(page, ANSWERED)


def test_a_chosen_language_is_kept_and_nothing_entered_changes(open_page):
    page = open_page()
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7.30")
    page.locator("#mix-0").get_by_text("Kind of mix, filling").click()
    open_place(page, "compare")
    expect(page.locator("#chart-cost canvas").first).to_be_attached()
    open_place(page, "share")
    page.locator("#share-card > summary").click()
    page.locator("#link-in").fill("half a link")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    before = kept(page)
    assert "7.3" in str(before)
    choice = page.get_by_role("combobox", name="Language")
    choice.focus()
    choice.select_option("de")

    title = page.get_by_role("heading", name=told("de", "place.share"), exact=True)
    expect(title).to_be_visible()
    expect(page.locator("#places [aria-current]")).to_have_text(told("de", "place.share"))
    expect(page.locator("html")).to_have_attribute("lang", "de")
    expect(page).to_have_title(told("de", "start.title"))
    expect(page.get_by_text(told("de", "language.unreviewed"))).to_be_visible()
    expect(page.locator("#language")).to_be_focused()
    expect(page.locator("#mix-0 details.more[open]").last).to_have_attribute("open", "")
    expect(page.locator("#link-in")).to_have_value("half a link")
    expect(page.locator("#chart-cost canvas").first).to_be_attached()
    assert kept(page) == before
    assert on_device(page)["language"] == "de"

    page.reload()
    ready(page)
    expect(title).to_be_visible()
    expect(page.locator("#language")).to_have_value("de")
    assert kept(page) == before


def test_a_first_visit_is_in_the_language_of_the_browser(open_page):
    page = open_page("fr-CA")

    expect(page.get_by_role("heading", name=told("fr", "place.buy"), exact=True)).to_be_visible()
    expect(page.locator("html")).to_have_attribute("lang", "fr")


def test_the_example_is_named_in_the_language_until_it_is_ones_own(open_page):
    page = open_page("de")
    name = page.locator("#mix-0 h3")
    expect(name).to_have_text(named("de", "Seed starter mix"))
    expect(page.locator("#bar")).to_contain_text(named("de", "Seed starter mix"))
    page.locator("#language").select_option("es")
    expect(name).to_have_text(named("es", "Seed starter mix"))
    expect(page.locator("#verdicts")).to_contain_text(named("es", "Seed starter mix"))

    page.locator("#f-media-0-packages-0-price").fill("7,30")
    [plan] = kept(page)
    assert plan["document"]["sowings"][1]["crop"] == named("es", "lettuce")
    page.locator("#language").select_option("en")
    expect(page.locator("html")).to_have_attribute("lang", "en")
    expect(name).to_have_text(named("es", "Seed starter mix"))
    assert kept(page) == [plan]


def test_english_asks_for_no_catalogue(page, site_url):
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(site_url)
    ready(page)

    assert not [url for url in asked if re.search(r"/(es|fr|de|rest)\.bundle", url)]


def test_a_language_that_cannot_be_fetched_is_said_and_can_be_tried_again(open_page):
    page = open_page()
    page.route("**/es.bundle", lambda route: route.abort())
    page.locator("#language").select_option("es")
    expect(page.locator("#notice")).to_contain_text("could not be fetched")
    expect(page.locator("#language")).to_have_value("en")

    page.unroute("**/es.bundle")
    page.locator("#language").select_option("es")
    expect(page.locator("html")).to_have_attribute("lang", "es")


BLANK = """[...document.querySelectorAll("label, legend, button, summary, h2, h3, th, a, option")]
    .filter((e) => !(e.textContent.trim() || e.ariaLabel || e.querySelector("svg, img")))
    .map((e) => e.outerHTML)"""


def test_a_first_visit_whose_language_comes_by_half_is_in_english(browser, site, site_url):
    [path] = site.rglob("de.bundle")
    half = path.read_bytes()[: path.stat().st_size // 2]
    context = fresh(browser, locale="de")
    page = context.new_page()
    page.route("**/de.bundle", lambda route: route.fulfill(body=half))
    page.goto(site_url)
    blank = page.evaluate(BLANK)
    ready(page)
    page.locator("#mix-0").get_by_label("Price ($)").first.fill("7.30")

    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(page.locator("html")).to_have_attribute("lang", "en")
    expect(page.locator("#notice")).to_contain_text("could not be fetched")
    assert page.evaluate(BLANK) == blank
    context.close()


def test_every_language_fits_a_telephone(open_page):
    page = open_page("en", width=390)
    for language in ("de", "en", "es", "fr"):
        page.locator("#language").select_option(language)
        expect(page.locator("html")).to_have_attribute("lang", language)
        for place in ("enter", "buy", "compare", "grow", "share"):
            open_place(page, place)
            page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
            until(page, ANSWERED)
            assert not page.evaluate(TOO_WIDE), (language, place)


def test_crops_are_offered_and_known_in_the_language(open_page):
    page = open_page("de")
    expect(page.locator("html")).to_have_attribute("lang", "de")
    options = page.locator("#known-crops option")

    assert "Tomate" in [option.get_attribute("value") for option in options.all()]
