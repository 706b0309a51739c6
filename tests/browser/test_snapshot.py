"""The second start comes from a snapshot of the first, and from none where that is in doubt."""

import json
import os
import re

import pytest
from playwright.sync_api import expect

from tests.browser.marionette import firefox
from webapp.build import single
from webapp.build.browser import FIREFOX

START_UP_MS = 60_000
PRICE = "Price ($)"
QUIET_MS = 6_000  # longer than the page waits before it keeps a snapshot
WATCH = """document.addEventListener("pennyflat:answer", ({ detail }) => {
    (window.answers ??= []).push(detail);
})"""
POLICY = "<meta http-equiv=[^>]*>"
ANSWERS = re.escape("if (bridge.example() !== expected)")
NOTE = "JSON.parse(localStorage.getItem('pennyflat:warm'))"
STORE = """
const outcome = (request) => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
});
const use = async (name, work) => {
    const opening = indexedDB.open(name, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("snapshot");
    const database = await outcome(opening);
    const transaction = database.transaction("snapshot", "readwrite");
    const complete = new Promise((done) => (transaction.oncomplete = done));
    const found = await outcome(work(transaction.objectStore("snapshot")));
    await complete;
    database.close();
    return found;
};
const get = (name) => use(name, (store) => store.get("latest"));
const put = (name, record) => use(name, (store) => store.put(record, "latest"));
"""
KEPT = "get('pennyflat').then((found) => found && { key: found.key, size: found.memory.size })"
READ = "await (await get('pennyflat')).memory.arrayBuffer()"
DAMAGE = """
const record = await get("pennyflat");
const bytes = new Uint8Array(await record.memory.arrayBuffer());
bytes[bytes.length >> 1] ^= 1;
await put("pennyflat", { ...record, memory: new Blob([bytes]) });
"""
DAMAGE_OF_TEXT = """
const record = await get("pennyflat");
await put("pennyflat", { ...record, about: record.about.replace("chart-cost", "chart-lost") });
"""
SET_ASIDE = """
await put("spare", await get("pennyflat"));
localStorage.setItem("spare", localStorage.getItem("pennyflat:warm"));
"""
PUT_BACK = """
const note = localStorage.getItem("spare");
localStorage.clear();
localStorage.setItem("spare", note);
localStorage.setItem("pennyflat:warm", note);
await put("pennyflat", await get("spare"));
"""


class Visitor:
    """One visitor's browser: what a page keeps in it is there for the next."""

    def __init__(self, browser, address):
        size = {"width": 1280, "height": 900}
        # without the worker that keeps the page, so that files can be altered on their way
        self.context = browser.new_context(locale="en", viewport=size, service_workers="block")
        self.context.add_init_script(WATCH)
        self.address = address
        self.browser_says = ""
        self.wrong = []
        self.context.on("weberror", lambda error: self.wrong.append(str(error.error)))

    def open(self, before=None):
        """A page in which Python answers; `before` is done as soon as there is something of it."""
        page = self.context.new_page()
        page.add_init_script(self.browser_says)
        page.goto(self.address)
        if before:
            before(page)
        expect(page.locator("#starting")).to_have_count(0, timeout=START_UP_MS)
        settle(page)
        return page

    def change(self, script):
        """Run a script on what this browser keeps, from a page that does nothing itself."""
        page = self.context.new_page()
        page.goto(self.address + "favicon.svg")
        found = page.evaluate(f"async () => {{ {STORE} {script} }}")
        page.close()
        return found

    def note(self, **changes):
        """Change what is noted about the snapshot."""
        self.change(f"""
            const note = {NOTE}, changes = {json.dumps(changes)};
            localStorage.setItem("pennyflat:warm", JSON.stringify({{ ...note, ...changes }}));""")

    def alter(self, site, *changes):
        """From now on the page is one in which each (pattern, replacement) was put through."""
        text = (site / "index.html").read_text("utf-8")
        for pattern, new in ((POLICY, ""), *changes):
            text, count = re.subn(pattern, new, text)
            assert count
        self.context.route(
            self.address, lambda route: route.fulfill(body=text, content_type="text/html")
        )

    def leave_a_snapshot(self):
        """Start once and stay until the snapshot is kept."""
        page = self.open()
        wait_for_snapshot(page)
        page.close()
        self.change(SET_ASIDE)

    def begin_again(self):
        """As after the first start."""
        for page in self.context.pages:
            page.close()
        self.context.unroute_all()
        self.browser_says = ""
        self.change(PUT_BACK)

    def close(self):
        self.context.close()
        assert self.wrong == []


