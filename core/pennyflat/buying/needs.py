"""The total needs, in packages, of some sowings.

Blends are split into their ingredients, after their own stock is used up. Needs that share
packages are merged: a mix for several crops, one crop's seed for several sowings, trays for
everything that stands in them.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from pennyflat.buying.cover import TOLERANCE, Need
from pennyflat.growing.cost import Requirement
from pennyflat.growing.medium import additions_per_litre, parts_per_litre
from pennyflat.scenario.package import SEEDS, TRAYS, Package
from pennyflat.scenario.records import Medium, Scenario, SeedPacket, Sowing, Tray
from pennyflat.sentences import Said, say


def needs_of(scenario: Scenario, requirements: Iterable[Requirement]) -> tuple[Need, ...]:
    """
    Needs of media, ingredients, additions, feed, seed and trays for all requirements together.

    Those that are not ready add nothing. Media come first, then ingredients, in the scenario's
    order, then the feed, seed and trays. [L, g, mL or count]

    >>> from pennyflat.growing.cost import requirement
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> blend = requirement(demo, demo.sowings[0], demo.medium("Home blend"))
    >>> for need in needs_of(demo, [blend]):
    ...     print(need.item, round(need.amount, 2), need.measure)
    Coir block 3.29 L
    Perlite 1.1 L
    Worm castings 1.1 L
    Dry organic fertiliser 15.14 g
    Soluble feed 20-20-20 0.92 g
    tomato seed 77 seeds
    72 cells 2 trays
    """
    ready = [needed for needed in requirements if needed.ready]
    litres = Counter[str]()
    for needed in ready:
        litres.update(needed.litres)
    needs = [
        Need(medium.name, "L", litres[medium.name], medium.packages, medium.stock)
        for medium in scenario.media
        if medium.name in litres and medium.packages
    ]
    needs += _ingredients(scenario, litres)
    feed_amount = math.fsum(needed.feed_amount for needed in ready)
    feed = scenario.feed
    if feed and feed_amount:
        needs.append(Need(feed.name, feed.measure, feed_amount, feed.packages, feed.stock))
    return (*needs, *_seed(ready), *_trays(scenario, ready))


def whole_trays(cells: float, tray: Tray) -> int:
    """
    Number of trays that hold so many cells.

    >>> from pennyflat.scenario.records import Tray
    >>> whole_trays(145, Tray("72 cells", 72, 3.2, 4))
    3
    """
    return math.ceil(cells / tray.cells * (1 - TOLERANCE))


def _ingredients(scenario, litres):
    amounts = Counter()
    for medium in scenario.media:
        mixed = litres[medium.name] - medium.stock
        if not medium.parts or mixed <= 0:
            continue
        for item, amount in recipe_of(medium).items():
            amounts[item] += amount * mixed
    return [
        Need(row.name, measure, amounts[row.name, measure], row.packages, row.stock)
        for row in scenario.ingredients
        for measure in ("L", "g")
        if (row.name, measure) in amounts
    ]


def recipe_of(medium: Medium) -> dict[tuple[str, str], float]:
    """What is in one litre of a blend, by ingredient and measure. [L or g]"""
    litres = {(name, "L"): amount for name, amount in parts_per_litre(medium).items()}
    return litres | {(name, "g"): amount for name, amount in additions_per_litre(medium).items()}


def told_apart(needs: Iterable[Need]) -> Iterator[tuple[Any, ...]]:
    """
    The key that tells one household's needs apart: item, measure, packages, and a running number.

    >>> [number for *_, number in told_apart([Need("Coir", "L", 5.0, ())] * 2)]
    [1, 2]
    """
    times: Counter[tuple[Any, ...]] = Counter()
    for need in needs:
        key = need.item, need.measure, need.packages
        times[key] += 1
        yield *key, times[key]


def bought_together(households: Iterable[Iterable[Need]]) -> dict[tuple[Any, ...], list[float]]:
    """
    What each of several households is missing after its own stock, by the keys of `told_apart`.

    [measure]

    >>> ann, ben = (Need("Coir", "L", 5.0, (), stock) for stock in (9.0, 2.0))
    >>> list(bought_together([[ann], [ben]]).values())
    [[0.0, 3.0]]
    """
    lists = [list(needs) for needs in households]
    missing: dict[tuple[Any, ...], list[float]] = {}
    for place, needs in enumerate(lists):
        for key, need in zip(told_apart(needs), needs, strict=True):
            lack = need.amount - need.stock
            if lack > need.amount * TOLERANCE:
                missing.setdefault(key, [0.0] * len(lists))[place] = lack
    return missing


def seed_of(sowing: Sowing) -> tuple[str, tuple[SeedPacket, ...]]:
    """The crop and its packets: two sowings that share both share the packets."""
    return sowing.crop, sowing.seed_packets


def seed_name(crop: str) -> Said:
    """Name of a crop's seed on a list."""
    return say("{crop} seed", crop=crop)


def _seed(ready):
    together = {}
    for needed in ready:
        if needed.sowing.seed_packets:
            together.setdefault(seed_of(needed.sowing), []).append(needed)
    return [
        Need(
            seed_name(crop),
            SEEDS,
            sum(needed.seeds for needed in row),
            tuple(packet.package for packet in packets),
            sum(needed.sowing.seed_stock for needed in row),
        )
        for (crop, packets), row in together.items()
    ]


def _trays(scenario, ready):
    for tray in scenario.trays:
        cells = math.fsum(needed.trays.get(tray.name, 0.0) for needed in ready)
        if tray.have is not None and cells:
            package = Package(tray.store, 1, TRAYS, tray.price)
            kept = max(0.0, 1 - 1 / tray.uses)
            yield Need(tray.name, TRAYS, whole_trays(cells, tray), (package,), tray.have, kept)
