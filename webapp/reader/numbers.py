"""Numbers in typed text: grouped digits, currency signs, and counts."""

import math
import re
from functools import cache

from pennyflat.trade import data as tables
from pennyflat_display.places import DECIMALS

_COUNTED = re.compile(r"\s*(\d{1,8})(?:\s*/\s*|(?:\s+[^\W\d_]+)+\s+)(\d{1,8})\s*")
"""A count with a slash or words: "17/20", "17 of 20"."""

_MARKS = str.maketrans("", "", " \u00a0\u202f\u2009'’_")

ALSO_TYPED = (
    "A$", "C$", "CLP$", "NZ$", "MX$", "R$", "Kč", "kr.", "kr", "Ft", "KSh", "₦", "₱", "zł", "lei",
    "₺", "₴", "R", "¥", "CN¥", "£", "₹", "$", "€",
)  # fmt: skip
"""Currency signs that the table of places lacks in some locales, from memory."""


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