def settle(page):
    """Wait until everything said to Python is answered and nothing more is to come."""
    page.wait_for_timeout(500)
    wait_until(page, "window.answers?.length && !pennyflat.unanswered().length")


def wait_until(page, condition):
    for _ in range(START_UP_MS // 100):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"It never was so: {condition}")


def wait_for_snapshot(page):
    """Wait until all of it is kept: a private window says so before the bytes have come over."""
    wait_until(page, f"{NOTE}.bytes")
    page.evaluate(f"async () => {{ {STORE} {READ} }}")


def is_from_snapshot(page):
    return page.evaluate("performance.getEntriesByName('pennyflat: from snapshot').length") == 1


def answer(page):
    return page.locator("#verdicts").inner_text(), page.locator("#table").inner_text()


def price(page):
    return page.locator("#mix-0").get_by_label(PRICE).first


@pytest.fixture(scope="module")
def regular(browser, site_url):
    made = Visitor(browser, site_url)
    made.leave_a_snapshot()
    yield made
    made.close()


@pytest.fixture
def visitor(regular):
    """A visitor who has been here once."""
    regular.begin_again()
    yield regular
    assert regular.wrong == []


@pytest.fixture
def stranger(browser, site_url):
    """A visitor who has not."""
    made = Visitor(browser, site_url)
    yield made
    made.close()


def kept(page):
    """The key and size of the snapshot, or None."""
    return page.evaluate(f"async () => {{ {STORE} return {KEPT}; }}")


def test_the_second_start_comes_from_the_snapshot_with_the_same_answer(visitor, stranger):
    page = visitor.open()

    assert is_from_snapshot(page)
    assert kept(page)["size"] > 20_000_000
    assert "trying" not in page.evaluate(NOTE)
    plain = stranger.open()
    assert not is_from_snapshot(plain)
    assert answer(page) == answer(plain)


@pytest.mark.long
def test_what_was_entered_is_there_after_a_start_from_the_snapshot(visitor):
    first = visitor.open()
    price(first).fill("7,31")
    expect(first.locator("#buying")).to_contain_text("$7.31")
    first.wait_for_timeout(900)  # it is kept 300 ms after the last change
    before = answer(first)
    first.close()

    page = visitor.open()

    assert is_from_snapshot(page)
    expect(price(page)).to_have_value("7.31")
    assert answer(page) == before


def test_what_is_typed_before_python_is_up_counts(visitor):
    page = visitor.open(before=lambda page: price(page).fill("7,30"))

    assert is_from_snapshot(page)
    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(price(page)).to_have_value("7,30")


@pytest.mark.long
def test_plans_of_two_starts_have_different_names(visitor):
    """Chance is not what it was when the snapshot was taken."""
    said = [
        visitor.open()
        .workers[0]
        .evaluate(
            """() => python.runPython(`
                import random, secrets
                f"{random.random()} {secrets.token_hex()}"`)"""
        )
        for _ in range(2)
    ]

    assert set(said[0].split()).isdisjoint(said[1].split())


@pytest.mark.long
def test_a_snapshot_begins_anew_whatever_was_typed_before_it_was_taken(stranger):
    first = stranger.open(before=lambda page: price(page).fill("7,30"))
    wait_for_snapshot(first)
    first.close()
    stranger.change(
        """for (const name of Object.keys(localStorage))
             if (name !== "pennyflat:warm") localStorage.removeItem(name);"""
    )

    page = stranger.open()

    assert is_from_snapshot(page)
    assert "7.3" not in page.locator("body").inner_text()
    expect(price(page)).to_have_value("5.90")


def starts_plainly(visitor):
    page = visitor.open(before=lambda page: price(page).fill("7,30"))
    assert not is_from_snapshot(page)
    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(page.get_by_role("alert")).to_be_hidden()
    expect(page.locator("#chart-cost canvas").first).to_be_visible()
    expect(page.locator("#chart-cost > *")).to_have_count(1)
    return page


@pytest.mark.parametrize("damage", [DAMAGE, pytest.param(DAMAGE_OF_TEXT, marks=pytest.mark.long)])
def test_a_damaged_snapshot_is_not_used_and_goes(visitor, damage):
    visitor.change(damage)

    page = starts_plainly(visitor)

    assert page.evaluate(NOTE)["failures"] == 1
    assert kept(page) is None
    price(page).fill("8,40")
    expect(page.locator("#buying")).to_contain_text("$8.40")


@pytest.mark.long
def test_a_snapshot_that_is_gone_is_made_up_for(visitor):
    visitor.change("indexedDB.deleteDatabase('pennyflat')")

    starts_plainly(visitor)


def test_a_snapshot_from_another_build_is_not_used_and_goes(visitor, site):
    visitor.alter(site, (r'"version": "\w+"', '"version": "another"'))

    page = starts_plainly(visitor)

    assert "another" in page.evaluate(NOTE)["key"]
    assert kept(page) is None


def test_a_snapshot_of_another_version_of_the_browser_is_not_used_and_goes(visitor):
    visitor.browser_says = """
        Object.defineProperty(navigator, "userAgent", { get: () => "Another/1.0" });"""

    page = starts_plainly(visitor)

    assert "Another/1.0" in page.evaluate(NOTE)["key"]
    assert kept(page) is None


@pytest.mark.long
def test_a_snapshot_of_another_time_zone_is_not_used_and_goes(visitor):
    visitor.browser_says = """
        Date.prototype.getTimezoneOffset = () => 12345;"""

    page = starts_plainly(visitor)

    assert kept(page) is None


@pytest.mark.long
def test_a_start_that_did_not_come_up_is_not_tried_again(visitor):
    visitor.note(trying=1)

    page = starts_plainly(visitor)

    assert page.evaluate(NOTE)["failures"] == 1
    assert kept(page) is None


@pytest.mark.long
def test_leaving_before_it_is_up_is_no_failure_unless_it_happens_again(visitor, site):
    visitor.alter(site, (ANSWERS, "for (;;);"))
    for left in (1, 2):
        page = visitor.context.new_page()
        page.goto(visitor.address)
        page.goto(visitor.address + "favicon.svg")
        note = page.evaluate(NOTE)
        page.close()
        assert (note["left"], "trying" in note, "failures" in note) == (left, False, False)

    page = starts_plainly(visitor)

    assert page.evaluate(NOTE)["failures"] == 1


@pytest.mark.long
def test_after_two_failures_none_is_taken_any_more(visitor):
    visitor.note(trying=1, failures=1)
    starts_plainly(visitor).close()

    page = starts_plainly(visitor)
    page.wait_for_timeout(QUIET_MS)

    assert page.evaluate(NOTE)["failures"] == 2
    assert kept(page) is None


@pytest.mark.long
def test_python_that_comes_to_another_answer_is_not_used(visitor, site):
    visitor.alter(site, (ANSWERS, "if (bridge.example() + '.' !== expected)"))

    page = starts_plainly(visitor)

    assert page.evaluate(NOTE)["failures"] == 1


@pytest.mark.long
def test_python_that_hangs_is_given_up(visitor, site):
    visitor.alter(site, (ANSWERS, "for (;;);"), ("PATIENCE_MS: 20_000", "PATIENCE_MS: 6_000"))

    page = starts_plainly(visitor)

    assert page.evaluate(NOTE)["failures"] == 1


@pytest.mark.long
def test_it_starts_where_nothing_can_be_kept(stranger):
    stranger.browser_says = """
        for (const name of ["localStorage", "indexedDB"])
            Object.defineProperty(window, name, {
                get() { throw new DOMException("It is not allowed.", "SecurityError"); },
            });"""

    starts_plainly(stranger)


@pytest.mark.long
def test_no_snapshot_is_taken_where_memory_is_short(stranger):
    stranger.browser_says = """
        Object.defineProperty(navigator, "deviceMemory", { get: () => 2 });"""

    page = stranger.open()
    page.wait_for_timeout(QUIET_MS)

    assert kept(page) is None


@pytest.mark.long
def test_forgetting_everything_takes_the_snapshot_too(visitor):
    page = visitor.open()
    page.locator("#plans-card").evaluate("card => { card.open = true }")
    page.on("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Forget everything on this device").click()
    settle(page)

    assert kept(page) is None
    assert page.evaluate("localStorage.getItem('pennyflat:warm')") is None


@pytest.mark.long
def test_it_can_be_switched_off(visitor):
    page = visitor.open()
    page.locator("#plans-card").evaluate("card => { card.open = true }")
    page.get_by_label("Start sooner next time").uncheck()
    assert kept(page) is None

    page = starts_plainly(visitor)
    page.wait_for_timeout(QUIET_MS)

    assert kept(page) is None
    expect(page.locator("#keep-warm")).not_to_be_checked()


WALK = [
    {"do": "type", "path": "media[0].packages[0].price", "text": "7,30"},
    {"do": "type", "path": "sowings[0].wanted", "text": "64"},
    {"do": "open", "text": "calendar"},
    {"do": "type", "path": "last_frost", "text": "2027-05-15"},
    {"do": "open", "text": "sights"},
    {"do": "open", "text": "salts"},
    {"do": "open", "text": "reckoner"},
    {"do": "save", "text": "calendar"},
    {"do": "bench", "path": "example"},
    {"do": "bench", "path": "show"},
    {"do": "save", "text": "trials"},
    {"do": "save", "text": "shopping"},
    {"do": "type", "path": "tax", "text": "19"},
    {"do": "add", "path": "media"},
    {"do": "undo"},
    {"do": "type", "path": "budget", "text": "20"},
    {"do": "share", "page": "https://example.invalid/"},
    {"do": "save", "text": "plan"},
    {"do": "type", "path": "currency", "text": "JPY"},
    {"do": "order-own"},
    {"do": "print", "text": "handout", "page": "https://example.invalid/"},
]
"""Messages that lead through every part of the page, those that load libraries late too."""

CLOCK = re.compile(r"\d\d?:\d\d(:\d\d)?|\d{8}T\d{6}Z|\b[0-9a-f]{12}\b")
"""What differs between two visits that do the same: the time, and names made up by chance."""


def walked(page):
    """What is on the page after each message, and the file that came with it: [text]."""
    page.evaluate("window.print = () => {}")
    page.evaluate("window.pennyflat.save = () => {}")
    shown, steps = {}, []
    for message in WALK:
        told = told_for(page, message)
        file = told[0].get("file") or {}
        while told[-1]["more"]:
            told += told_for(page, {"do": "more"})
        assert [given.get("trouble") for given in told if given.get("trouble")] == []
        for given in told:
            shown |= given.get("fragments", {})
        steps.append(CLOCK.sub("~", json.dumps([shown, file.get("text")], sort_keys=True)))
    return steps


def told_for(page, message):
    """The answers to a message, and to what the page asks by itself meanwhile."""
    before = page.evaluate("window.answers.length")
    page.evaluate("(message) => pennyflat.post(message)", message)
    wait_until(page, f"answers.length > {before} && !pennyflat.unanswered().length")
    return page.evaluate(f"answers.slice({before})")


@pytest.mark.long
def test_a_walk_through_the_whole_page_goes_as_after_a_plain_start(visitor, stranger):
    plain = walked(stranger.open())

    page = visitor.open()
    assert is_from_snapshot(page)
    from_snapshot = walked(page)

    for message, one, other in zip(WALK, plain, from_snapshot, strict=True):
        assert one == other, message


def alone(site, folder):
    """The address of the page as one file, with nothing beside it."""
    copy = folder / single.NAME
    copy.write_bytes((site / single.NAME).read_bytes())
    return copy.as_uri()


@pytest.mark.long
def test_the_single_file_starts_from_a_snapshot_too(browser, site, tmp_path):
    visitor = Visitor(browser, alone(site, tmp_path))
    first = visitor.open()
    wait_for_snapshot(first)
    first.close()

    page = visitor.open(before=lambda page: price(page).fill("7,30"))

    assert is_from_snapshot(page)
    expect(page.locator("#buying")).to_contain_text("$7.30")
    visitor.close()


@pytest.mark.long
def test_the_single_file_starts_from_a_snapshot_in_firefox(site, tmp_path):
    program = next((path for path in FIREFOX if path and os.path.exists(path)), None)
    if not program:
        pytest.skip("no Firefox is installed")
    profile = tmp_path / "profile"
    profile.mkdir()
    with firefox(program, profile) as page:
        page.open(alone(site, tmp_path))
        page.wait_until("!document.getElementById('starting')")
        page.wait_until(f"{NOTE}.bytes")
        page.open(alone(site, tmp_path))
        page.wait_until("!document.getElementById('starting')")
        page.run(
            """const price = document.querySelector("#mix-0 [data-path$='price']");
               price.value = "7,30";
               price.dispatchEvent(new Event("input", { bubbles: true }));"""
        )

        page.wait_until("document.getElementById('buying').innerText.includes('$7.30')")
        assert page.run(
            "return performance.getEntriesByName('pennyflat: from snapshot').length === 1"
        )
        assert page.run("return document.getElementById('trouble').hidden")
