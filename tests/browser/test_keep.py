"""Plans kept, sent, opened, printed and pooled in a real browser.

PENNYFLAT_PAGE may hold the address of another copy of the page, such as one in a single file.
"""

import json
import os
import re
import shutil
import subprocess

import pytest
from playwright.sync_api import expect

from pennyflat.demo import DEMO
from pennyflat.link import decode, encode

START_UP_MS = 60_000
LATER_MS = 900  # the page writes 300 ms after the last change
PRICE = "Price ($)"
WATCH = 'document.addEventListener("pennyflat:answer", () => { window.answered = true })'
PLANS = """() => Object.keys(localStorage).filter(k => k.startsWith("pennyflat:plan:"))
    .map(k => JSON.parse(localStorage.getItem(k)))"""


@pytest.fixture(scope="module")
def address(site_url):
    return os.environ.get("PENNYFLAT_PAGE") or site_url


@pytest.fixture
def context(browser):
    """A fresh browser; the test fails if a page in it throws an error."""
    size = {"width": 1280, "height": 900}
    made = browser.new_context(locale="en", viewport=size, accept_downloads=True)
    wrong = []
    made.add_init_script(WATCH)
    made.on("weberror", lambda error: wrong.append(str(error.error)))
    yield made
    made.close()
    assert wrong == []


def opened(context, address):
    """A page in which Python answers."""
    page = context.new_page()
    page.goto(address)
    ready(page)
    return page


def ready(page):
    expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
    while not page.evaluate("window.answered && !pennyflat.unanswered().length"):
        page.wait_for_timeout(50)


def price(page):
    return page.locator("#mix-0").get_by_label(PRICE).first


def wanted(page):
    return page.get_by_label("Seedlings wanted").first


def unfold(page, card):
    page.locator(f"#{card}").evaluate("card => { card.open = true }")


def kept(page):
    page.wait_for_timeout(LATER_MS)
    return page.evaluate(PLANS)


def answer(page):
    return page.locator("#verdicts").inner_text(), page.locator("#table").text_content()


def made_link(page):
    unfold(page, "share-card")
    page.get_by_role("button", name="Make a link").click()
    expect(page.get_by_label("Link to this plan")).not_to_have_value("")
    return page.get_by_label("Link to this plan").input_value()


def with_title(title, **changes):
    return DEMO | {"title": title} | changes


def test_a_link_opens_to_the_same_answer_in_a_fresh_browser(browser, context, address):
    page = opened(context, address)
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    link = made_link(page)

    assert link.startswith(address + "#pf1.")
    assert decode(link).media[0].packages[0].price == 7.31
    expect(page.locator("#share")).to_contain_text(f"{len(link):,} characters")
    expect(page.get_by_role("img", name="QR code of the link")).to_be_visible()
    other = browser.new_context(locale="en")
    other.add_init_script(WATCH)
    fresh = opened(other, link)
    expect(fresh.locator("#notice")).to_contain_text("Seedling table at the Long Acre garden club")
    fresh.get_by_role("button", name="Look at it").click()
    expect(fresh.locator("#notice")).to_contain_text("You are looking at")
    expect(price(fresh)).to_have_value("7.31")
    assert answer(fresh) == answer(page)
    assert "#" not in fresh.url
    other.close()


def test_looking_leaves_the_own_plan_and_a_copy_stands_beside_it(context, address):
    page = opened(context, address)
    price(page).fill("8")
    own = kept(page)
    sent = with_title("From a friend <b>&", plantings=[DEMO["plantings"][1] | {"wanted": 77}])
    page.goto(f"{address}#{encode(sent)}")

    page.get_by_role("button", name="Look at it").click()
    expect(wanted(page)).to_have_value("77")
    wanted(page).fill("78")
    assert kept(page) == own
    page.get_by_role("button", name="Back to my own plan").click()
    expect(price(page)).to_have_value("8.00")

    unfold(page, "share-card")
    page.get_by_label("Link to a plan").fill(encode(sent))
    page.get_by_role("button", name="Open the link").click()
    page.get_by_role("button", name="Keep a copy", exact=True).click()
    expect(wanted(page)).to_have_value("77")
    assert {plan["title"] for plan in kept(page)} == {DEMO["title"], "From a friend <b>&"}
    unfold(page, "plans-card")
    page.get_by_role("button", name=f"Open {DEMO['title']}").click()
    expect(price(page)).to_have_value("8.00")


