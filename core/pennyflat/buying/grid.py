"""Whole-number steps for comparing money and amounts exactly.

Binary fractions cannot tell a tie from a near miss: 3 x 0.10 is not 0.30. So prices, taxes and
sizes are read as the decimal numbers they are written as, and counted in steps fine enough for all
of them. One whole number then orders purchases by money, packages and amount bought, weighed so
that no leftover outweighs a package and no number of packages outweighs a step of money.

An amount counts as covered if no more than a fraction `TOLERANCE` is missing, so that 20 L needed
are one bag of 20 L whatever the rounding on the way to the need.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from math import ceil, lcm
from typing import TYPE_CHECKING

from pennyflat.scenario.package import Package, amount_in

if TYPE_CHECKING:  # `cover` is built on this module
    from pennyflat.buying.cover import Need

TOLERANCE = 1e-9
"""Fraction of a need that may be missing from its cover. [1] Ours; it absorbs rounding only."""

FINER = 10**6
"""Finer steps per step of money where leftovers count, as their worth is not a decimal. Ours."""


class Grid:
    """
    Steps for several needs that are bought together.

    Leftovers of several needs are added up, millilitres and grams alike.

    `tax` is on the prices of packages [1], `untaxed` other money to count, such as trips
    [currency], `left_over_counts` the share of the leftovers' worth that counts as money not spent.

    >>> from pennyflat.buying.cover import Need
    >>> from pennyflat.scenario.package import Package
    >>> grid = Grid([Need("Mix", "L", 20, (Package("A", 2.5, "L", 1.1),))], tax=0.05)
    >>> grid.price(1.1) / grid.money_steps, grid.steps("L")
    (1.155, 2000)
    """

    def __init__(
        self,
        needs: Iterable["Need"],
        *,
        tax: float = 0.0,
        untaxed: Iterable[float] = (),
        left_over_counts: float = 0.0,
    ) -> None:
        needs = list(needs)
        self._tax, self._left_over_counts = tax, left_over_counts
        self._finer = FINER if left_over_counts else 1
        packages = [package for need in needs for package in need.packages]
        prices = [package.price for package in packages]
        prices += [package.deal.pay for package in packages if package.deal]
        money = [_exact(price, tax) for price in prices] + [*map(_exact, untaxed)]
        self.money_steps = lcm(*(one.denominator for one in money))
        """Steps in one unit of currency."""
        amounts = [_exact(amount_in(p, need.measure)) for need in needs for p in need.packages]
        self._amount_steps = lcm(*(one.denominator for one in amounts))
        self._most_packages = self._most_amount = 1
        for need in needs:
            for package in need.packages:
                amount = self.amount(package, need.measure)
                spare = package.deal.take if package.deal else 1
                count = ceil(need.amount * self.steps(need.measure)) // amount + 1 + spare
                self._most_packages += count
                self._most_amount += count * amount

    def weighed(self, money: int, packages: int = 0, amount: int = 0, credit: int = 0) -> int:
        """One number that orders purchases by money less credit, then packages, then amount."""
        money = max(0, money * self._finer - credit)
        return (money * self._most_packages + packages) * self._most_amount + amount

    def money_of(self, cost: float) -> float:
        """Money in a weighed cost. [currency]"""
        return cost // (self._most_packages * self._most_amount) / (self.money_steps * self._finer)

    def price(self, price: float) -> int:
        """Price of a package or deal, with tax. [steps of money]"""
        return _counted(_exact(price, self._tax), self.money_steps)

    def money(self, value: float) -> int:
        """Untaxed money. [steps of money]"""
        return _counted(_exact(value), self.money_steps)

    def credit(self, package: Package, need: "Need") -> int:
        """Credit for one package if all of it is left over. [finer steps of money]"""
        if not self._left_over_counts:
            return 0
        worth = need.worth(self._tax) * amount_in(package, need.measure)
        return round(Fraction(worth * self._left_over_counts) * self.money_steps * self._finer)

    def steps(self, measure: str) -> int:
        """Steps in one unit of a measure."""
        return self._amount_steps * (1000 if measure == "L" else 1)

    def amount(self, package: Package, measure: str) -> int:
        """Contents of one package. [steps of amount]"""
        return _counted(_exact(amount_in(package, measure)), self.steps(measure))


@lru_cache(maxsize=4096)
def _exact(value, tax=0.0):
    """The decimal number a float is written as, with a tax on it: 0.1 is one tenth."""
    with_tax = 1 + Fraction(repr(float(tax)))
    return Fraction(repr(float(value))) * with_tax


def _counted(value, steps):
    """A whole number of steps, by integers alone, since this is done for every way to buy."""
    return value.numerator * steps // value.denominator
