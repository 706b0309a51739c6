"""What each entry field accepts, and how typed text becomes a value of the scenario and back.

Text that cannot be understood stays in the document as typed, and the scenario's own check reports
it. A blank field is None. Percentages are typed as such and stored as shares.
"""

import math
import re
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache, partial
from typing import get_args, get_origin

from pennyflat.scenario.checking import ByName
from pennyflat.scenario.records import Scenario, Shape
from pennyflat.sentences import GOODS
from pennyflat.trade import facts as tables
from pennyflat.trade.label import read_size
from pennyflat.units import LITRES
from pennyflat_display.places import DECIMALS
from reader import measures


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


KINDS = {
    key: kind
    for kind, keys in {
        "name": "name sowings[].crop",
        "text": "title feed.name label notes",
        "money": "budget trip_cost price pay tariff wage seed_price",
        "percent": "tax fill_loss shrink next_year_share fill_height survival sowings[].take",
        "chance": "emergence germination",
        "sure": "assurance",
        "share": "left_over_counts",
        "weeks": "fed_in_weeks",
        "names": "unfit_for photos",
        "": "format happened.sowings[].crop happened.bags[].medium",
    }.items()
    for key in keys.split()
}
"""The kind of a field, by its place or its key, where its type does not tell; "" for no field."""

KIND_OF_TYPE = {
    **dict.fromkeys((int, float, int | None, float | None), "number"),
    **dict.fromkeys((str, str | None), "choice"),
    date | None: "day",
    bool: "yes",
}

QUANTITIES = {
    "cell_ml": "cell",
    **dict.fromkeys(("top_cm", "bottom_cm", "depth_cm"), "length"),
    **dict.fromkeys(("media[].stock", "yields_l", "litres", "left"), "mix"),
    **dict.fromkeys(("stock", "feed_had", "feed_left"), "stock"),
    **dict.fromkeys(("g_per_l", "addition_g"), "amendment"),
    **dict.fromkeys(("g_per_litre", "dose"), "dry_dose"),
    "ml_per_litre": "liquid_dose",
    **dict.fromkeys(("ml_per_cell", "ml"), "liquid"),
    "germinate_at_c": "temperature",
    "height_mm": "height",
}
"""What is measured in the reader's units, by place or key."""

BY_CROP = ("emergence", "survival")
"""Objects of a medium that hold a value for each crop."""

_SHARED = re.compile(r"^.*?(?=(?:packages|seed_packets|parts|additions)\[\]\.)")
"""What precedes the lists that several records have."""


def _fields_of(record, owner=""):
    """The fields of one of the model's records, and of the records in it, by place."""
    found = {}
    for own in fields(record):
        spot, origin = _SHARED.sub("", owner + own.name), get_origin(own.type)
        kind = KINDS.get(spot, KINDS.get(own.name, KIND_OF_TYPE.get(own.type)))
        inner = next(filter(is_dataclass, get_args(own.type)), None)
        if kind:
            is_blank = own.default is MISSING
            found[f"{spot}{{}}" if origin is ByName else spot] = Field(
                kind,
                needed=is_blank and record is not Shape,  # a shape is only a note
                default=None if is_blank else own.default,
                quantity=QUANTITIES.get(spot, QUANTITIES.get(own.name, "")),
            )
        elif inner:
            found |= _fields_of(inner, f"{spot}[]." if origin is tuple else f"{spot}.")
    return found


_BESIDE = {
    "bench.": {"on": "day", "crop": "choice", "pasted": "text"}
    | dict.fromkeys(("day", "count[]"), "number"),
    "lookup.": {
        **dict.fromkeys(("sight", "bag", "method", "rich", "lean", "feed"), "choice"),
        **dict.fromkeys(("size_a", "size_b", "front", "listed"), "text"),
        **dict.fromkeys(("price_a", "price_b"), "money"),
        **dict.fromkeys(("ec", "n", "p2o5", "k2o", "dose", "ppm_n"), "number"),
        **dict.fromkeys(("addition_g", "addition_n", "months", "wet", "other_wet"), "number"),
    },
}
"""The kinds of the fields beside the document."""