def test_prices_from_a_link_go_into_the_own_plan(context, address):
    page = opened(context, address)
    media = [DEMO["media"][0] | {"packages": [DEMO["media"][0]["packages"][0] | {"price": 4.44}]}]
    sent = with_title("Dearer", media=media, ingredients=[], plantings=DEMO["plantings"][:1])
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


def test_html_in_a_link_is_shown_as_text(context, address):
    nasty = '<img src=x onerror="window.reached=1"><script>window.reached=1</script>'
    crop = DEMO["plantings"][0] | {"crop": nasty}
    page = opened(context, f"{address}#{encode(with_title(nasty, plantings=[crop]))}")

    expect(page.locator("#notice")).to_contain_text(nasty)
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#planting-0 h3").first).to_have_text(nasty)
    unfold(page, "print-card")
    page.get_by_role("button", name="Print the handout").click()
    expect(page.locator("#sheet h1")).to_have_text(nasty)
    assert page.evaluate("window.reached") is None


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
    expect(page.locator("#planting-list > details")).to_have_count(4)
    kept(page)
    page.reload()
    ready(page)
    unfold(page, "plans-card")
    page.get_by_text("Earlier states").click()

    states = page.get_by_role("button", name="Go back to")
    expect(states).to_have_count(2)
    states.last.click()
    expect(price(page)).to_have_value("5.90")
    expect(page.locator("#planting-list > details")).to_have_count(3)


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


