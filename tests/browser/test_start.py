"""Every start goes on from the picture of Python's memory that the build made; nothing is lost."""

import datetime
import re
import time

import pytest
from playwright.sync_api import expect

from tests.browser.desk import KEPT, SEEN_TITLES, fresh, kept, open_place, opened, price, until

WATCH = """document.addEventListener("pennyflat:answer", ({ detail }) => {
    (window.answers ??= []).push(detail);
    window.answered = true;
})"""
ZONE = "Pacific/Kiritimati"
"""Where it is tomorrow already for fourteen hours of a day."""


@pytest.fixture(scope="module")
def visitor(browser, site_url):
    """A page in a far time zone, and its address."""
    context = fresh(browser, timezone_id=ZONE)
    context.add_init_script(WATCH)
    page = opened(context, site_url)
    yield page
    context.close()


def python(page, code):
    """What Python says in the worker."""
    worker = next(w for w in page.workers if w.evaluate("typeof python !== 'undefined'"))
    return worker.evaluate("code => python.runPython(code)", code)


def test_day_and_hour_are_those_of_the_visitor(visitor):
    there = datetime.datetime.now(datetime.timezone(datetime.timedelta(hours=14)))

    found = python(visitor, "import datetime; datetime.datetime.now().isoformat()")

    told = datetime.datetime.fromisoformat(found)
    assert abs(told - there.replace(tzinfo=None)) < datetime.timedelta(minutes=5)
    assert python(visitor, "from work import bench; bench.today()") == there.date().isoformat()


def test_two_starts_draw_different_numbers(visitor, browser, site_url):
    draw = "import random, secrets; f'{random.random()} {secrets.token_hex()}'"
    other = fresh(browser)
    other.add_init_script(WATCH)

    said = [python(page, draw).split() for page in (visitor, opened(other, site_url))]

    assert set(said[0]).isdisjoint(said[1])
    other.close()


def test_the_browsers_python_has_nothing_that_draws(visitor):
    code = "import sys; ' '.join({'numpy', 'bokeh', 'panel', 'pandas'} & set(sys.modules))"

    assert python(visitor, code) == ""


def test_nothing_of_the_day_of_the_build_is_said(visitor):
    said = visitor.evaluate("document.body.innerText + JSON.stringify({ ...localStorage })")
    said += str(visitor.evaluate(KEPT))

    assert "2000" not in re.findall(r"\b\d{4}\b", said)


WALK = [
    {"do": "type", "path": "media[0].packages[0].price", "text": "7,30"},
    {"do": "type", "path": "sowings[0].wanted", "text": "64"},
    {"do": "open", "text": "calendar"},
    {"do": "type", "path": "last_frost", "text": "2027-05-15"},
    {"do": "open", "text": "sights"},
    {"do": "open", "text": "salts"},
    {"do": "open", "text": "reckoner"},
    {"do": "save", "text": "calendar"},
    {"do": "trial-example"},
    {"do": "trial-show"},
    {"do": "save", "text": "trials"},
    {"do": "save", "text": "shopping"},
    *({"do": "ask", "question": name, "text": "yes"} for name in ("matters", "beat", "week")),
    {"do": "type", "path": "tax", "text": "19"},
    {"do": "add", "path": "media"},
    {"do": "undo"},
    {"do": "type", "path": "budget", "text": "20"},
    {"do": "share", "page": "https://example.invalid/"},
    {"do": "save", "text": "plan"},
    {"do": "type", "path": "currency", "text": "JPY"},
    {"do": "order-own"},
    {"do": "print", "text": "handout", "page": "https://example.invalid/"},
    *({"do": "speak", "text": language} for language in ("de", "es", "fr", "en")),
    {"do": "units", "text": "us"},
]
"""Messages that lead through every part of the page, those that load packages late too."""

