"""How often enough of several independent trials succeed, and how many trials that takes."""

import math
from functools import lru_cache
from statistics import NormalDist

from pennyflat.beta import binomial_pmf, regularized_beta

TIE = 1e-12
"""A chance this little short of the assurance asked for counts as reaching it: it is rounding, as
in 1 - 0.1 ** 2 against 0.99. [1]"""


FAR_APART = 1e-3
"""Below this chance of success the counts of trials lie so far apart that each is looked for by
itself, and not by walking. [1]"""


def binomial_tail(n, p, k):
    """
    Chance of at least k successes in n independent trials.

    `P[Binomial(n, p) >= k] = I_p(k, n - k + 1)`. [DLMF 8.17.5]

    Parameters
    ----------
    n : int
        Trials, at least 0. [count]
    p : float
        Chance of success in one trial, 0 to 1. [1]
    k : int
        Successes; 0 or fewer are certain, more than n impossible. [count]

    Returns
    -------
    float
        Chance. [1]

    Examples
    --------
    63 seeds that each come up four times in five give 50 seedlings only about six times in ten:

    >>> binomial_tail(63, 0.8, 50)
    0.6226
    """
    if k <= 0:
        return 1.0
    if k > n:
        return 0.0
    return regularized_beta(k, n - k + 1, p)


@lru_cache(maxsize=4096)
def fewest_trials(p, successes, assurance):
    """
    Fewest independent trials that bring the successes wanted with the assurance asked for.

    Smallest n with `P[Binomial(n, p) >= successes] >= assurance`. A chance short of the assurance
    by no more than `TIE` counts as reached.

    Parameters
    ----------
    p : float
        Chance of success in one trial, more than 0 and at most 1. [1]
    successes : int
        Wanted, at least 1. [count]
    assurance : float
        More than 0 and below 1. [1]

    Returns
    -------
    int
        Trials. [count]

    Raises
    ------
    ValueError
        If p or the assurance is out of range.

    Notes
    -----
    The trials needed follow a negative binomial; its mean, spread and skew give a start (first
    Cornish-Fisher term).

    Examples
    --------
    >>> fewest_trials(0.8, 50, 0.9)
    68
    """
    _check_goal(p, assurance)
    if p == 1 or successes <= 0:
        return max(0, successes)
    z = NormalDist().inv_cdf(assurance)
    spread = math.sqrt(successes * (1 - p)) / p
    skewed = (2 - p) / p * (z * z - 1) / 6
    return least_whole(
        lambda n: _reaches(binomial_tail(n, p, successes), assurance),
        start=math.ceil(successes / p + z * spread + skewed),
        at_least=successes,
    )


def least_whole(enough, *, start, at_least):
    """
    Smallest whole number that is enough, where all larger ones are enough too.

    Parameters
    ----------
    enough : callable
        From a whole number to true or false.
    start : int
        A guess; the closer, the fewer calls.
    at_least : int
        Smallest number to consider.

    Returns
    -------
    int

    Notes
    -----
    Strides that double bracket the answer, halving finds it.

    Examples
    --------
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


def fewest_trials_up_to(p, most, assurance):
    """
    `fewest_trials` for every wanted count from 1 to most, in one walk.

    Parameters
    ----------
    p : float
        Chance of success in one trial, more than 0 and at most 1. [1]
    most : int
        Largest count wanted. [count]
    assurance : float
        More than 0 and below 1. [1]

    Returns
    -------
    tuple of int
        Trials for 1, 2, … most. [count]

    Raises
    ------
    ValueError
        If p or the assurance is out of range.

    Notes
    -----
    One more trial adds `p P[n trials give k - 1]` to the chance of k or more; one more success
    wanted takes `P[n trials give k]` from it. Each step updates that chance by a product;
    rounding adds up to less than `TIE` over 100,000 wanted.

    Examples
    --------
    >>> fewest_trials_up_to(0.8, 5, 0.9)
    (2, 4, 5, 6, 8)
    """
    _check_goal(p, assurance)
    if p == 1 or most < 1:
        return tuple(range(1, most + 1))
    if p < FAR_APART:
        return tuple(fewest_trials(p, wanted, assurance) for wanted in range(1, most + 1))
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
    return tuple(found)


def _reaches(chance, assurance):
    return chance >= assurance - TIE


def _check_goal(p, assurance):
    if not 0 < p <= 1:
        raise ValueError(f"p must be more than 0 and at most 1, not {p!r}.")
    if not 0 < assurance < 1:
        raise ValueError(f"assurance must be more than 0 and below 1, not {assurance!r}.")


def mean_ready_share(up, sown, seeds_per_cell, survival):
    """Placeholder until the branch stats is merged."""
    a, b, none_up = up + 0.5, sown - up + 0.5, 1.0
    for i in range(seeds_per_cell):
        none_up *= (b + i) / (a + b + i)
    return (1 - none_up) * survival


def cells_for_counts(wanted, up, sown, *, seeds_per_cell=1, survival=1.0, assurance):
    """Placeholder until the branch stats is merged."""
    share = mean_ready_share(up, sown, seeds_per_cell, survival)
    return fewest_trials(share, wanted, assurance or 0.5)
