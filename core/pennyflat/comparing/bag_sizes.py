"""Which size of bag to buy: price per litre, break-even at the till, and what is left over.

Money *at the till* is whole packages with tax and trips (see `till`). Sums are compared to
`till.PLACES` decimal places.
"""

from dataclasses import dataclass, replace
from math import inf

from pennyflat.buying.cover import Need, cheapest_cover
from pennyflat.comparing.till import PLACES, look_ahead, stretches, till_steps
from pennyflat.growing.cost import requirement
from pennyflat.scenario.package import Package, amount_in, label_of
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.sentences import Listed, Money, phrase, say


@dataclass(frozen=True, slots=True)
class Rung:
    """One way to buy a package: singly or by its deal."""

    package: Package
    take: int
    """Packages bought together. [count]"""
    per_litre: float
    """With tax. [currency/L]"""
    more: float
    """Excess over the cheapest way, as a share of it; infinite if that is free. [1]"""


@dataclass(frozen=True, slots=True)
class Ladder:
    """The packages of one medium by price per litre."""

    medium: str
    rungs: tuple[Rung, ...]
    """The cheapest first."""
    sentence: str


def unit_price_ladder(scenario: Scenario, medium: Medium) -> Ladder | None:
    """
    The packages of one medium by price per litre, deals included.

    Parameters
    ----------
    scenario : Scenario
    medium : Medium
        One that is bought, not mixed.

    Returns
    -------
    Ladder or None
        None if `limit` leaves no package.

    Raises
    ------
    ValueError
        If the medium is a blend.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> ladder = unit_price_ladder(demo, demo.medium("Seed starter mix"))
    >>> [(int(rung.package.size), rung.take, round(rung.per_litre, 3)) for rung in ladder.rungs]
    [(16, 3, 0.492), (16, 1, 0.556), (8, 1, 0.67)]
    >>> print(ladder.sentence)
    Seed starter mix costs least per litre as 3 × 16 qt_dry at Corner shop, 0.492 USD; ...
    """
    if not medium.packages:
        raise ValueError(f"{medium.name} is mixed, not bought in packages.")
    ways = [way for package in _to_be_had(medium) for way in _ways(package)]
    if not ways:
        return None
    priced = [
        (pay * (1 + scenario.tax) / (take * amount_in(package, "L")), place)
        for place, (package, take, pay) in enumerate(ways)
    ]
    priced.sort(key=lambda way: (round(way[0], PLACES), way[1]))
    least = priced[0][0]
    rungs = tuple(
        Rung(ways[place][0], ways[place][1], price, _more(price, least)) for price, place in priced
    )
    return Ladder(medium.name, rungs, _ladder_sentence(medium, rungs, scenario.currency))


@dataclass(frozen=True, slots=True)
class BigBag:
    """When the biggest package of a medium costs less at the till than the others."""

    crop: str
    medium: str
    package: Package
    """The biggest."""
    wins: tuple[tuple[int, int], ...]
    """Numbers of seedlings, first and last, for which it alone costs less than the others alone."""
    up_to: int
    """Largest number considered. [count]"""
    always_from: int | None
    """It costs less for every number from here to `up_to`; None if there is none. [count]"""
    sentence: str


