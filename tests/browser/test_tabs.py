"""Several tabs on one plan: nothing that was entered in any of them is lost."""

import pytest
from playwright.sync_api import expect

from pennyflat.demo import DEMO
from tests.browser.desk import (
    ANSWERED,
    DATABASE,
    GO_ON,
    HOLD,
    SEEN_TITLES,
    SETTLED,
    beside,
    kept,
    on_device,
    opened,
    price,
    put,
    ready,
    unfold,
    until,
    wanted,
)  # fmt: skip
from tests.times import TIMES

QUIET_ROUNDS = 4
TYPE = """({ path, text }) => {
    const field = document.querySelector(`[data-path="${path}"]`);
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
}"""
PRICE = "media[0].packages[0].price"
WANTED = "sowings[0].wanted"
AT_ONCE = """({ path, text }) => {
    const channel = new BroadcastChannel("test");
    channel.onmessage = () => {
        const field = document.querySelector(`[data-path="${path}"]`);
        field.value = text;
        field.dispatchEvent(new Event("input", { bubbles: true }));
        window.typed = true;
    };
    window.channel = channel;
}"""


BUSY = f"""async () => {{
    {DATABASE}
    const there = database.transaction(["kept", "pending"], "readwrite").objectStore("kept");
    const ask = () => {{
        if (window.isFree) database.close();
        else there.get("").onsuccess = ask;
    }};
    ask();
}}"""
"""Keeps every other page from reading and writing until it is told to leave."""
TOLD = "pennyflat.unanswered().some((message) => message.do === 'elsewhere')"
"""Whether Python is being told of another tab."""


def prices_and_wanted(plans):
    """What every kept plan has for the first price and the first number of seedlings."""
    documents = [plan["document"] for plan in plans]
    return {
        (found["media"][0]["packages"][0]["price"], found["sowings"][0]["wanted"])
        for found in documents
    }


def typed_at_once(context, *tabs):
    """Have the tabs type what AT_ONCE has told them."""
    starter = context.new_page()
    starter.goto(f"{tabs[0].url.split('#')[0].rpartition('/')[0]}/favicon.svg")
    starter.evaluate("new BroadcastChannel('test').postMessage(0)")
    for tab in tabs:
        until(tab, "window.typed")


def settled(*tabs):
    """Wait until all is answered and kept, and what is kept stays as it is for a while."""
    quiet, before = 0, None
    while quiet < QUIET_ROUNDS:
        for tab in tabs:
            until(tab, SETTLED)
            tab.wait_for_timeout(50)
        now = on_device(tabs[0])
        quiet, before = (quiet + 1 if now == before else 0), now


@pytest.fixture
def two(context, address):
    """Two tabs that have the same plan open."""
    one = opened(context, address)
    price(one).fill("7")
    kept(one)
    return one, opened(context, address)


def test_what_another_tab_has_changed_comes_into_view_and_leaves_the_focus(two):
    one, other = two
    one.set_viewport_size({"width": 390, "height": 700})
    one.evaluate("places.go('feed')")
    field = one.locator("#feed summary").first
    field.focus()
    price(other).fill("8")

    expect(one.locator("#notice")).to_contain_text("Another tab has changed")
    expect(one.locator("#notice button").first).to_be_in_viewport()
    expect(field).to_be_focused()


@pytest.mark.parametrize("turn", range(3 * TIMES))
def test_both_edits_of_the_same_moment_are_kept(two, context, turn):
    one, other = two
    one.evaluate(AT_ONCE, {"path": PRICE, "text": "8"})
    other.evaluate(AT_ONCE, {"path": WANTED, "text": "61"})
    typed_at_once(context, one, other)
    settled(one, other)

    plans = kept(one)

    found = prices_and_wanted(plans)
    before = DEMO["sowings"][0]["wanted"]
    assert 8 in {price for price, _ in found} and 61 in {number for _, number in found}
    assert found <= {(8, before), (7, 61), (8, 61)}
    assert len({plan["title"] for plan in plans}) == len(plans)


