"""Plans sent, saved, printed and pooled, and prices taken from a list, in a real browser."""

import json
import re
import shutil
import subprocess
from io import BytesIO
from xml.etree import ElementTree

import pytest
import zxingcpp
from PIL import Image, ImageOps
from playwright.sync_api import expect

from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.link import decode, encode
from pennyflat_display.figures.parts import DARK, LIGHT, WHITE
from tests.browser.desk import (
    PLANNED,
    START_UP_MS,
    made_link,
    open_place,
    opened,
    price,
    unfold,
    until,
    with_title,
)
from tests.test_poisoned import SCENARIO

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


@pytest.mark.parametrize("address", ["served", "one file"], indirect=True)
def test_the_qr_code_holds_the_very_link_on_the_page_and_on_paper(context, address, tmp_path):
    page = opened(context, address)
    price(page).fill("7,31")
    expect(page.locator("#buying")).to_contain_text("$7.31")
    link = made_link(page)
    wanted = link if address.startswith("http") else link.partition("#")[2]

    drawn = Image.open(BytesIO(page.locator("#share .qr").screenshot()))
    assert [found.text for found in zxingcpp.read_barcodes(drawn)] == [wanted]
    unfold(page, "print-card")
    page.get_by_role("button", name="Print the handout").click()
    expect(page.locator("#sheet .qr figcaption")).to_have_text(
        re.compile("open the plan" if wanted == link else "paste it")
    )
    page.pdf(path=tmp_path / "sheet.pdf", format="A4")
    with picture(tmp_path) as paper:
        assert [found.text for found in zxingcpp.read_barcodes(paper)] == [wanted]


def test_the_qr_code_of_hostile_names_holds_exactly_their_link(context, site_url):
    page = opened(context, f"{site_url}#{encode(SCENARIO)}")
    link = made_link(page)

    drawn = Image.open(BytesIO(page.locator("#share .qr").screenshot()))
    assert [found.text for found in zxingcpp.read_barcodes(drawn)] == [link]
    assert decode(link) == read(SCENARIO)


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
    expect(example.locator("#bar")).to_contain_text("=1+1")  # the list is of the new plan
    open_place(example, "share")
    unfold(example, "files-card")

    for table in ("The comparison", "The shopping list"):
        assert b'"\'=1+1"' in saved(example, table)


def saved(page, button, name=""):
    """What a button among the files saves, under a name that ends so: bytes."""
    with page.expect_download() as download:
        page.locator("#files-card").get_by_role("button", name=button).click()
    assert download.value.suggested_filename.endswith(name)
    return download.value.path().read_bytes()


def test_charts_are_saved_with_dark_ink_on_white_and_with_title_and_key(example):
    example.emulate_media(color_scheme="dark")
    until(
        example,
        f"JSON.stringify(drawing.figures.get('chart-cost').document.to_json()).includes('{DARK['feed']}')",
    )
    open_place(example, "share")
    unfold(example, "files-card")

    for chart, name, title, key in (
        ("Cost of one seedling", "cost", "tomato: cost of one ready seedling", "energy"),
        (
            "Cost at the till",
            "till",
            "tomato: cost at the till as the number grows",
            "Seed starter",
        ),
    ):
        drawn = ElementTree.fromstring(
            saved(example, f"{chart} as SVG", f"invented-tomato-{name}.svg")
        )
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

    expect(example.locator("#prices")).to_contain_text("Left out: 1")
    expect(example.locator("#prices")).to_contain_text("Line 4")
    expect(example.locator("#mix-list > details")).to_have_count(3)
    example.get_by_role("button", name="Take what is ticked").click()
    expect(example.locator("#mix-list > details")).to_have_count(4)
    expect(example.locator("#table")).to_contain_text("New mix")
    example.locator("#undo").get_by_role("button", name="Undo").click()
    expect(example.locator("#mix-list > details")).to_have_count(3)


