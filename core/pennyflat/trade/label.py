"""The meaning of a size or price as people write it on a label or in a price list.

A comma or a full stop in a number is a decimal mark or separates thousands. If both occur, the last
is the decimal mark; so is one that is not followed by three digits; otherwise it depends on how the
rest of the list is written. [common practice, no source]
"""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.sentences import Amount, phrase, say
from pennyflat.units import LITRES

SPELLINGS = {
    "L": "l, lt, ltr, ltrs, liter, liters, litre, litres, dm3",
    "mL": "ml, milliliter, milliliters, millilitre, millilitres, cc, cm3",
    "m3": "m3, cbm, cu m, cubic meter, cubic meters, cubic metre, cubic metres",
    "qt_dry": "qt_dry, dry qt, dry qts, dry quart, dry quarts, qt dry, qts dry, quarts dry",
    "qt_liq": "qt_liq, liquid qt, liquid qts, liquid quart, liquid quarts, liq qt, liq qts",
    "gal_liq": "gal_liq, liquid gal, liquid gallon, liquid gallons, liq gal",
    "bu": "bu, bushel, bushels",
    "cu_in": "cu_in, cu in, in3, cubic inch, cubic inches",
    "cu_ft": "cu_ft, cu ft, cuft, cu feet, cft, cf, ft3, cubic foot, cubic feet",
    "cu_yd": "cu_yd, cu yd, cu yds, cuyd, cy, yd3, cubic yard, cubic yards",
    "g": "g, gr, gm, gram, grams, gramme, grammes",
    "kg": "kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes",
    "oz": "oz, ounce, ounces, oz av, oz wt",
    "lb": "lb, lbs, pound, pounds",
}
"""Ways to write each unit, in lower case, without full stops."""

ASSUMED = {
    "qt_dry": (
        "qt, qts, quart, quarts",
        phrase("Quarts taken as dry quarts, the measure for dry goods"),
    ),
    "gal_liq": ("gal, gals, gallon, gallons", phrase("Gallons taken as US liquid gallons")),
}
"""Ambiguous ways to write a unit, by the one assumed, with the wording of the assumption."""

_UNSURE = {word: unit for unit, (words, _) in ASSUMED.items() for word in words.split(", ")}
_SURE = {word: unit for unit, words in SPELLINGS.items() for word in words.split(", ")}
_UNITS = {"": ""} | _SURE | _UNSURE

_FLUID_OUNCES = re.compile(r"fl(uid)? ?(ozs?|ounces?)")  # 1/32 liquid quart each
_FRACTIONS = str.maketrans({"½": " 1/2", "¼": " 1/4", "¾": " 3/4"})
_FRACTION = re.compile(r"(?:(\d{1,3})\s+)?(\d{1,2})/(\d{1,2})")
_NUMBER = re.compile(r"\d[\d.,'’\s]*")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_SPACES = re.compile(r"[\s\u00a0\u202f]+")

SIGNS = {
    "€": "EUR", "£": "GBP", "$": "AUD CAD CLP HKD MXN NZD SGD USD", "US$": "USD", "A$": "AUD",
    "AU$": "AUD", "C$": "CAD", "CA$": "CAD", "NZ$": "NZD", "HK$": "HKD", "S$": "SGD", "R$": "BRL",
    "¥": "CNY JPY", "₹": "INR", "₺": "TRY", "₴": "UAH", "₱": "PHP", "₦": "NGN", "₩": "KRW",
    "₪": "ILS", "kr": "DKK ISK NOK SEK", "zł": "PLN", "Kč": "CZK", "Ft": "HUF", "lei": "RON",
    "Fr": "CHF",
}  # fmt: skip
"""The currencies that a sign is used for, by their codes. [ISO 4217; the signs of Unicode CLDR,
`symbol` and its narrow form, in the languages of the countries]"""

CODES = frozenset(" ".join(SIGNS.values()).split()) | {"KES", "THB", "ZAR"}
"""Codes that are read as a currency rather than as another word in capitals. [ISO 4217]"""

_SIGN = re.compile(r"[A-Z]{0,2}\$|[€£¥₹₺₴₱₦₩₪]|\b(?:[A-Z]{3}|kr|zł|Kč|Ft|lei|Fr)(?![^\W\d_])")


@dataclass(frozen=True, slots=True)
class Size:
    """The size on a label."""

    number: float
    """[unit]"""
    unit: str
    """A key of `units.LITRES` or `units.GRAMS`; empty if none is written."""
    notice: str | None = None
    """The assumption made, as a sentence."""


