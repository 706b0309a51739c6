"""What has to be bought in packages for some plantings, added up.

Blends are taken apart into their ingredients, after the blend that is at home already; needs of the
same thing are one need, since they share packages.
"""

import math

from pennyflat.cover import Need
from pennyflat.medium import additions_per_litre, parts_per_litre


def needs_of(scenario, requirements):
    """
    Needs of media, ingredients, additions and feed of all requirements together.

    Parameters
    ----------
    scenario : Scenario
    requirements : iterable of Requirement
        One per planting to be bought for; those that are not ready add nothing.

    Returns
    -------
    tuple of Need
        Media first, then ingredients, in the scenario's order, then the feed. [L, g or mL]

    Examples
    --------
    >>> from pennyflat.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> blend = requirement(demo, demo.plantings[0], demo.medium("Home blend"))
    >>> for need in needs_of(demo, [blend]):
    ...     print(need.item, round(need.amount, 2), need.measure)
    Coir block 3.29 L
    Perlite 1.1 L
    Worm castings 1.1 L
    Dry organic fertiliser 15.14 g
    Soluble feed 20-20-20 0.92 g
    """
    ready = [needed for needed in requirements if needed.ready]
    litres = {}
    for needed in ready:
        for name, amount in needed.litres.items():
            litres[name] = litres.get(name, 0.0) + amount
    return needs_for(scenario, litres, math.fsum(needed.feed_amount for needed in ready))


def needs_for(scenario, litres, feed_amount):
    """
    Needs that litres of media and an amount of feed come down to.

    Parameters
    ----------
    scenario : Scenario
    litres : dict of str to float
        By medium, out of the bags. [L]
    feed_amount : float
        Concentrate, at least 0. [g, or mL for a liquid]

    Returns
    -------
    tuple of Need
        As from `needs_of`. [L, g or mL]

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> [(need.item, need.amount) for need in needs_for(read(DEMO), {"Bulk potting mix": 5.0}, 0.0)]
    [('Bulk potting mix', 5.0)]
    """
    needs = [
        Need(medium.name, "L", litres[medium.name], medium.packages, medium.stock)
        for medium in scenario.media
        if medium.name in litres and medium.packages
    ]
    needs += _ingredients(scenario, litres)
    if feed_amount:
        feed = scenario.feed
        needs.append(Need(feed.name, feed.measure, feed_amount, feed.packages, feed.stock))
    return tuple(needs)


def _ingredients(scenario, litres):
    amounts = {}
    for medium in scenario.media:
        if not medium.parts or litres.get(medium.name, 0.0) <= medium.stock:
            continue
        mixed = litres[medium.name] - medium.stock
        for measure, recipe in (("L", parts_per_litre(medium)), ("g", additions_per_litre(medium))):
            for name, amount in recipe.items():
                place = (name, measure)
                amounts[place] = amounts.get(place, 0.0) + amount * mixed
    return [
        Need(row.name, measure, amounts[row.name, measure], row.packages, row.stock)
        for row in scenario.ingredients
        for measure in ("L", "g")
        if (row.name, measure) in amounts
    ]
