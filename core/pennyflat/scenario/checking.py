"""Reads a JSON value into a frozen dataclass and names every fault at once.

A dataclass states the rule for each of its fields beside the field, with `key(kind, default)`. A
*kind* is a function `(value, path, faults) -> value` that either returns the value, in the type the
model works with, or adds one `Fault` and returns `BAD`. Reading goes on after a fault.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import MISSING, dataclass, field, fields
from functools import cache, lru_cache, partial
from typing import Any, Self, TypeAlias, TypeVar

from pennyflat.sentences import Listed, phrase, say

Document: TypeAlias = dict[str, Any]
"""A parsed JSON object."""

Value = TypeVar("Value")

BAD: Any = object()
"""Stands for an unreadable value; its fault has been added."""

MOST_FAULTS = 50
"""Most faults that are listed; the rest are counted. [count]"""

MOST_ROWS = 10_000
"""Longest list, and most names in an object. [count]"""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a document."""

    path: str
    """Its place, as a JSON path without the leading `$`, such as `media[0].fill_loss`."""
    value: object
    """The value found there; None if it is missing."""
    message: str
    """What is wrong and what would be right, starting with the value; a `Said`."""

    def __str__(self) -> str:
        if self.path:
            return say("{path}: {message}", path=self.path, message=self.message)
        return self.message


Kind: TypeAlias = Callable[[Any, str, list[Fault]], Any]


class Faults(list[Fault]):
    """The first `MOST_FAULTS` faults; `more` counts the rest."""

    more = 0

    def append(self, fault: Fault) -> None:
        """Add a fault, or just count it."""
        if len(self) < MOST_FAULTS:
            super().append(fault)
        else:
            self.more += 1

    def __iadd__(self, faults: Iterable[Fault]) -> Self:  # type: ignore[override, misc]
        for fault in faults:
            self.append(fault)
        self.more += getattr(faults, "more", 0)
        return self


