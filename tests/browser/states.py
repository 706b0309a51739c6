"""The states that the page can be in, each made from the example; see test_access.py."""

from playwright.sync_api import expect

from pennyflat.scenario.link import encode
from tests.browser.desk import look_at, made_link, open_place, price, unfold, with_title

WORKED_OUT_MS = 60_000


def as_it_comes(page):
    """The example, where it is bought."""


def entered(page):
    """The example, where it is entered."""
    open_place(page, "enter")


def compared(page):
    """The example, its mixes side by side."""
    open_place(page, "compare")


def to_be_grown(page):
    """The example's dates, not entered yet."""
    open_place(page, "grow")


def to_be_shared(page):
    """The example, and what can be done with it."""
    open_place(page, "share")


def empty(page):
    page.get_by_role("button", name="Use my own prices").click()
    expect(page.locator("#standing")).to_contain_text("The answer appears here")


def fed(page):
    """A first plan of one's own whose feed is to be filled in."""
    empty(page)
    page.get_by_role("button", name="Yes, I have or buy a feed").click()
    expect(page.locator("#feed .is-needed")).to_have_count(2)


def troubled(page):
    """A mix not ready, a crop removed, a wrong entry."""
    fold(page, "Seed, tray and feeding").click()
    page.get_by_label("When the mix's fertiliser runs out").first.select_option("do nothing")
    expect(page.locator("#table")).to_contain_text("Not ready")
    page.locator("#sowing-2 > summary").click()
    page.get_by_role("button", name="Remove marigold").click()
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    page.get_by_label("Price ($)").first.fill("a lot")
    expect(page.locator("#standing")).to_contain_text("For the last complete entries")
    look_at(page, "numbers")
    # the strip lies over the page; at its end it takes no room from what it happens to lie on
    page.evaluate("document.getElementById('undo').style.position = 'static'")


def all_open(page):
    """Every fold of what is entered open, everything counted, and some of what is asked then."""
    open_place(page, "enter")
    open_all(page)
    for button in ("Count my time", "Add a home blend", "Add another package of Perlite"):
        page.get_by_role("button", name=button).click()
    page.locator("[data-path='sowings[0].presprout']").check()
    page.locator("[data-path='sowings[1].remedy']").select_option("pot_on")
    page.locator("[data-path='sowings[2].container']").select_option(index=1)
    expect(page.locator("[data-path='sowings[1].pot_on.medium']")).to_be_attached()
    open_all(page)


def questions_opened(page):
    """Every question before paying, with its answer."""
    open_all(page)
    expect(page.locator(".asking .wait")).to_have_count(0)
    expect(page.locator("#chart-swings canvas").first).to_be_visible()


def details_opened(page):
    """Everything about one crop."""
    open_place(page, "compare")
    open_all(page)
    expect(page.locator("#chart-steps canvas").first).to_be_visible()


def grow_opened(page):
    """Every fold with something looked up, and a calendar with its days."""
    open_place(page, "grow")
    page.evaluate("document.querySelectorAll('#grow details').forEach((f) => { f.open = true })")
    page.get_by_label("Last frost").fill("2027-05-15")
    expect(page.locator("#calendar table").first).to_be_visible()
    open_all(page)


def season_written_down(page):
    """A season with its result, after one of its figures was wrong."""
    open_place(page, "grow")
    unfold(page, "season-card")
    page.get_by_role("button", name="Write down how it went").click()
    for place in range(3):
        for key in ("up", "ready"):
            page.locator(f"[data-path='happened.sowings[{place}].{key}']").fill("40")
    expect(page.locator("#season-shows")).to_contain_text("Your own figures")
    page.locator("[data-path='happened.bags[0].left']").fill("99")
    expect(page.locator("#season .fault")).to_have_count(1)
    page.locator("[data-path='happened.bags[0].left']").fill("2")
    expect(page.locator("#season-shows")).to_contain_text("Lost in filling")
    open_all(page)


def bench_recording(page):
    """Pots with counts, one of them wrong, and a table with a row that will not do."""
    open_place(page, "grow")
    bench = page.locator("#trial-bench")
    bench.get_by_role("button", name="Try it with invented counts").click()
    bench.get_by_role("textbox", name="Seed starter mix, tomato").fill("99")
    bench.locator("#bench-paste > summary").click()
    bench.get_by_role("textbox", name="Table").fill("mix\tsown\tday 6\n\t5\t1")
    bench.get_by_role("button", name="Add these pots").click()
    expect(bench.locator("#bench-pasted")).to_contain_text("is left out")
    open_all(page)


