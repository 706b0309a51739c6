"""Reads a JSON value into a frozen dataclass and names every fault at once.

A dataclass states the rule of each of its fields beside the field, with `key(kind, default)`. A
*kind* is a function `(value, path, faults) -> value` that either returns the value, in the type the
model works with, or adds one `Fault` and returns `BAD`. Nothing stops at the first fault.
"""

import math
import re
import unicodedata
from dataclasses import MISSING, dataclass, field, fields
from datetime import date
from functools import cache, lru_cache

from pennyflat.saying import Listed, phrase, say

BAD = object()
"""Stands for a value that could not be read; a fault has been added for it."""

MOST = 1e9
"""Largest number that any field takes. Ours: far above any shelf or nursery."""

_UNSAID = 1e6
"""Bound from which on a fault does not name it. Ours."""

LONGEST_TEXT = 200
"""Longest name or title. [characters] Ours."""

MOST_FAULTS = 50
"""Faults that are named; those beyond are counted. [count]"""

MOST_ROWS = 10_000
"""Longest list, and most names in an object. [count]"""

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Years that a date may lie in. Ours: so that counting weeks from it cannot leave the calendar."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a document."""

    path: str
    """Where, as a JSON path without the leading `$`, such as `media[0].fill_loss`."""
    value: object
    """The value found there; None where it is missing."""
    message: str
    """What is wrong and what would be right, beginning with the value; a `Said`."""

    def __str__(self):
        if not self.path:
            return self.message
        return say("{path}: {message}", path=self.path, message=self.message)


class Faults(list):
    """A list of the first `MOST_FAULTS` faults, which counts the others in `more`."""

    def __init__(self, faults=()):
        super().__init__()
        self.more = 0
        self += faults

    def append(self, fault):
        """Add a fault, or only count it."""
        if len(self) < MOST_FAULTS:
            super().append(fault)
        else:
            self.more += 1

    def __iadd__(self, faults):
        for fault in faults:
            self.append(fault)
        self.more += getattr(faults, "more", 0)
        return self


class ByName(dict):
    """A dict that never changes and so has a hash."""

    def __hash__(self):
        return hash(frozenset(self.items()))

    def __deepcopy__(self, memo):
        return self

    def __reduce__(self):
        return ByName, (dict(self),)

    def _refuse(self, *args, **kwargs):
        raise TypeError("what stands in a scenario does not change; make another with replace().")

    __setitem__ = __delitem__ = __ior__ = clear = pop = popitem = setdefault = update = _refuse


def key(kind, default=MISSING):
    """A dataclass field read from a document by `kind`; without a default it is required."""
    return field(default=default, metadata={"kind": kind})


