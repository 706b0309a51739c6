"""Plans sent, saved, printed and pooled, and prices taken from a list, in a real browser."""

import json
import re
import shutil
import subprocess
from io import BytesIO
from xml.etree import ElementTree

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import expect

from figures.parts import DARK, LIGHT, WHITE
from pennyflat.scenario.demo import DEMO
from pennyflat.scenario.link import encode
from tests.browser.desk import (
    look_at,
    made_link,
    open_place,
    opened,
    price,
    unfold,
    until,
    with_title,
)

SVG = "{http://www.w3.org/2000/svg}"


def test_the_link_is_copied_or_else_the_page_says_how(context, address):
    page = opened(context, address)
    link = made_link(page)
    copy = page.get_by_role("button", name="Copy the link")
    said = page.locator("#link-copied")

    context.grant_permissions(["clipboard-read", "clipboard-write"])
    copy.click()
    expect(said).to_have_text(re.compile("^The link is copied"))
    assert page.evaluate("navigator.clipboard.readText()") == link

    # Where the browser refuses, or does not know that way, the old way still works.
    refusing = "{ writeText: () => Promise.reject(new DOMException('', 'NotAllowedError')) }"
    for clipboard in (refusing, "undefined"):
        put = "Object.defineProperty(navigator, 'clipboard', { configurable: true, value: %s })"
        page.evaluate(put % clipboard)
        copied_by_hand(page, "something else")
        copy.click()
        expect(said).to_have_text(re.compile("^The link is copied"))
        assert pasted(page) == link

    # Where a browser lets no page copy, the link is selected, so that the keys copy it.
    copied_by_hand(page, "something else")
    page.evaluate("document.execCommand = () => false")
    copy.click()
    expect(said).to_contain_text("copy it with Ctrl+C")
    assert pasted(page) == "something else"
    copy.click()
    page.keyboard.press("Control+C")
    assert pasted(page) == link


def copied_by_hand(page, text):
    """Put a text into the clipboard by the keys."""
    field = page.get_by_label("Link to a plan")
    field.fill(text)
    field.press("Control+A")
    field.press("Control+C")


def pasted(page):
    """What is in the clipboard, once the page has taken it as a link, which moves the focus."""
    field = page.get_by_label("Link to a plan")
    field.fill("")
    field.press("Control+V")
    until(page, "!pennyflat.unanswered().length")
    return field.input_value()


@pytest.mark.parametrize(
    "address", ["served", pytest.param("one file", marks=pytest.mark.long)], indirect=True
)
def test_the_qr_code_holds_the_very_link_on_the_page_and_on_paper(context, address, tmp_path):
    page = opened(context, address)
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    link = made_link(page)
    wanted = link if address.startswith("http") else link.partition("#")[2]

    drawn = Image.open(BytesIO(page.locator("#share .qr").screenshot()))
    assert [found.text for found in zxingcpp.read_barcodes(drawn)] == [wanted]
    page.get_by_role("button", name="Print the handout").click()
    expect(page.locator("#sheet .qr figcaption")).to_have_text(
        re.compile("open the plan" if wanted == link else "paste it")
    )
    page.pdf(path=tmp_path / "sheet.pdf", format="A4")
    needs("pdftoppm")
    subprocess.run(
        ["pdftoppm", "-r", "200", "-gray", tmp_path / "sheet.pdf", tmp_path / "sheet"], check=True
    )
    [image] = tmp_path.glob("sheet*.pgm")
    with Image.open(image) as paper:
        assert [found.text for found in zxingcpp.read_barcodes(paper)] == [wanted]


def needs(program):
    """Skip where poppler's program is not there."""
    if not shutil.which(program):
        pytest.skip(f"needs {program} (Debian: poppler-utils)")


def test_files_are_saved_opened_and_refused(example, tmp_path):
    price(example).fill("7,31")
    expect(example.locator("#buying")).to_contain_text("$7.31")
    open_place(example, "share")
    unfold(example, "files-card")
    with example.expect_download() as download:
        example.locator("#files-card").get_by_role("button", name="Save the plan").click()
    path = tmp_path / download.value.suggested_filename
    download.value.save_as(path)
    assert path.suffix == ".json"

    (tmp_path / "bad.json").write_text('{"format": "seedling-costs/1", "tax": 19}')
    example.get_by_label("Open a plan from a file").set_input_files(tmp_path / "bad.json")
    expect(example.locator("#notice")).to_contain_text("bad.json holds no plan that can be used")
    price(example).fill("1")
    example.get_by_label("Open a plan from a file").set_input_files(path)
    example.get_by_role("button", name="Keep a copy", exact=True).click()
    expect(price(example)).to_have_value("7.31")


def test_tables_are_saved_safe_from_formulas(example):
    example.get_by_label("Name of the mix").first.fill("=1+1")
    expect(example.locator("#table")).to_contain_text("=1+1")
    open_place(example, "share")
    unfold(example, "files-card")

    for table in ("The comparison", "The shopping list"):
        assert b'"\'=1+1"' in saved(example, table)


def saved(page, button):
    """What a button among the files saves: bytes."""
    with page.expect_download() as download:
        page.locator("#files-card").get_by_role("button", name=button).click()
    return download.value.path().read_bytes()