def read_number(text: str, *, decimal_mark: str = ".") -> float | None:
    """
    A number as people write it, ignoring units and currency signs.

    The decimal mark counts if the text alone leaves it open. None stands for no number, more than
    one, or a negative one.

    >>> [read_number(text) for text in ("5,20 €", "$ 1,234.50", "1.234,50", "5.-", "1 ½")]
    [5.2, 1234.5, 1234.5, 5.0, 1.5]
    >>> read_number("1,250"), read_number("1,250", decimal_mark=",")
    (1250.0, 1.25)
    >>> read_number("2 x 10 L"), read_number("-3"), read_number("cheap")
    (None, None, None)
    """
    text = _plain(text)
    around = "".join(set(text) - set("0123456789/ .,"))
    if fraction := _FRACTION.fullmatch(text.strip(around).strip()):
        whole, above, below = (int(part or 0) for part in fraction.groups())
        return whole + above / below if below else None
    found = _NUMBER.findall(text)
    if len(found) != 1 or re.search(r"[-−–]\s*\d", text):
        return None
    digits = re.sub(r"(?<=\d)['’\s](?=\d{3}(?!\d))", "", _bare(found[0].strip()))
    mark = _mark(digits) or decimal_mark
    other = "," if mark == "." else "."
    digits = re.sub(rf"(?<=\d)\{other}(?=\d{{3}}(?!\d))", "", digits).replace(mark, ".")
    return float(digits) if re.fullmatch(r"\d{1,15}(\.\d{1,15})?", digits, re.A) else None


def decimal_mark_in(texts: Iterable[str]) -> str | None:
    """
    The decimal mark that a list uses, or None if no cell tells.

    >>> decimal_mark_in(["1.500", "5,20"]), decimal_mark_in(["1.500", "5"])
    (',', None)
    """
    numbers = (_NUMBER.search(text) for text in texts if re.fullmatch(r"\D*\d[\d.,]*\D*", text))
    votes = Counter(mark for found in numbers if found and (mark := _mark(_bare(found[0]))))
    return votes.most_common(1)[0][0] if votes else None


def leaves_mark_open(text: str) -> bool:
    """
    Whether a number means something else with the other decimal mark.

    >>> [leaves_mark_open(text) for text in ("1,250 L", "1,25", "1.250,00")]
    [True, False, False]
    """
    found = _NUMBER.findall(text)
    return len(found) == 1 and bool(_THOUSANDS.fullmatch(found[0].strip()))


def read_size(text: str, *, decimal_mark: str = ".") -> Size | None:
    """
    A number with its unit, as on a label; None if either is unclear. See `read_number`.

    >>> read_size("25 litres"), read_size("1.5 Cu. Ft.")
    (Size(number=25.0, unit='L', notice=None), Size(number=1.5, unit='cu_ft', notice=None))
    >>> read_size("8 quarts").notice
    'Quarts taken as dry quarts, the measure for dry goods: 8.81 L.'
    >>> read_size("16 fl. oz.")
    Size(number=0.5, unit='qt_liq', notice=None)
    >>> read_size("8 firkins")
    """
    match = re.fullmatch(r"([\d.,'’/ ]*\d)[ -]*(\D.*)?", _plain(text))
    if match is None:
        return None
    number, written = read_number(match[1], decimal_mark=decimal_mark), match[2] or ""
    unit, notice = read_unit(written), None
    if number is not None and _FLUID_OUNCES.fullmatch(_word(written)):
        return Size(number / 32, "qt_liq")
    if number is None or unit is None:
        return None
    if _word(written) in _UNSURE:
        volume = Amount(number * LITRES[unit], "mix")
        notice = say("{assumed}: {volume:.3g}.", assumed=ASSUMED[unit][1], volume=volume)
    return Size(number, unit, notice)


def read_unit(text: str) -> str | None:
    """
    A unit as people write it: a key of `units.LITRES` or `units.GRAMS`.

    Empty for an empty text, None if it is unknown; the one that is assumed if it is ambiguous.

    >>> read_unit("Cubic feet"), read_unit("Quarts"), read_unit("fl oz"), read_unit("")
    ('cu_ft', 'qt_dry', None, '')
    """
    return _UNITS.get(_word(text))


def other_currency(currency: str, *texts: str) -> str:
    """
    The first sign or code that does not stand for the currency, in the first text that has any.

    Empty if there is none, or the currency is.

    >>> [other_currency(code, "$5.20", "€") for code in ("EUR", "CAD", "")]
    ['$', '', '']
    >>> other_currency("EUR", "5.20", "USD"), other_currency("EUR", "RRP 5.20", "49 kr")
    ('USD', 'kr')
    """
    for text in texts if currency else ():
        if signs := [sign for sign in _SIGN.findall(text) if sign in SIGNS or sign in CODES]:
            return next((s for s in signs if currency not in SIGNS.get(s, s).split()), "")
    return ""


def _plain(text):
    """With plain spaces, and fraction characters written out."""
    return _SPACES.sub(" ", text.translate(_FRACTIONS)).strip()


def _word(text):
    """The name of a unit in lower case, without marks and without its country."""
    word = _SPACES.sub(" ", text.lower().replace(".", " ").replace("³", "3")).strip()
    return re.sub(r"^u s |^us |[()]", "", word).strip()


def _bare(number):
    return number.rstrip(".,'’ ")


def _mark(digits):
    """The decimal mark in a number, if the number alone tells."""
    marks = re.findall(r"[.,]", digits)
    if len(set(marks)) == 2:
        return marks[-1]
    if len(marks) > 1:
        return "," if marks[0] == "." else "."
    return marks[0] if marks and not _THOUSANDS.fullmatch(digits) else None
