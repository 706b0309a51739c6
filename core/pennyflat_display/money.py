"""How money and plain numbers are written for the current reader.

Codes and decimals follow ISO 4217. Marks, symbols and their places are those of the reader's locale
(see places.py), whatever the currency's country.
"""

from dataclasses import dataclass, field
from functools import cache

from pennyflat_display import places
from pennyflat_display.places import DECIMALS, Place

NO_BREAK_SPACE = "\u00a0"


@dataclass(frozen=True, slots=True)
class Currency:
    """One currency, and how to write it, numbers and amounts for a reader."""

    code: str
    """Alphabetic code. [ISO 4217]"""
    name: str
    symbol: str
    decimals: int
    """Decimals of the minor unit. [ISO 4217]"""
    around: tuple = field(repr=False)
    """Text before and after an amount of money, and before and after a negative one."""
    place: Place = field(repr=False)
    units: str
    """The units of displayed amounts, `places.METRIC` or `places.US`."""


def currency_of(code):
    """
    A currency as shown to the current reader; an unknown one uses its code as symbol.

    >>> currency_of("CAD").symbol, currency_of("doubloons").symbol
    ('CA$', 'doubloons')
    """
    code = code if isinstance(code, str) else str(code or "")
    return _currency(code, places.present(), places.units())


@cache
def _currency(code, place, units):
    name, symbol = (place.names.get((what, code), code) for what in ("currency", "symbol"))
    positive, _, negative = place.money.partition(";")
    around = [_around(pattern, symbol, place) for pattern in (positive, negative or f"-{positive}")]
    return Currency(code, name, symbol, DECIMALS.get(code, 2), tuple(around), place, units)


def _around(pattern, symbol, place):
    """Text before and after the number in a money pattern. [UTS #35]"""
    before, after = pattern.split("#,##0.00")
    if before[-1:] == "¤" and symbol[-1:].isalpha():
        before += NO_BREAK_SPACE  # currencySpacing
    return tuple(part.replace("¤", symbol).replace("-", place.minus) for part in (before, after))


def amount(value, currency, decimals=None):
    """
    Money as text.

    >>> amount(1250.5, currency_of("USD")), amount(-0.2234, currency_of("CHF"), 3)
    ('$1,250.50', '-CHF\\xa00.223')
    """
    place = currency.place
    digits = f"{value:z,.{currency.decimals if decimals is None else decimals}f}"
    before, after = currency.around[digits.startswith("-")]
    digits = digits.removeprefix("-")
    return before + places.marked(digits, place.money_decimal, place.money_group, place) + after


def each(value, currency):
    """Money for one seedling or one litre: one more decimal than coins have, below ten."""
    return amount(value, currency, currency.decimals + (abs(value) < 10))


def number(value, currency, decimals):
    """A number as text."""
    place = currency.place
    return places.marked(f"{value:z,.{decimals}f}", place.decimal, place.group, place)


def short(value, currency, digits=3):
    """
    A number as text with this many significant digits and no trailing zeros.

    >>> short(8.80976754, currency_of("USD")), short(6900, currency_of("USD"))
    ('8.81', '6,900')
    """
    if not value:
        return "0"
    size = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    fraction = f"{abs(value):.12f}".partition(".")[2]
    leading = 0 if abs(value) >= 1 else len(fraction) - len(fraction.lstrip("0"))
    text = number(value, currency, max(0, digits - size + leading))
    mark = currency.place.decimal
    if mark in text:
        text = text.rstrip("0").removesuffix(mark)
    return text


def percent(share, currency, digits=3):
    """A share as a percentage with this many significant digits and its sign."""
    return with_percent_sign(short(share * 100, currency, digits), currency)


def whole_percent(share, currency):
    """A share as a percentage without decimals."""
    return with_percent_sign(number(share * 100, currency, 0), currency)


def with_percent_sign(text, currency):
    """A percentage that is already text, with its sign."""
    return currency.place.percent.replace("#,##0", text)
