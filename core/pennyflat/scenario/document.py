"""The scenario as a document: checking it, reading it, writing it.

A scenario is a JSON object in the format "seedling-costs/2" (core/FORMATS.md describes every key).
`check` lists everything that is wrong with a document, `read` turns a valid one into a `Scenario`,
`write` turns a `Scenario` back into the shortest equivalent document.
"""

import json
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from pennyflat.scenario.checking import ByName, Document, Fault, Faults, record, show
from pennyflat.scenario.consistency import inconsistencies
from pennyflat.scenario.earlier_formats import upgraded
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import Listed, phrase, say

DIGITS = 15
"""Significant digits that any number keeps through floating point. [count] [IEEE 754-2019, 5.12.2:
a decimal of at most 15 digits comes back from binary64; the 16th and 17th may be noise]"""


class ScenarioError(ValueError):
    """An invalid document. `faults` holds the `Fault`s, `more` counts those beyond the first
    `checking.MOST_FAULTS`; `str` of it, a `Said`, lists them."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        self.more = getattr(faults, "more", 0)
        lines = [str(fault) for fault in self.faults]
        if self.more:
            lines.append(say("and {count} more", count=self.more))
        super().__init__(say("{faults}", faults=Listed(tuple(lines), "\n")))


def check(document: object) -> Faults:
    """
    Everything that is wrong with a parsed JSON value, at once; empty for a valid scenario.

    >>> for fault in check({"format": "seedling-costs/2", "title": "", "currency": "EUR",
    ...                     "stores": [], "media": [], "ingredients": [], "sowings": [],
    ...                     "tax": 19}):
    ...     print(fault)
    tax: 19 is not a share between 0 and 1; for 19 % write 0.19
    """
    return _read(document)[1]


def read(document: Document) -> Scenario:
    """The scenario in a parsed JSON object; ScenarioError with all its faults if it is invalid."""
    scenario, faults = _read(document)
    if faults:
        raise ScenarioError(faults)
    return scenario


def parse(source: str | bytes) -> Scenario:
    """
    The scenario in a JSON text, UTF-8; a leading byte-order mark is ignored.

    ScenarioError if it is not JSON, or not a scenario.

    >>> parse("[1, 2")
    Traceback (most recent call last):
        ...
    pennyflat.scenario.document.ScenarioError: not JSON at line 1, column ...: Expecting ',' ...
    """
    twice = []

    def pairs(items):
        for name, times in Counter(name for name, _ in items).items():
            if times > 1:
                gaps = {"key": show(name), "times": times}
                message = say("the key {key} stands {times} times in one object", **gaps)
                twice.append(Fault("", name, message))
        return dict(items)

    scenario, faults = _read(_decode(source, pairs))
    faults.extend(twice)
    if faults:
        raise ScenarioError(faults)
    return scenario


def write(value: Any) -> Any:
    """
    The shortest equivalent document of a scenario, or of a value in it.

    It has plain JSON values, without those that are equal to their default.

    >>> from pennyflat.demo import DEMO
    >>> read(write(read(DEMO))) == read(DEMO)
    True
    """
    if isinstance(value, tuple):
        return [write(item) for item in value]
    if isinstance(value, ByName):
        return {name: write(item) for name, item in value.items()}
    if isinstance(value, date):
        return value.isoformat()
    if not is_dataclass(value):
        return value
    found = ((f.name, getattr(value, f.name), f.default) for f in fields(value))
    return {name: write(own) for name, own, default in found if own != default}


def without_noise(document: Any) -> Any:
    """
    A document without the noise of floating point: its numbers to `DIGITS` significant digits.

    >>> without_noise({"tax": 0.1 + 0.05, "sowings": [{"wanted": 60}]})
    {'tax': 0.15, 'sowings': [{'wanted': 60}]}
    """
    return with_floats(document, lambda number: float(f"{number:.{DIGITS}g}"))


def with_floats(document: Any, changed: Callable[[float], float]) -> Any:
    """A document with every float in it `changed`."""
    if isinstance(document, dict):
        return {key: with_floats(value, changed) for key, value in document.items()}
    if isinstance(document, list):
        return [with_floats(value, changed) for value in document]
    return changed(document) if isinstance(document, float) else document


def _decode(source, pairs):
    try:
        if isinstance(source, bytes):
            source = source.decode("utf-8")
        source = source.removeprefix("\ufeff")
        if source.strip():
            return json.loads(source, object_pairs_hook=pairs)
        wrong = phrase("the file is empty; `pennyflat example` prints a plan to start from")
    except UnicodeDecodeError as error:
        wrong = say("not UTF-8 text: {reason}", reason=error.reason)
    except RecursionError:
        wrong = phrase("nested too deeply to be a plan")
    except json.JSONDecodeError as error:
        gaps = {"line": error.lineno, "column": error.colno, "reason": error.msg}
        wrong = say("not JSON at line {line}, column {column}: {reason}", **gaps)
    except ValueError:
        wrong = phrase("holds a number of too many digits to read")
    raise ScenarioError([Fault("", None, wrong)])


def _read(document):
    """The scenario, or None, and the faults."""
    faults = Faults()
    scenario = record(Scenario)(upgraded(document), "", faults)
    faults.extend(inconsistencies(faults))
    return (None if faults else scenario), faults
