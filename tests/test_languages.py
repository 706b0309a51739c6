"""The page in other languages: nothing that it shows is left out of the catalogues."""

import io
import json
import re
from dataclasses import fields
from html.parser import HTMLParser
from string import Formatter

import pytest
from babel.messages.catalog import Message

from conversation import Conversation
from pennyflat.demo import DEMO
from pennyflat.scenario import records
from pennyflat.scenario.link import encode
from pennyflat.trade import facts as tables
from pennyflat_display import places
from reader import languages
from reader.languages import _example_in, example, names
from view import Page, render_frame
from webapp.build.texts import catalogues
from work import picking
from work.errand import QUESTIONS
from work.state import Work

INVENTED = "qq"
"""A language in which every letter is a dot."""

ATTRIBUTES = {"aria-label", "alt", "title", "placeholder", "data-sure", "data-done", "data-press"}
"""Attributes that are read out or shown."""

SIGNS = {"C", "CHF", "CSV", "EUR", "K", "L", "N", "P", "PNG", "QR", "SVG", "US", "USD", "g", "kg"}
SIGNS |= {"ics", "json", "mL", "mS", "ppm", "qq"}
"""What is written the same in every language: units, codes, endings of file names."""


def dotted(template):
    """A text with a dot for every letter, its gaps as they are."""
    parts = []
    for literal, name, spec, conversion in Formatter().parse(template):
        parts.append(re.sub(r"[^\W\d_]", "·", literal).replace("{", "{{").replace("}", "}}"))
        if name is not None:
            mark = f"!{conversion}" if conversion else ""
            parts.append("{" + name + mark + (f":{spec}" if spec else "") + "}")
    return "".join(parts)


@pytest.fixture(scope="module")
def invented():
    messages = []
    for number, (context, message, _) in enumerate(catalogues.entries()):
        forms = [message] if isinstance(message, str) else message
        done = [dotted(form) for form in forms]
        if context == "example":  # no two mixes of one name
            done = [f"{done[0]} {number}"]
        string = done[0] if isinstance(message, str) else tuple(done)
        messages.append(Message(message, string, context=context))
    return catalogues.as_mo("de", messages, "no")


@pytest.fixture
def spoken(invented, monkeypatch):
    """The invented language is spoken."""
    read = languages.catalogue
    made = languages.GNUTranslations(io.BytesIO(invented))
    monkeypatch.setattr(
        languages, "catalogue", lambda code: made if code == INVENTED else read(code)
    )
    monkeypatch.setitem(languages.LANGUAGES, INVENTED, "····")
    languages.speak(INVENTED)
    yield
    languages.speak(languages.ENGLISH)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data[: len(data) // 2],
        lambda data: data[:20],
        lambda data: data.replace("·".encode(), b"\xff\xff"),
        lambda data: data.replace(b"nplurals=2", b"nplurals=x").replace(b"plural=(", b"plural=)"),
    ],
    ids=["half", "head", "letters", "plurals"],
)
def test_a_damaged_catalogue_is_not_spoken(invented, tmp_path, monkeypatch, spoil):
    (tmp_path / "de.mo").write_bytes(spoil(invented))
    monkeypatch.setattr(languages, "FOLDER", tmp_path)
    languages.catalogue.cache_clear()
    talk = Conversation()
    answer = talk.answer({"do": "hello", "language": "de"})

    assert languages.spoken() == languages.ENGLISH
    assert "trouble" not in answer and "could not be fetched" in answer["fragments"]["notice"]


class Shown(HTMLParser):
    """Collects what a reader sees or hears, except text marked as being in another language."""

    def __init__(self):
        super().__init__()
        self.texts, self._open, self._foreign = [], [], 0

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        if tag not in ("input", "path", "rect", "circle", "meta", "br"):
            self._open.append(tag)
            if "lang" in found or self._foreign:
                self._foreign += 1
        if not self._foreign:
            self.texts += [found[name] for name in ATTRIBUTES & found.keys() if found[name]]
            if tag == "input" and found.get("type") != "date" and "readonly" not in found:
                self.texts.append(found.get("value") or "")

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        if self._open and self._open[-1] == tag:
            self._open.pop()
            self._foreign = max(0, self._foreign - 1)

    def handle_data(self, data):
        if not self._foreign and self._open[-1:] not in (["style"], ["textarea"]):
            self.texts.append(data)


def untranslated(fragments, own):
    """Words on the page that are neither dots nor the grower's own: {fragment: [(words, text)]}."""
    names = "|".join(sorted(map(re.escape, own), key=len, reverse=True))
    mine = re.compile(rf"(?<!\w)(?:{names})(?!\w)", re.IGNORECASE)
    found = {}
    for name, html in fragments.items():
        reader = Shown()
        reader.feed(html)
        for text in reader.texts:
            runs = set(re.findall(r"[^\W\d_]+", mine.sub(" ", text))) - SIGNS
            if runs:
                found.setdefault(name, []).append((" ".join(sorted(runs)), text.strip()))
    return found


