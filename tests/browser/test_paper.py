"""What is printed while no answer stands: paper shows no old figure as if it were current."""

import pytest

from tests.browser.desk import GO_ON, HOLD, open_place, opened, price, ready, until

BEHIND = "Still working: the figures do not yet follow what you entered last."


def paper(page):
    """The text that is printed."""
    page.emulate_media(media="null")
    page.pdf()  # tells the page, as a browser's own command does
    page.emulate_media(media="print")
    return page.locator("body").inner_text()


@pytest.mark.parametrize("is_sheet", [False, True], ids=["page", "handout"])
def test_what_is_printed_before_the_answer_says_so(context, address, is_sheet):
    page = opened(context, address)
    assert BEHIND not in paper(page)
    if is_sheet:
        page.evaluate("pennyflat.post({ do: 'print', text: 'handout', page: location.href })")
        ready(page)
        assert "What to buy" in paper(page) and BEHIND not in paper(page)
    page.evaluate(HOLD)
    page.evaluate(
        "pennyflat.post({ do: 'type', path: 'media[0].packages[1].price', text: '9.85' })"
    )
    assert paper(page).startswith(BEHIND)

    page.evaluate(GO_ON)
    ready(page)
    printed = paper(page)
    assert BEHIND not in printed and "$9.85" in printed


def test_what_is_printed_before_anything_is_entered_has_no_figure(context, address):
    page = opened(context, address)
    page.evaluate("pennyflat.post({ do: 'empty' })")
    ready(page)
    printed = paper(page)

    assert "The answer appears here as soon as these are filled in" in printed
    assert "$" not in printed and "0 of 6" not in printed


def test_what_is_printed_with_an_unreadable_entry_says_what_it_is_for(context, address):
    page = opened(context, address)
    price(page).fill("a lot")
    ready(page)
    printed = paper(page)

    assert "For the last complete entries." in printed.partition("$")[0]
    assert "Buy 1 ×" not in printed and "sow 77 cells" not in printed


def test_the_browsers_own_command_prints_the_handout_and_its_menu_what_to_buy(context, address):
    page = opened(context, address)
    for name in ("share", "enter", "buy"):
        open_place(page, name)
        printed = paper(page)
        assert "Buy 1 ×" in printed and "New price" not in printed
        page.emulate_media(media="null")
    page.keyboard.press("Control+p")
    until(page, "window.printed === 1")

    assert paper(page).startswith("Seedling table") and "What to buy" in paper(page)