class ByName(dict[str, Value]):
    """A dict that never changes and so has a hash."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(frozenset(self.items()))

    def __reduce__(self) -> Any:
        return ByName, (dict(self),)

    def _refuse(self, *args, **kwargs):
        raise TypeError("a scenario cannot be changed; make another with replace().")

    __setitem__ = __delitem__ = __ior__ = clear = pop = popitem = setdefault = update = _refuse


def key(kind: Kind, default: Any = MISSING) -> Any:
    """A dataclass field read from a document by `kind`; without a default it is required."""
    return field(default=default, metadata={"kind": kind})


def read_record(cls: type[Any], value: object, path: str, faults: list[Fault]) -> Any:
    """
    Read a JSON object into a dataclass whose fields were declared with `key`.

    Parameters
    ----------
    cls : type
    value : object
        The value in the document, or a `cls` read from it earlier.
    path : str
        Its place in the document.
    faults : list of Fault
        Faults found are added to it.

    Returns
    -------
    cls or BAD

    Examples
    --------
    >>> from pennyflat.scenario.kinds import number
    >>> @dataclass
    ... class Cell:
    ...     cell_ml: float = key(number(above=0))
    >>> faults = []
    >>> read_record(Cell, {"cell_ml": 0, "colour": "red"}, "cell", faults) is BAD
    True
    >>> for fault in faults:
    ...     print(fault)
    cell.colour: unknown key; the keys known here are cell_ml
    cell.cell_ml: 0 is too small; write a number more than 0
    """
    if isinstance(value, cls):
        return value
    if not isinstance(value, dict):
        message = say("{value} is not an object; write {{…}} with its keys", value=show(value))
        return wrong(value, path, faults, message)
    known: dict[str, Any] = _kinds(cls)  # type: ignore[arg-type]
    unknown = [name for name in value if name not in known]
    if unknown:
        keys = Listed(tuple(known), ",")
        message = say("unknown key; the keys known here are {keys}", keys=keys)
        for name in unknown:
            faults.append(Fault(join(path, name), value[name], message))
    read = {}
    for name, (kind, is_required) in known.items():
        if name in value:
            read[name] = kind(value[name], join(path, name), faults)
        elif is_required:
            faults.append(Fault(join(path, name), None, phrase("missing; it is required")))
            read[name] = BAD
    if BAD in read.values():
        return BAD
    return cls(**read)


@cache
def _kinds(cls):
    """The kind of each field of a dataclass, and whether it is required, by name."""
    return {f.name: (f.metadata["kind"], f.default is MISSING) for f in fields(cls)}


def record(cls: type[Any]) -> Kind:
    """Kind: an object read into the dataclass `cls`."""
    return partial(read_record, cls)


def optional(kind: Kind) -> Kind:
    """Kind: null, or what `kind` takes."""
    return lambda value, path, faults: None if value is None else kind(value, path, faults)


def several(kind: Kind, *, at_least: int = 0) -> Kind:
    """Kind: a list of `at_least` to `MOST_ROWS` values of one kind, read into a tuple."""

    def read(value, path, faults):
        if not isinstance(value, list):
            message = say("{value} is not a list; write […]", value=show(value))
            return wrong(value, path, faults, message)
        rows = len(value)
        if rows < at_least:
            message = say(
                "{value} is too short; write at least {least}", value=show(value), least=at_least
            )
            return wrong(value, path, faults, message)
        if rows > MOST_ROWS:
            message = say("{rows} rows are too many; at most {most}", rows=rows, most=MOST_ROWS)
            return wrong(rows, path, faults, message)
        items = [kind(item, f"{path}[{place}]", faults) for place, item in enumerate(value)]
        return BAD if BAD in items else tuple(items)

    return read


def by_name(kind: Kind) -> Kind:
    """Kind: an object from at most `MOST_ROWS` names to values, read into a `ByName`."""

    def read(value, path, faults):
        if not isinstance(value, dict):
            message = say(
                "{value} is not an object; write {{…}} with names as keys", value=show(value)
            )
            return wrong(value, path, faults, message)
        names = len(value)
        if names > MOST_ROWS:
            message = say("{names} names are too many; at most {most}", names=names, most=MOST_ROWS)
            return wrong(names, path, faults, message)
        items = {name: kind(item, join(path, name), faults) for name, item in value.items()}
        return BAD if BAD in items.values() else ByName(items)

    return read


@lru_cache(maxsize=8192)
def join(path: str, name: str) -> str:
    """
    The JSON path of a key inside the object at `path`.

    >>> join("media[0]", "fill_loss"), join("", "tax"), join("media[0].emergence", "red kale")
    ('media[0].fill_loss', 'tax', 'media[0].emergence["red kale"]')
    """
    if re.fullmatch(r"[A-Za-z_]\w*", name):
        return f"{path}.{name}" if path else name
    quoted = _short(name).replace("\\", "\\\\").replace('"', '\\"')
    return f'{path}["{quoted}"]'


def show(value: object) -> str:
    """
    A value as quoted in a fault: short, on one line.

    >>> show(12), show("a" * 100)
    ('12', '"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa…"')
    """
    if isinstance(value, str):
        return f'"{_short(value)}"'
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, int) and abs(value) >= 1e9:
        return phrase("a number of more than nine digits")
    if isinstance(value, int | float):
        return f"{value:.12g}"
    if isinstance(value, list):
        return say("a list of {count}", count=len(value))
    return phrase("an object")


def _short(text):
    """At most 60 characters, all of which can be printed."""
    shown = text if len(text) <= 60 else text[:59] + "…"
    return "".join(c if c.isprintable() else "�" for c in shown)


def wrong(value: object, path: str, faults: list[Fault], message: str) -> Any:
    """Add a fault and return `BAD`."""
    faults.append(Fault(path, value, message))
    return BAD
