"""Binomial and beta chances, exact to rounding, from the standard library alone.

Both rest on the regularized incomplete beta function I_x(a, b): the distribution function of a
Beta(a, b) variable, and, by DLMF 8.17.5, the upper tail of the binomial. It is the product of a
factor that carries the magnitude and a continued fraction near 1. The factor is computed from
deviances, not from differences of log-gammas, so that it keeps its digits when n is large.

[DLMF: NIST Digital Library of Mathematical Functions, dlmf.nist.gov, sections 5.11 and 8.17.
Loader 2000, "Fast and accurate computation of binomial probabilities": saddle-point form.
Lentz 1976, Applied Optics 15, with the changes of Thompson and Barnett 1986, J. Comput. Phys. 64:
evaluation of continued fractions. Papers from memory.]
"""

import math
from statistics import NormalDist

TIE = 1e-12
"""A chance this little short of the assurance asked for counts as reaching it: it is rounding, as
in 1 - 0.1 ** 2 against 0.99. [1]"""


def binomial_pmf(n, p, k):
    """
    Chance of exactly k successes in n independent trials.

    Parameters
    ----------
    n : int or float
        Trials; need not be whole. [count]
    p : float
        Chance of success in one trial, 0 to 1. [1]
    k : int or float
        Successes; need not be whole. [count]

    Returns
    -------
    float
        Chance; 0 where k < 0 or k > n. [1]

    Notes
    -----
    With e(n) what Stirling's formula leaves out of log n!, and D(k, m) = k log(k / m) + m - k:
    `sqrt(n / (2 pi k (n - k))) exp(e(n) - e(k) - e(n - k) - D(k, np) - D(n - k, n(1 - p)))`.
    [Loader 2000]

    Examples
    --------
    >>> binomial_pmf(10, 0.5, 5)
    0.24609375
    """
    if not 0 <= k <= n:
        return 0.0
    if p in (0, 1):
        return float(k == n * p)
    if k == 0:
        return math.exp(n * math.log1p(-p))
    if k == n:
        return math.exp(n * math.log(p))
    exponent = (
        _stirling_error(n)
        - _stirling_error(k)
        - _stirling_error(n - k)
        - _deviance(k, n * p)
        - _deviance(n - k, n * (1 - p))
    )
    return math.exp(exponent) * math.sqrt(n / (2 * math.pi * k * (n - k)))


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


def regularized_beta(a, b, x):
    """
    Regularized incomplete beta function, the chance that a Beta(a, b) variable is at most x.

    Parameters
    ----------
    a, b : float
        Shapes, more than 0. [1]
    x : float
        0 to 1. [1]

    Returns
    -------
    float
        I_x(a, b). [1]

    Raises
    ------
    ValueError
        If a shape or x is out of range.

    Notes
    -----
    `I_x(a, b) = x^a (1 - x)^b / (a B(a, b)) / (1 + d1/(1 + d2/(1 + ...)))` [DLMF 8.17.22], taken
    two terms at a time, so that nothing cancels while x <= a / (a + b); beyond that, by
    `I_x(a, b) = 1 - I_(1-x)(b, a)` [DLMF 8.17.4].

    Examples
    --------
    After 17 of 20 seeds came up and a flat prior, the chance that fewer than 70 % would:

    >>> regularized_beta(18, 4, 0.7)
    0.0856
    """
    if not (a > 0 and b > 0):
        raise ValueError(f"a and b must be more than 0, not {a!r} and {b!r}.")
    if not 0 <= x <= 1:
        raise ValueError(f"x must be between 0 and 1, not {x!r}.")
    if x in (0, 1):
        return float(x)
    y = 1 - x
    magnitude = a * b / (a + b) * binomial_pmf(a + b, x, a)  # x^a y^b / B(a, b)
    below_mean = a - (a + b) * x if x <= 0.5 else (a + b) * y - b
    if below_mean >= 0:
        return magnitude / _beta_fraction(a, b, x, y, below_mean)
    return 1 - magnitude / _beta_fraction(b, a, y, x, -below_mean)


def beta_quantile(a, b, q):
    """
    The x that a Beta(a, b) variable does not exceed with chance q.

    Parameters
    ----------
    a, b : float
        Shapes, more than 0. [1]
    q : float
        0 to 1. [1]

    Returns
    -------
    float
        x with I_x(a, b) = q. [1]

    Raises
    ------
    ValueError
        If a shape or q is out of range.

    Notes
    -----
    Newton's steps, kept inside a bracket that shrinks: where a step would leave it, it is halved.

    Examples
    --------
    The middle 95 % after 17 of 20 came up, from a flat prior:

    >>> beta_quantile(18, 4, 0.025), beta_quantile(18, 4, 0.975)
    (0.6366, 0.9455)
    """
    if not 0 <= q <= 1:
        raise ValueError(f"q must be between 0 and 1, not {q!r}.")
    if q in (0, 1):
        return float(q)
    low, high, x = 0.0, 1.0, a / (a + b)
    while high - low > 4e-16 * high:
        excess = regularized_beta(a, b, x) - q
        if excess == 0:
            return x
        low, high = (low, x) if excess > 0 else (x, high)
        step = excess / beta_density(a, b, x)
        if abs(step) < 1e-16 * x:
            return x
        x = x - step if low < x - step < high else (low + high) / 2
        if x in (low, high):
            return x
    return x


