"""What a count of emerged seedlings says about the share that would emerge.

Seeds are assumed to come up independently. Replicates test this: more scatter between them than
chance allows means that something else was at work.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, takewhile
from statistics import NormalDist

from pennyflat.chances.beta import beta_quantile, binomial_pmf
from pennyflat.chances.probability import check_count
from pennyflat.sentences import phrase

JEFFREYS = 0.5
"""Added to the seeds that came up and to those that did not: Jeffreys' prior Beta(1/2, 1/2)."""

TOLERANCE_4X100 = {
    # mean germination from 51 %: greatest range between four replicates of 100 seeds, in per cent
    99: 5, 98: 6, 97: 7, 96: 8, 95: 9, 94: 10, 93: 10, 92: 11, 91: 11, 90: 12, 89: 12, 88: 13,
    87: 13, 86: 14, 85: 14, 84: 14, 83: 15, 82: 15, 81: 15, 80: 16, 79: 16, 78: 16, 77: 17, 76: 17,
    75: 17, 74: 17, 73: 17, 72: 18, 71: 18, 70: 18, 69: 18, 68: 18, 67: 18,
    **dict.fromkeys(range(56, 67), 19), **dict.fromkeys(range(51, 56), 20),
}  # fmt: skip
"""US Code of Federal Regulations, 7 CFR 201.55, maximum tolerated ranges between 100-seed
replicates (25 FR 8771 of 1960, 65 FR 1707 of 2000; annual edition of 2015, read in a copy). The two
columns of the mean stand side by side, 99 with 2, 98 with 3, to 51 with 50: below 51 %, p has the
tolerance of 101 - p. Table 5B of the ISTA rules has the same rows, from memory. [%]"""

RANGE_FACTOR = {2: 3.1698, 3: 3.6823, 4: 3.9840, 5: 4.1970, 6: 4.3609, 7: 4.4936, 8: 4.6049}
"""Upper 2.5 % point of the range of this many standard normal values. [1]
SciPy 1.18.1: stats.studentized_range.ppf(0.975, replicates, inf)."""

NEGLIGIBLE = 1e-17
"""Chance, or share of one, that sums leave out. [1]"""

TINY = 1e-300
"""Chance below which floats lose digits. [1]"""

SUSPICIOUS = 0.025
"""Replicates are called in doubt if chance alone makes them differ this much less often than this:
the level of the published tolerances. [1]"""


@dataclass(frozen=True, slots=True)
class Replicates:
    """How far apart replicates of one test lie, compared with chance."""

    spread: float
    """Greatest minus least. [1]"""
    tolerance: float
    """Greatest range still explained by chance. [1]"""
    source: str
    """Where the tolerance comes from."""
    chance: float
    """Exact chance that independent seeds of the same germination lie so far apart. [1]"""
    in_doubt: bool
    """Whether they differ by more than chance: by the exact chance, not the tolerance."""


def wilson_interval(emerged: int, sown: int, *, level: float = 0.95) -> tuple[float, float]:
    """
    Wilson's score interval for the share that would emerge: low and high. [1]

    Such intervals contain the truth about as often as the level says. [Wilson 1927, J. Am. Stat.
    Assoc. 22; method 3 of Newcombe 1998, Stat. Med. 17:857-872.]

    >>> wilson_interval(81, 263)
    (0.2553, 0.3662)
    """
    check_count(emerged, sown)
    z = NormalDist().inv_cdf((1 + level) / 2)
    share, weight = emerged / sown, z * z / sown
    middle = (share + weight / 2) / (1 + weight)
    half = z / (1 + weight) * math.sqrt(share * (1 - share) / sown + weight / (4 * sown))
    low = 0.0 if emerged == 0 else middle - half
    high = 1.0 if emerged == sown else middle + half
    return low, high


def jeffreys_interval(emerged: int, sown: int, *, level: float = 0.95) -> tuple[float, float]:
    """
    Jeffreys' interval for the share that would emerge: low and high, equal tails outside. [1]

    Quantiles of the posterior Beta(emerged + 1/2, sown - emerged + 1/2). [Brown, Cai and DasGupta
    2001, Statistical Science 16, from memory; without their modification at 0 and sown emerged.]

    Four of five leave almost everything open:

    >>> jeffreys_interval(4, 5)
    (0.3714, 0.9774)
    """
    check_count(emerged, sown)
    shapes = emerged + JEFFREYS, sown - emerged + JEFFREYS
    return beta_quantile(*shapes, (1 - level) / 2), beta_quantile(*shapes, (1 + level) / 2)


