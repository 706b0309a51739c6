"""A blend by the bucketful, and feed by the bucket of water.

A bucket is any vessel of the given size; parts are measured loose, as poured.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pennyflat.growing.cost import requirement
from pennyflat.growing.feeding import dose
from pennyflat.growing.medium import recipe_of
from pennyflat.scenario.records import Feed, Scenario
from pennyflat.units import LITRES

BUCKETS_L = {"metric": 10.0, "US": 5 * LITRES["gal_liq"]}
"""A usual bucket in each system of units: 10 L, 5 US gallons. [L] Common practice."""

MOST_OF_A_PART = 12
"""Most buckets of one part when parts are scaled to whole numbers. [count] Ours."""


@dataclass(frozen=True, slots=True)
class Recipe:
    """One batch of a blend, and how much of it a plan takes."""

    blend: str
    parts: tuple[tuple[str, float], ...]
    """Ingredient and buckets of it, in the blend's order. [buckets]"""
    makes: float
    """Volume of the batch once mixed. [buckets]"""
    additions: tuple[tuple[str, float], ...]
    """Ingredient and its weight for one bucket of finished blend. [g]"""
    litres: float
    """To be mixed for the plan, beyond the stock. [L]"""
    buckets: float
    """The same. [buckets]"""


def recipes(
    scenario: Scenario, planned: Sequence[str | None], *, bucket_l: float
) -> tuple[Recipe, ...]:
    """
    The blends that a plan mixes, in the scenario's order, without those whose stock is enough.

    `planned` is the medium of each sowing, None for one that is not raised; a bucket holds
    `bucket_l` litres.

    >>> from pennyflat import DEMO, read
    >>> (made,) = recipes(read(DEMO), ["Home blend", None, None], bucket_l=10)
    >>> made.parts, round(made.makes, 2)
    ((('Coir block', 3), ('Perlite', 1), ('Worm castings', 1)), 4.6)
    >>> made.additions, round(made.litres, 2), round(made.buckets, 3)
    ((('Dry organic fertiliser', 30.0),), 5.05, 0.505)
    """
    litres = Counter[str]()
    for sowing, name in zip(scenario.sowings, planned, strict=True):
        if name is not None:
            litres.update(requirement(scenario, sowing, scenario.medium(name)).litres)
    return tuple(
        _recipe(medium, litres[medium.name] - medium.stock, bucket_l)
        for medium in scenario.media
        if medium.parts and litres[medium.name] > medium.stock
    )


def feed_for_bucket(feed: Feed, *, bucket_l: float) -> float:
    """
    Concentrate for a bucket of solution, of `bucket_l` litres. [g, or mL for a liquid]

    >>> from pennyflat.scenario.records import Feed
    >>> feed_for_bucket(Feed("Soluble", 2, 15, (), n_percent=20, target_ppm_n=100), bucket_l=10)
    5.0
    """
    return dose(feed) * bucket_l


def _recipe(medium, litres, bucket_l):
    recipe = recipe_of(medium)
    shares = {name: share for (_, name, measure), share in recipe.items() if measure == "L"}
    grams = {name: share for (_, name, measure), share in recipe.items() if measure == "g"}
    counts = _whole(list(shares.values()))
    return Recipe(
        medium.name,
        tuple(zip(shares, counts, strict=True)),
        sum(counts) * (1 - medium.shrink),
        tuple((name, each * bucket_l) for name, each in grams.items()),
        litres,
        litres / bucket_l,
    )


def _whole(shares):
    """Numbers in the same ratios: whole if they are small enough, else scaled so the least is 1."""
    exact = [share / min(shares) for share in shares]
    near = [Fraction(ratio).limit_denominator(MOST_OF_A_PART) for ratio in exact]
    scale = math.lcm(*(ratio.denominator for ratio in near))
    whole = [int(ratio * scale) for ratio in near]
    is_same = all(math.isclose(*pair, rel_tol=1e-9) for pair in zip(near, exact, strict=True))
    return whole if is_same and max(whole) <= MOST_OF_A_PART else exact
