"""The total needs, in packages, of some sowings.

Blends are split into their ingredients, after their own stock is used up. Needs that share
packages are merged: a mix for several crops, one crop's seed for several sowings, trays for
everything that stands in them.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from pennyflat.buying.cover import TOLERANCE, Need
from pennyflat.growing.cost import Requirement
from pennyflat.growing.medium import recipe_of
from pennyflat.scenario.package import SEEDS, TRAYS, Package
from pennyflat.scenario.records import Scenario, SeedPacket, Sowing, Tray
from pennyflat.sentences import Said, say

Key: TypeAlias = tuple[Any, ...]
"""What is taken: the kind of thing and its name."""

FEED: Key = ("feed",)


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
    seed of tomato 77 seeds
    72 cells 2 trays
    """
    ready = [needed for needed in requirements if needed.ready]
    amounts: dict[Key, float] = {}
    for needed in ready:
        for key, amount in taken(needed).items():
            amounts[key] = amounts.get(key, 0) + amount
    for medium in scenario.media:
        litres = amounts.get(("L", medium.name), 0.0)
        mixed = litres - medium.stock
        if medium.parts and mixed > litres * TOLERANCE:
            for key, amount in recipe_of(medium).items():
                amounts[key] = amounts.get(key, 0) + amount * mixed
    for tray in scenario.trays:
        if (key := (TRAYS, tray.name)) in amounts:
            amounts[key] = whole_trays(amounts[key], tray)
    return tuple(need for _, need in sold(scenario, [one.sowing for one in ready], amounts))


def taken(needed: Requirement) -> dict[Key, float]:
    """Amounts of everything a sowing takes: L of media, feed, seeds, and cells of trays."""
    found = {
        **{("L", name): litres for name, litres in needed.litres.items()},
        FEED: needed.feed_amount,
        (SEEDS, *seed_of(needed.sowing)): needed.seeds,
        **{(TRAYS, name): cells for name, cells in needed.trays.items()},
    }
    return {key: amount for key, amount in found.items() if amount}


def sold(
    scenario: Scenario, sowings: Sequence[Sowing], amounts: Mapping[Key, float]
) -> Iterator[tuple[Key, Need]]:
    """
    The needs for those of some amounts that are bought in packages, with their keys.

    The keys are those of `taken`, and of `recipe_of` for the parts of blends; trays are counted
    whole. The `sowings` are those that take the seed.
    """
    for key, item, measure, packages, *at_home in _goods(scenario, sowings):
        if key in amounts:
            yield key, Need(item, measure, amounts[key], packages, *at_home)


def _goods(scenario, sowings):
    """(key, item, measure, packages, stock), and the share of worth kept, of all that is sold."""
    for row in scenario.media:
        if row.packages:
            yield ("L", row.name), row.name, "L", row.packages, row.stock
    for row in scenario.ingredients:
        for measure in ("L", "g"):
            yield ("part", row.name, measure), row.name, measure, row.packages, row.stock
    if feed := scenario.feed:
        yield FEED, feed.name, feed.measure, feed.packages, feed.stock
    for crop, packets in dict.fromkeys(map(seed_of, sowings)):
        stock = sum(one.seed_stock for one in sowings if seed_of(one) == (crop, packets))
        packages = tuple(packet.package for packet in packets)
        if packets:
            yield (SEEDS, crop, packets), seed_name(crop), SEEDS, packages, stock
    for tray in scenario.trays:
        if tray.have is not None:
            package = Package(tray.store, 1, TRAYS, tray.price)
            kept = max(0.0, 1 - 1 / tray.uses)
            yield (TRAYS, tray.name), tray.name, TRAYS, (package,), tray.have, kept


def whole_trays(cells: float, tray: Tray) -> int:
    """
    Number of trays that hold so many cells.

    >>> from pennyflat.scenario.records import Tray
    >>> whole_trays(145, Tray("72 cells", 72, 3.2, 4))
    3
    """
    return math.ceil(cells / tray.cells * (1 - TOLERANCE))


def told_apart(needs: Iterable[Need]) -> Iterator[Key]:
    """
    The key that tells one household's needs apart: its `key`, and a running number.

    >>> [number for *_, number in told_apart([Need("Coir", "L", 5.0, ())] * 2)]
    [1, 2]
    """
    times = Counter[Key]()
    for need in needs:
        times[need.key] += 1
        yield *need.key, times[need.key]


def seed_of(sowing: Sowing) -> tuple[str, tuple[SeedPacket, ...]]:
    """The crop and its packets: two sowings that share both share the packets."""
    return sowing.crop, sowing.seed_packets


def seed_name(crop: str) -> Said:
    """Name of a crop's seed on a list."""
    return say("seed of {crop}", crop=crop)
