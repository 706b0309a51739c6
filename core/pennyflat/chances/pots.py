"""What several pots tell about one mix's emergence when seeds in a pot share their luck.

Seeds in one pot get the same water, warmth and filling, so pots of one mix differ by more than
chance. The share of each pot is then drawn from a beta distribution about the mix's share m, and
its count is beta-binomial, with r the correlation between two seeds of a pot: 0 if pots are alike.
Both are learnt: m from Jeffreys' prior, r from `PRIOR`, which a few pots hardly change and many
replace. A single pot tells nothing about r, so the prior decides: an 80 % range then holds more
often if pots are alike and less often if they differ. No range from one pot holds 75 to 90 % both
at r = 0 and at r = 0.15: among a hundred seeds the counts scatter four times as far at the second,
sqrt(1 + 99 x 0.15). The prior is chosen so that it holds at least 75 % up to 0.15.

[Beta-binomial by pot: Crowder 1978, Applied Statistics 27: 34-37, for germination counts.]
"""

import math
from functools import lru_cache

from pennyflat.chances.contest import Posterior
from pennyflat.chances.proportion import JEFFREYS

PRIOR = {0.0: 0.58, 0.2: 0.22, 0.4: 0.20}
"""Possible correlations between seeds of a pot, and how likely they are before any pot is counted.
Ours: published counts of germination by replicate lie in this range (Crowder 1978), and the weights
are those with which an 80 % band of cost from three pots or more holds 75 to 90 % at 0, 0.05 and
0.15 alike. [1]"""

LEAST_STEPS, MOST_STEPS = 160, 4000
"""Steps over the angle of the mix's share. [count]"""

FAR = 9.0
"""Reach of the steps about the middle, in standard deviations of the angle. [1]"""


@lru_cache(maxsize=256)
def what_pots_say(counts: tuple[tuple[int, int], ...]) -> tuple[Posterior, float]:
    """
    What the pots of one mix tell about its emergence, from the normal seedlings and seeds of each.

    The mix's share: the beta distribution with the mean and variance found, or as near to that
    variance as shapes of 1/2 allow; and the posterior mean of r. [1, 1]

    Four pots of 25 that agree tell as much as 80 independent seeds, one pot of 100 as much as 7:

    >>> alike, one = what_pots_say(((21, 25), (22, 25)) * 2), what_pots_say(((85, 100),))
    >>> [round(known.a + known.b - 1) for known, correlation in (alike, one)]
    [80, 7]
    """
    places = _angles(counts)
    logs = {r: [_log_chance(counts, t, r) for t in places] for r in PRIOR}
    most = max(max(column) for column in logs.values())
    weights = {r: [PRIOR[r] * math.exp(log - most) for log in logs[r]] for r in PRIOR}
    total = math.fsum(map(math.fsum, weights.values()))
    shares = [math.sin(t) ** 2 for t in places]
    by_share = [math.fsum(column) / total for column in zip(*weights.values(), strict=True)]
    mean = math.fsum(w * x for w, x in zip(by_share, shares, strict=True))
    variance = math.fsum(w * (x - mean) ** 2 for w, x in zip(by_share, shares, strict=True))
    size = max(mean * (1 - mean) / variance - 1, JEFFREYS / min(mean, 1 - mean))
    correlation = math.fsum(r * math.fsum(weights[r]) for r in PRIOR) / total
    a, b = (max(part * size, JEFFREYS) for part in (mean, 1 - mean))  # guards the last digit
    return Posterior(a, b), correlation


def _angles(counts):
    """Even steps of the angle t, where sin² t is the mix's share; even in t is Jeffreys' prior."""
    up, sown = (sum(column) for column in zip(*counts, strict=True))
    middle = math.asin(math.sqrt((up + 0.5) / (sown + 1)))
    sharp = 0.5 / math.sqrt(sown + 1)
    far = FAR * math.sqrt(sharp**2 + max(PRIOR) / (4 * len(counts)))
    low, high = max(0.0, middle - far), min(math.pi / 2, middle + far)
    steps = min(max(LEAST_STEPS, math.ceil((high - low) / (0.5 * sharp))), MOST_STEPS)
    step = (high - low) / steps
    return [low + (place + 0.5) * step for place in range(steps)]


def _log_chance(counts, t, r):
    """Logarithm of the chance of all counts, up to terms that depend on neither t nor r."""
    share = math.sin(t) ** 2
    if r == 0:
        log, log_not = math.log(share), 2 * math.log(math.cos(t))
        return math.fsum(up * log + (sown - up) * log_not for up, sown in counts)
    size = 1 / r - 1
    a, b, of = share * size, math.cos(t) ** 2 * size, math.lgamma
    alone = of(a) + of(b) - of(size)
    return math.fsum(
        of(a + up) + of(b + sown - up) - of(size + sown) - alone for up, sown in counts
    )
