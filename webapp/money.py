"""How an amount of money and a plain number are written for a currency.

Codes, names and decimals follow ISO 4217; the symbols and the marks are those most used where the
currency is, written from memory, since the worker that runs this code cannot ask the browser.
"""

from dataclasses import dataclass

NARROW_SPACE = "\u202f"
MINUS = "\u2212"


@dataclass(frozen=True, slots=True)
class Currency:
    """One currency and the way numbers are written beside it."""

    code: str
    """Alphabetic code. [ISO 4217]"""
    name: str
    symbol: str
    decimals: int = 2
    """Decimals of the minor unit. [ISO 4217]"""
    decimal_mark: str = "."
    group_mark: str = ","
    symbol_first: bool = True


def _comma(code, name, symbol, group=NARROW_SPACE, decimals=2, first=False):
    return Currency(code, name, symbol, decimals, ",", group, first)


CURRENCIES = {
    currency.code: currency
    for currency in (
        Currency("AUD", "Australian dollar", "A$"),
        _comma("BRL", "Brazilian real", "R$", ".", first=True),
        Currency("CAD", "Canadian dollar", "C$"),
        Currency("CHF", "Swiss franc", "CHF", group_mark="’"),
        _comma("CLP", "Chilean peso", "CLP$", ".", 0, first=True),
        Currency("CNY", "Chinese yuan", "CN¥"),
        _comma("CZK", "Czech koruna", "Kč"),
        _comma("DKK", "Danish krone", "kr.", "."),
        _comma("EUR", "Euro", "€"),
        Currency("GBP", "Pound sterling", "£"),
        _comma("HUF", "Hungarian forint", "Ft"),
        Currency("INR", "Indian rupee", "₹"),
        Currency("JPY", "Japanese yen", "¥", 0),
        Currency("KES", "Kenyan shilling", "KSh"),
        Currency("MXN", "Mexican peso", "MX$"),
        Currency("NGN", "Nigerian naira", "₦"),
        _comma("NOK", "Norwegian krone", "kr"),
        Currency("NZD", "New Zealand dollar", "NZ$"),
        Currency("PHP", "Philippine peso", "₱"),
        _comma("PLN", "Polish zloty", "zł"),
        _comma("RON", "Romanian leu", "lei", "."),
        _comma("SEK", "Swedish krona", "kr"),
        _comma("TRY", "Turkish lira", "₺", ".", first=True),
        _comma("UAH", "Ukrainian hryvnia", "₴"),
        Currency("USD", "US dollar", "$"),
        Currency("ZAR", "South African rand", "R"),
    )
}
"""The currencies offered on the page, by code. Any other code is written before the amount."""


def currency_of(code):
    """The currency of a code; an unknown one is shown by its code, with a decimal point."""
    known = CURRENCIES.get(code) if isinstance(code, str) else None
    return known or Currency(str(code or ""), str(code or ""), str(code or ""))


def amount(value, currency, decimals=None):
    """
    Money as text.

    Examples
    --------
    >>> amount(1250.5, CURRENCIES["USD"]), amount(0.2234, CURRENCIES["EUR"], 3)
    ('$1,250.50', '0,223\\xa0€')
    """
    places = currency.decimals if decimals is None else decimals
    text = number(abs(value), currency, places)
    sign = MINUS if value < 0 and text.strip("0.,") else ""
    if not currency.symbol_first:
        return f"{sign}{text}\u00a0{currency.symbol}"
    gap = "\u00a0" if currency.symbol[-1:].isalpha() else ""
    return f"{sign}{currency.symbol}{gap}{text}"


def each(value, currency):
    """Money for one seedling or one litre: one more decimal than coins have, below ten."""
    return amount(value, currency, currency.decimals + (abs(value) < 10))


def number(value, currency, decimals):
    """
    A number as text, with the currency's marks.

    Examples
    --------
    >>> number(12345.678, CURRENCIES["EUR"], 1)
    '12\\u202f345,7'
    """
    text = f"{abs(value):,.{decimals}f}"
    whole, _, fraction = text.partition(".")
    whole = whole.replace(",", currency.group_mark)
    minus = MINUS if value < 0 and text.strip("0.,") else ""
    return minus + whole + (currency.decimal_mark + fraction if fraction else "")


def short(value, currency, digits=3):
    """
    A number as text with so many significant digits, and no zeros after them.

    Examples
    --------
    >>> short(8.80976754, CURRENCIES["USD"]), short(56.63, CURRENCIES["USD"], 4)
    ('8.81', '56.63')
    >>> short(6900, CURRENCIES["USD"])
    '6,900'
    """
    if not value:
        return "0"
    size = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    leading = 0 if abs(value) >= 1 else len(f"{abs(value):.12f}".split(".")[1]) - len(
        f"{abs(value):.12f}".split(".")[1].lstrip("0")
    )
    text = number(value, currency, max(0, digits - size + leading))
    if currency.decimal_mark in text:
        text = text.rstrip("0").removesuffix(currency.decimal_mark)
    return text