def bench_with_results(page):
    """What the invented counts show, in emergence and in money."""
    open_place(page, "grow")
    bench = page.locator("#trial-bench")
    bench.get_by_role("button", name="Try it with invented counts").click()
    bench.get_by_role("button", name="Show results").click()
    expect(bench.locator("#bench-uses button").first).to_be_visible(timeout=WORKED_OUT_MS)
    open_all(page)


def order_shown(page):
    """Two members, their order, the split and the pick-up sheet."""
    open_place(page, "share")
    unfold(page, "order-card")
    page.get_by_role("button", name="Add this plan").click()
    expect(page.locator("#order .kept li")).to_have_count(1)
    page.get_by_label("A member's link").fill(encode(with_title("Ann")))
    page.get_by_role("button", name="Add the link").click()
    expect(page.locator("#order tbody tr")).to_have_count(2)


def prices_seen(page):
    """A price list with a good row and bad ones, before it is taken."""
    open_place(page, "share")
    unfold(page, "prices-card")
    page.get_by_label("Price list", exact=True).fill(
        "Price\tItem\tSize\n6,40\tNew mix\t40 L\nmuch\tOther mix\t5 L\n3\tBark\tlarge\n"
    )
    page.get_by_role("button", name="Read the list").click()
    expect(page.locator("#prices")).to_contain_text("Left out: 2")


def link_made(page):
    """A link with its code, a copy said to be made, and plans kept with their earlier states."""
    made_link(page)
    page.get_by_role("button", name="Copy the link").click()
    expect(page.locator("#link-copied")).not_to_be_empty()
    unfold(page, "plans-card")
    page.get_by_role("button", name="Keep a copy as a new plan").click()
    expect(page.locator("#notice")).to_contain_text("is kept on this device")
    open_all(page)


def link_offered(page):
    """A link was opened although there is a plan, and waits for a choice."""
    price(page).fill("5.95")
    page.evaluate("link => { location.hash = link }", encode(with_title("From a friend")))
    expect(page.get_by_role("button", name="Look at it")).to_be_visible()


def link_looked_at_and_no_room(page):
    """Someone else's plan is being viewed, and the device has no room to store anything."""
    link_offered(page)
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#notice")).to_contain_text("You are looking at")
    page.evaluate("pennyflat.post({ do: 'storage', text: 'full' })")
    expect(page.locator("#notice")).to_contain_text("no room left")


def link_merged(page):
    """Someone else's prices were taken over."""
    link_offered(page)
    page.get_by_role("button", name="Take its prices into mine").click()
    expect(page.locator("#notice")).to_contain_text("Prices changed")


def parts_listed(page):
    """What the page is made of, and the licences."""
    open_place(page, "share")
    unfold(page, "about-card")
    unfold(page, "licences-card")
    expect(page.locator("#licences pre")).to_be_visible()


def notes_opened(page):
    """The notes, with all sources and all precautions."""
    parts_listed(page)
    page.locator("#about-card").get_by_role("link", name="Notes").click()
    unfold(page, "safety-card")
    unfold(page, "sources-card")
    expect(page.locator("#sources ol")).to_be_visible()


def on_paper(page):
    """The handout, as the printer gets it."""
    page.evaluate("pennyflat.post({ do: 'print', text: 'handout', page: location.href })")
    expect(page.locator("#sheet h1")).to_have_count(1)
    page.emulate_media(media="print")
    expect(page.locator("#sheet h1")).to_be_visible()


STATES = [
    as_it_comes,
    entered,
    compared,
    to_be_grown,
    to_be_shared,
    empty,
    fed,
    troubled,
    all_open,
    questions_opened,
    details_opened,
    grow_opened,
    season_written_down,
    bench_recording,
    bench_with_results,
    order_shown,
    prices_seen,
    link_made,
    link_offered,
    link_looked_at_and_no_room,
    link_merged,
    parts_listed,
    notes_opened,
    on_paper,
]
"""In the order in which they are tried."""


def open_all(page):
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")


def fold(page, words):
    return page.locator("summary").filter(has_text=words).first