WALKED = """async (walk) => {
  window.print = () => {};
  pennyflat.save = () => {};
  const settled = async () => {
    while (pennyflat.unanswered().length) await new Promise((done) => setTimeout(done, 5));
  };
  const told = [];
  for (const message of walk) {
    const before = answers.length;
    pennyflat.post({ ...message });
    do {
      await settled();
      if (answers.at(-1).more) pennyflat.post({ do: "more" });
      await settled();
    } while (answers.at(-1).more);
    told.push(answers.slice(before).map(({ fragments, file, trouble, language }) =>
      ({ fragments, file: file?.text, trouble, language: language?.code })));
  }
  return told;
}"""


def test_the_whole_page_can_be_walked_through_with_what_is_in_the_picture(visitor):
    """A forgotten module, table or catalogue could not be read, and the page would report it."""
    told = visitor.evaluate(WALKED, WALK)

    for message, given in zip(WALK, told, strict=True):
        assert not [answer["trouble"] for answer in given if answer.get("trouble")], message
    files = [answer["file"] for given in told for answer in given if answer.get("file")]
    assert len(files) == 4 and "BEGIN:VEVENT" in files[0]
    spoken = [a["language"] for given in told for a in given if a.get("language")]
    assert spoken == ["de", "es", "fr", "en"]
    expect(visitor.locator("#share-card .qr svg")).to_have_count(1)
    expect(visitor.get_by_role("alert")).to_be_hidden()


def test_what_earlier_versions_kept_goes_at_the_first_start(browser, site_url):
    context = fresh(browser)
    context.add_init_script(WATCH)
    page = context.new_page()
    page.goto(site_url + "favicon.svg")
    page.evaluate(
        """async () => {
          localStorage.setItem("pennyflat:warm", "{}");
          const opening = indexedDB.open("pennyflat", 1);
          await new Promise((done) => {
            opening.onsuccess = () => (opening.result.close(), done());
          });
        }"""
    )
    page.close()

    page = opened(context, site_url)

    assert page.evaluate("localStorage.getItem('pennyflat:warm')") is None
    for _ in range(100):
        names = page.evaluate("indexedDB.databases().then(all => all.map(({ name }) => name))")
        if names == ["pennyflat:kept"]:
            break
        time.sleep(0.05)
    assert names == ["pennyflat:kept"]
    context.close()


def test_it_starts_where_nothing_can_be_kept(browser, site_url):
    context = fresh(browser)
    context.add_init_script(WATCH)
    context.add_init_script(
        """for (const name of ["localStorage", "indexedDB"])
             Object.defineProperty(window, name, {
               get() { throw new DOMException("It is not allowed.", "SecurityError"); },
             });"""
    )
    page = opened(context, site_url)
    price(page).fill("7,30")

    expect(page.locator("#buying")).to_contain_text("$7.30")
    open_place(page, "compare")
    expect(page.locator("#chart-cost canvas").first).to_be_visible()
    context.close()


def test_charts_of_ones_own_plan_are_never_those_of_the_example(browser, site_url):
    context = fresh(browser)
    context.add_init_script(WATCH)
    page = opened(context, site_url)
    page.evaluate("pennyflat.post({ do: 'type', path: 'sowings[0].crop', text: 'leek' })")
    kept(page)
    page.close()
    page = context.new_page()
    page.add_init_script(SEEN_TITLES)
    page.goto(f"{site_url}#compare")
    until(page, "window.answered && seen.length > 5")

    assert set(page.evaluate("seen")) == {"leek: cost of one ready seedling, by what you use up"}
    context.close()


def test_a_name_between_two_dollars_is_written_as_it_is(visitor):
    written = """() => {
      const shown = drawing.named.get("chart-cost title").text;
      return [shown.type, shown.text];
    }"""
    visitor.evaluate("pennyflat.post({ do: 'reset' })")
    visitor.evaluate("chartsMade()")
    visitor.evaluate(
        "pennyflat.post({ do: 'type', path: 'sowings[0].crop', text: '$$x$$', done: true })"
    )
    until(visitor, f"({written})()[1].includes('$$x$$')")

    assert visitor.evaluate(written)[0] == "PlainText"
