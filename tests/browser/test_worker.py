"""Whatever happens to the worker that runs Python, the page answers again and loses nothing."""

import pytest
from playwright.sync_api import expect

from pennyflat.scenario.link import encode
from tests.browser.desk import WATCH, fresh, kept, opened, price, unfold, until, wanted, with_title

RESTARTED = "was started again"
AS_OFTEN = """(times, bad) => {
    const usual = bridge;
    let left = times;
    bridge = {
      answer(text) {
        if (!text.includes(bad) || left-- <= 0) return usual.answer(text);
        throw new Error("It broke.");
      },
      news: () => usual.news(),
      wake() {},
    };
}"""
"""An answer to what has these words in it fails so often."""

EVERY_WORKER = """(bad) => {
    window.Worker = class extends Worker {
      constructor(address) {
        const request = new XMLHttpRequest();
        request.open("GET", address, false);
        request.send();
        const usual = "{ text: bridge.answer(text) }";
        const ending = `text.includes(${JSON.stringify(bad)}) ? self.close() : ${usual}`;
        super(URL.createObjectURL(new Blob([request.responseText.replace(usual, ending)])));
      }
    };
}"""
"""Every worker that the page starts ends at such words."""


@pytest.fixture
def page(browser, site_url):
    """A page in which Python answers."""
    context = fresh(browser)
    context.add_init_script(WATCH)
    yield opened(context, site_url)
    context.close()


def python(page):
    """The worker that runs Python now."""
    return next(w for w in page.workers if w.evaluate("typeof bridge !== 'undefined'"))


def shown(page):
    """What the page says of the calculator."""
    return page.locator("#calculator")


def test_on_a_phone_places_can_be_opened_while_the_page_says_that_it_is_behind(page):
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("watch.say(wording('watch.behind'))")
    expect(shown(page)).to_contain_text("Still working")

    page.locator("#places a[href='#grow']").click()
    expect(page.locator("#grow")).to_be_visible()


def test_after_the_worker_has_closed_itself_python_starts_anew_and_goes_on(page):
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    python(page).evaluate("self.close()")

    expect(shown(page)).to_contain_text(RESTARTED)
    expect(price(page)).to_have_value("7,30")
    wanted(page).fill("61")
    until(page, "!pennyflat.unanswered().length")
    [plan] = kept(page)
    assert plan["document"]["sowings"][0]["wanted"] == 61
    assert plan["document"]["media"][0]["packages"][0]["price"] == 7.3
    shown(page).get_by_role("button", name="Close this message").click()
    expect(shown(page)).to_be_empty()


def test_what_is_entered_while_no_worker_is_there_is_answered(page):
    python(page).evaluate("self.close()")
    price(page).fill("8,45")
    page.get_by_role("button", name="Copy tomato").click()

    expect(page.locator("#buying")).to_contain_text("$8.45")
    expect(page.locator("#sowing-list > details")).to_have_count(4)
    expect(page.get_by_role("alert")).to_be_hidden()


def test_after_an_exception_in_the_answer_the_same_message_is_answered(page):
    python(page).evaluate(f"({AS_OFTEN})(1, '7,30')")
    price(page).fill("7,30")
    wanted(page).fill("61")

    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(shown(page)).to_contain_text(RESTARTED)
    assert kept(page)[0]["document"]["sowings"][0]["wanted"] == 61


def test_after_an_uncaught_error_it_answers_and_does_not_say_that_it_could_not_start(page):
    python(page).evaluate("void setTimeout(() => { throw new Error('Out of the blue.') })")

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Something went wrong")
    expect(alert).not_to_contain_text("could not start")
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")


def test_a_worker_that_stands_still_is_noticed_and_its_message_answered(page):
    page.evaluate("watch.SILENT = 3")
    python(page).evaluate("void setTimeout(() => { for (;;); }, 200)")
    page.wait_for_timeout(400)
    price(page).fill("7,30")

    expect(shown(page)).to_contain_text("the figures do not yet follow")
    expect(page.locator("#buying")).to_contain_text("$7.30", timeout=60_000)
    expect(shown(page)).to_contain_text(RESTARTED)


