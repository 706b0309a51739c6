"""Plans kept on the device and opened from links, in a real browser.

What matters most is also tried where the page is one file, without network. PENNYFLAT_PAGE may hold
the address of another copy of the page, for all the rest.
"""

import json
import re

import pytest
from playwright.sync_api import expect

from pennyflat.demo import DEMO
from pennyflat.scenario.link import decode, encode
from tests.browser.desk import (
    KEPT,
    SETTLED,
    answer,
    kept,
    look_at,
    made_link,
    on_device,
    open_place,
    opened,
    price,
    put,
    ready,
    unfold,
    until,
    wanted,
    with_title,
)  # fmt: skip

EVERYWHERE = pytest.mark.parametrize("address", ["served", "one file"], indirect=True)


@EVERYWHERE
def test_a_link_opens_to_the_same_answer_in_a_fresh_browser(context, other_context, address):
    page = opened(context, address)
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    link = made_link(page)

    assert link.startswith(address + "#pf1.")
    assert decode(link).media[0].packages[0].price == 7.31
    expect(page.locator("#share")).to_contain_text(f"{len(link):,} characters")
    expect(page.get_by_role("img", name="QR code of the link")).to_be_visible()
    fresh = opened(other_context, link)
    expect(fresh.locator("#notice")).to_contain_text(f"You are looking at “{DEMO['title']}”")
    expect(price(fresh)).to_have_value("7.31")
    assert answer(fresh) == answer(page)
    assert "#" not in fresh.url and kept(fresh) == []
    fresh.get_by_role("button", name="Keep a copy").click()
    expect(fresh.get_by_text("is kept on this device and is")).to_be_visible()
    fresh.reload()
    expect(price(fresh)).to_have_value("7.31")


def test_a_link_that_is_left_leads_back_to_the_example(context, address):
    page = opened(context, f"{address}#{encode(with_title('From a friend', tax=0.1))}")
    expect(page.locator("#first")).to_be_empty()
    page.get_by_role("button", name="Leave it").click()

    expect(page.locator("#notice .slip")).to_have_count(0)
    expect(page.locator("#first")).to_contain_text("This is an invented example.")


def test_a_link_is_opened_even_if_another_place_is_opened_before_anything_else(context, address):
    """The storage is asked first, and may take a while."""
    context.add_init_script(
        """const { open } = IDBFactory.prototype;
        IDBFactory.prototype.open = function (...all) {
          location.hash = "compare";
          return open.apply(this, all);
        };"""
    )

    page = opened(context, f"{address}#{encode(with_title('From Ann'))}")

    expect(page.locator("#notice")).to_contain_text("You are looking at “From Ann”")
    expect(page.locator("#compare")).to_be_visible()


def test_looking_leaves_the_own_plan_and_a_copy_stands_beside_it(context, address):
    page = opened(context, address)
    price(page).fill("8")
    own = kept(page)
    sent = with_title("From a friend <b>&", sowings=[DEMO["sowings"][1] | {"wanted": 77}])
    page.goto(f"{address}#{encode(sent)}")
    expect(page.get_by_role("button", name="Look at it")).to_be_visible()
    until(page, SETTLED)
    page.reload()  # both are still there

    page.get_by_role("button", name="Look at it").click()
    expect(wanted(page)).to_have_value("77")
    wanted(page).fill("78")
    assert kept(page) == own
    for _ in range(2):  # from one to the other and back is one tap each way
        page.get_by_role("button", name="Back to my own plan").click()
        expect(price(page)).to_have_value("8.00")
        page.get_by_role("button", name="Look at it").click()
        expect(wanted(page)).to_have_value("77")
    page.get_by_role("button", name="Back to my own plan").click()

    open_place(page, "share")
    unfold(page, "share-card")
    page.get_by_label("Link to a plan").fill(encode(sent))
    page.get_by_role("button", name="Open the link").click()
    expect(page.get_by_role("button", name="Look at it")).to_be_focused()
    expect(page.get_by_role("button", name="Look at it")).to_be_in_viewport()
    page.get_by_role("button", name="Keep a copy", exact=True).click()
    expect(wanted(page)).to_have_value("77")
    page.get_by_role("button", name="Close this message").click()
    expect(page.get_by_role("button", name="Open the link")).to_be_focused()
    assert {plan["title"] for plan in kept(page)} == {DEMO["title"], "From a friend <b>&"}
    open_place(page, "share")
    unfold(page, "plans-card")
    page.get_by_role("button", name=f"Open {DEMO['title']}").click()
    expect(price(page)).to_have_value("8.00")