KEYS = {field.name for kind in (records.Scenario, records.Feed) for field in fields(kind)}
"""Keys of a scenario's file, by which a fault in one is found."""

JSON_READER = ("Expecting ',' delimiter",)
"""What Python's own reader says of a file that is no JSON."""

NAMES = {"name", "title", "crop", "medium", "store", "ingredient", "label", "notes"}
"""Keys of a document whose texts are the grower's own."""


def own_words(node, key=""):
    """The grower's own words in a document; a text that could not be understood is one, too."""
    if isinstance(node, dict):
        own = set(node) if key in ("emergence", "survival") else set()
        return own.union(*(own_words(value, name) for name, value in node.items()))
    if isinstance(node, list):
        return set().union(*(own_words(value, key) for value in node))
    is_own = isinstance(node, str) and (key in NAMES or node in ODD)
    return {node} if is_own and node.strip() else set()


ODD = ("xyzzy", "-1", "1e9", "0", "200", "2027-13-01")
"""What no field, or few, can take."""


def left_in(work, *documents):
    own = own_words([DEMO, work.document, work.answered, *documents]) | {*ODD}
    own |= {"format", *KEYS, *JSON_READER}
    own |= {*places.present().names.values(), *places.DECIMALS, "AM", "PM"}
    return untranslated(Page().all(work) | {"frame": render_frame()}, own)


def opened(*messages, questions=tuple(QUESTIONS)):
    """A work with everything opened that can be, after these messages."""
    work = Work()
    for message in messages:
        work.handle(message)
    for card in ("calendar", "sights", "salts", "reckoner", "age", "two", "label"):
        work.handle({"do": "open", "text": card})
    for question in questions:
        work.handle({"do": "ask", "question": question, "text": "yes"})
    work.handle({"do": "more"})
    return work


def typed(path, text, done=True):
    return {"do": "type", "path": path, "text": text, "done": done}


def test_the_demo_with_everything_opened(spoken):
    work = opened(typed("last_frost", "2027-05-10"))

    assert not left_in(work)


def test_the_example_has_the_names_of_the_readers_language_until_it_is_their_own(invented, spoken):
    languages.speak(languages.ENGLISH)
    talk = Conversation(Work())
    assert talk.work.document is DEMO

    def speak(language):
        talk.handle({"do": "speak", "text": language})
        return {name for name in names() if name in json.dumps(talk.work.document)}

    assert speak(INVENTED) == set()
    assert talk.work.is_example and not talk.desk.has_own
    assert talk.work.document["media"][0]["name"].startswith(dotted(DEMO["media"][0]["name"]))
    shown = untranslated(Page(talk.desk).all(talk.work), own_words(talk.work.document))
    assert not {text for found in shown.values() for _, text in found} & set(names())
    assert speak(languages.ENGLISH) == set(names()) and talk.work.document is DEMO

    speak(INVENTED)
    talk.handle(typed("tax", "7"))
    own = talk.work.document
    assert speak(languages.ENGLISH) == set()
    assert talk.work.document is own
    assert encode(talk.work.answered) == encode(own)

    talk.handle({"do": "reset"})
    assert talk.work.document is DEMO


@pytest.mark.parametrize("language", catalogues.LANGUAGES)
def test_the_example_in_a_language_has_the_same_answer(language, monkeypatch):
    made = catalogues.as_mo(language, *catalogues.read(language))
    spoken = languages.GNUTranslations(io.BytesIO(made))
    monkeypatch.setattr(languages, "catalogue", lambda code: spoken)
    monkeypatch.setattr(languages, "_spoken", language)
    uncached = _example_in.__wrapped__
    monkeypatch.setattr(languages, "_example_in", uncached)
    named = Work()
    monkeypatch.undo()

    assert len({name for name in names() if name not in json.dumps(named.document)}) > 10
    for own, english in zip(named.document["sowings"], DEMO["sowings"], strict=True):
        assert picking.known_crop(own["crop"]) == english["crop"]
    figures = [(row["cells"], row["as_used"]) for row in named.report["comparisons"]]
    assert figures == [(row["cells"], row["as_used"]) for row in Work().report["comparisons"]]


def test_nothing_entered_yet(spoken):
    work = opened({"do": "empty"})

    assert not left_in(work)


@pytest.mark.parametrize("odd", ODD)
def test_every_field_with_what_it_cannot_take(spoken, odd):
    work = opened({"do": "trial-example"})
    for act in ("energy", "labour", "trials", "trials[0].water", "trials[0].looks"):
        work.handle({"do": "add", "path": act})
    work.handle(typed("sowings[0].remedy", "pot_on"))
    work.handle(typed("sowings[1].container", "own shape"))
    shown = "".join(Page().all(work).values())
    for path in dict.fromkeys(re.findall(r'<input type="text"[^>]* data-path="([^"]+)"', shown)):
        work.handle(typed(path.replace("&#34;", '"'), odd))

    assert not left_in(work)


