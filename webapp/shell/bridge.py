"""The Python end of the line between the page and the calculator.

The build imports this and calls `prepare`, then takes the snapshot of Python's memory from which
the page starts (webapp/build/parts/python.mjs). So everything is imported and every table read
here: after the start Python only has files from bundles.
"""

import gc
import importlib
import json
import pkgutil
import random
import sys
from pathlib import Path

import pennyflat
from conversation import Conversation
from page.markup import load_all
from pennyflat.trade import facts as tables
from view import Charts

NOT_HERE = ("pennyflat.cli.command", "app")
"""The command line, and the module that makes the build's charts."""

SOLVED = Path(__file__).with_name("solved.json")
"""The native solver's answers to the programs of the example's plan, in order."""


class Line:
    """The objects that the page talks to."""

    conversation = None
    charts = None


def prepare():
    """Do what every start would have to do, then resume with a conversation without messages."""
    webapp = [str(tables.FOLDER.parent / "webapp")]
    for path, prefix in ((pennyflat.__path__, "pennyflat."), (webapp, "")):
        for found in pkgutil.walk_packages(path, prefix):
            if found.name not in NOT_HERE:
                importlib.import_module(found.name)
    load_all()
    for path in tables.FOLDER.glob("*.csv"):
        tables.rows(path.stem)
    solved = iter(json.loads(SOLVED.read_text()))
    for _ in range(2):  # the second conversation finds the caches that the first one filled
        Line.conversation, Line.charts = Conversation(), Charts()
        Line.conversation.prepare(lambda program: next(solved))
        Line.charts.news(Line.conversation.work)  # as drawn by the build
        Conversation().answer({"do": "hello", "seq": 0})
    gc.collect()
    gc.freeze()


def use_late():
    """Do what needs more than the snapshot, so that the build sees which modules that takes."""
    for message in (
        {"do": "type", "path": "last_frost", "text": "2027-05-15"},
        {"do": "more"},
        {"do": "save", "text": "calendar"},
        {"do": "share", "page": "https://example.invalid/"},
        {"do": "order-own"},
        {"do": "print", "text": "handout", "page": "https://example.invalid/"},
    ):
        told = Line.conversation.answer(message)
        if "trouble" in told:
            raise RuntimeError(f"{message}: {told['trouble']}")


def wake():
    """When a page starts: renew what is the same in every page's snapshot."""
    random.seed()
    sys.path_importer_cache.clear()  # the folders differ from those in the snapshot


def answer(text):
    """The answer to a message of the page; both as JSON."""
    return json.dumps(Line.conversation.answer(json.loads(text)))


def news():
    """The charts' changes as JSON, NaN as null; "" while work goes on."""
    work = Line.conversation.work
    if work.is_left_off:
        return ""
    shown = Line.charts.news(work)
    for values in shown.values():
        if data := values.get("data"):
            values["data"] = {
                name: [None if item != item else item for item in column]  # NaN is not itself
                for name, column in data.items()
            }
    return json.dumps(shown)
