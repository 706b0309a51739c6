"""The languages of the page: which exist, the current one, and its catalogue.

English is in the code itself. Every other language has a gettext catalogue, catalogues/XX.po, which
the build compiles to XX.mo; it is read when the language is first used. An entry's context
identifies it: the key of a text of words.py, "model" for a sentence of the model, "data" for a text
of the trade's tables, "example" for a name in the example. Anything missing from a catalogue is
shown in English.
"""

import struct
from functools import cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path

from pennyflat.demo import DEMO

FOLDER = Path(__file__).parents[1] / "catalogues"

ENGLISH = "en"

LANGUAGES = {ENGLISH: "English", "es": "Español", "fr": "Français", "de": "Deutsch"}
"""Each language's own name, by its code. [BCP 47]"""

_spoken = ENGLISH


def spoken():
    """The code of the current language."""
    return _spoken


def speak(language):
    """Switch to a language; ignored if it has no catalogue."""
    global _spoken
    if language in LANGUAGES:
        catalogue(language)
        _spoken = language


def best_of(wanted):
    """
    The language for a visitor who reads these, in order of preference. [BCP 47]

    Examples
    --------
    >>> best_of(["nl-NL", "de-AT", "en"]), best_of([])
    ('de', 'en')
    """
    codes = (str(code).partition("-")[0].lower() for code in wanted)
    return next((code for code in codes if code in LANGUAGES), ENGLISH)


@cache
def catalogue(language):
    """The translations of a language, loaded by gettext; OSError if missing or damaged."""
    if language == ENGLISH:
        return NullTranslations()
    with open(FOLDER / f"{language}.mo", "rb") as file:
        try:
            return GNUTranslations(file)
        except (ValueError, LookupError, struct.error) as error:
            raise OSError(f"{language}.mo is damaged") from error


def is_reviewed():
    """Whether a grower who speaks the current language has reviewed its catalogue."""
    return catalogue(_spoken).info().get("x-reviewed", "yes") != "no"


def translated(context, message):
    """A message in the current language; unchanged if its catalogue lacks it."""
    return catalogue(_spoken).pgettext(context, message)


def translated_for(count, context, one, several):
    """A message for a number of things in the current language; a fraction counts as several."""
    whole = int(count) if count % 1 == 0 else 2
    return catalogue(_spoken).npgettext(context, one, several, whole)


def example():
    """
    The example's document with its names in the current language; in English it is `DEMO` itself.

    So all that is shown, saved or made of it uses the same names. Stored and linked plans are not
    translated.
    """
    return DEMO if _spoken == ENGLISH else _example_in(_spoken)


@cache
def names():
    """The example's own names, in the order of the page."""
    tables = ("sowings", "media", "ingredients", "stores", "trays")
    rows = [row for table in tables for row in DEMO[table]]
    return (DEMO["title"], *(row.get("crop") or row["name"] for row in (*rows, DEMO["feed"])))


@cache
def _example_in(language):
    return _renamed(DEMO, {name: translated("example", name) for name in names()})


def _renamed(value, said):
    if isinstance(value, dict):
        return {said.get(key, key): _renamed(item, said) for key, item in value.items()}
    if isinstance(value, list):
        return [_renamed(item, said) for item in value]
    return said.get(value, value) if isinstance(value, str) else value
