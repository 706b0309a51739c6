"""What each entry field accepts, and how typed text becomes a value of the scenario and back.

Text that cannot be understood stays in the document as typed, and the scenario's own check reports
it. A blank field is None. Percentages are typed as such and stored as shares.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal

from pennyflat.sentences import GOODS
from reader import measures
from reader.numbers import counts_in, number_in, plain_number, without_currency


@dataclass(frozen=True, slots=True)
class Field:
    """One kind of entry field."""

    kind: str
    """"name", "text", "number", "money", "percent", "chance", "sure", "share", "yes", "choice",
    "day", or, for several values, "weeks" or "names". A chance is a percentage or a count,
    "17/20"; a share is one of a few choices."""
    needed: bool = False
    default: object = None
    """The model's value for a blank field; None if there is none."""
    quantity: str = ""
    """What is measured, if it is typed in the reader's units: a key of `units.CUSTOMARY`; or
    "stock", which is mix, weight or liquid depending on the goods."""


def _number(default=None, needed=False, of=""):
    return Field("number", needed, default, of)


FIELDS = {
    "title": Field("text", needed=True),
    "currency": Field("choice", needed=True),
    "tax": Field("percent", default=0.0),
    "assurance": Field("sure", default=0.9),
    "budget": Field("money"),
    "left_over_counts": Field("share", default=0.0),
    "stores[].name": Field("name", needed=True),
    "stores[].trip_cost": Field("money", default=0.0),
    "trays[].name": Field("name", needed=True),
    "trays[].cells": _number(needed=True),
    "trays[].price": Field("money", needed=True),
    "trays[].uses": _number(needed=True),
    "trays[].have": _number(),
    "trays[].store": Field("choice"),
    "packages[].store": Field("choice", needed=True),
    "packages[].size": _number(needed=True),
    "packages[].unit": Field("choice", needed=True),
    "packages[].price": Field("money", needed=True),
    "packages[].yields_l": _number(of="mix"),
    "packages[].limit": _number(),
    "packages[].deal.take": _number(needed=True),
    "packages[].deal.pay": Field("money", needed=True),
    "media[].name": Field("name", needed=True),
    "media[].feeds_for_weeks": _number(needed=True),
    "media[].fill_loss": Field("percent", default=0.15),
    "media[].pace": _number(1),
    "media[].shrink": Field("percent", default=0.0),
    "media[].stock": _number(0, of="mix"),
    "media[].keeps_seasons": _number(1),
    "media[].next_year_share": Field("percent", default=0.0),
    "media[].emergence{}": Field("chance"),
    "media[].survival{}": Field("percent"),
    "media[].unfit_for": Field("names"),
    "parts[].ingredient": Field("choice", needed=True),
    "parts[].parts": _number(needed=True),
    "additions[].ingredient": Field("choice", needed=True),
    "additions[].g_per_l": _number(needed=True, of="amendment"),
    "ingredients[].name": Field("name", needed=True),
    "ingredients[].stock": _number(0, of="stock"),
    "feed.name": Field("text", needed=True),
    "feed.n_percent": _number(),
    "feed.target_ppm_n": _number(),
    "feed.g_per_litre": _number(of="dry_dose"),
    "feed.ml_per_litre": _number(of="liquid_dose"),
    "feed.per_week": _number(needed=True),
    "feed.ml_per_cell": _number(needed=True, of="liquid"),
    "feed.stock": _number(0, of="stock"),
    "energy.light_watts": _number(needed=True),
    "energy.hours_per_day": _number(needed=True),
    "energy.mat_watts": _number(needed=True),
    "energy.mat_days": _number(needed=True),
    "energy.tariff": Field("money", needed=True),
    "energy.cells": _number(needed=True),
    "labour.minutes_per_cell": _number(needed=True),
    "labour.wage": Field("money", needed=True),
    "sowings[].crop": Field("name", needed=True),
    "sowings[].wanted": _number(needed=True),
    "sowings[].cell_ml": _number(needed=True, of="cell"),
    "sowings[].weeks": _number(needed=True),
    "sowings[].germination": Field("chance", needed=True),
    "sowings[].seeds_per_cell": _number(1),
    "sowings[].survival": Field("percent", default=1.0),
    "sowings[].seed_stock": _number(0),
    "sowings[].seed_price": Field("money", default=0.0),
    "sowings[].tray": Field("choice"),
    "sowings[].remedy": Field("choice", default="feed"),
    "sowings[].presprout": Field("yes", default=False),
    "sowings[].take": Field("percent", default=0.95),
    "sowings[].medium": Field("choice"),
    "sowings[].pot_on.medium": Field("choice", needed=True),
    "sowings[].pot_on.cell_ml": _number(needed=True, of="cell"),
    "sowings[].pot_on.tray": Field("choice"),
    "sowings[].pot_on.at_week": _number(),
    "sowings[].container": Field("choice"),
    "sowings[].shape.form": Field("choice"),
    "sowings[].shape.top_cm": _number(of="length"),
    "sowings[].shape.bottom_cm": _number(of="length"),
    "sowings[].shape.depth_cm": _number(of="length"),
    "sowings[].shape.fill_height": Field("percent", default=1.0),
    "sowings[].plant_out": Field("day"),
    "sowings[].germinate_at_c": _number(of="temperature"),
    "last_frost": Field("day"),
    "media[].kind": Field("choice"),
    "trials[].medium": Field("choice", needed=True),
    "trials[].crop": Field("choice", needed=True),
    "trials[].sown": _number(needed=True),
    "trials[].sown_on": Field("day"),
    "trials[].label": Field("text", default=""),
    "trials[].abnormal": _number(0),
    "trials[].counts[].day": _number(needed=True),
    "trials[].counts[].emerged": _number(needed=True),
    "trials[].water[].minute": _number(needed=True),
    "trials[].water[].ml": _number(needed=True, of="liquid"),
    "trials[].looks[].week": _number(needed=True),
    "trials[].looks[].height_mm": _number(of="height"),
    "trials[].looks[].leaves": Field("choice"),
    "trials[].fed_in_weeks": Field("weeks"),
    "trials[].photos": Field("names"),
    "trials[].notes": Field("text", default=""),
    "happened.sowings[].medium": Field("choice", needed=True),
    "happened.sowings[].cells": _number(),
    "happened.sowings[].up": _number(),
    "happened.sowings[].ready": _number(),
    "happened.sowings[].weeks": _number(),
    "happened.bags[].litres": _number(of="mix"),
    "happened.bags[].left": _number(of="mix"),
    "happened.feed_had": _number(of="stock"),
    "happened.feed_left": _number(of="stock"),
    "happened.minutes": _number(),
    "bench.on": Field("day"),
    "bench.day": _number(),
    "bench.crop": Field("choice"),
    "bench.pasted": Field("text"),
    "bench.count[]": _number(),
    "lookup.sight": Field("choice"),
    "lookup.bag": Field("choice"),
    **{f"lookup.{key}": Field("text") for key in ("size_a", "size_b", "front", "listed")},
    **{f"lookup.{key}": Field("money") for key in ("price_a", "price_b")},
    "lookup.method": Field("choice"),
    "lookup.rich": Field("choice"),
    "lookup.lean": Field("choice"),
    "lookup.feed": Field("choice"),
    **{f"lookup.{key}": _number() for key in ("ec", "n", "p2o5", "k2o", "ppm_n", "addition_n")},
    **{f"lookup.{key}": _number() for key in ("months", "wet", "other_wet")},
    "lookup.dose": _number(of="dry_dose"),
    "lookup.addition_g": _number(of="amendment"),
    "seed_packets[].store": Field("choice", needed=True),
    "seed_packets[].seeds": _number(),
    "seed_packets[].price": Field("money", needed=True),
    "seed_packets[].grams": _number(),
    "seed_packets[].seeds_per_gram": _number(),
    "seed_packets[].deal.take": _number(needed=True),
    "seed_packets[].deal.pay": Field("money", needed=True),
    "seed_packets[].limit": _number(),
}
"""The field at each place of the document; `[]` stands for any row, `{}` for any key."""

