"""What a label amounts to while it is typed: the litres or grams, and the price of one."""

from collections import namedtuple
from dataclasses import replace

from pennyflat.scenario.package import Package, amount_in, price_per

OTHER_QUART = {"qt_dry": "qt_liq", "qt_liq": "qt_dry"}
"""The other quart, which may have been meant instead."""


Label = namedtuple("Label", "amount measure price other_amount")
"""Contents of one package, in "L", "g" or "mL", and its price with tax, None until one is entered
[currency per measure], as far as its fields can be read; litres if the other quart was meant."""


def label_of(row, measure, tax):
    """
    What a package's row amounts to, used in a measure; None until size and unit give the amount.

    Its fields may be blank or unreadable. tax: [1]

    >>> round(label_of({"size": 8, "unit": "qt_dry", "price": 5}, "L", 0).price, 6)
    0.567552
    >>> label_of({"size": "8 or so", "unit": "qt_dry", "price": 5}, "L", 0)
    """
    size, unit, price = (row.get(key) for key in ("size", "unit", "price"))
    priced = isinstance(price, int | float) and price >= 0
    package = Package("", size, unit, price if priced else 0, yields_l=row.get("yields_l"))
    try:
        amount = amount_in(package, measure)
        if not amount > 0 or not size > 0:
            return None
        other = OTHER_QUART.get(unit) if measure == "L" and not row.get("yields_l") else None
        price = price_per(package, measure, tax=tax) if priced else None
        other_amount = amount_in(replace(package, unit=other), measure) if other else None
        return Label(amount, measure, price, other_amount)
    except (TypeError, ValueError):
        return None


def package_at(parts):
    """
    The place, for `worth_of`, of the package that contains a field; else ().

    >>> package_at(("media", 0, "packages", 1, "price")), package_at(("feed", "n_percent"))
    (('media', 0, 1), ())
    """
    if "packages" not in parts:
        return ()
    number = parts.index("packages")
    return (*parts[:number], parts[number + 1])


def measure_of(document, owner, name):
    """
    Measure that the packages of a named row are used in.

    owner: "media", "ingredients", "feed", or "happened" for the feed of a past season.

    >>> measure_of({"media": [{"additions": [{"ingredient": "Meal"}]}]}, "ingredients", "Meal")
    'g'
    """
    if owner in ("feed", "happened"):
        return "mL" if document["feed"].get("ml_per_litre") is not None else "g"
    if owner == "ingredients":
        additions = (row for medium in document["media"] for row in medium.get("additions", ()))
        if any(row["ingredient"] == name for row in additions):
            return "g"
    return "L"