def test_prices_from_a_link_go_into_the_own_plan(context, address):
    page = opened(context, address)
    price(page).fill("8")
    kept(page)
    media = [DEMO["media"][0] | {"packages": [DEMO["media"][0]["packages"][0] | {"price": 4.44}]}]
    sent = with_title("Dearer", media=media, ingredients=[], sowings=DEMO["sowings"][:1])
    page.goto(f"{address}#{encode(sent)}")

    page.get_by_role("button", name="Take its prices into mine").click()

    expect(page.locator("#notice")).to_contain_text("Prices changed: 1. Packages added: 0.")
    expect(price(page)).to_have_value("4.44")
    expect(page.locator("#mix-list > details")).to_have_count(3)


GOOD = encode(DEMO)
HOSTILE = [
    *(GOOD[:length] for length in (4, 5, 9, 10, 11, 50, len(GOOD) // 2, len(GOOD) - 1)),
    *(GOOD[:spot] + ("A" if GOOD[spot] != "A" else "B") + GOOD[spot + 1 :] for spot in
      (4, 8, 12, 40, 100, len(GOOD) - 2)),
    GOOD + "AAAA",
    GOOD.replace("pf1.", "pf2."),
    GOOD.replace("pf1.", "pf999999999."),
    "pf1." + "A" * 200_000,
    "pf1." + "é" * 50,
    "pf1.",
    "pf.",
    "<script>window.reached = 1</script>",
    "<img src=x onerror=window.reached=1>",
    "%3Cimg%20src=x%20onerror=window.reached=1%3E",
    "javascript:window.reached=1",
    "nothing-of-ours",
    "{}",
    "[" * 5000,
    "%00%00",
    "%F0%9F%8C%B1",
    "pf1.%2F..%2F..",
    "__proto__",
    "constructor",
]  # fmt: skip


def test_hostile_and_broken_links_are_one_sentence_and_touch_nothing(context, address):
    page = opened(context, address)
    price(page).fill("8")
    own = kept(page)
    before = answer(page)

    for link in HOSTILE:
        page.evaluate("link => { history.replaceState(null, '', '#'); location.hash = link }", link)
        expect(page.locator("#notice .slip")).to_have_count(1)
        said = page.locator("#notice p").first
        expect(said).to_have_text(re.compile(r"^(This link|This is no link) .*\.$"))
        page.get_by_role("button", name="Close this message").click()
        expect(page.locator("#notice .slip")).to_have_count(0)

    assert kept(page) == own and answer(page) == before
    assert page.evaluate("window.reached") is None


TAGS = """(root) => {
    const tags = (inside) => [...inside.querySelectorAll("*")].reduce((found, element) => found
        + element.matches("img[src=x], [onerror]")
        + (element.shadowRoot ? tags(element.shadowRoot) : 0), 0);
    return tags(root); }"""
"""How many elements the markup has become, in Bokeh's shadow trees too."""


def test_html_in_a_link_is_shown_as_text(context, address):
    nasty = '<img src=x onerror="window.reached=1"><script>window.reached=1</script>'
    crop = DEMO["sowings"][0] | {"crop": nasty}
    page = opened(context, f"{address}#{encode(with_title(nasty, sowings=[crop]))}")

    expect(page.locator("#notice")).to_contain_text(nasty)
    expect(page.locator("#sowing-0 h3").first).to_have_text(nasty)
    open_place(page, "share")
    page.get_by_role("button", name="Print the handout").click()
    expect(page.locator("#sheet h1")).to_have_text(nasty)
    look_at(page, "growing-number", "numbers", "cells")
    for chart in ("#chart-cost", "#chart-steps"):
        drawn = page.locator(f"{chart} canvas").first
        expect(drawn).to_be_visible()
        box = drawn.bounding_box()
        for across in (0.3, 0.5, 0.7):  # what is told of a bar that is pointed at
            page.mouse.move(box["x"] + box["width"] * across, box["y"] + box["height"] / 2)
            page.wait_for_timeout(100)
    open_place(page, "share")
    unfold(page, "files-card")
    with page.expect_download() as download:
        page.locator("#files-card [data-do='chart'][data-kind='png']").first.click()
    assert re.fullmatch(r"[\w-]+\.png", download.value.suggested_filename)
    assert page.evaluate(f"({TAGS})(document)") == 0
    assert page.evaluate("window.reached") is None


@EVERYWHERE
def test_closed_mid_typing_nothing_is_lost(context, address):
    page = opened(context, address)
    price(page).fill("6,5 or so")
    wanted(page).fill("61")
    page.close()  # at once: not even the answer has come
    page = opened(context, address)

    expect(price(page)).to_have_value("6,5 or so")
    expect(price(page)).to_have_attribute("aria-invalid", "true")
    expect(wanted(page)).to_have_value("61")
    expect(page.locator("#standing")).to_contain_text("For the last complete entries")
    price(page).fill("6,5")
    expect(page.locator("#buying")).to_contain_text("$6.50")


def test_what_was_typed_before_python_was_up_is_there_the_next_time(context, address):
    page = context.new_page()
    page.goto(address)
    price(page).fill("9,25")
    page.close()
    page = opened(context, address)

    expect(price(page)).to_have_value("9.25")


def test_earlier_states_can_be_gone_back_to(context, address):
    page = opened(context, address)
    for text in ("6", "66", "66,"):
        price(page).fill(text)
    page.get_by_role("button", name="Copy tomato").click()
    expect(page.locator("#sowing-list > details")).to_have_count(4)
    kept(page)
    page.reload()
    ready(page)
    open_place(page, "share")
    unfold(page, "plans-card")
    page.get_by_text("Earlier states", exact=True).click()

    states = page.get_by_role("button", name="Go back to")
    expect(states).to_have_count(2)
    states.last.click()
    expect(price(page)).to_have_value("5.90")
    expect(page.locator("#sowing-list > details")).to_have_count(3)


@EVERYWHERE
def test_two_tabs_never_overwrite_each_other_silently(context, address):
    one = opened(context, address)
    price(one).fill("7")
    kept(one)
    two = opened(context, address)
    expect(price(two)).to_have_value("7.00")
    price(two).fill("8")
    kept(two)

    expect(one.locator("#notice")).to_contain_text("Another tab has changed")
    expect(price(one)).to_have_value("7")  # as typed: the field still has the focus
    one.get_by_role("button", name="Show what the other tab has").click()
    expect(price(one)).to_have_value("8.00")
    expect(one.locator("#notice .slip")).to_have_count(0)

    price(two).fill("9")
    expect(one.locator("#notice")).to_contain_text("Another tab has changed")
    price(one).fill("10")  # goes on without choosing: both are kept
    expect(one.locator("#plans-gist")).to_contain_text("(from this tab)")
    prices = {p["title"]: p["document"]["media"][0]["packages"][0]["price"] for p in kept(one)}
    assert prices == {DEMO["title"]: 9, f"{DEMO['title']} (from this tab)": 10}


@EVERYWHERE
def test_without_storage_it_works_says_so_and_offers_the_file(context, address):
    context.add_init_script(
        """for (const kind of ["localStorage", "sessionStorage", "indexedDB"])
            Object.defineProperty(window, kind,
                { get() { throw new DOMException("no", "SecurityError") } })"""
    )
    page = opened(context, address)

    expect(page.locator("#notice")).to_contain_text("does not let the page keep anything")
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    with page.expect_download() as download:
        page.locator("#notice").get_by_role("button", name="Save the plan as a file").click()
    saved = json.loads(download.value.path().read_text("utf-8"))
    assert saved["media"][0]["packages"][0]["price"] == 7.31


def test_full_storage_is_said_and_unsaid(context, address):
    page = opened(context, address)
    page.evaluate(
        """() => { window.really = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put =
            () => { throw new DOMException("full", "QuotaExceededError") } }"""
    )
    price(page).fill("7")
    expect(page.locator("#notice")).to_contain_text("no room left")
    page.evaluate("() => { IDBObjectStore.prototype.put = window.really }")
    price(page).fill("7.5")
    expect(page.locator("#notice .slip")).to_have_count(0)
    assert kept(page)[0]["document"]["media"][0]["packages"][0]["price"] == 7.5


@pytest.mark.parametrize(
    "damaged",
    ["{", "[]", '{"title":"x","at":1,"document":{"media":7}}'],
    ids=["cut", "list", "odd"],
)
def test_a_damaged_plan_is_said_left_and_can_be_removed(context, address, damaged):
    put(context, address, {"plan:bad": damaged, "current": "bad"})
    page = opened(context, address)

    expect(page.locator("#notice")).to_contain_text(re.compile("cannot be (read|shown)"))
    expect(price(page)).to_have_value("5.90")
    assert on_device(page)["plan:bad"] == damaged
    page.on("dialog", lambda dialog: dialog.accept())
    open_place(page, "share")
    unfold(page, "plans-card")
    page.locator("#plans").get_by_role("button", name="Remove").click()
    kept(page)
    assert "plan:bad" not in on_device(page)


def test_one_button_forgets_everything(context, address):
    page = opened(context, address)
    price(page).fill("7")
    kept(page)
    page.on("dialog", lambda dialog: dialog.accept())
    open_place(page, "share")
    unfold(page, "plans-card")
    page.get_by_role("button", name="Forget everything on this device").click()

    expect(price(page)).to_have_value("5.90")
    until(page, SETTLED)
    assert page.evaluate("[Object.keys(localStorage), Object.keys(sessionStorage)]") == [[], []]
    assert page.evaluate(KEPT) == {"kept": {}, "pending": []}