def test_a_row_of_a_price_list_can_be_unticked(example):
    unfold(example, "prices-card")
    example.get_by_label("Price list", exact=True).fill(
        "Item\tSize\tPrice\nSeed starter mix\t8 qt\t590\nPerlite\t8 qt\t5.00\n"
    )
    example.get_by_role("button", name="Read the list").click()
    example.get_by_label("Take Seed starter mix, 8 qt (dry)").uncheck()
    example.get_by_role("button", name="Take what is ticked").click()

    expect(example.locator("#notice")).to_contain_text("Prices changed: 1.")
    expect(price(example)).to_have_value("5.90")


CLUB = {"Ann": 0, "Bea": 1, "Cyril": 2, "Dot": 0, "Eva": 1}
"""Five members, each with one sowing of the example."""


def test_a_club_of_five_from_their_links_to_the_printed_sheet(example, tmp_path):
    unfold(example, "order-card")
    field = example.get_by_label("A member's link")
    for number, (name, row) in enumerate(CLUB.items(), start=1):
        field.fill(encode(with_title(name, sowings=DEMO["sowings"][row : row + 1])))
        example.get_by_role("button", name="Add the link").click()
        expect(example.locator("#order .kept li")).to_have_count(number)
        if number == 1:
            expect(example.locator("#order")).to_contain_text("Add two members or more")

    rows = example.locator("#order tbody tr")
    expect(rows).to_have_count(5, timeout=START_UP_MS)
    money = money_of(rows)
    assert all(pays <= alone for _, _, pays, alone, _ in money)
    assert all(round(goods + trips, 2) == pays for goods, trips, pays, _, _ in money)
    foot = example.locator("#order tfoot td.total").inner_text()
    assert f"${sum(pays for _, _, pays, _, _ in money):.2f}" == foot
    example.get_by_label("What is saved is divided").select_option("equal")
    expect(example.locator("#order")).not_to_contain_text("Shapley value).")
    expect(rows).to_have_count(5, timeout=START_UP_MS)
    saved_each = [saves for *_, saves in money_of(rows)]
    assert max(saved_each) - min(saved_each) <= 0.011
    with example.expect_download() as download:
        example.get_by_role("button", name="Pick-up sheet as CSV").click()
    assert download.value.path().read_text("utf-8").startswith("\ufeff")
    example.get_by_role("button", name="Print order and pick-up sheet").click()
    text = " ".join(printed(example, tmp_path).split())
    assert all(name in text for name in (*CLUB, "Share of trips", "Who takes what"))
    assert min(font_sizes(tmp_path)) >= SMALLEST_PT


def money_of(rows):
    """The amounts in each row of who pays what."""
    return [
        [float(cell.strip("$")) for cell in row.locator("td").all_inner_texts()]
        for row in rows.all()
    ]


def test_a_member_joins_by_a_file_and_by_this_plan(example, tmp_path):
    unfold(example, "order-card")
    example.get_by_role("button", name="Add this plan").click()
    (tmp_path / "bea.json").write_text(json.dumps(with_title("Bea", sowings=DEMO["sowings"][1:2])))
    example.get_by_label("Members' files").set_input_files(tmp_path / "bea.json")

    expect(example.locator("#order tbody tr")).to_have_count(2, timeout=START_UP_MS)
    expect(example.locator("#order")).to_contain_text("Bea")


def printed(page, folder, paper="A4"):
    """The text of the page as printed, which must be one page long."""
    expect(page.locator("#sheet")).not_to_be_empty()
    page.wait_for_timeout(100)  # the page asks for it once the sheet is there
    assert page.evaluate("window.printed") == 1
    path = folder / "sheet.pdf"
    page.pdf(path=path, format=paper)
    needs("pdftotext")
    found = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True)
    assert found.stdout.count("\f") == 1
    return found.stdout