def read_record(cls, value, path, faults):
    """
    Read a JSON object into a dataclass whose fields were declared with `key`.

    Parameters
    ----------
    cls : type
        The dataclass.
    value : object
        What stands in the document, or a `cls` that was read from it before.
    path : str
        Where it stands.
    faults : list of Fault
        Faults found are added to it.

    Returns
    -------
    cls or BAD

    Examples
    --------
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
        return _wrong(
            value,
            path,
            faults,
            say("{value} is not an object; write {{…}} with its keys", value=show(value)),
        )
    known = _kinds(cls)
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


def record(cls):
    """Kind: an object read into the dataclass `cls`."""
    return lambda value, path, faults: read_record(cls, value, path, faults)


def optional(kind):
    """Kind: null, or what `kind` takes."""
    return lambda value, path, faults: None if value is None else kind(value, path, faults)


def several(kind, *, at_least=0, at_most=MOST_ROWS):
    """Kind: a list of `at_least` to `at_most` values of one kind, read into a tuple."""

    def read(value, path, faults):
        if not isinstance(value, list):
            return _wrong(
                value, path, faults, say("{value} is not a list; write […]", value=show(value))
            )
        if len(value) < at_least:
            return _wrong(
                value,
                path,
                faults,
                say(
                    "{value} is too short; write at least {least}",
                    value=show(value),
                    least=at_least,
                ),
            )
        if len(value) > at_most:
            faults.append(
                Fault(
                    path,
                    len(value),
                    say("{rows} rows are too many; at most {most}", rows=len(value), most=at_most),
                )
            )
            return BAD
        items = [kind(item, f"{path}[{place}]", faults) for place, item in enumerate(value)]
        return BAD if BAD in items else tuple(items)

    return read


def by_name(kind, *, at_most=MOST_ROWS):
    """Kind: an object from names to values of one kind, read into a `ByName`."""

    def read(value, path, faults):
        if not isinstance(value, dict):
            return _wrong(
                value,
                path,
                faults,
                say("{value} is not an object; write {{…}} with names as keys", value=show(value)),
            )
        if len(value) > at_most:
            faults.append(
                Fault(
                    path,
                    len(value),
                    say(
                        "{names} names are too many; at most {most}", names=len(value), most=at_most
                    ),
                )
            )
            return BAD
        items = {name: kind(item, join(path, name), faults) for name, item in value.items()}
        return BAD if BAD in items.values() else ByName(items)

    return read


def text(*, empty=False, pattern=None, like=None):
    """Kind: text of at most `LONGEST_TEXT` characters, whole as `pattern` where one is given."""

    def read(value, path, faults):
        if not isinstance(value, str):
            return _wrong(
                value,
                path,
                faults,
                say('{value} is not text; write it in quotes, "…"', value=show(value)),
            )
        if not empty and not value.strip():
            return _wrong(
                value, path, faults, say("{value} is empty; write a name", value=show(value))
            )
        if len(value) > LONGEST_TEXT:
            return _wrong(
                value,
                path,
                faults,
                say(
                    "{value} is longer than {most} characters", value=show(value), most=LONGEST_TEXT
                ),
            )
        if any(unicodedata.category(c) in ("Cc", "Cs") for c in value):
            return _wrong(
                value,
                path,
                faults,
                say(
                    "{value} holds a line break, or what is no character at all", value=show(value)
                ),
            )
        if pattern is not None and not re.fullmatch(pattern, value):
            return _wrong(
                value, path, faults, say("{value} is not {like}", value=show(value), like=like)
            )
        return value

    return read


def one_of(*choices):
    """Kind: one of a few words."""

    def read(value, path, faults):
        if not isinstance(value, str) or value not in choices:
            return _wrong(
                value,
                path,
                faults,
                say(
                    "{value} is not one of {choices}",
                    value=show(value),
                    choices=Listed(choices, ","),
                ),
            )
        return value

    return read


def day(value, path, faults):
    """Kind: a day of the calendar, written as in ISO 8601, read into a `datetime.date`."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
        try:
            found = date.fromisoformat(value)
        except ValueError:
            return _wrong(
                value, path, faults, say("{value} is not a day of the calendar", value=show(value))
            )
        if FIRST_YEAR <= found.year <= LAST_YEAR:
            return found
        return _wrong(
            value,
            path,
            faults,
            say(
                "{value} is too far away; write a day from {first} to {last}",
                value=show(value),
                first=FIRST_YEAR,
                last=LAST_YEAR,
            ),
        )
    return _wrong(
        value,
        path,
        faults,
        say("{value} is not a date; write year, month and day as in 2027-05-20", value=show(value)),
    )


def yes_or_no(value, path, faults):
    """Kind: true or false."""
    if not isinstance(value, bool):
        return _wrong(
            value, path, faults, say("{value} is neither true nor false", value=show(value))
        )
    return value


def number(*, above=None, at_least=None, at_most=MOST):
    """Kind: a finite number within bounds, read as float."""
    rule = _number_rule(above, at_least, at_most)

    def read(value, path, faults):
        if isinstance(value, bool) or not isinstance(value, int | float):
            return _wrong(
                value,
                path,
                faults,
                say("{value} is not a number; write {rule}", value=show(value), rule=rule),
            )
        return _within(value, path, faults, above, at_least, at_most, rule)

    return read


def whole(*, at_least, at_most=1_000_000):
    """Kind: a whole number within bounds, read as int."""
    rule = _whole_rule(at_least, at_most)

    def read(value, path, faults):
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or (isinstance(value, float) and value % 1 > 0):
            return _wrong(
                value,
                path,
                faults,
                say("{value} is not a whole number; write {rule}", value=show(value), rule=rule),
            )
        found = _within(value, path, faults, None, at_least, at_most, rule)
        return BAD if found is BAD else int(found)

    return read