def big_bag(
    scenario: Scenario, sowing: Sowing, medium: Medium, *, up_to: int | None = None
) -> BigBag | None:
    """
    From how many seedlings on the biggest package costs less at the till than smaller ones.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
    medium : Medium
        One of the scenario's that is bought in packages of different volume.
    up_to : int, optional
        Largest number of seedlings considered; by default `till.look_ahead` of the number wanted.
        [count]

    Returns
    -------
    BigBag or None
        None if there is nothing to compare: a single volume, a blend, or not ready in it.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> found = big_bag(demo, demo.sowings[0], demo.medium("Seed starter mix"), up_to=400)
    >>> found.wins, found.always_from
    (((105, 211), (321, 400)), 321)
    >>> print(found.sentence)
    For tomato, 16 qt_dry of Seed starter mix costs less at the till from 105 to 211 and 321 on; ...
    """
    packages = _to_be_had(medium)
    sizes = [amount_in(package, "L") for package in packages]
    needed = requirement(scenario, sowing, medium)
    if not needed.ready or not sizes or max(sizes) == min(sizes):
        return None
    up_to = up_to or look_ahead(sowing.wanted)
    biggest = [package for package in packages if amount_in(package, "L") == max(sizes)]
    others = tuple(package for package in packages if package not in biggest)
    steps = {
        "others": till_steps(_sold_as(scenario, medium, others), needed, up_to),
        "biggest": till_steps(_sold_as(scenario, medium, tuple(biggest)), needed, up_to),
    }
    ranges = stretches(steps, up_to)
    wins = tuple((found.first, found.last) for found in ranges if found.medium == "biggest")
    always = wins[-1][0] if wins and wins[-1][1] == up_to else None
    best = min(biggest, key=lambda package: package.price)
    return BigBag(
        sowing.crop, medium.name, best, wins, up_to, always,
        _big_bag_sentence(sowing, medium, best, wins, always, up_to),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NextYear:
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
    sentence: str


def next_year(scenario: Scenario, medium: Medium, litres: float) -> NextYear | None:
    """
    Whether a bigger purchase pays off through what it leaves for the years it keeps.

    Next year's use is `next_year_share` of this year's, and so is every year's for which a leftover
    keeps, `keeps_seasons`; prices stay the same. One way buys what costs least each year; the other
    buys what has the lowest price per litre this year, as a deal if that is lower, and what costs
    least later. Trips are ignored.

    Parameters
    ----------
    scenario : Scenario
    medium : Medium
        One that is bought in packages.
    litres : float
        This year's use, more than 0. [L]

    Returns
    -------
    NextYear or None
        None if both ways are the same, or limits make one of them impossible.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> keeps = replace(demo.medium("Seed starter mix"), next_year_share=1.0)
    >>> print(next_year(demo, keeps, 8.5).sentence)
    3 × 16 qt_dry of Seed starter mix would cost 20.10 USD more now and leave 44.4 L; ...
    """
    ladder = unit_price_ladder(scenario, medium) if medium.packages else None
    if ladder is None:
        return None
    cheapest = ladder.rungs[0]
    this_year = Need(medium.name, "L", litres, medium.packages, medium.stock)
    least = cheapest_cover(this_year, tax=scenario.tax)
    bulk = cheapest_cover(_in_this_way(this_year, cheapest), tax=scenario.tax)
    if least.short_by or bulk.short_by or round(bulk.paid - least.paid, PLACES) <= 0:
        return None
    later = litres * medium.next_year_share
    totals, years = [], medium.keeps_seasons
    for cover in (least, bulk):
        total, left = cover.paid, cover.left_over
        for _ in range(years):
            again = cheapest_cover(replace(this_year, amount=later, stock=left), tax=scenario.tax)
            total, left = total + again.paid, again.left_over
        totals.append(total)
    pays = round(totals[0] - totals[1], PLACES) > 0
    return NextYear(
        medium.name, years + 1, least.paid, bulk.paid, (totals[0], totals[1]), bulk.left_over, pays,
        _next_year_sentence(scenario, medium, cheapest, least, bulk, totals, later),
    )  # fmt: skip


def _sold_as(scenario, medium, packages):
    """The scenario with one medium sold in these packages only."""
    changed = replace(medium, packages=packages)
    return replace(
        scenario, media=tuple(changed if m.name == medium.name else m for m in scenario.media)
    )


def _to_be_had(medium):
    return [package for package in medium.packages if package.limit != 0]


def _ways(package):
    """(package, how many together, for how much) singly and by a deal within its limit."""
    yield package, 1, package.price
    deal = package.deal
    if deal and (package.limit is None or deal.take <= package.limit):
        yield package, deal.take, deal.pay


def _in_this_way(need, rung):
    """The need met by one way of buying only."""
    package, take = replace(rung.package, deal=None), rung.take
    if take > 1:
        package = replace(
            package,
            price=rung.package.deal.pay,
            size=package.size * take,
            yields_l=package.yields_l and package.yields_l * take,
            limit=None if package.limit is None else package.limit // take,
        )
    return replace(need, packages=(package,))


def _more(price, least):
    if round(price, PLACES) == round(least, PLACES):
        return 0.0
    return price / least - 1 if least else inf


def _several(package, count):
    label = label_of(package)
    return label if count == 1 else say("{take} × {label}", take=count, label=label)


def _ladder_sentence(medium, rungs, currency):
    best, dearest = rungs[0], rungs[-1]
    gaps = {
        "medium": medium.name,
        "way": _several(best.package, best.take),
        "store": best.package.store,
        "price": Money(best.per_litre, currency),
    }
    if not dearest.more:
        return say("{medium} costs least per litre as {way} at {store}, {price}.", **gaps)
    return say(
        "{medium} costs least per litre as {way} at {store}, {price}; the dearest way,"
        " {dearest_way} at {dearest_store}, costs {dearest_price}.",
        **gaps,
        dearest_way=_several(dearest.package, dearest.take),
        dearest_store=dearest.package.store,
        dearest_price=Money(dearest.per_litre, currency),
    )


def _big_bag_sentence(sowing, medium, package, wins, always, up_to):
    gaps = {"crop": sowing.crop, "label": label_of(package), "medium": medium.name}
    if not wins:
        return say(
            "For {crop}, {label} of {medium} does not cost less at the till than smaller packages"
            " up to {up_to}.",
            **gaps,
            up_to=up_to,
        )
    if always == 1:
        return say(
            "For {crop}, {label} of {medium} costs less at the till for any number up to {up_to}.",
            **gaps,
            up_to=up_to,
        )
    ranges = tuple(
        say("{first} on", first=first)
        if first == always
        else say("{first} to {last}", first=first, last=last)
        for first, last in wins
    )
    return say(
        "For {crop}, {label} of {medium} costs less at the till from {ranges}; checked for every"
        " number up to {up_to}.",
        **gaps,
        up_to=up_to,
        ranges=Listed(ranges, "and"),
    )


def _next_year_sentence(scenario, medium, rung, least, bulk, totals, later):
    gaps = {
        "label": _several(rung.package, rung.take * bulk.counts[0]),
        "medium": medium.name,
        "more": Money(bulk.paid - least.paid, scenario.currency),
        "left": bulk.left_over,
    }
    if not later or not medium.keeps_seasons:
        return say(
            "{label} of {medium} would cost {more} more now and leave {left:.3g} L; with no use for"
            " it in another season, that does not pay.",
            **gaps,
        )
    difference = totals[0] - totals[1]
    years = medium.keeps_seasons
    gaps["span"] = phrase("next year") if years == 1 else say("{years} more years", years=years)
    gaps["use"] = later
    gaps["difference"] = Money(abs(difference), scenario.currency)
    if round(difference, PLACES) > 0:
        return say(
            "{label} of {medium} would cost {more} more now and leave {left:.3g} L; with {span}"
            " counted, at {use:.3g} L a year, it saves {difference} in all.",
            **gaps,
        )
    return say(
        "{label} of {medium} would cost {more} more now and leave {left:.3g} L; with {span}"
        " counted, at {use:.3g} L a year, it costs {difference} more in all.",
        **gaps,
    )