def beta_density(a, b, x):
    """
    Density of a Beta(a, b) variable at x.

    Parameters
    ----------
    a, b : float
        Shapes, more than 0. [1]
    x : float
        More than 0 and below 1. [1]

    Returns
    -------
    float
        `x^(a-1) (1-x)^(b-1) / B(a, b)`. [1]

    Examples
    --------
    >>> beta_density(2, 2, 0.5)
    1.5
    """
    return a * b / (a + b) * binomial_pmf(a + b, x, a) / (x * (1 - x))


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
    wanted takes `P[n trials give k]` from it. Each step updates that chance and the tail by a
    product; a tail close to the assurance is computed afresh before it decides.

    Examples
    --------
    >>> fewest_trials_up_to(0.8, 5, 0.9)
    (2, 4, 5, 6, 8)
    """
    _check_goal(p, assurance)
    if p == 1 or most < 1:
        return tuple(range(1, most + 1))
    n = fewest_trials(p, 1, assurance)
    missed = binomial_pmf(n, p, 0)  # chance that n trials give wanted - 1
    tail = 1 - missed
    found = [n]
    for wanted in range(2, most + 1):
        missed *= (n - wanted + 2) / (wanted - 1) * p / (1 - p)
        tail -= missed
        while not _tail_reaches(tail, n, p, wanted, assurance):
            tail += p * missed
            n += 1
            missed *= n * (1 - p) / (n + 1 - wanted)
        found.append(n)
    return tuple(found)


def _tail_reaches(tail, n, p, wanted, assurance):
    """Whether a tail carried along by products decides; near the goal it is computed afresh."""
    if abs(tail - assurance) < 1e-9:
        tail = binomial_tail(n, p, wanted)
    return _reaches(tail, assurance)


def _reaches(chance, assurance):
    return chance >= assurance - TIE


def _check_goal(p, assurance):
    if not 0 < p <= 1:
        raise ValueError(f"p must be more than 0 and at most 1, not {p!r}.")
    if not 0 < assurance < 1:
        raise ValueError(f"assurance must be more than 0 and below 1, not {assurance!r}.")


def _beta_fraction(a, b, x, y, below_mean):
    """
    a (1 + d1/(1 + d2/(1 + ...))) of DLMF 8.17.22, contracted to every second convergent.

    With y = 1 - x and below_mean = a - (a + b) x, at least 0, the terms that matter are positive.
    [The form of DiDonato and Morris 1992, ACM Trans. Math. Softw. 18, from memory.] Evaluated
    forwards, as a product of ratios of successive convergents.
    """
    value = ratio_c = a * (below_mean + 1) / (a + 1)
    ratio_d, change, n = 0.0, 0.0, 0
    while abs(change - 1) > 1e-15:
        n += 1
        odd = a + 2 * n - 1
        above = (a + n - 1) * (a + b + n - 1) * n * (b - n) * (x / odd) ** 2
        below = n + n * (b - n) * x / odd + (a + n) * (below_mean + 1 + n * (1 + y)) / (odd + 2)
        ratio_d = 1 / (below + above * ratio_d)
        ratio_c = below + above / ratio_c
        change = ratio_c * ratio_d
        value *= change
    return value


def _stirling_error(n):
    """log n! - (log(2 pi n) / 2 + n log n - n); for n >= 16 by DLMF 5.11.1, to 1e-16."""
    if n < 16:
        return math.lgamma(n + 1) - (0.5 * math.log(2 * math.pi * n) + n * math.log(n) - n)
    square = n * n
    series = 1 / 1188 - 691 / 360360 / square
    for numerator in (1 / 1680, 1 / 1260, 1 / 360, 1 / 12):
        series = numerator - series / square
    return series / n


def _deviance(k, expected):
    """k log(k / expected) + expected - k, without loss where the two are close. [Loader 2000]"""
    difference = k - expected
    if abs(difference) > 0.1 * (k + expected):
        return k * math.log(k / expected) - difference
    v = difference / (k + expected)
    total, term, j = difference * v, 2 * k * v, 1
    while True:
        term *= v * v
        longer = total + term / (2 * j + 1)
        if longer == total:
            return total
        total, j = longer, j + 1
