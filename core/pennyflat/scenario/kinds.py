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
            gaps = {"value": show(value), "most": LONGEST_TEXT}
            message = say("{value} is longer than {most} characters", **gaps)
        elif any(unicodedata.category(c) in ("Cc", "Cs") for c in value):
            shown = show(value)
            message = say("{value} holds a line break, or what is no character at all", value=shown)
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
    gaps = {"value": show(value), "first": FIRST_YEAR, "last": LAST_YEAR}
    if not isinstance(value, str) or not re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
        message = say("{value} is not a date; write year, month and day as in 2027-05-20", **gaps)
        return wrong(value, path, faults, message)
    try:
        found = date.fromisoformat(value)
    except ValueError:
        return wrong(value, path, faults, say("{value} is not a day of the calendar", **gaps))
    if FIRST_YEAR <= found.year <= LAST_YEAR:
        return found
    message = say("{value} is too far away; write a day from {first} to {last}", **gaps)
    return wrong(value, path, faults, message)


def yes_or_no(value: object, path: str, faults: Faults) -> Any:
    """Kind: true or false."""
    if isinstance(value, bool):
        return value
    message = say("{value} is neither true nor false", value=show(value))
    return wrong(value, path, faults, message)


def number(*, above: float = -math.inf, at_least: float = -math.inf, at_most: float = MOST) -> Kind:
    """Kind: a finite number within bounds, read as float."""
    bounds = {"above": above, "least": at_least, "most": at_most}
    if above > -math.inf and at_most >= _UNSAID:
        rule = say("a number more than {above:g}", **bounds)
    elif above > -math.inf:
        rule = say("a number more than {above:g} and at most {most:g}", **bounds)
    elif at_most >= _UNSAID:
        rule = say("a number of at least {least:g}", **bounds)
    else:
        rule = say("a number of at least {least:g} and at most {most:g}", **bounds)
    return _bounded(float, rule, at_least, at_most, above)


def whole(*, at_least: int, at_most: int = 1_000_000) -> Kind:
    """Kind: a whole number within bounds, read as int."""
    bounds = {"least": at_least, "most": at_most}
    if at_most >= _UNSAID:
        rule = say("a whole number of at least {least:g}", **bounds)
    else:
        rule = say("a whole number of at least {least:g} and at most {most:g}", **bounds)
    return _bounded(int, rule, at_least, at_most, -math.inf)


def _bounded(cls, rule, at_least, at_most, above):
    """Kind: a number by a rule in words, read as `cls`."""

    def read(value, path, faults):
        is_right = _is_number(value) and not (cls is int and value % 1 > 0)
        if is_right and at_least <= value <= at_most and value > above:
            return cls(value)
        gaps = {"value": show(value), "rule": rule, "most": at_most}
        if not is_right and cls is int:
            message = say("{value} is not a whole number; write {rule}", **gaps)
        elif not is_right:
            message = say("{value} is not a number; write {rule}", **gaps)
        elif isinstance(value, float) and not math.isfinite(value):
            message = say("{value} is not a finite number; write {rule}", **gaps)
        elif value <= at_most:
            message = say("{value} is too small; write {rule}", **gaps)
        elif at_most >= _UNSAID:
            message = say("{value} is too large; write at most {most:,.0f}", **gaps)
        else:
            message = say("{value} is too large; write {rule}", **gaps)
        return wrong(value, path, faults, message)

    return read


_ENDS = {
    (True, True): phrase("between 0 and 1"),
    (True, False): phrase("between 0 and 1, below 1"),
    (False, True): phrase("between 0 and 1, above 0"),
    (False, False): phrase("between 0 and 1, above 0, below 1"),
}
"""The range of a share, by whether 0 and 1 are allowed."""


def share(*, zero: bool = True, one: bool = True, at_least: float = 0.0) -> Kind:
    """
    Kind: a fraction from 0 to 1, `at_least` so large if it is not 0.

    `zero` and `one` say whether the ends are allowed.
    """

    def read(value, path, faults):
        gaps = {"value": show(value), "least": at_least, "ends": _ENDS[zero, one]}
        if not _is_number(value):
            message = say("{value} is not a number; write a share such as 0.12", **gaps)
        elif 0 < value < at_least:
            message = say("{value} is too small; write a share of at least {least:g}", **gaps)
        elif 0 < value < 1 or (zero and value == 0) or (one and value == 1):
            return float(value)
        elif 1 < value <= 100:
            message = say(
                "{value} is not a share {ends}; for {percent:g} % write {share:g}",
                percent=value,
                share=value / 100,
                **gaps,
            )
        else:
            message = say("{value} is not a share {ends}", **gaps)
        return wrong(value, path, faults, message)

    return read


def _is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)
