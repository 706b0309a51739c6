"""Storage that is full, blocked, corrupt or taken away: nothing is called kept that is not."""

from contextlib import suppress

import pytest
from playwright.sync_api import Error, expect

from pennyflat.demo import DEMO
from pennyflat.scenario.link import encode
from tests.browser.conftest import inside
from tests.browser.desk import (
    KEPT,
    PLANNED,
    SETTLED,
    WATCH,
    beside,
    fresh,
    kept,
    on_device,
    opened,
    price,
    put,
    ready,
    unfold,
    until,
)  # fmt: skip

ASKED_MS = 1500
FULL = """() => {
    const { put } = IDBObjectStore.prototype;
    window.makeRoom = () => { IDBObjectStore.prototype.put = put };
    IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError") };
}"""


def not_kept(page):
    """The page's text in place of when the plan was saved."""
    return page.locator("#plans-unkept:not([hidden])").filter(has_text="not kept yet")


def type_price(page, text):
    """Types like a user: an untouched page may not ask before it is left."""
    price(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type(text)
    expect(page.locator("#buying")).to_contain_text(text)


def asked_when_left(page):
    """The dialogs that appear when a user leaves the page; the user then stays."""
    kinds = []

    def answer(dialog):
        kinds.append(dialog.type)
        dialog.dismiss()

    page.once("dialog", answer)
    page.close(run_before_unload=True)
    with suppress(Error):  # it is closed
        page.wait_for_timeout(ASKED_MS)
    return kinds


def test_while_it_is_full_nothing_is_called_kept_and_leaving_asks_first(context, address):
    page = opened(context, address)
    page.evaluate(FULL)
    type_price(page, "7.00")
    expect(page.locator("#notice")).to_contain_text("no room left")
    expect(not_kept(page)).to_have_count(1)
    assert asked_when_left(page) == ["beforeunload"]

    page.evaluate("makeRoom()")  # it tries again by itself
    expect(page.locator("#notice .slip")).to_have_count(0)
    expect(not_kept(page)).to_have_count(0)
    assert kept(page)[0]["document"]["media"][0]["packages"][0]["price"] == 7
    assert asked_when_left(page) == []


def test_what_is_kept_is_left_without_a_question(context, address):
    page = opened(context, address)
    type_price(page, "7.00")
    kept(page)
    expect(not_kept(page)).to_have_count(0)

    assert asked_when_left(page) == []


BLOCKED = [
    """Object.defineProperty(window, "indexedDB",
        { get() { throw new DOMException("no", "SecurityError") } })""",
    "indexedDB.open = () => { throw new DOMException('no', 'SecurityError') }",
    """indexedDB.open = () => {
        const request = {};
        setTimeout(() => { request.error = new DOMException("no", "UnknownError");
                           request.onerror() });
        return request; }""",
    "indexedDB.open = () => ({})",  # it never answers
]


IMPATIENT = (
    "{ const { setTimeout: wait } = window; window.setTimeout = (act, ms, ...all) =>"
    " wait(act, Math.min(ms ?? 0, 500), ...all) }"
)
"""Nothing is waited for longer than half a second."""


@pytest.mark.parametrize("blocked", BLOCKED, ids=["no access", "refused", "fails", "silent"])
def test_where_it_is_blocked_that_is_said_and_leaving_asks_first(context, address, blocked):
    context.add_init_script(blocked)
    context.add_init_script(IMPATIENT)
    page = opened(context, address)

    expect(page.locator("#notice")).to_contain_text("does not let the page keep anything")
    assert asked_when_left(page) == []  # nothing was entered
    page = opened(context, address)
    type_price(page, "7.31")
    expect(not_kept(page)).to_have_count(1)
    assert asked_when_left(page) == ["beforeunload"]


@pytest.mark.parametrize("blocked", BLOCKED[1:3], ids=["refused", "fails"])
def test_where_it_is_blocked_what_an_earlier_version_kept_is_shown(context, address, blocked):
    page = opened(context, address)
    type_price(page, "7.31")
    kept(page)
    there = on_device(page)
    page.close()
    put(context, address, dict.fromkeys(there))
    page = context.new_page()
    page.goto(beside(address))
    page.evaluate(
        """there => { sessionStorage.clear(); localStorage.clear();
            for (const key in there) localStorage.setItem(`pennyflat:${key}`, there[key]); }""",
        there,
    )
    page.add_init_script(f"window.open_ = indexedDB.open.bind(indexedDB); {blocked}")
    page.goto(address)
    ready(page)
    expect(price(page)).to_have_value("7.31")
    expect(page.locator("#notice")).to_contain_text("does not let the page keep anything")
    type_price(page, "8.00")
    expect(not_kept(page)).to_have_count(1)

    page.evaluate("indexedDB.open = open_")  # it tries again by itself
    expect(page.locator("#notice .slip")).to_have_count(0)
    [plan] = kept(page)
    assert plan["document"]["media"][0]["packages"][0]["price"] == 8
    page.close()


def test_a_plan_that_is_taken_away_while_the_page_is_open_is_not_called_kept(context, address):
    page = opened(context, address)
    type_price(page, "7.00")
    kept(page)
    remover = context.new_page()
    remover.goto(beside(address))
    remover.evaluate(
        """() => new Promise((done) => {
            indexedDB.deleteDatabase("pennyflat:kept").onsuccess = done })"""
    )

    expect(page.locator("#notice")).to_contain_text("removed this plan from the device")
    expect(page.locator("#plans-gist")).to_contain_text("nothing kept yet")
    type_price(page, "8.00")
    assert [plan["document"]["media"][0]["packages"][0]["price"] for plan in kept(page)] == [8]


def test_the_browser_is_asked_to_keep_the_first_plan_for_good_and_not_before(context, address):
    context.add_init_script(
        "window.asked = 0;"
        "if (navigator.storage) navigator.storage.persist = async () => Boolean(++window.asked)"
    )
    page = opened(context, f"{address}#{encode(DEMO)}")
    assert kept(page) == [] and page.evaluate("asked") == 0
    page.get_by_role("button", name="Keep a copy").click()
    expect(page.get_by_text("is kept on this device and is")).to_be_visible()
    assert page.evaluate("asked") == 1
    type_price(page, "7.00")
    assert len(kept(page)) == 1 and page.evaluate("asked") == 1


def test_a_plan_that_the_browser_has_evicted_is_missed(context, address):
    page = opened(context, address)
    type_price(page, "7.00")
    kept(page)
    there = on_device(page)
    page.close()
    put(context, address, dict.fromkeys(there))
    page = opened(context, address)

    expect(page.locator("#calculator")).to_contain_text("no longer has the plan")
    expect(price(page)).to_have_value("5.90")
    expect(page.locator("#plans-gist")).to_contain_text("nothing kept yet")


def test_earlier_states_that_are_spoilt_are_left_out(context, address):
    spoilt = ["{", "[]", '{"number": "x"}', 7, {"a": [1]}, None]
    page = opened(context, address)
    type_price(page, "7.00")
    for count in range(4, 4 + len(spoilt)):
        page.get_by_role("button", name="Copy tomato").first.click()
        expect(page.locator("#sowing-list > details")).to_have_count(count)
    kept(page)
    [_, *others] = sorted(key for key in on_device(page) if key.startswith("past:"))
    page.close()
    put(context, address, dict(zip(others, spoilt, strict=True)))
    page = opened(context, address)

    unfold(page, "plans-card")
    page.get_by_text("Earlier states", exact=True).click()
    expect(page.get_by_role("button", name="Go back to")).to_have_count(1)
    page.get_by_role("button", name="Go back to").click()
    expect(page.locator("#sowing-list > details")).to_have_count(3)
    assert kept(page)


@pytest.mark.parametrize(
    "spoilt", [["x", "", "__proto__"], ["{}", 7, ["de"]], [{"language": "de"}, "x", 7]]
)
def test_settings_that_are_spoilt_are_those_of_the_browser(context, address, spoilt):
    put(context, address, dict(zip(("language", "units", "current"), spoilt, strict=True)))
    page = opened(context, address)

    expect(page.locator("html")).to_have_attribute("lang", "en")
    expect(page.locator("#notice .slip")).to_have_count(0)
    type_price(page, "7.00")
    assert len(kept(page)) == 1


def test_unanswered_messages_that_are_spoilt_do_no_harm(context, address):
    spoilt = [
        {"plan": None, "message": {"do": "type", "path": "sowings[77].wanted", "text": "5"}},
        {"plan": None, "message": {"do": "type", "path": {"a": 1}, "text": ["x"]}},
        {"plan": None, "message": {"do": "remove", "path": "media[9]"}},
        {"plan": None, "message": {"do": ["type"]}},
        {"plan": None, "message": 7},
        "{",
        7,
    ]
    page = opened(context, address)  # makes the database
    page.close()
    page = context.new_page()
    page.goto(beside(address))
    page.evaluate(
        """(spoilt) => new Promise((done) => {
            const opening = indexedDB.open("pennyflat:kept");
            opening.onsuccess = () => {
                const change = opening.result.transaction("pending", "readwrite");
                const pending = change.objectStore("pending");
                spoilt.forEach((value, number) => pending.put(value, ["gone", number]));
                change.oncomplete = () => (opening.result.close(), done()); }; })""",
        spoilt,
    )
    page.close()

    for text in ("7.00", "8.00"):
        page = opened(context, address)
        type_price(page, text)
        expect(page.get_by_role("alert")).to_be_hidden()
        assert len(kept(page)) == 1
        page.close()


STORES = f"""async (word) => {{
  const cached = [];
  for (const name of await caches.keys()) {{
    const cache = await caches.open(name);
    for (const {{ url }} of await cache.keys())
      cached.push([name, url, (await (await cache.match(url)).text()).includes(word) ? word : ""]);
  }}
  return {{
    local: {{ ...localStorage }}, session: {{ ...sessionStorage }}, cookies: document.cookie,
    databases: (await indexedDB.databases()).map(({{ name }}) => name), kept: await ({KEPT})(),
    cached, history: history.state, address: location.href,
  }};
}}"""


def test_a_word_that_was_typed_is_in_the_plans_alone_and_gone_after_forgetting(browser, site_url):
    word = "Zebrafinch"
    context = fresh(browser, service_workers="allow")
    context.add_init_script(WATCH)
    page = opened(context, site_url)
    page.evaluate("async () => { await navigator.serviceWorker.ready }")
    asked = []
    context.on("request", lambda request: asked.append((request.method, request.url)))
    page.evaluate("word => pennyflat.post({ do: 'type', path: 'title', text: word })", word)
    type_price(page, "7.31")
    until(page, f"{PLANNED} && {SETTLED}")
    until(page, f"localStorage['pennyflat:picture']?.includes('{word}')")

    before = page.evaluate(STORES, word)
    assert word in str(before["kept"]["kept"]) and word in str(before["local"])
    assert word not in str({k: v for k, v in before.items() if k not in ("kept", "local")})
    assert {*before["local"]} == {"pennyflat:picture", "pennyflat:stand"}
    assert {*before["session"]} <= {"pennyflat:current"}
    assert before["databases"] == ["pennyflat:kept"] and before["cookies"] == ""
    assert before["cached"] and all(url.startswith(site_url) for _, url, _ in before["cached"])
    # only files of the site, and the server receives no data
    assert {method for method, _ in asked} <= {"GET", "HEAD"}
    assert all(inside(url, site_url) and word not in url and "?" not in url for _, url in asked)

    page.on("dialog", lambda dialog: dialog.accept())
    unfold(page, "plans-card")
    page.get_by_role("button", name="Forget everything on this device").click()
    until(page, SETTLED)
    page.wait_for_timeout(2000)
    after = page.evaluate(STORES, word)
    assert word not in str(after) and "7.31" not in str(after)
    assert after["kept"] == {"kept": {}, "pending": []}
    context.close()
