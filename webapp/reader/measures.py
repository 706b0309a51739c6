"""Amounts in the reader's units: metric, which are the model's, or US customary.

A *quantity* says what is measured and so in which unit, as in `pennyflat.units.CUSTOMARY`. That
module does all conversions.
"""

from pennyflat.scenario.package import SEEDS, TRAYS
from pennyflat.sentences import GOODS
from pennyflat.units import CUSTOMARY, DIGITS, from_customary, to_customary
from pennyflat_display.money import each, number, short
from pennyflat_display.places import US, unit_key, unit_name
from reader.words import counted, in_a_row, said, text

PRICED = {
    "L": ("price_of_mix", 1),
    "g": ("price_of_weight", 1000),
    "mL": ("price_of_solution", 1000),
}
"""The amount that a price refers to, by measure of the goods, in that measure."""

TELLING = 5
"""A number with this many more digits in one kind of units was typed in the other. Ours."""

ROUNDED = 4
"""Digits shown of an amount that was typed in the other units. Ours."""


def unit(quantity, currency):
    """The unit that a quantity is shown in."""
    return text(f"short.{unit_name(quantity, currency.units)}")


def shown(value, quantity, currency):
    """An amount in its displayed unit."""
    return to_customary(value, quantity) if currency.units == US else value


def plain(value, quantity, currency, digits=3):
    """An amount without its unit."""
    return short(shown(value, quantity, currency), currency, digits)


def measured(value, quantity, currency, digits=3):
    """An amount with its unit."""
    return f"{plain(value, quantity, currency, digits)} {unit(quantity, currency)}"


def meant(value, quantity, currency):
    """The model's amount for a typed one; the inverse of `shown`."""
    return from_customary(value, quantity) if currency.units == US else value


def as_typed(value, quantity, currency):
    """
    An amount for an entry field, with a decimal point; rounded if it was typed in the other units.

    Examples
    --------
    >>> from pennyflat_display.money import currency_of
    >>> as_typed(306.4380968, "cell", currency_of("USD")), as_typed(60, "cell", currency_of("USD"))
    ('306.4', '60')
    """
    metric, customary = f"{value:.{DIGITS}g}", to_customary(value, quantity)
    if CUSTOMARY[quantity].zero:
        customary = round(customary, 8)  # near 0 degF a degree Celsius has no finer digits
    us = f"{customary:.10g}"
    may_be_us = from_customary(float(us), quantity) == value
    is_us = currency.units == US
    own, other = (us, metric) if is_us else (metric, us)
    is_telling = _length(own) >= _length(other) + TELLING
    is_rounded = is_telling or not may_be_us if is_us else is_telling and may_be_us
    return f"{float(own):.{ROUNDED}g}" if is_rounded else own


def exact(value, quantity, currency):
    """All digits of an amount in its displayed unit, so that typing them loses nothing."""
    return f"{round(shown(value, quantity, currency), 14):.15g}"


def _length(digits):
    """Significant digits of a number without trailing zeros."""
    return len(digits.partition("e")[0].replace(".", "").strip("-0"))


def goods(value, measure, currency):
    """An amount of goods counted in litres, grams, millilitres or pieces."""
    if measure in (SEEDS, TRAYS):
        return counted(f"goods.{measure}", round(value), count=number(value, currency, 0))
    return measured(value, GOODS[measure], currency)


def price_per(price, measure, currency):
    """The price of goods by their measure: per litre, per kilogram, or per local unit."""
    money, unit_said = priced(price, measure, currency), measure_said(measure, currency)
    return text("taken.price", price=money, measure=unit_said)


def measure_said(measure, currency):
    """The unit of measure in the price of goods, in words."""
    quantity, _ = PRICED[measure]
    return text(f"measure.{unit_key(quantity, currency.units)}")


def priced(price, measure, currency):
    """The money alone of `price_per`."""
    quantity, many = PRICED[measure]
    return each(shown(price * many, quantity, currency), currency)


def in_units(key, currency):
    """The key of a text that has another wording for US units."""
    return f"{key}.us" if currency.units == US else key


def size_said(size, unit, currency):
    """A package's size as on its label; blank for a tray, whose name says it."""
    return "" if unit == TRAYS else f"{short(size, currency)} {text(f'short.{unit}')}"


def line_said(line, currency):
    """One line of a list: how many of what; the number and unit of its size stay together."""
    size = size_said(line["size"], line["unit"], currency).replace(" ", "\N{NO-BREAK SPACE}", 1)
    gaps = {"count": number(line["count"], currency, 0), "item": said(line["item"]), "size": size}
    return text("answer.buy_line" if size else "answer.buy_tray", **gaps)


def not_counted_said(not_counted):
    """What is not counted, in a sentence; blank if everything is."""
    names = in_a_row([said(name) for name in not_counted], "and")
    return text("advice.not_counted", missing=names) if names else ""
