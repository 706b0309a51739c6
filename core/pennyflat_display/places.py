"""How numbers and days are written where the reader is, and which units the reader wants.

Marks, patterns and names come from the Unicode CLDR, via data/places.csv, which `build.py places`
writes. A *locale* is a language with an optional region, as in "fr" or "fr-CA".
"""

import re
from collections import defaultdict
from dataclasses import dataclass
from functools import cache

from pennyflat.trade.facts import rows
from pennyflat.units import CUSTOMARY

PLAIN = "en"
"""The locale before there is a reader, and for anything missing from the table."""

DECIMALS = dict.fromkeys(
    (
        "AUD", "BRL", "CAD", "CHF", "CLP", "CNY", "CZK", "DKK", "EUR", "GBP", "HUF", "INR", "JPY",
        "KES", "MXN", "NGN", "NOK", "NZD", "PHP", "PLN", "RON", "SEK", "TRY", "UAH", "USD", "ZAR",
    ),
    2,
) | {"CLP": 0, "JPY": 0}  # fmt: skip
"""The offered currencies: decimals of the minor unit by code. [ISO 4217]"""

METRIC, US = "metric", "US"
"""The two sets of units."""


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """How things are written in one locale. Patterns are as in UTS #35."""

    locale: str
    decimal: str
    group: str
    grouped_from: int
    """Least number whose thousands are separated."""
    minus: str
    money_decimal: str
    money_group: str
    money: str
    """A pattern; after a semicolon, the pattern for negative amounts."""
    percent: str
    day: str
    short_day: str
    moment: str
    names: dict
    """Names by (what, which): "month" 1 to 12, "weekday" 0 to 6 from Monday, "half day" am and pm,
    "symbol" and "currency" by code."""


@cache
def place_of(locale):
    """
    How things are written in a locale; in its language or `PLAIN` if the table lacks it.

    >>> place_of("de-AT").money_group, place_of("fr-FR").locale, place_of("tlh").locale
    ('.', 'fr', 'en')
    """
    found = defaultdict(dict)
    for row in rows("places"):
        found[row["locale"]][row["thing"], row["of"]] = row["text"]
    language = locale.partition("-")[0]
    if locale not in found:
        return place_of(language if language in found else PLAIN)
    texts = found[language] | found[locale]
    plain = {thing.replace(" ", "_"): text for (thing, of), text in texts.items() if not of}
    plain["grouped_from"] = int(plain["grouped_from"])
    return Place(locale=locale, names={key: texts[key] for key in texts if key[1]}, **plain)


def chosen(language, browser):
    """
    The locale for a language: the first of that language in the browser's order, or the plain one.

    >>> chosen("de", ["de-CH", "de-DE"]), chosen("es", ["de-CH"]), chosen("fr", [])
    ('de-CH', 'es', 'fr')
    """
    own = (locale for locale in browser if locale.partition("-")[0] == language)
    return next(own, language)


def usual_units(browser):
    """
    The usual units in the region of the browser's preferred locale.

    >>> usual_units(["es-US", "en-GB"]), usual_units(["en-GB"]), usual_units(["en"])
    ('US', 'metric', 'metric')
    """
    return US if browser and "US" in browser[0].split("-")[1:] else METRIC


def usual_currency(browser):
    """
    The currency of the region of the browser's preferred locale, None if it is not known.

    >>> usual_currency(["en-IN", "en-GB"]), usual_currency(["de-AT"]), usual_currency(["en"])
    ('INR', 'EUR', None)
    """
    regions = browser[0].split("-")[1:] if browser else ()
    known = {row["of"]: row["text"] for row in rows("places") if row["thing"] == "usual currency"}
    return next((known[region] for region in regions if region in known), None)


class Reader:
    """The current reader's place, units and currency for new plans, if known."""

    place = None
    units = METRIC
    currency = None


def settle(locale):
    """Switch to the formats of this locale."""
    Reader.place = place_of(locale)


def measure_in(units):
    """Switch to these units; anything but `US` means metric."""
    Reader.units = US if units == US else METRIC


def present():
    """The current place."""
    return Reader.place or place_of(PLAIN)


def units():
    """The current units."""
    return Reader.units


def unit_key(quantity, units):
    """The unit of a quantity in a set of units, as in `pennyflat.units.CUSTOMARY`."""
    return CUSTOMARY[quantity].unit if units == US else CUSTOMARY[quantity].metric


def unit_name(quantity, units):
    """The end of that unit's "short." key: a dry quart has no brackets beside other words."""
    key = unit_key(quantity, units)
    return "dry_qt" if key == "qt_dry" else key


def write(value, spec):
    """
    A number as by Python's `format`, such as ".3g" or ",.1f", with the current locale's marks.

    >>> settle("de")
    >>> write(1234.5, ",.1f"), write(0.125, "g"), write(-3, "d")
    ('1.234,5', '0,125', '-3')
    >>> settle(PLAIN)
    """
    place = present()
    return marked(format(value, spec), place.decimal, place.group, place)


def marked(text, decimal, group, place):
    """Python's text of a number with other marks, and thousands separated only if that is usual."""
    whole, point, fraction = text.partition(".")
    if whole.count(",") == 1 and len(whole.strip("-+")) < len(f"{place.grouped_from:,}"):
        whole = whole.replace(",", "")
    whole = whole.replace(",", group).replace("-", place.minus)
    return whole + (decimal + fraction if point else "")


_TOKEN = re.compile(r"'([^']*)'|E+|M+|d+|y+|H+|h+|m+|a")
_NUMBERS = {"d": "%d", "y": "%Y", "H": "%H", "h": "%I", "m": "%M"}
"""The directives of `strftime` for the fields of a pattern that are numbers."""


def day(on):
    """A day as it is written in a sentence."""
    return _filled(present().day, on)


def short_day(on):
    """A day without its year."""
    return _filled(present().short_day, on)


def moment(at):
    """
    A time of a day.

    >>> from datetime import datetime
    >>> moment(datetime(2027, 5, 20, 17, 5))
    'May 20, 5:05\\u202fPM'
    """
    return _filled(present().moment, at)


def _filled(pattern, at):
    named = {
        "E": ("weekday", str(at.weekday())),
        "M": ("month", str(at.month)),
        "a": ("half day", "am" if at.strftime("%H") < "12" else "pm"),
    }

    def written(match):
        field, quoted = match[0], match[1]
        if quoted is not None:
            return quoted
        if field[0] in named:
            return present().names[named[field[0]]]
        return str(int(at.strftime(_NUMBERS[field[0]]))).zfill(len(field))

    return _TOKEN.sub(written, pattern)