def test_charts_are_saved_with_dark_ink_on_white_and_with_title_and_key(example):
    example.emulate_media(color_scheme="dark")
    until(example, f"JSON.stringify(Bokeh.documents[0].to_json()).includes('{DARK['feed']}')")
    open_place(example, "share")
    unfold(example, "files-card")

    for chart, title, key in (
        ("Cost of one seedling", "Cost of one ready seedling of tomato, what you use up", "energy"),
        ("Cost at the till", "What tomato costs at the till as the number grows", "Seed starter"),
    ):
        drawn = ElementTree.fromstring(saved(example, f"{chart} as SVG"))
        words = " ".join(text for text in drawn.itertext() if text.strip())
        assert title in words and key in words and "$" in words
        assert colours_in(drawn) <= {_rgb(colour) for colour in (*LIGHT.values(), WHITE)}
        size = f"L {drawn.get('width')}.5 {drawn.get('height')}.5 "
        ground = {e.get("fill") for e in drawn.iter(f"{SVG}path") if size in e.get("d", "")}
        assert ground == {"none", WHITE}  # one cuts off what lies outside, the other is filled
        picture = Image.open(BytesIO(saved(example, f"{chart} as PNG"))).convert("RGBA")
        assert picture.getpixel((5, 5)) == picture.getpixel((715, 200)) == (255, 255, 255, 255)
        inked = {colour for _, colour in picture.getcolors(100_000)}
        assert (*_rgb(LIGHT["ink"]), 255) in inked and (*_rgb(DARK["ink"]), 255) not in inked
    assert example.locator("#chart-cost canvas").count() > 0


def colours_in(drawn):
    """What an SVG is drawn in, by lines and areas that can be seen."""
    found = set()
    for element in drawn.iter():
        for kind in ("fill", "stroke"):
            colour = element.get(kind, "none")
            if not colour.startswith(("none", "url")) and element.get(f"{kind}-opacity") != "0":
                found.add(_rgb(colour))
    return found


def _rgb(colour):
    if colour.startswith("#"):
        return tuple(bytes.fromhex(colour[1:]))
    return tuple(map(int, re.findall(r"\d+", colour)[:3]))


def test_a_price_list_is_looked_at_before_it_is_taken(example):
    open_place(example, "share")
    unfold(example, "prices-card")
    example.get_by_label("Price list", exact=True).fill(
        "Price\tItem\tSize\n"
        "12,75\tBulk potting mix\t2 cu ft\n6,40\tNew mix\t40 L\nmuch\tOther mix\t5 L\n"
    )
    example.get_by_role("button", name="Read the list").click()

    expect(example.locator("#prices")).to_contain_text("Kept aside: 1")
    expect(example.locator("#prices")).to_contain_text("Line 4")
    expect(example.locator("#mix-list > details")).to_have_count(3)
    example.get_by_role("button", name="Take these prices").click()
    expect(example.locator("#mix-list > details")).to_have_count(4)
    expect(example.locator("#table")).to_contain_text("New mix")


def test_members_make_one_order_and_nobody_pays_more(example, tmp_path):
    open_place(example, "share")
    unfold(example, "order-card")
    example.get_by_role("button", name="Add this plan").click()
    expect(example.locator("#order")).to_contain_text("Add two members or more")
    ann = with_title("Ann", sowings=DEMO["sowings"][:1])
    example.get_by_label("A member's link").fill(encode(ann))
    example.get_by_role("button", name="Add the link").click()
    (tmp_path / "bea.json").write_text(json.dumps(with_title("Bea", sowings=DEMO["sowings"][1:2])))
    example.get_by_label("Members' files").set_input_files(tmp_path / "bea.json")

    rows = example.locator("#order tbody tr")
    expect(rows).to_have_count(3)
    money = [
        [float(cell.strip("$")) for cell in row.locator("td").all_inner_texts()]
        for row in rows.all()
    ]
    assert all(pays <= alone for pays, alone, _ in money)
    bill = float(example.locator("#order tfoot td").first.inner_text().strip("$"))
    assert round(sum(pays for pays, _, _ in money), 2) == bill
    expect(example.locator("#order")).to_contain_text("Who takes what")
    with example.expect_download() as download:
        example.get_by_role("button", name="Pick-up sheet as CSV").click()
    assert '"Ann"' in download.value.path().read_text("utf-8")
    example.get_by_role("button", name="Print order and pick-up sheet").click()
    assert "Bea" in printed(example, tmp_path)


def printed(page, folder):
    """The text of the page as printed, which must be one page long."""
    expect(page.locator("#sheet")).not_to_be_empty()
    page.wait_for_timeout(100)  # the page asks for it once the sheet is there
    assert page.evaluate("window.printed") == 1
    path = folder / "sheet.pdf"
    page.pdf(path=path, format="A4")
    needs("pdftotext")
    found = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True)
    assert found.stdout.count("\f") == 1
    return found.stdout


def test_the_handout_is_one_page_with_all_that_belongs_on_it(example, tmp_path):
    open_place(example, "share")
    example.get_by_role("button", name="Print the handout").click()

    text = " ".join(printed(example, tmp_path).split())
    for part in ("Seed starter mix, $0.193 each", "Shopping list", "To pay: $31.30",
                 "Assumptions", "Safety", "Scan to open", "germination 88%"):  # fmt: skip
        assert part in text
    assert example.locator("#sheet .qr path").count() >= 1
    assert example.locator("#sheet .bit.feed").count() > 1
    price(example).fill("7")
    expect(example.locator("#sheet")).to_be_empty()