def test_everything_seen_in_the_tray(spoken):
    for sight in {row["subject"] for row in tables.rows("symptoms")}:
        work = opened(typed("lookup.sight", sight), questions=())
        assert not left_in(work)


def test_salts_and_the_strength_of_feeds(spoken):
    work = opened(
        typed("lookup.ec", "1.3"),
        typed("lookup.method", "SME"),
        typed("lookup.rich", example()["media"][1]["name"]),
        typed("lookup.dose", "0.5"),
        typed("lookup.ppm_n", "100"),
        typed("lookup.addition_g", "3"),
        typed("lookup.addition_n", "5"),
        {"do": "show", "row": 1},
    )

    assert not left_in(work)


@pytest.mark.parametrize("crop", picking.crop_names("en"))
def test_what_the_tables_say_of_a_crop(spoken, crop):
    work = opened(
        typed("sowings[0].crop", crop),
        typed("last_frost", "2027-05-10"),
        {"do": "show", "row": 0},
    )

    assert not left_in(work)


def test_kinds_of_mix_and_compressed_goods(spoken):
    work = opened()
    for kind in picking.kinds():
        work.handle(typed("media[0].kind", kind))
        for size, unit in (("5", "kg"), ("110", "L")):
            work.handle(typed("media[0].name", "Compressed peat bale"))
            work.handle(typed("media[0].packages[0].size", size))
            work.handle(typed("media[0].packages[0].unit", unit))
            assert not left_in(work)


def test_the_trial_bench(spoken):
    work = opened(
        {"do": "trial-example"},
        {"do": "trial-show"},
        typed("bench.pasted", "mix\tcrop\tsown\tday 5\nxyzzy\txyzzy\t10\t·\n\t\t\t3"),
        {"do": "trial-paste"},
    )

    assert not left_in(work)


def test_notes_and_parts(spoken):
    cards = ("safety", "sources", "about", "licences")

    assert not left_in(opened(*({"do": "open", "text": card} for card in cards)))


def test_a_mix_that_runs_out(spoken):
    for remedy in ("none", "feed", "pot_on"):
        for feed in ({"do": "remove", "path": "feed"}, {"do": "none"}):
            work = opened(
                feed,
                typed("sowings[0].weeks", "12"),
                typed("sowings[0].remedy", remedy),
                typed("media[0].packages[0].limit", "1"),
                typed("budget", "5"),
            )
            assert not left_in(work)


LIST = """Shop,Item,Size,Price
xyzzy,xyzzy,20 L,5.00
xyzzy,xyzzy,·,5.00
xyzzy,xyzzy,20 L,·
xyzzy,,20 L,
"""


def test_the_desk(spoken):
    page = "file:///page.html"
    other = {**DEMO, "title": "xyzzy"}
    work = opened(
        {"do": "hello", "kept": {"plan:1": "no plan"}, "storage": "full", "language": INVENTED},
        typed("tax", "8"),
        {"do": "plan-copy"},
        {"do": "share", "page": page},
        {"do": "prices", "text": LIST},
        {"do": "order-own"},
        {"do": "order-file", "name": "xyzzy", "text": json.dumps(other)},
    )
    for print_ in ("handout", "order"):
        work.handle({"do": "print", "text": print_, "page": page})
        assert not left_in(work, other)


@pytest.mark.parametrize(
    "message",
    [
        {"do": "file", "name": "xyzzy", "text": json.dumps(DEMO)},
        {"do": "file", "name": "xyzzy", "text": "{}"},
        {"do": "file", "name": "xyzzy", "text": json.dumps({**DEMO, "tax": 7, "budget": -1})},
        {"do": "file", "name": "xyzzy", "text": "[1"},
        {"do": "file", "name": "xyzzy", "text": None},
        {"do": "link", "text": "#pf1.xyzzy"},
        {"do": "link", "text": "xyzzy"},
        {"do": "link", "text": "#" + encode(DEMO)},
        {"do": "prices", "text": ""},
        {"do": "prices", "text": None},
        {"do": "order-file", "name": "xyzzy", "text": json.dumps({**DEMO, "currency": "EUR"})},
        {"do": "order-own"},
        {"do": "forget-all"},
        {"do": "remove", "path": "media[0]"},
    ],
)
def test_what_the_desk_answers(spoken, message):
    work = opened({"do": "order-own"}, message, questions=())
    assert not left_in(work)
    if message["do"] == "file":
        for choice in ("merge", "look"):
            work.handle({**message})
            work.handle({"do": "take", "text": choice})
            assert not left_in(work)
