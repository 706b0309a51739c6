"""How many cells give enough seedlings if the seed is known only by a count.

If `up` of `sown` seeds came up, the chance g that one seed comes up has the distribution
Beta(up + 1/2, sown - up + 1/2), from Jeffreys' prior. A cell of k seeds ends ready with chance
u = (1 - (1 - g)^k) s, and n cells give enough with the chance that enough of n trials of u succeed,
averaged over g. For one seed a cell and s = 1 this is the tail of a beta-binomial.

The average is a sum over even steps of the angle t of `angle`, g = sin² t: the chance of enough is
a polynomial in g of degree n k, and far fewer steps than exactness requires are enough.
"""

import math
from bisect import bisect_left, bisect_right
from functools import lru_cache
from itertools import accumulate
from operator import mul

from pennyflat.chances.angle import RIGHT, angle, steps_for
from pennyflat.chances.probability import (
    MOST_TRIALS,
    TIE,
    binomial_tail,
    check_assurance,
    check_count,
    least_whole,
)
from pennyflat.sentences import say

FAR = 5.0
"""Distance of u from wanted / n, in asin(sqrt(u)) and units of 1 / sqrt(n), beyond which a cell
count is taken as never or always enough: ten standard deviations. [1]"""

ALIKE = 5e-6
"""Distance, in the same units, within which chances u are merged into their mean: 1e-5 of a
standard deviation, so that averages are off by 1e-11 at most. [1]"""

NEARBY = 200
"""Cells that are added one by one before the search continues by halving. [count]"""


def mean_ready_share(up: int, sown: int, seeds_per_cell: int, survival: float) -> float:
    """
    Chance E[u] that a cell ends ready, averaged over what a count tells about the seed.

    `s (1 - E[(1 - g)^k])`, with `E[(1 - g)^k]` the product of (b + i) / (a + b + i) for i < k, the
    moment of Beta(a, b). ValueError if more came `up` than were `sown`.

    >>> mean_ready_share(17, 20, 1, 1.0), mean_ready_share(17, 20, 2, 0.95)
    (0.8333, 0.9176)
    """
    check_count(up, sown)
    a = up + 0.5
    missing = math.fsum(math.log1p(-a / (sown + 1 + i)) for i in range(seeds_per_cell))
    return -math.expm1(missing) * survival


def enough_chance(
    n: int, wanted: int, up: int, sown: int, seeds_per_cell: int = 1, survival: float = 1.0
) -> float:
    """
    Chance that n cells give as many ready seedlings as wanted if the seed is known by a count.

    To 1e-10; tested up to a million counted and a million wanted. n is up to `MOST_TRIALS`.
    ValueError if more came `up` than were `sown`.

    >>> enough_chance(69, 50, 17, 20), enough_chance(70, 50, 17, 20)
    (0.8882, 0.9040)
    """
    check_count(up, sown)
    if wanted <= 0 or n < wanted:
        return float(wanted <= 0)
    seed = up, sown, seeds_per_cell, survival
    shares, weights, above = _steps(*seed, _kept(n))
    first, last = _undecided(shares, n, wanted)
    return above[last] + math.fsum(
        weights[place] * binomial_tail(n, shares[place], wanted) for place in range(first, last)
    )


def cells_for_counts(
    wanted: int,
    up: int,
    sown: int,
    *,
    seeds_per_cell: int = 1,
    survival: float = 1.0,
    assurance: float | None,
) -> int:
    """
    Fewest cells that give enough ready seedlings if the seed is known by a count.

    Smallest n with `enough_chance(n, ...) >= assurance`; without an assurance, the expected number,
    `ceil(wanted / E[u])`. ValueError if more than `MOST_TRIALS` cells are needed, or a value is out
    of range.

    17 of 20 are less certain than a germination of 0.85, for which 63 cells are enough:

    >>> cells_for_counts(50, 17, 20, assurance=0.9), cells_for_counts(50, 170, 200, assurance=0.9)
    (70, 64)
    """
    check_count(up, sown)
    if not 0 < survival <= 1:
        raise ValueError(f"survival must be more than 0 and at most 1, not {survival!r}.")
    if assurance is not None:
        check_assurance(assurance)
    cells = _cells_for_counts(wanted, (up, sown, seeds_per_cell, survival), assurance)
    if cells > MOST_TRIALS:
        raise ValueError(
            say(
                "With {up:,} of {sown:,} up, more than {most:,} cells would be needed for"
                " {wanted:,} ready seedlings. Count more seeds first, or want fewer.",
                up=up,
                sown=sown,
                most=MOST_TRIALS,
                wanted=wanted,
            )
        )
    return cells


