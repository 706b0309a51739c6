"""Writes data/places.csv, how numbers, money and days are written, from the Unicode CLDR via Babel.

The page reads that table instead of using Babel. A language has all rows; each of its regions has
only those that differ.
"""

import csv

from babel import Locale
from babel.core import get_cldr_version
from babel.numbers import get_currency_name, get_currency_symbol, get_territory_currencies

from pennyflat_display.places import DECIMALS
from webapp.build.environment import ROOT, say

TABLE = ROOT / "data" / "places.csv"

PLACES = {
    "en": ("en_US", "en_GB", "en_IE", "en_CA", "en_AU"),
    "es": ("es_ES", "es_MX", "es_US"),
    "fr": ("fr_FR", "fr_CA", "fr_CH"),
    "de": ("de_DE", "de_AT", "de_CH"),
}
"""The regions of each language, in Babel's spelling."""

NOT_IN_BABEL = {
    ("es", "grouped from"): "10000",
    ("es_MX", "grouped from"): "1000",
    ("es_US", "grouped from"): "1000",
    ("de_AT", "group"): "\u00a0",
}
"""Where Babel lacks or deviates from the CLDR, as in Node's `Intl.NumberFormat`."""


def write_table():
    """Update data/places.csv."""
    found = list(rows_of_all())
    babel = ("cldr", f"version {get_cldr_version()}, as Babel has it", "second-hand")
    node = ("cldr", "version 48, as Intl.NumberFormat of Node 20 has it", "second-hand")
    with open(TABLE, "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("locale", "thing", "of", "text", "source_id", "place", "kind"))
        for locale, thing, of, text in found:
            known = node if (locale, thing) in NOT_IN_BABEL else babel
            writer.writerow((locale.replace("_", "-"), thing, of, text, *known))
    say(f"{TABLE.relative_to(ROOT)} has {len(found)} rows.")


def rows_of_all():
    """(locale, thing, of what, text) for every row."""
    for language, regions in PLACES.items():
        common = {}
        for place in (language, *regions):
            own = _things(place)
            yield from ((place, *key, text) for key, text in own.items() if common.get(key) != text)
            common = common or own
    for region in sorted(Locale("en").territories):
        found = get_territory_currencies(region)
        if found and found[0] in DECIMALS:
            yield "und", "usual currency", region, found[0]


def _things(name):
    """What the page needs to know about a locale: {(thing, of what): text}."""
    locale = Locale.parse(name)
    symbols, skeletons = locale.number_symbols["latn"], locale.datetime_skeletons
    moment = locale.datetime_formats["medium"].replace("{1}", skeletons["MMMd"].pattern)
    plain = {
        "decimal": symbols["decimal"],
        "group": symbols["group"],
        "grouped from": "1000",
        "minus": symbols["minusSign"],
        "money decimal": symbols.get("currencyDecimal", symbols["decimal"]),
        "money group": symbols.get("currencyGroup", symbols["group"]),
        "money": locale.currency_formats["standard"].pattern,
        "percent": locale.percent_formats[None].pattern,
        "day": skeletons["yMMMEd"].pattern,
        "short day": skeletons["MMMd"].pattern,
        "moment": moment.replace("{0}", locale.time_formats["short"].pattern),
    }
    for (place, thing), text in NOT_IN_BABEL.items():
        if place in (locale.language, name):
            plain[thing] = text
    found = {(thing, ""): text for thing, text in plain.items()}
    for half in ("am", "pm"):
        found["half day", half] = locale.day_periods["format"]["abbreviated"][half]
    for thing, texts in ("month", locale.months), ("weekday", locale.days):
        for number, text in texts["format"]["abbreviated"].items():
            found[thing, str(number)] = text
    for code in DECIMALS:
        found["symbol", code] = get_currency_symbol(code, name)
        found["currency", code] = get_currency_name(code, locale=name)
    return found
