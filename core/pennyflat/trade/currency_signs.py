"""Which currency a price on a label or in a list is in, as far as its sign tells."""

import re

SIGNS = {
    "€": "EUR",
    "£": "GBP",
    "$": "AUD CAD CLP HKD MXN NZD SGD USD",
    "US$": "USD",
    "A$": "AUD",
    "AU$": "AUD",
    "C$": "CAD",
    "CA$": "CAD",
    "NZ$": "NZD",
    "HK$": "HKD",
    "S$": "SGD",
    "R$": "BRL",
    "¥": "CNY JPY",
    "₹": "INR",
    "₺": "TRY",
    "₴": "UAH",
    "₱": "PHP",
    "₦": "NGN",
    "₩": "KRW",
    "₪": "ILS",
    "kr": "DKK ISK NOK SEK",
    "zł": "PLN",
    "Kč": "CZK",
    "Ft": "HUF",
    "lei": "RON",
    "Fr": "CHF",
}
"""The currencies that a sign is used for, by their codes. [ISO 4217; the signs of Unicode CLDR,
`symbol` and its narrow form, in the languages of the countries]"""

CODES = frozenset(code for codes in SIGNS.values() for code in codes.split()) | {
    "KES",
    "ZAR",
    "THB",
}
"""Codes that are taken for a currency, and not for another word in capitals. [ISO 4217]"""

_FOUND = re.compile(r"[A-Z]{0,2}\$|[€£¥₹₺₴₱₦₩₪]|\b(?:[A-Z]{3}|kr|zł|Kč|Ft|lei|Fr)(?![^\W\d_])")


def signs_in(text: str) -> list[str]:
    """
    The signs and codes of currencies in a text.

    Parameters
    ----------
    text : str

    Returns
    -------
    list of str

    Examples
    --------
    >>> signs_in("5,20 €"), signs_in("USD 4.00"), signs_in("RRP 5.20"), signs_in("49 kr")
    (['€'], ['USD'], [], ['kr'])
    """
    return [sign for sign in _FOUND.findall(text) if sign in SIGNS or sign in CODES]


def other_currency(text: str, currency: str) -> str:
    """
    The first sign in a text that does not stand for a currency.

    Parameters
    ----------
    text : str
    currency : str
        Code. [ISO 4217]

    Returns
    -------
    str
        Empty where there is none.

    Examples
    --------
    >>> [other_currency("$5.20", code) for code in ("EUR", "CAD")], other_currency("5", "EUR")
    (['$', ''], '')
    """
    return next((s for s in signs_in(text) if currency not in SIGNS.get(s, s).split()), "")
