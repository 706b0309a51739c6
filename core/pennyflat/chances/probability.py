"""How often enough independent trials succeed, and how many trials that takes."""

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from statistics import NormalDist

from pennyflat.chances.beta import binomial_pmf, regularized_beta
from pennyflat.sentences import say

TIE = 1e-12
"""A chance this little below the required assurance counts as reaching it: the gap is rounding, as
in 1 - 0.1 ** 2 against 0.99. [1]"""


MOST_TRIALS = 10_000_000
"""Largest number of trials searched: cells of one sowing, or seeds. [count] Ours."""

FAR_APART = 0.05
"""Chance of success below which the numbers of trials lie too far apart to walk through. [1]"""

FEW_TERMS = 10_000
"""Variance of the successes up to which their chances are added up one by one. [count²]"""


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
    if n * p * (1 - p) > FEW_TERMS or p in (0, 1):
        return regularized_beta(k, n - k + 1, p)
    if k > n * p:
        return _sum_away(n, p, k)
    return 1 - _sum_away(n, 1 - p, n - k + 1)


def _sum_away(n, p, k):
    """P[Binomial(n, p) >= k] for k beyond the mean, adding terms until they are negligible."""
    total = term = binomial_pmf(n, p, k)
    odds = p / (1 - p)
    while k < n and term > 1e-17 * total:
        term *= (n - k) * odds / (k + 1)
        total += term
        k += 1
    return total


def fewest_trials(p: float, successes: int, assurance: float) -> int:
    """
    Fewest independent trials of chance p that give enough successes with the given assurance.

    Smallest n with `P[Binomial(n, p) >= successes] >= assurance`. A chance below the assurance by
    no more than `TIE` counts as reaching it. ValueError if p or the assurance is out of range, or
    more than `MOST_TRIALS` are needed.

    >>> fewest_trials(0.8, 50, 0.9)
    68
    """
    _check_goal(p, assurance)
    trials = _fewest_trials(p, successes, assurance)
    if trials > MOST_TRIALS:
        raise ValueError(
            say(
                "At a share of {share:g}, more than {most:,} would have to be sown for {wanted:,}."
                " Want fewer, or find what keeps so many from coming up.",
                share=p,
                most=MOST_TRIALS,
                wanted=successes,
            )
        )
    return trials


@lru_cache(maxsize=4096)
def _fewest_trials(p, successes, assurance):
    """
    `fewest_trials`, or more than `MOST_TRIALS` if that many are not enough.

    The trials needed follow a negative binomial; its mean, spread and skew give the starting point
    (first Cornish-Fisher term).
    """
    if p == 1 or successes <= 0:
        return max(0, successes)
    z = NormalDist().inv_cdf(assurance)
    spread = math.sqrt(successes * (1 - p)) / p
    skewed = (2 - p) / p * (z * z - 1) / 6
    return least_whole(
        lambda n: n > MOST_TRIALS or _reaches(binomial_tail(n, p, successes), assurance),
        start=min(math.ceil(successes / p + z * spread + skewed), MOST_TRIALS + 1),
        at_least=successes,
    )


def least_whole(enough: Callable[[int], bool], *, start: int, at_least: int) -> int:
    """
    Smallest whole number from `at_least` that is enough, given that all larger ones are too.

    Doubling strides from `start`, a guess, bracket the answer; bisection finds it.

    >>> least_whole(lambda n: n * n >= 200, start=3, at_least=0)
    15
    """
    bad, good, stride = at_least - 1, max(start, at_least), 1
    while not enough(good):
        bad, good, stride = good, good + stride, 2 * stride
    stride = 1
    while good - stride > bad and enough(good - stride):
        good, stride = good - stride, 2 * stride
    bad = max(bad, good - stride)
    while good - bad > 1:
        middle = (bad + good) // 2
        bad, good = (bad, middle) if enough(middle) else (middle, good)
    return good


def fewest_trials_up_to(p: float, most: int, assurance: float) -> Sequence[int]:
    """
    `fewest_trials` for every wanted count from 1 to most, in one walk, for p from `FAR_APART`.

    One more trial adds `p P[n trials give k - 1]` to the chance of k or more; one more success
    wanted subtracts `P[n trials give k]`. Each step updates that chance by a factor; rounding adds
    up to less than `TIE` over 100,000 wanted.

    >>> fewest_trials_up_to(0.8, 5, 0.9)
    [2, 4, 5, 6, 8]
    """
    _check_goal(p, assurance)
    if p == 1:
        return range(1, most + 1)
    n = fewest_trials(p, 1, assurance)
    missed = binomial_pmf(n, p, 0)  # chance that n trials give wanted - 1
    tail = 1 - missed
    found = [n]
    for wanted in range(2, most + 1):
        missed *= (n - wanted + 2) / (wanted - 1) * p / (1 - p)
        tail -= missed
        while not _reaches(tail, assurance):
            tail += p * missed
            n += 1
            missed *= n * (1 - p) / (n + 1 - wanted)
        found.append(n)
    return found


def _reaches(chance, assurance):
    return chance >= assurance - TIE


def _check_goal(p, assurance):
    if not 0 < p <= 1:
        raise ValueError(f"p must be more than 0 and at most 1, not {p!r}.")
    check_assurance(assurance)


def check_assurance(assurance: float) -> None:
    """ValueError if an assurance is not more than 0 and below 1."""
    if not 0 < assurance < 1:
        raise ValueError(f"assurance must be more than 0 and below 1, not {assurance!r}.")


def check_count(up: int, sown: int) -> None:
    """ValueError if none was sown, or more came up than were sown."""
    if not (sown >= 1 and 0 <= up <= sown):
        raise ValueError(f"up must be between 0 and the seeds sown, not {up!r} of {sown!r}.")
