"""At what price a losing mix would be worth a second look.

*As used* is per transplant-ready seedling; *at the till* is whole packages with tax for the number
wanted, trips to the stores left aside.
"""

from dataclasses import dataclass, replace
from math import inf

from pennyflat.cost import requirement
from pennyflat.cover import cheapest_cover
from pennyflat.medium import medium_price
from pennyflat.needs import needs_of
from pennyflat.package import Package, amount_in, label_of
from pennyflat.saying import Listed, Money, say
from pennyflat.verdict import SAME


@dataclass(frozen=True, slots=True)
class PriceToBeat:
    """At what price a losing mix would cost as little as the winning one."""

    crop: str
    loser: str
    winner: str
    package: Package | None
    """The loser's package whose price is asked; None for a blend."""
    per_litre: float | None
    """Price with tax at which both tie as used; None if none would do. [currency/L]"""
    price: float | None
    """The same as a price of that package, before tax. [currency]"""
    price_at_the_till: float | None
    """Price of that package, its deal aside, up to which the loser's till is no dearer.

    Infinite if other packages do anyway, None if no price does or there is no till. [currency]
    """
    sentence: str


def price_to_beat(scenario, sowing, loser, winner):
    """
    At what price of one medium it would tie with another, as used and at the till.

    As used: the price per litre at which both cost the same per transplant-ready seedling, and what
    that is for the package that is cheapest per litre. At the till: the price of that package up to
    which whole packages for the number wanted cost no more; the other packages keep theirs.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
    loser, winner : Medium
        Two of the scenario's.

    Returns
    -------
    PriceToBeat or None
        None where the sowing is not ready in one of them.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> starter, bulk, blend = demo.media
    >>> print(price_to_beat(demo, demo.sowings[0], starter, bulk).sentence)
    For tomato, Seed starter mix ties with Bulk potting mix as used at 0.250 USD per litre, ...
    """
    needed = requirement(scenario, sowing, loser)
    rival = requirement(scenario, sowing, winner)
    if not (needed.ready and rival.ready):
        return None
    litres = needed.litres[loser.name]
    aim = rival.each.total * needed.expected_ready
    now = medium_price(scenario, loser)
    per_litre = now + (aim - needed.costs.total) / litres
    per_litre = per_litre if per_litre >= 0 else None
    package = price = at_the_till = None
    if loser.packages:
        package = min(loser.packages, key=lambda p: p.price / amount_in(p, "L"))
        if per_litre is not None:
            price = per_litre * amount_in(package, "L") / (1 + scenario.tax)
        at_the_till = _price_at_the_till(scenario, needed, rival, package)
    return PriceToBeat(
        sowing.crop, loser.name, winner.name, package, per_litre, price, at_the_till,
        _tie_sentence(scenario, sowing, loser, winner, package, per_litre, price, at_the_till),
    )  # fmt: skip


def _price_at_the_till(scenario, needed, rival, package):
    """
    The highest price of a package at which the first requirement's till is no dearer.

    As a function of that price the till is the least of straight lines, one for each way to cover
    the need. From a price that is low enough one goes up to where the line of the cheapest cover
    reaches the rival's money; that is still low enough, and after finitely many lines the end.
    """
    aim = _paid(scenario, rival)
    if aim is None:
        return None
    needs = needs_of(scenario, [needed])
    place = [need.item for need in needs].index(needed.medium)
    own = needs[place]
    fixed = _paid_for(needs[:place] + needs[place + 1 :], scenario.tax)
    which = own.packages.index(package)
    price = 0.0
    while fixed is not None:
        packages = list(own.packages)
        packages[which] = replace(package, price=price, deal=None)
        cover = cheapest_cover(replace(own, packages=tuple(packages)), tax=scenario.tax)
        spare = aim - fixed - cover.paid
        if cover.short_by or spare < -SAME:
            return None
        if not cover.counts[which]:
            return inf
        if spare <= SAME:
            return price
        price += spare / cover.counts[which] / (1 + scenario.tax)
    return None


def _paid(scenario, needed):
    return _paid_for(needs_of(scenario, [needed]), scenario.tax)


def _paid_for(needs, tax):
    """Money at the till for needs; None where limits make one impossible. [currency]"""
    covers = [cheapest_cover(need, tax=tax) for need in needs]
    return None if any(cover.short_by for cover in covers) else sum(c.paid for c in covers)


def _tie_sentence(scenario, sowing, loser, winner, package, per_litre, price, at_the_till):
    gaps = {"crop": sowing.crop, "loser": loser.name, "winner": winner.name}
    clauses = [_as_used_clause(gaps, package, per_litre, price, scenario.currency)]
    if package is not None:
        clauses.append(_till_clause(sowing.wanted, package, at_the_till, scenario.currency))
    return say("{clauses}.", clauses=Listed(tuple(clauses), ";"))


def _as_used_clause(gaps, package, per_litre, price, currency):
    if per_litre is None:
        return say(
            "For {crop}, {loser} would cost more per ready seedling than {winner} even as a gift",
            **gaps,
        )
    gaps = gaps | {"per_litre": Money(per_litre, currency)}
    if package is None:
        return say(
            "For {crop}, {loser} ties with {winner} as used at {per_litre} per litre", **gaps
        )
    return say(
        "For {crop}, {loser} ties with {winner} as used at {per_litre} per litre, that is {price}"
        " for {label}",
        **gaps,
        price=Money(price, currency),
        label=label_of(package),
    )


def _till_clause(wanted, package, price, currency):
    gaps = {"wanted": wanted, "label": label_of(package)}
    if price is None:
        return say("at the till for {wanted} no price of {label} would do", **gaps)
    if price == inf:
        return say("at the till for {wanted} it costs no more, whatever {label} costs", **gaps)
    return say(
        "at the till for {wanted} it costs no more up to {price} for {label}",
        **gaps,
        price=Money(price, currency),
    )
