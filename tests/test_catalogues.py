"""The catalogues of the page's languages: whole, up to date, and with the gaps of the English."""

from collections import Counter
from string import Formatter

import pytest
from babel.messages.catalog import Message

from pennyflat.sentences import Listed, Money, say
from reader import languages, words
from webapp.build.texts import catalogues

CODES = tuple(catalogues.LANGUAGES)


def gaps(template):
    """The gaps of a text, each with how it is written, as often as it is there."""
    return Counter(
        (name, spec, conversion)
        for _, name, spec, conversion in Formatter().parse(template)
        if name is not None
    )


def forms(text):
    return [text] if isinstance(text, str) else list(text)


def test_the_page_offers_english_and_every_language_with_a_catalogue():
    assert set(languages.LANGUAGES) == {languages.ENGLISH, *CODES}
    assert {path.stem for path in catalogues.FOLDER.glob("*.po")} == set(CODES)


def test_no_key_stands_for_two_texts():
    assert sum(map(len, words.PARTS)) == len(words.CATALOGUE)


@pytest.mark.parametrize("language", CODES)
def test_a_catalogue_is_what_the_code_makes_of_it(language):
    made = catalogues.as_po(catalogues.updated(language))

    assert made == catalogues.path(language).read_bytes(), "run: python3 build.py catalogues"


@pytest.mark.parametrize("language", CODES)
def test_everything_is_translated(language):
    messages, _ = catalogues.read(language)
    missing = [(m.context, m.id) for m in messages if not catalogues.is_done(m)]

    assert not missing, f"{len(missing)} of {len(messages)}, the first: {missing[:5]}"


@pytest.mark.parametrize("language", CODES)
def test_a_translation_has_the_gaps_of_the_english(language):
    messages, _ = catalogues.read(language)
    wrong = []
    for message in messages:
        english = {frozenset(gaps(form).items()) for form in forms(message.id)}
        for translation in forms(message.string):
            if translation and frozenset(gaps(translation).items()) not in english:
                wrong.append((message.context, message.id, translation))

    assert not wrong, wrong[:5]


@pytest.mark.parametrize("language", CODES)
def test_a_translation_ends_as_the_english_does(language):
    """A full stop too many or too few shows where texts are put together."""
    messages, _ = catalogues.read(language)
    ends = [
        (message.context, text, translation)
        for message in messages
        for text, translation in zip(forms(message.id), forms(message.string), strict=False)
        if translation and text.endswith(".") != translation.endswith(".")
    ]

    assert not ends, ends[:5]


def entry(message, string, context="key", flags=()):
    return Message(message, string, context=context, flags=flags)


@pytest.fixture
def kept(monkeypatch):
    """Sets what a catalogue's file holds and what the code has; gives the entries made of it."""

    def updated(old, wanted):
        monkeypatch.setattr(catalogues, "read", lambda language: (old, "no"))
        monkeypatch.setattr(catalogues, "entries", lambda: wanted)
        return [m for m in catalogues.updated("de") if m.id]

    return updated


def test_updating_keeps_what_is_translated_and_drops_what_is_gone(kept):
    (found,) = kept([entry("Sow", "Säen"), entry("Old", "Alt", "gone")], [("key", "Sow", "")])

    assert (found.id, found.string, found.fuzzy) == ("Sow", "Säen", False)


def test_updating_marks_changed_english(kept):
    old = [entry("Sow it", "Säen"), entry("{n} pots stand empty", "{n} leer", "model")]
    wanted = [("key", "Sow them now", ""), ("model", "{n} pots are empty", ""), ("data", "New", "")]
    key, model, new = kept(old, wanted)

    assert key.fuzzy and key.string == "Säen" and key.previous_id == ["Sow it"]
    assert model.fuzzy and model.string == "{n} leer"
    assert not new.fuzzy and new.string == ""


def test_a_mark_stays_until_somebody_takes_it_away(kept):
    (found,) = kept([entry("Sow", "Säen", flags=["fuzzy"])], [("key", "Sow", "")])

    assert found.fuzzy


def test_only_what_is_done_reaches_the_page():
    messages = [
        entry("Sow", "Säen", flags=["fuzzy"]),
        entry("Pot", "Topf"),
        entry(("{n} pot", "{n} pots"), ("{n} Topf", ""), "half"),
    ]
    found = languages.GNUTranslations(catalogues.io.BytesIO(catalogues.as_mo("de", messages, "no")))

    assert found.pgettext("key", "Sow") == "Sow"
    assert found.pgettext("key", "Pot") == "Topf"
    assert found.npgettext("half", "{n} pot", "{n} pots", 1) == "{n} pot"
    assert found.info()["x-reviewed"] == "no"


@pytest.fixture
def german(monkeypatch):
    """Speaks German with these entries, (context, English, German)."""

    def speak(*entries):
        made = [entry(text, string, context) for context, text, string in entries]
        data = catalogues.io.BytesIO(catalogues.as_mo("de", made, "no"))
        read = languages.GNUTranslations(data)
        monkeypatch.setattr(languages, "catalogue", lambda language: read)
        languages.speak("de")

    yield speak
    languages._spoken = languages.ENGLISH


def test_a_sentence_of_the_model_is_said_with_what_is_in_it(german):
    german(
        ("model", "{crop} costs {each}; {why}.", "{why}: {each} für {crop}."),
        ("model", "{n:g} pots are empty", "{n:g} Töpfe sind leer"),
        ("model", "Of {names}", "Von {names}"),
        ("list.and", "{before} and {last}", "{before} und {last}"),
    )
    why = say("{n:g} pots are empty", n=2.0)
    sentence = say("{crop} costs {each}; {why}.", crop="Kale", each=Money(2, "GBP"), why=why)

    assert words.said(sentence).startswith("2 Töpfe sind leer: ")
    assert words.said(sentence).endswith(" für Kale.")
    listed = say("Of {names}", names=Listed((why, "b", "c"), "and"))
    assert words.said(listed) == "Von 2 Töpfe sind leer, b und c"
    assert words.said("a name") == "a name"


def test_a_text_kept_for_later_is_said_in_the_language_of_then(german):
    kept = words.later("undo.row", what=words.later("undo.it"))
    german(("undo.row", "{what} is removed.", "{what} ist weg."), ("undo.it", "It", "Es"))

    assert (kept, words.said(kept)) == ("It is removed.", "Es ist weg.")


def test_numbers_choose_the_form_of_the_language(german):
    forms = ("and {count} more", "and {count} more")
    german(("standing.more", forms, ("und {count} weiteres", "und {count} weitere")))

    assert words.counted("standing.more", 1) == "und 1 weiteres"
    assert words.counted("standing.more", 3) == "und 3 weitere"
    assert words.counted("standing.more", 1.5, count="1,5") == "und 1,5 weitere"


def test_german_reasons_end_in_their_verb_and_so_stand_after_weil():
    found, _ = catalogues.read("de")
    with_reason = [m for m in found if m.id and "than {second}: {reason}." in str(m.id)]

    assert [m.string.endswith(", weil {reason}.") for m in with_reason] == [True]
