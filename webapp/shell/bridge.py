"""The Python end of the line between the page and the calculator.

The build imports this and calls `prepare`, then takes the picture of Python's memory from which the
page starts (webapp/build/parts/python.mjs). So everything is imported here and every table read:
after the start Python has no file but those that lie in bundles of their own.
"""

import gc
import importlib
import json
import pkgutil
import random
import sys
from math import isnan
from pathlib import Path

import pennyflat
from charts import Charts
from conversation import Conversation
from page.markup import load_all
from reader import tables

NOT_HERE = ("pennyflat.cli.command", "app")
"""The command line, and what the build makes the charts with."""


SOLVED = "solved.json"
"""The answers of the build's solver to what the example's plan asks for, in order."""


class Line:
    """Whom the page talks to."""

    conversation = None
    charts = None


def prepare():
    """Do what every start would have to do, and go on as if nobody had said anything."""
    import_all(pennyflat.__path__, "pennyflat.")
    import_all([str(tables.DATA.parent / "webapp")])
    load_all()
    for path in tables.DATA.glob("*.csv"):
        tables.rows(path.stem)
    solved = iter(json.loads((Path(__file__).with_name(SOLVED)).read_text()))
    for _ in range(2):  # what the first one has worked out once for all is there for the second
        Line.conversation, Line.charts = Conversation(), Charts()
        Line.conversation.prepare(lambda program: next(solved))
        Line.charts.news(Line.conversation.work)  # as the build has drawn them
        Conversation().answer({"do": "hello", "seq": 0})
    gc.collect()
    gc.freeze()


def use_late():
    """Do what needs more than is in the picture, so that the build sees which modules that are."""
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


def import_all(path, prefix=""):
    """Import every module in a folder."""
    for found in pkgutil.walk_packages(path, prefix):
        if found.name not in NOT_HERE:
            importlib.import_module(found.name)


def wake():
    """At the start of a page: make new what was the same in every page's picture."""
    random.seed()
    sys.path_importer_cache.clear()  # folders are others than in the picture


def answer(text):
    """The answer to a message of the page; both as JSON."""
    return json.dumps(Line.conversation.answer(json.loads(text)))


def news():
    """What the charts are to show, as JSON, NaN as null; "" while the work goes on."""
    work = Line.conversation.work
    if work.is_left_off:
        return ""
    shown = Line.charts.news(work)
    for values in shown.values():
        if data := values.get("data"):
            values["data"] = {name: list(map(_known, column)) for name, column in data.items()}
    return json.dumps(shown)


def _known(item):
    return None if isinstance(item, float) and isnan(item) else item