def test_an_edit_that_python_answers_while_another_tab_writes_overwrites_nothing(two):
    """The other tab's text arrives while this tab's edit is under way."""
    one, other = two
    one.evaluate(TYPE, {"path": PRICE, "text": "8"})
    other.evaluate(TYPE, {"path": PRICE, "text": "9"})
    one.evaluate(TYPE, {"path": PRICE, "text": "8.5"})
    settled(one, other)

    assert {price for price, _ in prices_and_wanted(kept(one))} == {8.5, 9}


def test_earlier_states_of_both_tabs_are_kept(two):
    one, other = two
    wanted(one).fill("61")
    expect(other.locator("#notice")).to_contain_text("Another tab has changed")
    other.get_by_role("button", name="Show what the other tab has").click()
    expect(wanted(other)).to_have_value("61")
    price(other).fill("9")
    settled(one, other)

    other.reload()
    ready(other)
    unfold(other, "plans-card")
    other.get_by_text("Earlier states", exact=True).click()
    states = other.get_by_role("button", name="Go back to")
    expect(states).to_have_count(4)  # before 7, before 61, before theirs were taken, before 9
    numbers = [key for key in on_device(other) if key.startswith("past:")]
    assert len(numbers) == 4


def test_two_tabs_of_the_untouched_example_are_one_plan(context, address):
    one, other = opened(context, address), opened(context, address)
    price(one).fill("7")
    expect(price(other)).to_have_value("7.00")
    wanted(other).fill("61")
    settled(one, other)

    assert prices_and_wanted(kept(one)) == {(7, 61)}
    expect(one.locator("#notice")).to_contain_text("Another tab has changed")


def test_both_first_edits_of_the_same_moment_are_kept_under_two_names(context, address):
    one, other = opened(context, address), opened(context, address)
    one.evaluate(AT_ONCE, {"path": PRICE, "text": "8"})
    other.evaluate(AT_ONCE, {"path": PRICE, "text": "9"})
    typed_at_once(context, one, other)
    settled(one, other)

    plans = kept(one)
    assert {price for price, _ in prices_and_wanted(plans)} == {8, 9}
    assert {plan["title"] for plan in plans} == {
        DEMO["title"],
        f"{DEMO['title']} (from this tab)",
    }


def test_what_a_tab_has_not_had_answered_is_not_taken_by_another(context, address):
    one = opened(context, address)
    price(one).fill("7")
    kept(one)
    one.evaluate("worker.postMessage = () => {}")  # nothing is answered from now on
    one.evaluate(TYPE, {"path": WANTED, "text": "61"})
    other = opened(context, address)
    expect(wanted(other)).to_have_value(str(DEMO["sowings"][0]["wanted"]))
    one.close()
    other.reload()
    ready(other)

    expect(wanted(other)).to_have_value("61")


def test_a_plan_that_an_earlier_version_kept_is_taken_over_once(context, address):
    page = opened(context, address)
    price(page).fill("7,31")
    kept(page)
    there = on_device(page)
    page.close()
    put(context, address, dict.fromkeys(there))
    page = context.new_page()
    page.goto(f"{address.rpartition('/')[0]}/favicon.svg")
    page.evaluate(
        """(there) => {
            sessionStorage.clear();
            localStorage.clear();
            const pending = { plan: there.current, messages: [
              { do: "type", path: "sowings[0].wanted", text: "61", seq: 3 }] };
            const old = { ...there, language: "de", pending: JSON.stringify(pending) };
            for (const key of Object.keys(old)) localStorage.setItem(`pennyflat:${key}`, old[key]);
            localStorage.setItem("somebody:else", "1"); }""",
        there,
    )
    page.close()

    for _ in range(2):
        page = opened(context, address)
        expect(page.locator("html")).to_have_attribute("lang", "de")
        expect(page.locator("#f-media-0-packages-0-price")).to_have_value("7,31")
        expect(page.locator("#f-sowings-0-wanted")).to_have_value("61")
        until(page, SETTLED)
        names = page.evaluate("Object.keys(localStorage)")
        assert {*names} <= {"pennyflat:stand", "pennyflat:picture", "somebody:else"}
        assert "somebody:else" in names
        assert len(kept(page)) == 1
        page.close()


