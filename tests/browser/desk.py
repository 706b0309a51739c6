"""What the tests of keeping, sending and printing do on the page again and again."""

import json

from playwright.sync_api import expect

from pennyflat.demo import DEMO

START_UP_MS = 60_000
PRICE = "Price ($)"
WATCH = 'document.addEventListener("pennyflat:answer", () => { window.answered = true })'
PLANNED = "!document.querySelector('#advice .working')"
"""Whether the plan for the entries is on the page."""
ANSWERED = "!pennyflat.unanswered().length"
SETTLED = f"{ANSWERED} && picture.isKept()"
"""Whether Python has answered everything, and whether all of it is kept, too."""
SEEN_TITLES = """window.seen = [];
const look = () => {
  const title = typeof drawing === "object" && drawing.named?.get("chart-cost title");
  const place = document.getElementById("chart-cost");
  if (title && place?.hasChildNodes()) window.seen.push(title.text.text);
  requestAnimationFrame(look);
};
look();"""
"""Notes the title of the chart of costs at every frame in which it is there."""
HOLD = "() => { window.late = []; worker.postMessage = (message) => late.push(message) }"
GO_ON = "() => { delete worker.postMessage; late.forEach((sent) => worker.postMessage(sent)) }"
"""Python receives nothing, and all of it later."""
DATABASE = """
  const opening = indexedDB.open("pennyflat:kept", 1);
  opening.onupgradeneeded = () => {
    for (const name of ["kept", "pending"]) opening.result.createObjectStore(name);
  };
  const done = (request) => new Promise((found, failed) => {
    request.onsuccess = () => found(request.result);
    request.onerror = () => failed(request.error);
  });
  const database = await done(opening);
"""

KEPT = f"""async () => {{
  {DATABASE}
  const all = async (name) => {{
    const from = database.transaction(name).objectStore(name);
    const [keys, values] = await Promise.all([done(from.getAllKeys()), done(from.getAll())]);
    return keys.map((key, i) => [key, values[i]]);
  }};
  const found = {{ kept: Object.fromEntries(await all("kept")), pending: await all("pending") }};
  database.close();
  return found;
}}"""
"""What lies on the device: {"kept": {key: text}, "pending": [[key, message]]}."""

PUT = f"""async (texts) => {{
  {DATABASE}
  const change = database.transaction("kept", "readwrite"), place = change.objectStore("kept");
  for (const [key, text] of Object.entries(texts)) {{
    if (text === null) place.delete(key);
    else place.put(text, key);
  }}
  await new Promise((complete) => (change.oncomplete = complete));
  database.close();
}}"""


def fresh(browser, **options):
    """A separate browser that does not store the page; test_installed.py tests that."""
    usual = {"locale": "en", "viewport": {"width": 1280, "height": 900}, "service_workers": "block"}
    made = browser.new_context(**usual | options)
    # counted, not done: a browser that is at it prints nothing for a test meanwhile
    made.add_init_script("window.print = () => { window.printed = (window.printed ?? 0) + 1 }")
    return made


def opened(context, address):
    """A page in which Python answers."""
    page = context.new_page()
    page.goto(address)
    ready(page)
    return page


def without_python(page):
    """Keep Python from coming: the page stays as it was served."""
    page.route("**/python.memory", lambda route: None)


def ready(page):
    """Wait until Python answers; the charts come later."""
    until(page, f"window.answered && {ANSWERED} && {PLANNED}")


def open_place(page, name):
    """Go to "enter", "buy", "compare", "grow", "share" or "notes", as its link does."""
    if name == "notes":  # its links stand where a figure is explained
        page.evaluate("location.hash = 'notes'")
    else:
        page.locator(f"#places a[href='#{name}']").click()
    expect(page.locator(f"#{name}")).to_be_visible()


def look_at(page, *folds):
    """The details of a crop in "compare", with folds of them open: "numbers", "cells", …"""
    open_place(page, "compare")
    for fold in folds:
        unfold(page, fold)


def until(page, condition):
    """
    Wait for a condition in the page.

    Playwright's own way of waiting for one needs eval, which the page's policy forbids.
    """
    for _ in range(START_UP_MS // 50):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"It did not come to {condition}.")


def start_over(page):
    """
    Bring a page back to the example in "buy", much as when it has just been opened on a desktop.

    What was looked up in "grow" stays, and language and units do.
    """
    page.set_viewport_size({"width": 1280, "height": 900})
    page.emulate_media(color_scheme="light", media="null")
    page.evaluate("document.activeElement.blur(); window.printed = 0")
    for act in ("forget-all", "dismiss"):
        page.evaluate("act => pennyflat.post({ do: act })", act)
    page.evaluate("pennyflat.post({ do: 'storage', text: '' })")
    page.evaluate("() => { places.left.clear(); places.focused.clear(); places.go('buy'); }")
    page.evaluate("history.replaceState(null, '', location.pathname)")
    page.evaluate("""() => {
        document.getElementById("undo").removeAttribute("style");
        document.querySelectorAll("#desk :is(input, textarea)").forEach((e) => { e.value = ""; });
        for (const fold of document.querySelectorAll("details"))
            fold.open = ["sowing-0", "mix-0"].includes(fold.id); }""")
    until(page, ANSWERED)
    page.evaluate("""() => {
        document.body.tabIndex = -1;
        document.body.focus(); // from here Tab starts at the top
        document.body.removeAttribute("tabindex");
        scrollTo(0, 0); }""")
    expect(page.locator("#errand-standing")).to_be_empty()  # the shopping list comes last


def price(page):
    """The field of the first package's price."""
    return page.locator("#mix-0").get_by_label(PRICE).first


def wanted(page):
    """The field of the number of seedlings of the first crop."""
    return page.get_by_label("Seedlings wanted").first


def unfold(page, card):
    """Open a card of the desk, and the place that it is in."""
    page.locator(f"#{card}").evaluate("card => { card.open = true; places.show(card); }")


def on_device(page):
    """What lies on the device, by key."""
    return page.evaluate(KEPT)["kept"]


def put(context, address, texts):
    """Put texts onto the device by hand, by key, while no page is open; None takes one away."""
    page = context.new_page()
    page.goto(beside(address))
    page.evaluate(PUT, texts)
    page.close()


def beside(address):
    """A file beside the page that runs no script, and shares its storage."""
    return f"{address.rpartition('/')[0]}/favicon.svg"


def kept(page):
    """The plans on the device, once the page has written."""
    until(page, SETTLED)
    found = on_device(page)
    return [json.loads(text) for key, text in found.items() if key.startswith("plan:")]


def answer(page):
    """The answer, once there is a plan for the entries."""
    until(page, PLANNED)
    return page.locator("#verdicts").text_content(), page.locator("#table").text_content()


def made_link(page):
    """The link to this plan."""
    open_place(page, "share")
    unfold(page, "share-card")
    page.get_by_role("button", name="Make a link").click()
    expect(page.get_by_label("Link to this plan")).not_to_have_value("")
    return page.get_by_label("Link to this plan").input_value()


def with_title(title, **changes):
    """The example by another name."""
    return DEMO | {"title": title} | changes


def saved_calendar(page):
    """The path of the calendar file, after a day of the last frost was entered."""
    open_place(page, "grow")
    page.get_by_label("Last frost").fill("2027-05-15")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save for my calendar").click()
    return download.value.path()