def test_an_answer_that_cannot_be_shown_does_not_stop_the_next(page):
    page.evaluate("() => { pennyflat.save = () => { throw new Error('It cannot be saved.') } }")
    page.evaluate("pennyflat.post({ do: 'save', text: 'plan' })")
    price(page).fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30")


@pytest.fixture
def poisoned(browser, site_url):
    """A browser in which every worker ends when it is told of poison."""
    context = fresh(browser, bypass_csp=True)
    context.add_init_script(WATCH)
    context.add_init_script(f"({EVERY_WORKER})('poison')")
    yield context
    context.close()


def test_a_message_that_ends_it_twice_is_left_out_and_named(poisoned, site_url):
    page = opened(poisoned, site_url)
    page.get_by_label("Seedlings wanted").first.fill("61 poison")
    price(page).fill("7,30")

    expect(shown(page)).to_contain_text("left out: Seedlings wanted: 61 poison", timeout=60_000)
    expect(page.locator("#buying")).to_contain_text("$7.30")
    page.close()
    page = opened(poisoned, site_url)
    expect(price(page)).to_have_value("7.30")
    expect(shown(page)).to_be_empty()


def test_a_plan_that_ends_it_twice_is_listed_and_not_opened(browser, site_url):
    context = fresh(browser, bypass_csp=True)
    context.add_init_script(WATCH)
    page = opened(context, site_url)
    price(page).fill("7,30")
    kept(page)
    page.close()
    context.add_init_script(f"({EVERY_WORKER})('\"current\"')")  # when a plan is to be opened

    for said in ("left out: opening your plan: Seedling table", ""):
        page = opened(context, site_url)
        expect(shown(page)).to_contain_text(said)
        expect(price(page)).to_have_value("5.90")
        unfold(page, "plans-card")
        expect(page.get_by_role("button", name="Open Seedling")).to_be_visible()
        page.close()
    context.close()


def test_a_link_that_ends_it_twice_leaves_the_page_usable(poisoned, site_url):
    page = opened(poisoned, f"{site_url}#pf1.poison{encode(with_title('x'))}")

    expect(shown(page)).to_contain_text("left out", timeout=60_000)
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    assert "#" not in page.url


@pytest.mark.parametrize("address", ["one file"], indirect=True)
def test_the_single_file_starts_python_anew_too(context, address):
    page = opened(context, address)
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    python(page).evaluate("self.close()")
    price(page).fill("8,45")

    expect(page.locator("#buying")).to_contain_text("$8.45")
    expect(shown(page)).to_contain_text(RESTARTED)


def test_a_file_that_is_wanted_later_and_missing_is_named_and_everything_else_goes_on(page):
    page.route("**/late.bundle", lambda route: route.fulfill(status=404, body=""))
    unfold(page, "share-card")
    page.get_by_role("button", name="Make a link").click()

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Load the page again in a minute")
    alert.get_by_role("button", name="Close this message").click()
    expect(alert).to_be_hidden()
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    page.unroute("**/late.bundle")
    page.get_by_role("button", name="Make a link").click()
    expect(page.get_by_label("Link to this plan")).not_to_have_value("")


@pytest.mark.parametrize(
    ("harm", "words"),
    [("cut", "did not arrive as it should have"), ("lost", "Check the connection")],
)
def test_a_language_that_comes_by_half_is_named_and_spoken_the_next_time(page, site, harm, words):
    [path] = site.rglob("de.bundle")
    half = path.read_bytes()[: path.stat().st_size // 2]
    page.route(
        "**/de.bundle", lambda route: route.abort() if harm == "lost" else route.fulfill(body=half)
    )
    speak = "pennyflat.post({ do: 'speak', text: 'de' })"
    page.evaluate(speak)

    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("The file de.bundle")
    expect(alert).to_contain_text(words)
    expect(page.locator("html")).to_have_attribute("lang", "en")
    price(page).fill("7,30")
    expect(page.locator("#buying")).to_contain_text("$7.30")
    expect(shown(page)).to_be_empty()
    page.unroute("**/de.bundle")
    page.evaluate(speak)
    expect(page.locator("html")).to_have_attribute("lang", "de")