_SHARED = re.compile(r"^.*?(?=(?:packages|seed_packets|parts|additions)\[\]\.)")
_STEP = re.compile(r'\.?([A-Za-z_]\w*)|\[(\d+)\]|\["((?:[^"\\]|\\.)*)"\]')
BY_CROP = ("emergence", "survival")
"""Objects of a medium that hold a value for each crop."""


def steps(path):
    """
    The keys and row numbers of a JSON path.

    Raises
    ------
    ValueError
        If it is not such a path.

    Examples
    --------
    >>> steps('media[0].emergence["red kale"]')
    ('media', 0, 'emergence', 'red kale')
    """
    found, end = [], 0
    for match in _STEP.finditer(path):
        if match.start() != end:
            break
        end = match.end()
        name, row, quoted = match.groups()
        if row is not None:
            found.append(int(row))
        else:
            found.append(name if quoted is None else re.sub(r"\\(.)", r"\1", quoted))
    if end != len(path) or not found:
        raise ValueError(f"{path!r} is not a path in a scenario.")
    return tuple(found)


def path_of(parts):
    """
    The JSON path of keys and row numbers; the inverse of `steps`.

    Examples
    --------
    >>> path_of(("media", 0, "emergence", "red kale"))
    'media[0].emergence["red kale"]'
    """
    text = ""
    for part in parts:
        if isinstance(part, int):
            text += f"[{part}]"
        elif re.fullmatch(r"[A-Za-z_]\w*", part):
            text += f".{part}" if text else part
        else:
            quoted = part.replace("\\", "\\\\").replace('"', '\\"')
            text += f'["{quoted}"]'
    return text


