"""Kinds of single values: text, days, numbers, shares.

A kind is a function of a value, its path and the faults found so far. It returns the value read, or
`BAD` after adding a fault.
"""

import math
import re
import unicodedata
from datetime import date
from typing import Any

from pennyflat.scenario.checking import BAD, Fault, Kind, show, wrong
from pennyflat.sentences import Listed, phrase, say

MOST = 1e9
"""Largest number that any field accepts. Ours: far above any shelf or nursery."""

_UNSAID = 1e6
"""Bounds from here on are mentioned only where a number is beyond them. Ours."""

LONGEST_TEXT = 200
"""Longest name or title. [characters] Ours."""

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Years that a date may lie in. Ours: so that adding weeks cannot overflow `date`."""


def text(*, empty: bool = False, pattern: str | None = None, like: str | None = None) -> Kind:
    """Kind: text of at most `LONGEST_TEXT` characters that fully matches `pattern`, if given."""

    def read(value, path, faults):
        if not isinstance(value, str):
            return wrong(
                value,
                path,
                faults,
                say('{value} is not text; write it in quotes, "…"', value=show(value)),
            )
        if not empty and not value.strip():
            return wrong(
                value, path, faults, say("{value} is empty; write a name", value=show(value))
            )
        if len(value) > LONGEST_TEXT:
            return wrong(
                value,
                path,
                faults,
                say(
                    "{value} is longer than {most} characters", value=show(value), most=LONGEST_TEXT
                ),
            )
        if any(unicodedata.category(c) in ("Cc", "Cs") for c in value):
            return wrong(
                value,
                path,
                faults,
                say(
                    "{value} holds a line break, or what is no character at all", value=show(value)
                ),
            )
        if pattern is not None and not re.fullmatch(pattern, value):
            return wrong(
                value, path, faults, say("{value} is not {like}", value=show(value), like=like)
            )
        return value

    return read


def one_of(*choices: str) -> Kind:
    """Kind: one of a few words."""

    def read(value, path, faults):
        if not isinstance(value, str) or value not in choices:
            return wrong(
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


def day(value: object, path: str, faults: list[Fault]) -> Any:
    """Kind: a calendar day in ISO 8601, read into a `datetime.date`."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
        try:
            found = date.fromisoformat(value)
        except ValueError:
            return wrong(
                value, path, faults, say("{value} is not a day of the calendar", value=show(value))
            )
        if FIRST_YEAR <= found.year <= LAST_YEAR:
            return found
        return wrong(
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
    return wrong(
        value,
        path,
        faults,
        say("{value} is not a date; write year, month and day as in 2027-05-20", value=show(value)),
    )


def yes_or_no(value: object, path: str, faults: list[Fault]) -> Any:
    """Kind: true or false."""
    if not isinstance(value, bool):
        return wrong(
            value, path, faults, say("{value} is neither true nor false", value=show(value))
        )
    return value


def number(
    *, above: float | None = None, at_least: float | None = None, at_most: float = MOST
) -> Kind:
    """Kind: a finite number within bounds, read as float."""
    rule = _number_rule(above, at_least, at_most)

    def read(value, path, faults):
        if isinstance(value, bool) or not isinstance(value, int | float):
            return wrong(
                value,
                path,
                faults,
                say("{value} is not a number; write {rule}", value=show(value), rule=rule),
            )
        return _within(value, path, faults, above, at_least, at_most, rule)

    return read


def whole(*, at_least: int, at_most: int = 1_000_000) -> Kind:
    """Kind: a whole number within bounds, read as int."""
    rule = _whole_rule(at_least, at_most)

    def read(value, path, faults):
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or (isinstance(value, float) and value % 1 > 0):
            return wrong(
                value,
                path,
                faults,
                say("{value} is not a whole number; write {rule}", value=show(value), rule=rule),
            )
        found = _within(value, path, faults, None, at_least, at_most, rule)
        return BAD if found is BAD else int(found)

    return read


def share(*, zero: bool = True, one: bool = True, at_least: float | None = 0.0) -> Kind:
    """
    Kind: a fraction from 0 to 1; `zero` and `one` say whether the ends are allowed.

    A fraction other than 0 is at least `at_least`.
    """

    def read(value, path, faults):
        if isinstance(value, bool) or not isinstance(value, int | float):
            return wrong(
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
            return wrong(
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
            return wrong(value, path, faults, say("{value} is not a share {ends}", **gaps))
        message = say(
            "{value} is not a share {ends}; for {percent:g} % write {share:g}",
            **gaps,
            percent=value,
            share=value / 100,
        )
        return wrong(value, path, faults, message)

    return read


_ENDS = {
    (True, True): phrase("between 0 and 1"),
    (True, False): phrase("between 0 and 1, below 1"),
    (False, True): phrase("between 0 and 1, above 0"),
    (False, False): phrase("between 0 and 1, above 0, below 1"),
}
"""The range of a share, by whether 0 and 1 are allowed."""


def _within(value, path, faults, above, at_least, at_most, rule):
    if not (isinstance(value, int) or math.isfinite(value)):
        return wrong(
            value,
            path,
            faults,
            say("{value} is not a finite number; write {rule}", value=show(value), rule=rule),
        )
    if (above is not None and value <= above) or (at_least is not None and value < at_least):
        return wrong(
            value,
            path,
            faults,
            say("{value} is too small; write {rule}", value=show(value), rule=rule),
        )
    if value > at_most:
        told = show(value)
        message = (
            say("{value} is too large; write at most {most:.0f}", value=told, most=at_most)
            if at_most >= _UNSAID
            else say("{value} is too large; write {rule}", value=told, rule=rule)
        )
        return wrong(value, path, faults, message)
    return float(value)


def _number_rule(above, at_least, at_most):
    """The rule for a number, as a phrase."""
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
    """The rule for a whole number, as a phrase."""
    if at_most >= _UNSAID:
        return say("a whole number of at least {least:g}", least=at_least)
    return say(
        "a whole number of at least {least:g} and at most {most:g}", least=at_least, most=at_most
    )