SIX = DEMO | {
    "title": "Six crops in three mixes",
    "last_frost": "2027-05-15",
    "sowings": [
        row | {"crop": crop, "wanted": wanted, "medium": mix}
        for row, crop, wanted, mix in zip(
            DEMO["sowings"] * 2,
            ("tomato", "lettuce", "marigold", "sweet pepper", "cabbage", "basil"),
            (60, 120, 48, 36, 80, 90),
            ("Home blend", "Seed starter mix", "Bulk potting mix") * 2,
            strict=True,
        )
    ],
}
SMALLEST_PT = 9
MARGIN_MM = 12
PAPERS_MM = {"A4": (210, 297), "Letter": (215.9, 279.4)}


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_the_handout_is_one_side_that_can_be_read_from_a_wall(context, address, tmp_path, paper):
    page = opened(context, f"{address}#{encode(SIX)}")
    looked_at(page)
    unfold(page, "print-card")
    page.get_by_role("button", name="Print the handout").click()
    text = " ".join(printed(page, tmp_path, paper).split())

    plan = page.locator("#verdicts li").all_inner_texts()
    assert len(plan) == 6
    for part in (
        "Six crops in three mixes", "What to buy", "8 qt (dry)",
        "60 tomato Home blend 77 77 Apr 10 May 15 May 22",
        "80 cabbage Seed starter mix 105 105 Mar 30 Apr 20 Apr 27",
        "3 buckets of Coir block", "make 4.6 buckets", "5 g to a bucket", "Storing feed:",
        "Scan to open", address.partition("//")[2], "Printed on",
    ):  # fmt: skip
        assert part in text
    paid = page.locator("#errand-sums").inner_text()
    assert re.search(r"To pay: (\S+)", text)[1].rstrip(",") in paid
    assert page.locator("#sheet .sheet-cautions li").count() == 4
    assert min(font_sizes(tmp_path)) >= SMALLEST_PT

    with picture(tmp_path) as drawn:
        wide, high = PAPERS_MM[paper]
        assert drawn.width / drawn.height == pytest.approx(wide / high, abs=0.002)
        left, top, right, bottom = ImageOps.invert(drawn).getbbox()
        dots = drawn.width / wide
        least = (MARGIN_MM - 0.5) * dots
        assert min(left, top, drawn.width - right, drawn.height - bottom) >= least
        (code,) = zxingcpp.read_barcodes(drawn)
        assert code.text.endswith(encode(SIX))


def test_a_german_handout_keeps_words_whole_and_numbers_with_their_units(
    context, address, tmp_path
):
    page = opened(context, f"{address}#{encode(SIX)}")
    looked_at(page)
    page.evaluate("pennyflat.post({ do: 'speak', text: 'de' })")
    page.evaluate("pennyflat.post({ do: 'print', text: 'handout', page: location.href })")
    text = printed(page, tmp_path, "A4")

    assert {"Zellen", "Samen", "Aussäen", "Auspflanzen"} <= set(text.split())
    assert "500 Samen" in text


def looked_at(page):
    """The plan of the link that the page was opened with, once there is a plan for it."""
    expect(page.locator("#notice")).to_contain_text("You are looking at")
    expect(page.locator("#advice")).to_contain_text("ready seedlings")
    until(page, f"!pennyflat.unanswered().length && {PLANNED}")


def font_sizes(folder):
    """Sizes of all writing on the printed sheet. [pt]"""
    needs("pdftohtml")
    zoom = 3  # the most that it takes
    subprocess.run(
        ["pdftohtml", "-xml", "-i", "-q", "-zoom", str(zoom), "sheet.pdf", "sheet"],
        cwd=folder,
        check=True,
    )
    found = ElementTree.parse(folder / "sheet.xml").iter("fontspec")
    return [float(spec.get("size")) / zoom for spec in found]


def picture(folder):
    """The printed sheet as a printer draws it."""
    needs("pdftoppm")
    subprocess.run(
        ["pdftoppm", "-r", "200", "-gray", folder / "sheet.pdf", folder / "sheet"], check=True
    )
    [image] = folder.glob("sheet*.pgm")
    return Image.open(image)


def test_a_handout_goes_when_the_plan_changes(example):
    unfold(example, "print-card")
    example.get_by_role("button", name="Print the handout").click()
    expect(example.locator("#sheet")).to_contain_text("What to buy")
    price(example).fill("7")
    expect(example.locator("#sheet")).to_be_empty()
