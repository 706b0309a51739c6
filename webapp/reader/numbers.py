"""Numbers in typed text: digits in groups, signs of currencies, and what was counted."""

import math
import re
from functools import cache

from reader import tables
from reader.places import DECIMALS

_COUNTED = re.compile(r"\s*(\d{1,8})(?:\s*/\s*|(?:\s+[^\W\d_]+)+\s+)(\d{1,8})\s*")
"""What was counted, with a stroke or words between: "17/20", "17 of 20"."""

_MARKS = str.maketrans("", "", " \u00a0\u202f\u2009'’_")

ALSO_TYPED = (
    "A$", "C$", "CLP$", "NZ$", "MX$", "R$", "Kč", "kr.", "kr", "Ft", "KSh", "₦", "₱", "zł", "lei",
    "₺", "₴", "R", "¥", "CN¥", "£", "₹", "$", "€",
)  # fmt: skip
"""Signs of currencies that the table of places lacks in some locale, from memory."""


@cache
def _signs():
    """Matches the signs and codes of currencies; the longest first."""
    rows = (row for row in tables.rows("places") if row["thing"] == "symbol")
    found = {*DECIMALS, *ALSO_TYPED, *(row["text"].translate(_MARKS) for row in rows)}
    return re.compile("|".join(map(re.escape, sorted(found, key=len, reverse=True))))


def counts_in(text):
    """
    What was counted, as the scenario has it; None where the text says nothing of the kind.

    Examples
    --------
    >>> counts_in("17 of 20"), counts_in("21/20")
    ({'up': 17, 'sown': 20}, None)
    """
    found = _COUNTED.fullmatch(text)
    up, sown = map(int, found.groups()) if found else (0, 0)
    return {"up": up, "sown": sown} if up <= sown and sown else None


def without_currency(text, currency):
    """
    Typed money without its sign or code.

    Examples
    --------
    >>> from reader.money import currency_of
    >>> without_currency("€ 5,20", currency_of("EUR")).strip()
    '5,20'
    """
    return _signs().sub("", text.translate(_MARKS).replace(currency.code, ""))


def number_in(text, currency):
    """
    The number that is typed; None if there is none.

    Spaces and marks between groups of digits are passed over. A lone mark before exactly three
    digits means what it does in the place of the currency.

    Examples
    --------
    >>> from reader.money import currency_of
    >>> number_in("1 250,5", currency_of("USD")), number_in("a lot", currency_of("USD"))
    (1250.5, None)
    """
    text = text.translate(_MARKS).replace("\u2212", "-")
    groups = {currency.place.group, currency.place.money_group}
    for group in (",", "."):
        other = "." if group == "," else ","
        pattern = rf"[+-]?[1-9]\d{{0,2}}(?:\{group}\d{{3}})+"
        grouped = re.fullmatch(rf"{pattern}(?:\{other}\d*)?", text)
        sure = other in text or text.count(group) > 1 or group in groups
        if grouped and sure:
            text = text.replace(group, "").replace(other, ".")
            break
    return plain_number(text.replace(",", "."), None)


def plain_number(text, otherwise):
    """A number of digits and at most one point, or `otherwise`."""
    if not re.fullmatch(r"[+-]?(?:\d+\.?\d*|\.\d+)", text):
        return otherwise
    value = float(text)
    return value if math.isfinite(value) else otherwise