def test_a_tab_that_hears_nothing_keeps_its_first_edit_beside_the_other_once(context, address):
    one, other = opened(context, address), deaf(context, address)
    price(one).fill("8")
    kept(one)
    price(other).fill("9")
    settled(one, other)

    assert {
        plan["title"]: plan["document"]["media"][0]["packages"][0]["price"] for plan in kept(one)
    } == {
        DEMO["title"]: 8,
        f"{DEMO['title']} (from this tab)": 9,
    }


@pytest.fixture
def busy(context, address):
    """Makes the storage busy, and returns a page that ends it by `window.isFree`."""

    def made():
        page = context.new_page()
        page.goto(beside(address))
        page.evaluate(BUSY)
        return page

    return made


def free(page):
    page.evaluate("window.isFree = true")


def deaf(context, address):
    """A tab that hears nothing from others."""
    page = context.new_page()
    page.add_init_script("delete window.BroadcastChannel")
    page.goto(address)
    ready(page)
    return page


def test_charts_wait_for_the_own_plan_however_long_the_storage_takes(context, address, busy):
    page = opened(context, address)
    page.evaluate("pennyflat.post({ do: 'type', path: 'sowings[0].crop', text: 'leek' })")
    kept(page)
    page.close()
    storage = busy()
    page = context.new_page()
    page.add_init_script(SEEN_TITLES)
    page.goto(f"{address}#compare")
    until(page, "isReady")
    page.wait_for_timeout(1000)
    free(storage)
    until(page, "seen.length > 5")

    assert set(page.evaluate("seen")) == {"leek: cost of one ready seedling, by what you use up"}


def test_what_python_learns_between_an_edit_and_its_writing_is_not_overwritten(two, busy):
    one, other = two
    one.evaluate(HOLD)
    one.evaluate(TYPE, {"path": PRICE, "text": "8"})
    price(other).fill("9")
    kept(other)
    until(one, TOLD)
    storage = busy()
    one.evaluate(GO_ON)
    until(one, ANSWERED)
    free(storage)
    settled(one, other)

    assert {price for price, _ in prices_and_wanted(kept(one))} == {8, 9}


def test_an_edit_under_way_while_a_twin_is_found_makes_no_third_plan(context, address, busy):
    one, other = opened(context, address), deaf(context, address)
    price(one).fill("8")
    kept(one)
    storage = busy()
    other.evaluate(TYPE, {"path": PRICE, "text": "9"})
    until(other, ANSWERED)
    other.evaluate(HOLD)
    other.evaluate(TYPE, {"path": PRICE, "text": "9.5"})
    free(storage)
    until(other, TOLD)
    other.evaluate(GO_ON)
    settled(one, other)

    found = [(p["title"], p["document"]["media"][0]["packages"][0]["price"]) for p in kept(one)]
    assert sorted(found) == [(DEMO["title"], 8), (f"{DEMO['title']} (from this tab)", 9.5)]


def test_what_came_too_late_is_kept_even_if_python_ends_before_it_is_told(context, address, busy):
    other = opened(context, address)
    price(other).fill("7")
    kept(other)
    one = deaf(context, address)
    price(other).fill("9")
    kept(other)
    storage = busy()
    one.evaluate(TYPE, {"path": PRICE, "text": "8"})
    until(one, ANSWERED)
    one.evaluate(HOLD)
    free(storage)
    until(one, TOLD)
    one.evaluate("watch.ended(worker)")
    until(one, "isReady")
    settled(one, other)

    assert {price for price, _ in prices_and_wanted(kept(one))} == {8, 9}
