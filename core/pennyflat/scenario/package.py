"""The contents of one package on a shelf and the price of a litre or gram of it.

A *measure* is the unit that needs are counted in: "L" for a medium or ingredient, "g" for an
addition or a dry feed, "mL" for a liquid feed, "seeds", "trays". Prices are for one package, before
tax.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pennyflat.scenario.checking import Fault, join, key, optional, record
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

    def faults_at(self, path: str) -> Iterator[Fault]:
        """Contents beyond `LEAST` and `MOST`."""
        held = contents(self)
        for measure, least in LEAST.items():
            if measure not in held or least <= held[measure] <= MOST[measure]:
                continue
            field = "yields_l" if measure == "L" and self.yields_l is not None else "size"
            gaps = {"label": label_of(self), "least": least, "most": MOST[measure]}
            if measure == "L":
                message = say("a package of {label} must hold {least:g} L to {most:,.0f} L", **gaps)
            else:
                message = say("a package of {label} must hold {least:g} g to {most:,.0f} g", **gaps)
            yield Fault(join(path, field), getattr(self, field), message)


def contents(package: Package) -> dict[str, float]:
    """
    What one package holds, by each measure in which it can meet a need.

    The volume is `yields_l`, if given, else the label's own. A coir block is sold by weight and
    used by volume:

    >>> contents(Package("Depot", 5, "kg", 13.0, yields_l=65))
    {'g': 5000.0, 'L': 65, 'mL': 65000}
    """
    if package.unit in (SEEDS, TRAYS):
        return {package.unit: package.size}
    held, litres = {}, package.yields_l
    if package.unit in GRAMS:
        held["g"] = package.size * GRAMS[package.unit]
    elif litres is None and package.unit in LITRES:
        litres = package.size * LITRES[package.unit]
    return held if litres is None else held | {"L": litres, "mL": litres * 1000}


def amount_in(package: Package, measure: str) -> float:
    """Amount that one package holds, in a measure; ValueError if it cannot be counted in it."""
    held = contents(package)
    if measure not in held:
        raise ValueError(f"a package of {label_of(package)} cannot be counted in {measure}.")
    return held[measure]


def label_of(package: Package) -> Said:
    """The size on a package's label, as shown in a sentence, such as "2.5 cu_ft"."""
    return say("{size:g} {unit}", size=package.size, unit=package.unit)


def price_per(package: Package, measure: str, *, tax: float = 0.0) -> float:
    """
    Plain price of one litre, gram or millilitre with tax, without deals. [currency per measure]

    `price x (1 + tax) / amount`; ValueError if the package cannot be counted in that measure.

    >>> price_per(Package("Mill Lane", 8, "qt_dry", 5.0), "L")
    0.567552
    """
    return package.price * (1 + tax) / amount_in(package, measure)


def cheapest(packages: Iterable[Package], measure: str) -> Package:
    """
    The available package, of at least one, with the lowest `price_per` litre, gram or millilitre.

    One with a `limit` of 0 is unavailable, unless all are.
    """
    to_be_had = [package for package in packages if package.limit != 0] or packages
    return min(to_be_had, key=lambda package: price_per(package, measure))


def lowest_price(packages: Iterable[Package], measure: str, *, tax: float = 0.0) -> float:
    """`price_per` of the `cheapest` package. [currency per measure]"""
    return price_per(cheapest(packages, measure), measure, tax=tax)
