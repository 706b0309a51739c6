"""How often enough of several trials succeed, and how many trials that takes.

Trials are independent, and their chance of success is a share that is known, or a count: if `up` of
`sown` seeds came up, the chance g that one seed comes up has the distribution
Beta(up + 1/2, sown - up + 1/2), from Jeffreys' prior. A cell of k seeds ends ready with chance
u = (1 - (1 - g)^k) s, and n cells give enough with the chance that enough of n trials of u succeed,
averaged over g. For one seed a cell and s = 1 this is the tail of a beta-binomial.

The average is a sum over even steps of the angle t of `angle`, g = sin² t: the chance of enough is
a polynomial in g of degree n k, and far fewer steps than exactness requires are enough.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable
from functools import lru_cache
from itertools import accumulate
from operator import neg
from statistics import NormalDist

from pennyflat.chances.angle import RIGHT, angle, steps_for
from pennyflat.chances.beta import regularized_beta
from pennyflat.sentences import unclear

TIE = 1e-12
"""A chance this little below the required assurance counts as reaching it: the gap is rounding, as
in 1 - 0.1 ** 2 against 0.99. [1]"""

MOST_TRIALS = 10_000_000
"""Largest number of trials searched: cells of one sowing, or seeds. [count] Ours."""

FAR = 5.0
"""Distance of u from wanted / n, in asin(sqrt(u)) and units of 1 / sqrt(n), beyond which a cell
count is taken as never or always enough: ten standard deviations. [1]"""

ALIKE = 5e-6
"""Distance, in the same units, within which chances u are merged into their mean: 1e-5 of a
standard deviation, so that averages are off by 1e-11 at most. [1]"""


Known = float | tuple[int, int, int, float]
"""The chance that a trial succeeds, or what it is known by: seedlings up and seeds sown in a count,
seeds in a cell, and the share of seedlings that survive."""


def binomial_tail(n: int, p: float, k: int) -> float:
    """
    Chance of at least k successes in n independent trials of chance p.

    `P[Binomial(n, p) >= k] = I_p(k, n - k + 1)`. [DLMF 8.17.5]

    63 seeds that each come up four times in five give 50 seedlings only about six times in ten:

    >>> binomial_tail(63, 0.8, 50)
    0.6226
    """
    if k <= 0:
        return 1.0
    if k > n:
        return 0.0
    return regularized_beta(k, n - k + 1, p)


def enough_chance(n: int, wanted: int, known: Known) -> float:
    """
    Chance that n cells give as many ready seedlings as wanted.

    To 1e-10 if the seed is known by a count; tested up to a million counted and a million wanted.
    n is up to `MOST_TRIALS`. ValueError if more came up than were sown.

    >>> enough_chance(69, 50, (17, 20, 1, 1.0)), enough_chance(70, 50, (17, 20, 1, 1.0))
    (0.8882, 0.9040)
    """
    if isinstance(known, tuple):
        check_count(*known[:2])
    if wanted <= 0 or n < wanted:
        return float(wanted <= 0)
    shares, weights, above = _law(known, _kept(n))
    middle, far = math.asin(math.sqrt(wanted / n)), FAR / math.sqrt(n)
    low, high = (math.sin(min(max(0.0, t), RIGHT)) ** 2 for t in (middle - far, middle + far))
    first, last = bisect_left(shares, low), bisect_right(shares, high)  # the others are certain
    return above[last] + math.fsum(
        weights[place] * binomial_tail(n, shares[place], wanted) for place in range(first, last)
    )


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


def fewest_trials(known: Known, wanted: int, assurance: float | None) -> int:
    """
    Fewest independent trials that give as many successes as wanted with the given assurance.

    Smallest n with `enough_chance(n, wanted, known) >= assurance`; without an assurance, the
    expected number, `ceil(wanted / share)`, the share averaged over what a count tells. A chance
    below the assurance by no more than `TIE` counts as reaching it. ValueError if a value is out of
    range, or more than `MOST_TRIALS` are needed.

    17 of 20 are less certain than a germination of 0.85, for which 63 cells are enough:

    >>> fewest_trials(0.8, 50, None), fewest_trials(0.8, 50, 0.9), fewest_trials(0.85, 50, 0.9)
    (63, 68, 63)
    >>> fewest_trials((17, 20, 1, 1.0), 50, 0.9), fewest_trials((170, 200, 1, 1.0), 50, 0.9)
    (70, 64)
    """
    share = mean_ready_share(*known) if isinstance(known, tuple) else known
    if not 0 < share <= 1:
        raise ValueError(f"share must be more than 0 and at most 1, not {share!r}.")
    if assurance is None:
        trials = math.ceil(wanted / share - 1e-9)
    elif 0 < assurance < 1:
        trials = _fewest(wanted, known, share, assurance)
    else:
        raise ValueError(f"assurance must be more than 0 and below 1, not {assurance!r}.")
    gaps = {"share": share, "most": MOST_TRIALS, "wanted": wanted}
    if trials > MOST_TRIALS and assurance is not None and not isinstance(known, tuple):
        raise unclear(
            "At a share of {share:g}, more than {most:,} would have to be sown for {wanted:,}."
            " Want fewer, or find what keeps so many from coming up.",
            **gaps,
        )
    if trials > MOST_TRIALS and isinstance(known, tuple):
        raise unclear(
            "With {up:,} of {sown:,} up, more than {most:,} cells would be needed for"
            " {wanted:,} ready seedlings. Count more seeds first, or want fewer.",
            up=known[0],
            sown=known[1],
            **gaps,
        )
    return trials


@lru_cache(maxsize=8192)
def _fewest(wanted, known, share, assurance):
    """Fewest trials with a mean share of success, or more than `MOST_TRIALS`; `known` of `_law`."""
    if wanted <= 0:
        return 0
    expected = wanted / share
    shares, _, above = _law(known, _kept(min(math.ceil(expected), MOST_TRIALS)))
    low = shares[max(0, bisect_left(above, -assurance, key=neg) - 1)]  # exceeded so surely
    luck = NormalDist().inv_cdf(assurance) * math.sqrt(wanted * (1 - share)) / share
    more = math.copysign(math.hypot(luck, wanted / low - expected), luck)
    return least_whole(
        lambda n: n > MOST_TRIALS or enough_chance(n, wanted, known) >= assurance - TIE,
        start=math.ceil(min(expected + more, MOST_TRIALS + 1)),
        at_least=wanted,
    )


def _kept(n):
    """A power of two, at least n, so that many n share the cached steps."""
    return 1 << (n - 1).bit_length()


@lru_cache(maxsize=256)
def _law(known, cells):
    """
    Chances u of a cell, rising; their weights, which add up to 1; the tail sums of the weights.

    Known is u itself, or a count: up, sown, seeds a cell and survival. The steps are fine enough
    for so many cells; chances that these cells cannot tell apart are merged.
    """
    if not isinstance(known, tuple):
        return [known], [1.0], [1.0, 0.0]
    up, sown, seeds, survival = known
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


def least_whole(enough: Callable[[int], bool], *, start: int, at_least: int) -> int:
    """
    Smallest whole number from `at_least` that is enough, given that all larger ones are too.

    Doubling strides from `start`, a guess, bracket the answer; bisection finds it.
    """
    bad, good, stride = at_least - 1, max(start, at_least), 1
    while not enough(good):
        bad, good, stride = good, good + stride, 2 * stride
    stride = 1
    while good - stride > bad and enough(good - stride):
        good, stride = good - stride, 2 * stride
    bad = max(bad, good - stride)
    return bad + 1 + bisect_left(range(bad + 1, good), True, key=enough)


def check_count(up: int, sown: int) -> None:
    """ValueError if none was sown, or more came up than were sown."""
    if not (sown >= 1 and 0 <= up <= sown):
        raise ValueError(f"up must be between 0 and the seeds sown, not {up!r} of {sown!r}.")