def fisher_exact(emerged: int, sown: int, other_emerged: int, other_sown: int) -> float:
    """
    Fisher's exact test, two-sided: how often chance alone separates equal mixes at least this far.

    Sum of the chances of all outcomes with the same total that are no likelier than the one seen
    (within 1 part in 10^9): the p-value. [1] It is not the chance that the mixes are equal.

    Five of five against two of five may well be chance:

    >>> fisher_exact(5, 5, 2, 5)
    0.1667
    """
    check_count(emerged, sown)
    check_count(other_emerged, other_sown)
    total, seeds = emerged + other_emerged, sown + other_sown
    share = total / seeds
    together = binomial_pmf(seeds, share, total)

    def chance(k):
        return binomial_pmf(sown, share, k) * binomial_pmf(other_sown, share, total - k) / together

    def is_no_likelier(k):
        return chance(k) <= seen * (1 + 1e-9)

    seen = chance(emerged)
    first, last = max(0, total - other_sown), min(total, sown)
    likeliest = (sown + 1) * (total + 1) // (seeds + 2)
    if is_no_likelier(likeliest):
        return 1.0
    negligible = max(NEGLIGIBLE * seen, TINY)
    p_value = 0.0
    for side in (range(likeliest, last + 1), range(likeliest, first - 1, -1)):
        tail = side[bisect_left(side, True, key=is_no_likelier) :]
        p_value += math.fsum(takewhile(lambda p: p > negligible, map(chance, tail)))
    return p_value


def compare_replicates(counts: Sequence[int], seeds: int) -> Replicates:
    """
    Whether replicates of one germination test differ more than chance allows.

    For four of 100 seeds: the tolerance of `TOLERANCE_4X100`, by the mean rounded to a whole per
    cent. Otherwise, and beyond that table, a nearby rule, `factor x sqrt(p (1 - p) / seeds)`, with
    the factor from `RANGE_FACTOR`, for 2 to 8 replicates. Neither is valid for few seeds, so the
    exact binomial chance of such a range is given too, and it decides.

    >>> found = compare_replicates((96, 84, 90, 90), 100)
    >>> found.spread, found.tolerance, found.in_doubt
    (0.12, 0.12, False)
    """
    if len(counts) not in RANGE_FACTOR:
        raise ValueError(f"counts must be those of 2 to 8 replicates, not of {len(counts)}.")
    for count in counts:
        check_count(count, seeds)
    total, sown = sum(counts), len(counts) * seeds
    mean = total / sown
    spread = max(counts) - min(counts)
    percent = (200 * total + sown) // (2 * sown)  # rounds halves up
    row = percent if percent > 50 else 101 - percent
    if (len(counts), seeds) == (4, 100) and row in TOLERANCE_4X100:
        tolerance = TOLERANCE_4X100[row] / 100
        source = phrase("7 CFR 201.55, maximum tolerated ranges")
    else:
        tolerance = RANGE_FACTOR[len(counts)] * math.sqrt(mean * (1 - mean) / seeds)
        source = phrase("range of normal values at the 2.5 % level")
    chance = _chance_of_range(spread, len(counts), seeds, mean)
    return Replicates(spread / seeds, tolerance, source, chance, chance < SUSPICIOUS)


def _chance_of_range(spread, replicates, seeds, share):
    """
    P[greatest - least >= spread] of independent binomial counts.

    Counts beyond 10 standard deviations and 40 are left out: less than 1e-21 in all. [Bernstein's
    inequality, from memory: P[|X - np| >= t] <= 2 exp(-t² / (2 (np(1 - p) + t / 3))).]
    """
    if spread == 0:
        return 1.0
    middle, far = seeds * share, 40 + 10 * math.sqrt(seeds * share * (1 - share))
    counts = range(max(0, math.floor(middle - far)), min(seeds, math.ceil(middle + far)) + 1)
    chances = (binomial_pmf(seeds, share, k) for k in counts)
    up_to = [*accumulate(chances, initial=0.0)]  # up_to[k]: chance of the first k counts
    narrower = 0.0  # sum over the least count of the chance that all lie within spread - 1 of it
    for least in range(len(counts)):
        top = up_to[min(least + spread, len(counts))]
        narrower += (top - up_to[least]) ** replicates - (top - up_to[least + 1]) ** replicates
    return max(0.0, 1 - narrower)