def share(*, zero=True, one=True, at_least=0.0):
    """
    Kind: a fraction from 0 to 1; `zero` and `one` say whether the ends are allowed.

    One that is not 0 is at least `at_least`.
    """

    def read(value, path, faults):
        if isinstance(value, bool) or not isinstance(value, int | float):
            return _wrong(
                value,
                path,
                faults,
                say("{value} is not a number; write a share such as 0.12", value=show(value)),
            )
        low = value >= 0 if zero else value > 0
        high = value <= 1 if one else value < 1
        if low and high and (value == 0 or value >= at_least):
            return float(value)
        if low and high:
            return _wrong(
                value,
                path,
                faults,
                say(
                    "{value} is too small; write a share of at least {least:g}",
                    value=show(value),
                    least=at_least,
                ),
            )
        gaps = {"value": show(value), "ends": _ENDS[zero, one]}
        if not 1 < value <= 100:
            return _wrong(value, path, faults, say("{value} is not a share {ends}", **gaps))
        message = say(
            "{value} is not a share {ends}; for {percent:g} % write {share:g}",
            **gaps,
            percent=value,
            share=value / 100,
        )
        return _wrong(value, path, faults, message)

    return read


_ENDS = {
    (True, True): phrase("between 0 and 1"),
    (True, False): phrase("between 0 and 1, below 1"),
    (False, True): phrase("between 0 and 1, above 0"),
    (False, False): phrase("between 0 and 1, above 0, below 1"),
}
"""Where a share may lie, by whether 0 and 1 are allowed."""


@lru_cache(maxsize=8192)
def join(path, name):
    """
    The JSON path of a key inside the object at `path`.

    Examples
    --------
    >>> join("media[0]", "fill_loss"), join("", "tax"), join("media[0].emergence", "red kale")
    ('media[0].fill_loss', 'tax', 'media[0].emergence["red kale"]')
    """
    if not re.fullmatch(r"[A-Za-z_]\w*", name):
        shown = name if len(name) <= 60 else name[:59] + "…"
        shown = "".join(c if c.isprintable() else "�" for c in shown)
        quoted = shown.replace("\\", "\\\\").replace('"', '\\"')
        return f'{path}["{quoted}"]'
    return f"{path}.{name}" if path else name


def show(value):
    """
    A value as it stands in a fault: short, on one line.

    Examples
    --------
    >>> show(12), show("a" * 100)
    ('12', '"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa…"')
    """
    if isinstance(value, str):
        shown = value if len(value) <= 60 else value[:59] + "…"
        return '"' + "".join(c if c.isprintable() else "�" for c in shown) + '"'
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, int) and abs(value) > MOST:
        return phrase("a number of more than nine digits")
    if isinstance(value, int | float):
        return f"{value:.12g}"
    if isinstance(value, list):
        return say("a list of {count}", count=len(value))
    return phrase("an object")


def _wrong(value, path, faults, message):
    faults.append(Fault(path, value, message))
    return BAD


def _within(value, path, faults, above, at_least, at_most, rule):
    if not (isinstance(value, int) or math.isfinite(value)):
        return _wrong(
            value,
            path,
            faults,
            say("{value} is not a finite number; write {rule}", value=show(value), rule=rule),
        )
    if (above is not None and value <= above) or (at_least is not None and value < at_least):
        return _wrong(
            value,
            path,
            faults,
            say("{value} is too small; write {rule}", value=show(value), rule=rule),
        )
    if value > at_most:
        return _wrong(
            value,
            path,
            faults,
            say("{value} is too large; write {rule}", value=show(value), rule=rule),
        )
    return float(value)


def _number_rule(above, at_least, at_most):
    """What number to write, as a phrase."""
    is_open = at_most >= _UNSAID
    if above is None:
        if is_open:
            return say("a number of at least {least:g}", least=at_least)
        return say(
            "a number of at least {least:g} and at most {most:g}", least=at_least, most=at_most
        )
    if is_open:
        return say("a number more than {above:g}", above=above)
    return say("a number more than {above:g} and at most {most:g}", above=above, most=at_most)


def _whole_rule(at_least, at_most):
    """What whole number to write, as a phrase."""
    if at_most >= _UNSAID:
        return say("a whole number of at least {least:g}", least=at_least)
    return say(
        "a whole number of at least {least:g} and at most {most:g}", least=at_least, most=at_most
    )
