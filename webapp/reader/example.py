"""The example, with its names in the current language; stored and linked plans are not translated.

The document contains the names, so that everything shown, saved or made from it uses the same.
"""

from functools import cache

from pennyflat.demo import DEMO
from reader import languages

CONTEXT = "example"
"""Context of the names in the catalogues."""


def example():
    """The example's document in the current language; in English it is `DEMO` itself."""
    return _in(languages.spoken())


@cache
def names():
    """The example's own names, in the order of the page."""
    tables = ("sowings", "media", "ingredients", "stores", "trays")
    rows = [row for table in tables for row in DEMO[table]]
    called = [row.get("crop") or row["name"] for row in (*rows, DEMO["feed"])]
    return (DEMO["title"], *called)


@cache
def _in(language):
    said = {name: languages.translated(CONTEXT, name) for name in names()}
    return DEMO if language == languages.ENGLISH else _renamed(DEMO, said)


def _renamed(value, said):
    if isinstance(value, dict):
        return {said.get(key, key): _renamed(item, said) for key, item in value.items()}
    if isinstance(value, list):
        return [_renamed(item, said) for item in value]
    return said.get(value, value) if isinstance(value, str) else value
