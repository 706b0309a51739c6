"""The notes on method and sources, and what the page is made of: within the page, offline too."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.desk import START_UP_MS, open_place, unfold
from tests.browser.test_installed import KEPT
from tests.test_data import rows


@pytest.fixture
def offline(browser, site_url):
    """A page without network, after one visit with it."""
    context = browser.new_context(locale="en", accept_downloads=True)
    page = context.new_page()
    page.goto(site_url)
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    page.evaluate(KEPT)
    context.set_offline(True)
    page.reload()
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    yield page
    context.close()


def seen(page, site):
    """From Share to the list of parts, the licences and the notes with their sources."""
    bill = json.loads((site / "sbom.cdx.json").read_text("utf-8"))
    open_place(page, "share")
    unfold(page, "about-card")
    for part in bill["components"]:
        row = page.locator("#about tr", has=page.get_by_role("rowheader", name=part["name"]))
        expect(row.first).to_contain_text(part["version"])
    unfold(page, "licences-card")
    expect(page.locator("#licences")).to_contain_text("Mozilla Public License Version 2.0")
    page.locator("#about-card").get_by_role("link", name="Notes on method and sources").click()
    expect(page.get_by_role("heading", name="Notes on method and sources")).to_be_visible()
    expect(page.locator("#share")).to_be_hidden()
    expect(page.locator("#notes")).to_contain_text("Coolbear")
    unfold(page, "sources-card")
    expect(page.locator("#sources > ol > li")).to_have_count(len(rows("sources")))
    legal = page.locator("#sources li", has_text="7 CFR 201.31")
    expect(legal).to_contain_text("Used for: crops.")
    unfold(page, "safety-card")
    expect(page.locator("#safety")).to_contain_text("mask")


def test_parts_licences_and_notes_are_within_the_page(example, site):
    seen(example, site)

    example.go_back()
    expect(example.locator("#about-card")).to_be_visible()


def test_all_of_it_is_there_without_network(offline, site):
    seen(offline, site)


def test_the_list_of_parts_and_the_licences_can_be_saved(example, site, tmp_path):
    open_place(example, "share")
    unfold(example, "about-card")
    for button, name in (
        ("Save the list of parts (CycloneDX)", "sbom.cdx.json"),
        ("Save the licences", "licences.txt"),
    ):
        with example.expect_download() as download:
            example.get_by_role("button", name=button).click()
        download.value.save_as(tmp_path / name)
        assert download.value.suggested_filename == f"pennyflat-{name}"
        assert (tmp_path / name).read_bytes() == (site / name).read_bytes()


def test_the_working_of_a_sum_leads_to_the_notes(example):
    example.locator("details[data-ask='plan_working'] > summary").click()
    link = example.locator("#ask-plan_working").get_by_role("link", name="Notes on method")
    link.click()

    expect(example.locator("#notes")).to_be_visible()
    assert example.evaluate("location.hash") == "#notes"
    example.go_back()
    expect(link).to_be_visible()