@lru_cache(maxsize=8192)
def _cells_for_counts(wanted, seed, assurance):
    """Cells, or more than `MOST_TRIALS` if that many are not enough."""
    if wanted <= 0:
        return 0
    expected = math.ceil(wanted / mean_ready_share(*seed) - 1e-9)
    if assurance is None:
        return expected
    about = _about(wanted, expected, seed, assurance)
    if about > 2 * expected:  # steps for so few cells are too coarse
        about = _about(wanted, about, seed, assurance)
    if wanted <= NEARBY and about <= wanted + NEARBY:
        return _by_adding(wanted, seed, assurance)

    def enough(n):
        return n > MOST_TRIALS or enough_chance(n, wanted, *seed) >= assurance - TIE

    return least_whole(enough, start=about, at_least=wanted)


def _about(wanted, expected, seed, assurance):
    """Cells by a normal approximation: fast, and off by a few at most."""
    shares, weights, _ = _steps(*seed, _kept(min(expected, MOST_TRIALS)))
    known = [(u, 2 * u * (1 - u), w) for u, w in zip(shares, weights, strict=True) if 0 < u < 1]
    surely = 1 - math.fsum(w for _, _, w in known)
    erf, sqrt = math.erf, math.sqrt

    def enough(n):
        chance = sum(w + w * erf((n * u - wanted + 0.5) / sqrt(n * v)) for u, v, w in known) / 2
        return n > MOST_TRIALS or surely + chance >= assurance

    return min(least_whole(enough, start=expected, at_least=wanted), MOST_TRIALS + 1)


def _by_adding(wanted, seed, assurance):
    """
    Fewest cells, adding one at a time from `wanted` cells, all of which must end ready.

    One more cell adds u P[n cells give wanted - 1], which is then updated by a factor.
    """
    shares, weights, _ = _steps(*seed, _kept(wanted + 2 * NEARBY))
    n, chance = wanted, math.fsum(w * u**wanted for u, w in zip(shares, weights, strict=True))
    # by u: its weight times the chance that n cells give wanted - 1
    missed = [w * n * u ** (n - 1) * (1 - u) for u, w in zip(shares, weights, strict=True)]
    fails = [1 - u for u in shares]
    while chance < assurance - TIE:
        chance += sum(map(mul, missed, shares))
        n += 1
        factor = n / (n + 1 - wanted)
        missed = [m * q * factor for m, q in zip(missed, fails, strict=True)]
    return n


def _kept(n):
    """A power of two, at least n, so that many n share the cached steps."""
    return 1 << (n - 1).bit_length()


@lru_cache(maxsize=256)
def _steps(up, sown, seeds, survival, cells):
    """
    Chances u of a cell, rising; their weights, which add up to 1; the tail sums of the weights.

    The steps are fine enough for so many cells; chances that these cells cannot tell apart are
    merged.
    """
    count = steps_for(sown + 1 + survival * seeds * (cells + 1))
    alike, start, shares, weights = ALIKE / math.sqrt(cells), -1.0, [], []
    for t, weight in angle(up + 0.5, sown - up + 0.5).even_steps(count):
        share = -math.expm1(seeds * _log_failed(t)) * survival
        at = math.asin(math.sqrt(share))
        if at - start > alike:
            start = at
            shares.append(share)
            weights.append(weight)
        else:
            weights[-1] += weight
            shares[-1] += (share - shares[-1]) * weight / weights[-1]
    above = [*accumulate(reversed(weights))][::-1]
    return shares, weights, [*above, 0.0]


def _log_failed(t):
    """log(1 - sin² t), exact to rounding at both ends."""
    return math.log1p(-(math.sin(t) ** 2)) if t < 0.8 else 2 * math.log(math.cos(t))


def _undecided(shares, n, wanted):
    """First and last place of the chances u for which enough is neither certain nor hopeless."""
    middle, far = math.asin(math.sqrt(wanted / n)), FAR / math.sqrt(n)
    low, high = max(0.0, middle - far), min(RIGHT, middle + far)
    return bisect_left(shares, math.sin(low) ** 2), bisect_right(shares, math.sin(high) ** 2)
