"""The names of saved files, and what tells a spreadsheet how to read them."""

import re

from pennyflat.scenario.export import MARK

LONGEST_NAME = 60
"""Most characters of a title used in a name. [characters] Ours."""


def file_name(document, ending, *what):
    """
    A file name that any system accepts, from the scenario's title and the kind of content.

    Examples
    --------
    >>> file_name({"title": "Stand: <tomatoes> & more"}, "json")
    'Stand-tomatoes-more.json'
    >>> file_name({"title": ""}, "svg", "sweet pepper", "cost")
    'seedlings-sweet-pepper-cost.svg'
    """
    found = [_plain(str(document.get("title") or "")) or "seedlings", *map(_plain, what)]
    return f"{'-'.join(filter(None, found))}.{ending}"


def csv_file(name, text):
    """A CSV file that spreadsheets recognise as UTF-8: name, type and text."""
    return {"name": name, "type": "text/csv;charset=utf-8", "text": MARK + text}


def _plain(words):
    return "-".join(re.findall(r"\w+", words))[:LONGEST_NAME].strip("-")