def test_without_storage_it_works_says_so_and_offers_the_file(context, address):
    context.add_init_script(
        """for (const kind of ["localStorage", "sessionStorage"])
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
        """() => { window.setItem = Storage.prototype.setItem; Storage.prototype.setItem =
            () => { throw new DOMException("full", "QuotaExceededError") } }"""
    )
    price(page).fill("7")
    expect(page.locator("#notice")).to_contain_text("no room left")
    page.evaluate("() => { Storage.prototype.setItem = window.setItem }")
    price(page).fill("7.5")
    expect(page.locator("#notice .slip")).to_have_count(0)
    assert kept(page)[0]["document"]["media"][0]["packages"][0]["price"] == 7.5


@pytest.mark.parametrize(
    "damaged",
    ["{", "[]", '{"title":"x","at":1,"document":{"media":7}}'],
    ids=["cut", "list", "odd"],
)
def test_a_damaged_plan_is_said_left_and_can_be_removed(context, address, damaged):
    page = context.new_page()
    page.goto(address)
    page.evaluate(
        """text => { localStorage.setItem("pennyflat:plan:bad", text);
            localStorage.setItem("pennyflat:current", "bad") }""",
        damaged,
    )
    page.close()
    page = opened(context, address)

    expect(page.locator("#notice")).to_contain_text(re.compile("cannot be (read|shown)"))
    expect(price(page)).to_have_value("5.90")
    assert page.evaluate("localStorage.getItem('pennyflat:plan:bad')") == damaged
    page.on("dialog", lambda dialog: dialog.accept())
    unfold(page, "plans-card")
    page.locator("#plans").get_by_role("button", name="Remove").click()
    kept(page)
    assert page.evaluate("localStorage.getItem('pennyflat:plan:bad')") is None


def test_one_button_forgets_everything(context, address):
    page = opened(context, address)
    price(page).fill("7")
    kept(page)
    page.on("dialog", lambda dialog: dialog.accept())
    unfold(page, "plans-card")
    page.get_by_role("button", name="Forget everything on this device").click()

    expect(price(page)).to_have_value("5.90")
    page.wait_for_timeout(LATER_MS)
    assert page.evaluate("[Object.keys(localStorage), Object.keys(sessionStorage)]") == [[], []]


def test_files_are_saved_opened_and_refused(context, address, tmp_path):
    page = opened(context, address)
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    unfold(page, "files-card")
    with page.expect_download() as download:
        page.locator("#files-card").get_by_role("button", name="Save the plan").click()
    path = tmp_path / download.value.suggested_filename
    download.value.save_as(path)
    assert path.suffix == ".json"

    (tmp_path / "bad.json").write_text('{"format": "seedling-costs/1", "tax": 19}')
    page.get_by_label("Open a plan from a file").set_input_files(tmp_path / "bad.json")
    expect(page.locator("#notice")).to_contain_text("bad.json holds no plan that can be used")
    price(page).fill("1")
    page.get_by_label("Open a plan from a file").set_input_files(path)
    page.get_by_role("button", name="Keep a copy", exact=True).click()
    expect(price(page)).to_have_value("7.31")


def test_tables_and_charts_are_saved(context, address):
    page = opened(context, address)
    page.get_by_label("Name of the mix").first.fill("=1+1")
    expect(page.locator("#table")).to_contain_text("=1+1")
    unfold(page, "files-card")

    def saved(button):
        with page.expect_download() as download:
            page.locator("#files-card").get_by_role("button", name=button).click()
        return download.value.path().read_bytes()

    assert b'"\'=1+1"' in saved("The comparison") and b'"\'=1+1"' in saved("The shopping list")
    assert saved("Cost of one seedling as PNG").startswith(b"\x89PNG")
    drawn = saved("Cost at the till as SVG").decode()
    assert drawn.startswith("<svg") and "60 wanted" in drawn


def test_a_price_list_is_looked_at_before_it_is_taken(context, address):
    page = opened(context, address)
    unfold(page, "prices-card")
    page.get_by_label("Price list", exact=True).fill(
        "Price\tItem\tSize\n"
        "12,75\tBulk potting mix\t2 cu ft\n6,40\tNew mix\t40 L\nmuch\tOther mix\t5 L\n"
    )
    page.get_by_role("button", name="Read the list").click()

    expect(page.locator("#prices")).to_contain_text("Kept aside: 1")
    expect(page.locator("#prices")).to_contain_text("Line 4")
    expect(page.locator("#mix-list > details")).to_have_count(3)
    page.get_by_role("button", name="Take these prices").click()
    expect(page.locator("#mix-list > details")).to_have_count(4)
    expect(page.locator("#table")).to_contain_text("New mix")


def test_members_make_one_order_and_nobody_pays_more(context, address, tmp_path):
    page = opened(context, address)
    unfold(page, "order-card")
    page.get_by_role("button", name="Add the plan in hand").click()
    expect(page.locator("#order")).to_contain_text("Add two members or more")
    ann = with_title("Ann", plantings=DEMO["plantings"][:1])
    page.get_by_label("A member's link").fill(encode(ann))
    page.get_by_role("button", name="Add the link").click()
    (tmp_path / "bea.json").write_text(
        json.dumps(with_title("Bea", plantings=DEMO["plantings"][1:2]))
    )
    page.get_by_label("Members' files").set_input_files(tmp_path / "bea.json")

    rows = page.locator("#order tbody tr")
    expect(rows).to_have_count(3)
    money = [
        [float(cell.strip("$")) for cell in row.locator("td").all_inner_texts()]
        for row in rows.all()
    ]
    assert all(pays <= alone for pays, alone, _ in money)
    bill = float(page.locator("#order tfoot td").first.inner_text().strip("$"))
    assert round(sum(pays for pays, _, _ in money), 2) == bill
    expect(page.locator("#order")).to_contain_text("Who takes what")
    with page.expect_download() as download:
        page.get_by_role("button", name="Pick-up sheet as CSV").click()
    assert '"Ann"' in download.value.path().read_text("utf-8")
    page.get_by_role("button", name="Print order and pick-up sheet").click()
    assert "Bea" in printed(page, tmp_path)


def printed(page, folder):
    """The text of the page as printed, which must be one page long."""
    expect(page.locator("#sheet")).not_to_be_empty()
    path = folder / "sheet.pdf"
    page.pdf(path=path, format="A4")
    if not shutil.which("pdftotext"):
        pytest.skip("needs pdftotext (Debian: poppler-utils)")
    found = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True)
    assert found.stdout.count("\f") == 1
    return found.stdout


def test_the_handout_is_one_page_with_all_that_belongs_on_it(context, address, tmp_path):
    page = opened(context, address)
    unfold(page, "print-card")
    page.get_by_role("button", name="Print the handout").click()

    text = " ".join(printed(page, tmp_path).split())
    for part in ("Bulk potting mix, $0.180 each", "Shopping list", "To pay: $16.20",
                 "Taken for granted", "With care", "Scan to open", "germination 88%"):  # fmt: skip
        assert part in text
    assert page.locator("#sheet .qr path").count() >= 1
    assert page.locator("#sheet .bit.feed").count() > 1
    price(page).fill("7")
    expect(page.locator("#sheet")).to_be_empty()
