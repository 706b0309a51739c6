"""The contents of one package on a shelf and the price of a litre or gram of it.

A *measure* is the unit that needs are counted in: "L" for a medium or ingredient, "g" for an
addition or a dry feed, "mL" for a liquid feed, "seeds", "trays". Prices are for one package, before
tax.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.scenario.checking import key, optional, record
from pennyflat.scenario.kinds import number, one_of, text, whole
from pennyflat.sentences import Said, say
from pennyflat.units import GRAMS, LITRES

SEEDS, TRAYS = "seeds", "trays"
"""Units of things that are counted, and the measures of a need for them."""

LEAST, MOST = {"L": 0.001, "g": 0.01}, {"L": 100_000.0, "g": 10_000_000.0}
"""Smallest and largest contents of a package: 1 mL to 100 m3, 0.01 g to 10 t. Ours."""


@dataclass(frozen=True, slots=True)
class Deal:
    """An offer on several packages: `take` of them for `pay` together, as often as wanted."""

    take: int = key(whole(at_least=1))
    """Packages sold together. [count]"""
    pay: float = key(number(at_least=0))
    """Price of them together, before tax. [currency]"""


@dataclass(frozen=True, slots=True)
class Package:
    """One item on a shelf: what the label says, its price, and where."""

    store: str = key(text())
    size: float = key(number(above=0))
    """Number on the label. [unit]"""
    unit: str = key(one_of(*LITRES, *GRAMS))
    price: float = key(number(at_least=0))
    """Price of one package before tax. [currency]"""
    yields_l: float | None = key(optional(number(above=0)), None)
    """Volume of one whole package once loosened or soaked, if not the label's. [L]"""
    deal: Deal | None = key(optional(record(Deal)), None)
    limit: int | None = key(optional(whole(at_least=0)), None)
    """Most that can be had, deals included; None for no limit. [count]"""


def measures_of(package: Package) -> frozenset[str]:
    """
    Measures in which a package can meet a need.

    A coir block is sold by weight and used by volume:

    >>> sorted(measures_of(Package("Depot", 5, "kg", 13.0, yields_l=65)))
    ['L', 'g', 'mL']
    """
    if package.unit in (SEEDS, TRAYS):
        return frozenset({package.unit})
    has_volume = package.unit in LITRES or package.yields_l is not None
    return _MEASURES[has_volume, package.unit in GRAMS]


_MEASURES = {
    (False, False): frozenset(),
    (False, True): frozenset({"g"}),
    (True, False): frozenset({"L", "mL"}),
    (True, True): frozenset({"L", "g", "mL"}),
}
"""Measures by whether a package has a volume and a weight."""


def amount_in(package: Package, measure: str) -> float:
    """
    Amount that one package holds, in a measure; ValueError if it cannot be counted in it.

    The volume is `yields_l`, if given, else the label's own.

    >>> amount_in(Package("Depot", 5, "kg", 13.0, yields_l=65), "L")
    65
    """
    if measure not in measures_of(package):
        raise ValueError(
            f"a package of {package.size:g} {package.unit} cannot be counted in {measure}."
        )
    if measure in (SEEDS, TRAYS):
        return package.size
    if measure == "g":
        return package.size * GRAMS[package.unit]
    volume = package.yields_l
    if volume is None:
        volume = package.size * LITRES[package.unit]
    return volume if measure == "L" else volume * 1000


def label_of(package: Package) -> Said:
    """
    The size on a package's label, as shown in a sentence.

    >>> label_of(Package("Depot", 2.5, "cu_ft", 9.0))
    '2.5 cu_ft'
    """
    return say("{size:g} {unit}", size=package.size, unit=package.unit)


def price_per(package: Package, measure: str, *, tax: float = 0.0) -> float:
    """
    Plain price of one litre, gram or millilitre with tax, without deals. [currency per measure]

    `price x (1 + tax) / amount`; ValueError if the package cannot be counted in that measure.

    >>> price_per(Package("Mill Lane", 8, "qt_dry", 5.0), "L")
    0.567552
    """
    return package.price * (1 + tax) / amount_in(package, measure)


def lowest_price(packages: Iterable[Package], measure: str, *, tax: float = 0.0) -> float:
    """
    Lowest `price_per` litre, gram or millilitre among the available packages, at least one.

    A package with a `limit` of 0 is unavailable, unless all are.

    >>> lowest_price([Package("A", 10, "L", 5.2), Package("A", 25, "L", 10.9)], "L")
    0.436
    """
    to_be_had = [package for package in packages if package.limit != 0] or packages
    return min(price_per(package, measure, tax=tax) for package in to_be_had)