FIELDS = _fields_of(Scenario) | {
    owner + key: Field(kind, quantity=QUANTITIES.get(key, ""))
    for owner, kinds in _BESIDE.items()
    for key, kind in kinds.items()
}
"""The field at each place of the document; `[]` stands for any row, `{}` for any key."""

_COUNTED = re.compile(r"\s*(\d{1,8})(?:\s*/\s*|(?:\s+[^\W\d_]+)+\s+)(\d{1,8})\s*")
"""A count with a slash or words: "17/20", "17 of 20"."""

_MARKS = str.maketrans("", "", " \u00a0\u202f\u2009'’_")

ALSO_TYPED = (
    "A$", "C$", "CLP$", "NZ$", "MX$", "R$", "Kč", "kr.", "kr", "Ft", "KSh", "₦", "₱", "zł", "lei",
    "₺", "₴", "R", "¥", "CN¥", "£", "₹", "$", "€",
)  # fmt: skip
"""Currency signs that the table of places lacks in some locales, from memory."""

_STEP = re.compile(r'\.?([A-Za-z_]\w*)|\[(\d+)\]|\["((?:[^"\\]|\\.)*)"\]')


def steps(path):
    """
    The keys and row numbers of a JSON path; ValueError if it is not such a path.

    >>> steps('media[0].emergence["red kale"]')
    ('media', 0, 'emergence', 'red kale')
    """
    found, end = [], 0
    while match := _STEP.match(path, end):
        name, row, quoted = match.groups()
        found.append(int(row) if row else name or re.sub(r"\\(.)", r"\1", quoted))
        end = match.end()
    if end != len(path) or not found:
        raise ValueError(f"{path!r} is not a path in a scenario.")
    return tuple(found)


def path_of(parts):
    """
    The JSON path of keys and row numbers; the inverse of `steps`.

    >>> path_of(("media", 0, "emergence", "red kale"))
    'media[0].emergence["red kale"]'
    """
    return "".join(map(_written, parts)).removeprefix(".")


def _written(part):
    if isinstance(part, int):
        return f"[{part}]"
    if re.fullmatch(r"[A-Za-z_]\w*", part):
        return f".{part}"
    quoted = part.replace("\\", "\\\\").replace('"', '\\"')
    return f'["{quoted}"]'


def place(parts):
    """
    The place in `FIELDS` of a path.

    >>> place(("media", 2, "packages", 0, "price")), place(("media", 2, "emergence", "leek"))
    ('packages[].price', 'media[].emergence{}')
    """
    found = (
        "[]" if isinstance(part, int) else "{}" if before in BY_CROP else f".{part}"
        for before, part in zip(("", *parts), parts, strict=False)
    )
    return _SHARED.sub("", "".join(found).removeprefix("."))


def stocked(field, measure):
    """A stock's field for goods used in this measure; any other field unchanged."""
    is_stock = field.quantity == "stock"
    return replace(field, quantity=GOODS[measure]) if is_stock else field


def read_text(text, field, currency):
    """
    The value of typed text: None if blank, the text itself if it cannot be understood.

    The currency's place decides what a single mark before exactly three digits means, and its units
    are those of a typed amount.

    >>> from pennyflat_display.money import currency_of
    >>> usd = currency_of("USD")
    >>> read_text("5,20", FIELDS["packages[].price"], usd)
    5.2
    >>> read_text("1,250", FIELDS["packages[].size"], usd)
    1250
    >>> read_text("12 %", FIELDS["tax"], usd), read_text("a lot", FIELDS["tax"], usd)
    (0.12, 'a lot')
    >>> read_text("17/20", FIELDS["sowings[].germination"], usd)
    {'up': 17, 'sown': 20}
    >>> read_text("7 cu ft", FIELDS["packages[].yields_l"], usd)
    198.218
    """
    if field.kind == "yes":
        return text == "yes"
    if not text.strip():
        return text if field.kind in ("name", "text") else None
    if field.kind in ("name", "text", "choice", "day"):
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
    if value is None and field.quantity == "mix":
        value = _volume_in(text, currency)
    if value is None:
        return text
    if is_percent:
        return round(value / 100, 12)
    if field.quantity:
        value = measures.meant(value, field.quantity, currency)
    return int(value) if value == int(value) else value


