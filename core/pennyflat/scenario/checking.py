"""Reads a JSON value into a frozen dataclass and names every fault at once.

A dataclass states the rule for each of its fields beside the field, with `key(kind, default)`. A
*kind* is a function `(value, path, faults) -> value` that either returns the value, in the type the
model works with, or adds one `Fault` and returns `BAD`. Reading goes on after a fault.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import MISSING, dataclass, field, fields
from functools import lru_cache
from typing import Any, TypeAlias, TypeVar

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


class Faults(list[Fault]):
    """The first `MOST_FAULTS` faults. `more` counts the rest; `met` has the objects that were read:
    [(class, path, object, record or BAD)]."""

    def __init__(self) -> None:
        self.more = 0
        self.met: list[tuple[type, str, Document, Any]] = []

    def append(self, fault: Fault) -> None:
        """Add a fault, or just count it."""
        if len(self) < MOST_FAULTS:
            super().append(fault)
        else:
            self.more += 1

    def extend(self, faults: Iterable[Fault]) -> None:
        """Add or count each of several faults."""
        for fault in faults:
            self.append(fault)


Kind: TypeAlias = Callable[[Any, str, Faults], Any]


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


def record(cls: type[Any]) -> Kind:
    """
    Kind: a JSON object, read into a dataclass `cls` whose fields were declared with `key`.

    >>> from pennyflat.scenario.kinds import number
    >>> @dataclass
    ... class Cell:
    ...     cell_ml: float = key(number(above=0))
    >>> faults = Faults()
    >>> record(Cell)({"cell_ml": 0, "colour": "red"}, "cell", faults) is BAD
    True
    >>> for fault in faults:
    ...     print(fault)
    cell.colour: unknown key; the keys known here are cell_ml
    cell.cell_ml: 0 is too small; write a number more than 0
    """
    known = {f.name: (f.metadata["kind"], f.default is MISSING) for f in fields(cls)}

    def read(value, path, faults):
        if not isinstance(value, dict):
            message = say("{value} is not an object; write {{…}} with its keys", value=show(value))
            return wrong(value, path, faults, message)
        for name in value:
            if name not in known:
                keys = Listed(tuple(known), ",")
                message = say("unknown key; the keys known here are {keys}", keys=keys)
                wrong(value[name], join(path, name), faults, message)
        place, values = len(faults.met), {}
        for name, (kind, is_required) in known.items():
            where = join(path, name)
            if name in value:
                values[name] = kind(value[name], where, faults)
            elif is_required:
                values[name] = wrong(None, where, faults, phrase("missing; it is required"))
        found = BAD if BAD in values.values() else cls(**values)
        faults.met.insert(place, (cls, path, value, found))
        return found

    return read


def optional(kind: Kind) -> Kind:
    """Kind: null, or what `kind` takes."""
    return lambda value, path, faults: None if value is None else kind(value, path, faults)


def several(kind: Kind, *, at_least: int = 0) -> Kind:
    """Kind: a list of `at_least` to `MOST_ROWS` values of one kind, read into a tuple."""

    def read(value, path, faults):
        if not isinstance(value, list):
            message = say("{value} is not a list; write […]", value=show(value))
        elif len(value) < at_least:
            gaps = {"value": show(value), "least": at_least}
            message = say("{value} is too short; write at least {least}", **gaps)
        elif len(value) > MOST_ROWS:
            value = len(value)
            message = say("{rows} rows are too many; at most {most}", rows=value, most=MOST_ROWS)
        else:
            items = [kind(item, f"{path}[{place}]", faults) for place, item in enumerate(value)]
            return BAD if BAD in items else tuple(items)
        return wrong(value, path, faults, message)

    return read


def by_name(kind: Kind) -> Kind:
    """Kind: an object from at most `MOST_ROWS` names to values, read into a `ByName`."""

    def read(value, path, faults):
        if not isinstance(value, dict):
            shown = show(value)
            message = say("{value} is not an object; write {{…}} with names as keys", value=shown)
        elif len(value) > MOST_ROWS:
            value = len(value)
            message = say("{names} names are too many; at most {most}", names=value, most=MOST_ROWS)
        else:
            items = {name: kind(item, join(path, name), faults) for name, item in value.items()}
            return BAD if BAD in items.values() else ByName(items)
        return wrong(value, path, faults, message)

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
    """A value as quoted in a fault: short, on one line."""
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


def wrong(value: object, path: str, faults: Faults, message: str) -> Any:
    """Add a fault and return `BAD`."""
    faults.append(Fault(path, value, message))
    return BAD