def place(parts):
    """
    The place in `FIELDS` of a path.

    Examples
    --------
    >>> place(("media", 2, "packages", 0, "price")), place(("media", 2, "emergence", "leek"))
    ('packages[].price', 'media[].emergence{}')
    """
    text = ""
    for before, part in zip((None, *parts), parts, strict=False):
        if isinstance(part, int):
            text += "[]"
        elif before in BY_CROP:
            text += "{}"
        else:
            text += f".{part}" if text else part
    return _SHARED.sub("", text)


def field_at(parts):
    """The `Field` at a path; KeyError if nothing can be typed there."""
    return FIELDS[place(parts)]


def stocked(field, measure):
    """A stock's field for goods used in this measure; any other field unchanged."""
    is_stock = field.quantity == "stock"
    return replace(field, quantity=GOODS[measure]) if is_stock else field


def read_text(text, field, currency):
    """
    The value of typed text.

    Parameters
    ----------
    text : str
    field : Field
    currency : money.Currency
        Its place decides what a single mark before exactly three digits means, and its units those
        of a typed amount.

    Returns
    -------
    str, int, float, bool or None
        None if blank; the text itself if it cannot be understood.

    Examples
    --------
    >>> from pennyflat_display import places
    >>> from pennyflat_display.money import currency_of
    >>> usd = currency_of("USD")
    >>> read_text("5,20", FIELDS["packages[].price"], usd)
    5.2
    >>> read_text("1 250,5", FIELDS["packages[].size"], usd)
    1250.5
    >>> read_text("1,250", FIELDS["packages[].size"], usd)
    1250
    >>> places.settle("de")
    >>> read_text("1,250", FIELDS["packages[].size"], currency_of("EUR"))
    1.25
    >>> places.measure_in(places.US)
    >>> read_text("18,7", FIELDS["sowings[].cell_ml"], currency_of("EUR"))
    306.4380968
    >>> places.settle(places.PLAIN), places.measure_in(places.METRIC)
    (None, None)
    >>> read_text("12 %", FIELDS["tax"], usd)
    0.12
    >>> read_text("a lot", FIELDS["tax"], usd)
    'a lot'
    >>> read_text("17/20", FIELDS["sowings[].germination"], usd)
    {'up': 17, 'sown': 20}
    """
    if field.kind in ("name", "text"):
        return text
    if field.kind == "yes":
        return text == "yes"
    if not text.strip():
        return None
    if field.kind in ("choice", "day"):
        return text
    if field.kind in ("weeks", "names"):
        return _several(text, field, currency)
    if field.kind in ("sure", "share"):
        return None if text == "expected" else plain_number(text, text)
    is_percent = field.kind in ("percent", "chance")
    if field.kind == "chance" and (counts := counts_in(text)):
        return counts
    bare = text.replace("%", "") if is_percent else text
    if field.kind == "money":
        bare = without_currency(bare, currency)
    value = number_in(bare, currency)
    if value is None:
        return text
    if is_percent:
        return round(value / 100, 12)
    if field.quantity:
        value = measures.meant(value, field.quantity, currency)
    return int(value) if value == int(value) else value


