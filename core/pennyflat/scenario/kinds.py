"""Kinds, as `checking` defines them, of single values: text, days, numbers, shares."""

import math
import re
import unicodedata
from datetime import date
from typing import Any

from pennyflat.scenario.checking import Faults, Kind, show, wrong
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
            message = say('{value} is not text; write it in quotes, "…"', value=show(value))
        elif not empty and not value.strip():
            message = say("{value} is empty; write a name", value=show(value))
        elif len(value) > LONGEST_TEXT:
            message = say(
                "{value} is longer than {most} characters", value=show(value), most=LONGEST_TEXT
            )
        elif any(unicodedata.category(c) in ("Cc", "Cs") for c in value):
            message = say(
                "{value} holds a line break, or what is no character at all", value=show(value)
            )
        elif pattern is not None and not re.fullmatch(pattern, value):
            message = say("{value} is not {like}", value=show(value), like=like)
        else:
            return value
        return wrong(value, path, faults, message)

    return read


def one_of(*choices: str) -> Kind:
    """Kind: one of a few words."""

    def read(value, path, faults):
        if isinstance(value, str) and value in choices:
            return value
        listed = Listed(choices, ",")
        message = say("{value} is not one of {choices}", value=show(value), choices=listed)
        return wrong(value, path, faults, message)

    return read


def day(value: object, path: str, faults: Faults) -> Any:
    """Kind: a calendar day in ISO 8601, read into a `datetime.date`."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
        try:
            found = date.fromisoformat(value)
        except ValueError:
            message = say("{value} is not a day of the calendar", value=show(value))
        else:
            if FIRST_YEAR <= found.year <= LAST_YEAR:
                return found
            message = say(
                "{value} is too far away; write a day from {first} to {last}",
                value=show(value),
                first=FIRST_YEAR,
                last=LAST_YEAR,
            )
    else:
        message = say(
            "{value} is not a date; write year, month and day as in 2027-05-20", value=show(value)
        )
    return wrong(value, path, faults, message)


def yes_or_no(value: object, path: str, faults: Faults) -> Any:
    """Kind: true or false."""
    if isinstance(value, bool):
        return value
    message = say("{value} is neither true nor false", value=show(value))
    return wrong(value, path, faults, message)


def number(
    *, above: float | None = None, at_least: float = -math.inf, at_most: float = MOST
) -> Kind:
    """Kind: a finite number within bounds, read as float."""
    is_open = at_most >= _UNSAID
    if above is None and is_open:
        rule = say("a number of at least {least:g}", least=at_least)
    elif above is None:
        rule = say(
            "a number of at least {least:g} and at most {most:g}", least=at_least, most=at_most
        )
    elif is_open:
        rule = say("a number more than {above:g}", above=above)
    else:
        rule = say("a number more than {above:g} and at most {most:g}", above=above, most=at_most)

    def read(value, path, faults):
        if not _is_number(value):
            message = say("{value} is not a number; write {rule}", value=show(value), rule=rule)
        else:
            message = _out_of_bounds(value, above, at_least, at_most, rule)
        return wrong(value, path, faults, message) if message else float(value)

    return read


def whole(*, at_least: int, at_most: int = 1_000_000) -> Kind:
    """Kind: a whole number within bounds, read as int."""
    if at_most >= _UNSAID:
        rule = say("a whole number of at least {least:g}", least=at_least)
    else:
        rule = say(
            "a whole number of at least {least:g} and at most {most:g}",
            least=at_least,
            most=at_most,
        )

    def read(value, path, faults):
        if not _is_number(value) or (isinstance(value, float) and value % 1 > 0):
            message = say(
                "{value} is not a whole number; write {rule}", value=show(value), rule=rule
            )
        else:
            message = _out_of_bounds(value, None, at_least, at_most, rule)
        return wrong(value, path, faults, message) if message else int(value)

    return read


def share(*, zero: bool = True, one: bool = True, at_least: float = 0.0) -> Kind:
    """
    Kind: a fraction from 0 to 1; `zero` and `one` say whether the ends are allowed.

    A fraction other than 0 is at least `at_least`.
    """

    def read(value, path, faults):
        if not _is_number(value):
            message = say("{value} is not a number; write a share such as 0.12", value=show(value))
        elif (0 < value < 1) or (zero and value == 0) or (one and value == 1):
            if value == 0 or value >= at_least:
                return float(value)
            message = say(
                "{value} is too small; write a share of at least {least:g}",
                value=show(value),
                least=at_least,
            )
        elif 1 < value <= 100:
            message = say(
                "{value} is not a share {ends}; for {percent:g} % write {share:g}",
                value=show(value),
                ends=_ENDS[zero, one],
                percent=value,
                share=value / 100,
            )
        else:
            message = say("{value} is not a share {ends}", value=show(value), ends=_ENDS[zero, one])
        return wrong(value, path, faults, message)

    return read


_ENDS = {
    (True, True): phrase("between 0 and 1"),
    (True, False): phrase("between 0 and 1, below 1"),
    (False, True): phrase("between 0 and 1, above 0"),
    (False, False): phrase("between 0 and 1, above 0, below 1"),
}
"""The range of a share, by whether 0 and 1 are allowed."""


def _is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


def _out_of_bounds(value, above, at_least, at_most, rule):
    """What is wrong with a number; None if it is finite and within bounds."""
    if isinstance(value, float) and not math.isfinite(value):
        return say("{value} is not a finite number; write {rule}", value=show(value), rule=rule)
    if value < at_least or (above is not None and value <= above):
        return say("{value} is too small; write {rule}", value=show(value), rule=rule)
    if value <= at_most:
        return None
    if at_most >= _UNSAID:
        return say(
            "{value} is too large; write at most {most:.0f}", value=show(value), most=at_most
        )
    return say("{value} is too large; write {rule}", value=show(value), rule=rule)