def write_text(value, field, currency, *, exact=False):
    """
    The text an entry field shows for a value: without group marks, so that it reads back unchanged.

    Only an amount typed in the other units is rounded, unless it must be `exact`.

    >>> from pennyflat_display.money import currency_of
    >>> write_text(5.2, FIELDS["packages[].price"], currency_of("EUR"))
    '5.20'
    >>> write_text(306.4380968, FIELDS["sowings[].cell_ml"], currency_of("EUR"))
    '306.4'
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
    if field.quantity:
        write = measures.exact if exact else measures.as_typed
        text = write(value, field.quantity, currency)
    else:
        text = f"{value * 100 if field.kind in ('percent', 'chance') else value:.12g}"
    text = f"{Decimal(text):f}" if "e" in text else text
    if field.kind == "money":
        whole, _, fraction = text.partition(".")
        fraction = fraction.ljust(currency.decimals, "0")
        return f"{whole}{currency.place.money_decimal}{fraction}" if fraction else whole
    return text.replace(".", currency.place.decimal)


exact_text = partial(write_text, exact=True)
"""The text that gives exactly this value when typed; it may be longer."""


def _volume_in(text, currency):
    """A volume typed with its unit, in the reader's unit to six digits; None if there is none."""
    size = read_size(text, decimal_mark=currency.place.decimal)
    if size is None or size.unit not in LITRES:
        return None
    volume = measures.shown(size.number * LITRES[size.unit], "mix", currency)
    return float(f"{volume:.6g}")


def _several(text, field, currency):
    """Names, or weeks as numbers, separated by semicolons; the text itself if one is invalid."""
    items = [item.strip() for item in text.split(";") if item.strip()]
    if field.kind == "names":
        return items
    numbers = [read_text(item, FIELDS["bench.day"], currency) for item in items]
    return text if any(isinstance(number, str) for number in numbers) else numbers


@cache
def _signs():
    """Matches currency signs and codes, the longest first."""
    rows = (row for row in tables.rows("places") if row["thing"] == "symbol")
    found = {*DECIMALS, *ALSO_TYPED, *(row["text"].translate(_MARKS) for row in rows)}
    return re.compile("|".join(map(re.escape, sorted(found, key=len, reverse=True))))


def counts_in(text):
    """
    A count in the scenario's form; None if the text is not a count.

    Examples
    --------
    >>> counts_in("17 of 20"), counts_in("21/20")
    ({'up': 17, 'sown': 20}, None)
    """
    found = _COUNTED.fullmatch(text)
    up, sown = map(int, found.groups()) if found else (0, 0)
    return {"up": up, "sown": sown} if up <= sown and sown else None


def without_currency(text, currency):
    """Typed money without its sign or code."""
    return _signs().sub("", text.translate(_MARKS).replace(currency.code, ""))


def number_in(text, currency):
    """
    The typed number; None if there is none.

    Spaces and marks between groups of digits are ignored. A single mark before exactly three digits
    has its usual meaning in the currency's place.

    Examples
    --------
    >>> from pennyflat_display.money import currency_of
    >>> number_in("1 250,5", currency_of("USD")), number_in("a lot", currency_of("USD"))
    (1250.5, None)
    """
    text = text.translate(_MARKS).replace("\u2212", "-")
    groups = {currency.place.group, currency.place.money_group}
    for group, other in ((",", "."), (".", ",")):
        pattern = rf"[+-]?[1-9]\d{{0,2}}(?:\{group}\d{{3}})+"
        grouped = re.fullmatch(rf"{pattern}(?:\{other}\d*)?", text)
        sure = other in text or text.count(group) > 1 or group in groups
        if grouped and sure:
            text = text.replace(group, "").replace(other, ".")
            break
    return plain_number(text.replace(",", "."), None)


def plain_number(text, otherwise):
    """A number of digits and at most one point, or `otherwise`."""
    value = float(text) if re.fullmatch(r"[+-]?(?:\d+\.?\d*|\.\d+)", text) else math.inf
    return value if math.isfinite(value) else otherwise