def write_text(value, field, currency):
    """
    The text an entry field shows for a value: without group marks, so that it reads back unchanged.

    An amount typed in the displayed units comes back as typed; one typed in the other units is
    rounded.

    Examples
    --------
    >>> from pennyflat_display.money import currency_of
    >>> write_text(0.15, FIELDS["tax"], currency_of("EUR"))
    '15'
    >>> write_text(5.2, FIELDS["packages[].price"], currency_of("EUR"))
    '5.20'
    >>> write_text(306.4380968, FIELDS["sowings[].cell_ml"], currency_of("EUR"))
    '306.4'
    >>> write_text(0.015, FIELDS["sowings[].seed_price"], currency_of("USD"))
    '0.015'
    >>> write_text({"up": 17, "sown": 20}, FIELDS["sowings[].germination"], currency_of("USD"))
    '17/20'
    """
    if value is None:
        return "expected" if field.kind == "sure" else ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, list):
        return "; ".join(write_text(each, FIELDS["bench.day"], currency) for each in value)
    if field.kind == "chance" and isinstance(value, dict):
        return f"{value.get('up')}/{value.get('sown')}"
    if not isinstance(value, int | float):
        return str(value)
    if field.kind in ("sure", "share"):
        return f"{value:.12g}"
    is_percent = field.kind in ("percent", "chance")
    text = _digits(value * 100 if is_percent else value, field, currency)
    if field.kind == "money":
        whole, _, fraction = text.partition(".")
        fraction = fraction.ljust(currency.decimals, "0")
        return f"{whole}{currency.place.money_decimal}{fraction}" if fraction else whole
    return text.replace(".", currency.decimal_mark)


def exact_text(value, field, currency):
    """The text that gives exactly this value when typed; it may be longer."""
    if not field.quantity or not isinstance(value, int | float):
        return write_text(value, field, currency)
    text = _without_exponent(measures.exact(value, field.quantity, currency))
    return text.replace(".", currency.decimal_mark)


def _digits(value, field, currency):
    """A number for an entry field, in the units shown, with a decimal point."""
    if not field.quantity:
        return _without_exponent(f"{value:.12g}")
    return _without_exponent(measures.as_typed(value, field.quantity, currency))


def _without_exponent(text):
    return f"{Decimal(text):f}" if "e" in text else text


def _several(text, field, currency):
    """Names, or weeks as numbers, separated by semicolons; the text itself if one is invalid."""
    items = [item.strip() for item in text.split(";") if item.strip()]
    if field.kind == "names":
        return items
    numbers = [read_text(item, FIELDS["bench.day"], currency) for item in items]
    return text if any(isinstance(number, str) for number in numbers) else numbers
