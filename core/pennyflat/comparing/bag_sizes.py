"""Which size of bag to buy: price per litre, break-even at the till, and what is left over.

Money *at the till* is whole packages with tax and trips (see `till`). Sums are compared to
`till.PLACES` decimal places.
"""

from dataclasses import replace
from math import inf
from typing import NamedTuple

from pennyflat.buying.cover import Need, cheapest_cover, ways_of
from pennyflat.comparing.till import PLACES, look_ahead, stretches, till_steps
from pennyflat.growing.cost import requirement
from pennyflat.scenario.package import Package, amount_in
from pennyflat.scenario.records import Medium, Scenario, Sowing


class Rung(NamedTuple):
    """One way to buy a package: singly or by its deal."""

    package: Package
    take: int
    """Packages bought together. [count]"""
    per_litre: float
    """With tax. [currency/L]"""
    more: float
    """Excess over the cheapest way, as a share of it; infinite if that is free. [1]"""


class Ladder(NamedTuple):
    """The packages of one medium by price per litre, the cheapest first."""

    medium: str
    rungs: tuple[Rung, ...]


def unit_price_ladder(scenario: Scenario, medium: Medium) -> Ladder | None:
    """
    The packages of one medium by price per litre, deals included.

    None for a blend, or if `limit` leaves no package.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> ladder = unit_price_ladder(demo, demo.medium("Seed starter mix"))
    >>> [(int(rung.package.size), rung.take, round(rung.per_litre, 3)) for rung in ladder.rungs]
    [(16, 3, 0.492), (16, 1, 0.556), (8, 1, 0.67)]
    """
    ways = [
        (pay * (1 + scenario.tax) / (take * amount_in(package, "L")), package, take)
        for package in medium.packages
        for take, pay in ways_of(package)
    ]
    ways.sort(key=lambda way: round(way[0], PLACES))
    rungs = tuple(
        Rung(package, take, price, _more(price, ways[0][0])) for price, package, take in ways
    )
    return Ladder(medium.name, rungs) if rungs else None


def _more(price, least):
    if round(price, PLACES) == round(least, PLACES):
        return 0.0
    return price / least - 1 if least else inf


class BigBag(NamedTuple):
    """When the biggest package of a medium costs less at the till than the others."""

    medium: str
    package: Package
    """The biggest."""
    wins: tuple[tuple[int, int], ...]
    """Numbers of seedlings, first and last, for which it alone costs less than the others alone."""
    up_to: int
    """Largest number considered. [count]"""
    always_from: int | None
    """It costs less for every number from here to `up_to`; None if there is none. [count]"""


def big_bag(
    scenario: Scenario, sowing: Sowing, medium: Medium, *, up_to: int | None = None
) -> BigBag | None:
    """
    From how many seedlings on the biggest package costs less at the till than smaller ones.

    Numbers up to `up_to` are considered, by default `till.look_ahead` of the number wanted. None if
    there is nothing to compare: a single volume, a blend, or a sowing that is not ready in it.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> found = big_bag(demo, demo.sowings[0], demo.medium("Seed starter mix"), up_to=400)
    >>> found.wins, found.always_from
    (((105, 211), (321, 400)), 321)
    """
    packages = [package for package in medium.packages if ways_of(package)]
    most = max((amount_in(package, "L") for package in packages), default=0.0)
    biggest = tuple(package for package in packages if amount_in(package, "L") == most)
    others = tuple(package for package in packages if package not in biggest)
    needed = requirement(scenario, sowing, medium)
    if not needed.ready or not others:
        return None
    up_to = up_to or look_ahead(sowing.wanted)
    steps = {
        name: till_steps(scenario.with_medium(replace(medium, packages=sold)), needed, up_to)
        for name, sold in (("others", others), ("biggest", biggest))
    }
    ranges = stretches(steps, up_to)
    wins = tuple((found.first, found.last) for found in ranges if found.medium == "biggest")
    always = wins[-1][0] if wins and wins[-1][1] == up_to else None
    best = min(biggest, key=lambda package: package.price)
    return BigBag(medium.name, best, wins, up_to, always)


class NextYear(NamedTuple):
    """Whether to buy for this year only or what is cheapest per litre, over several years."""

    medium: str
    years: int
    """This year and those for which a leftover keeps. [count]"""
    least_now: float
    """Paid this year for the cheapest purchase. [currency]"""
    least_per_litre: float
    """Paid this year for the package that is cheapest per litre. [currency]"""
    over_the_years: tuple[float, float]
    """Cost of both ways over all these years. [currency]"""
    left_over: float
    """After this year in the second way. [L]"""
    pays: bool
    """Whether the second way costs less over the years."""


def next_year(scenario: Scenario, medium: Medium, litres: float) -> NextYear | None:
    """
    Whether a bigger purchase pays off through what it leaves for the years it keeps.

    `litres` is this year's use. Next year's is `next_year_share` of it, and so is every year's for
    which a leftover keeps, `keeps_seasons`; prices stay the same. One way buys what costs least
    each year; the other buys what has the lowest price per litre this year, as a deal if that is
    lower, and what costs least later. Trips are ignored.

    None if both ways are the same, or limits make one of them impossible, or for a blend.

    >>> from dataclasses import replace
    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> keeps = replace(demo.medium("Seed starter mix"), next_year_share=1.0)
    >>> found = next_year(demo, keeps, 8.5)
    >>> [round(paid, 2) for paid in (found.least_now, found.least_per_litre, found.left_over)]
    [5.9, 26.0, 44.4]
    """
    ladder = unit_price_ladder(scenario, medium)
    if ladder is None:
        return None
    this_year = Need(medium.name, "L", litres, medium.packages, medium.stock)
    in_bulk = replace(this_year, packages=(_as_one(ladder.rungs[0]),))
    least, bulk = (cheapest_cover(need, tax=scenario.tax) for need in (this_year, in_bulk))
    if least.short_by or bulk.short_by or round(bulk.paid - least.paid, PLACES) <= 0:
        return None

    def over_the_years(cover):
        total = cover.paid
        for _ in range(medium.keeps_seasons):
            later = replace(
                this_year, amount=litres * medium.next_year_share, stock=cover.left_over
            )
            cover = cheapest_cover(later, tax=scenario.tax)
            total += cover.paid
        return total

    totals = over_the_years(least), over_the_years(bulk)
    return NextYear(
        medium=medium.name,
        years=medium.keeps_seasons + 1,
        least_now=least.paid,
        least_per_litre=bulk.paid,
        over_the_years=totals,
        left_over=bulk.left_over,
        pays=round(totals[0] - totals[1], PLACES) > 0,
    )


def _as_one(rung):
    """A package bought in one way only; those of a deal as one package."""
    package, take = replace(rung.package, deal=None), rung.take
    if take == 1:
        return package
    return replace(
        package,
        price=rung.package.deal.pay,
        size=package.size * take,
        yields_l=package.yields_l and package.yields_l * take,
        limit=None if package.limit is None else package.limit // take,
    )
