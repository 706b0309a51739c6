"""How fast a sowing comes up, from the counts on the days of observation.

A *curve* is a tuple of (day, total): days since sowing, rising, and how many have emerged by then,
never falling, including those lost or pulled since. Days may be missing. On day 0 nothing is up.
"""

import math
from itertools import pairwise

from pennyflat.chances.proportion import jeffreys_interval

HALF = {"Coolbear": 1, "Farooq": 0}
"""By published formula, the number added to all that ever emerge, of which half are up at half
emergence. Coolbear, Francis and Grierson 1984, J. Exp. Bot. 35:1609-1617. Farooq, Basra, Hafeez and
Ahmad 2005, J. Integr. Plant Biol. 47:187-193. [count]"""


def half_emergence(
    curve: tuple[tuple[float, int], ...], *, formula: str = "Coolbear"
) -> tuple[float, float, float] | None:
    """
    Days to half emergence, T50: half of those that emerge, not of those sown.

    The last day of observation before it, the day by interpolation, and the first day by which half
    was seen; None if nothing has emerged. [days] Between the last count Ni below h and the next,
    Nj, `Ti + (h - Ni)(Tj - Ti) / (Nj - Ni)`, with h from `HALF` by the formula's name.

    >>> curve = ((5, 4), (6, 21), (7, 31), (8, 38), (9, 39), (11, 40))
    >>> half_emergence(curve), half_emergence(curve, formula="Farooq")
    ((5, 5.9706, 6), (5, 5.9412, 6))
    """
    looks = ((0, 0), *curve)
    half = (looks[-1][1] + HALF[formula]) / 2
    for (day, count), (next_day, next_count) in pairwise(looks):
        if count < half <= next_count:
            return day, day + (half - count) * (next_day - day) / (next_count - count), next_day
    return None


def mean_emergence(
    curve: tuple[tuple[float, int], ...],
) -> tuple[float, float | None] | None:
    """
    Mean emergence time, `sum(n T) / sum(n)` with n first seen on day T, and its standard error.

    Standard error `sqrt(variance / N)`, the variance with divisor N - 1; None for one seedling. The
    result is None if nothing has emerged. [days] Seedlings count from the day they were seen;
    missing days make the mean late, by less than the gap.

    >>> mean_emergence(((5, 4), (6, 21), (7, 31), (8, 38), (9, 39), (11, 40)))
    (6.7, 0.1901)
    """
    looks = ((0, 0), *curve)
    seen = [(day, total - before) for (_, before), (day, total) in pairwise(looks)]
    emerged = looks[-1][1]
    if emerged == 0:
        return None
    mean = math.fsum(count * day for day, count in seen) / emerged
    if emerged == 1:
        return mean, None
    variance = math.fsum(count * (day - mean) ** 2 for day, count in seen) / (emerged - 1)
    return mean, math.sqrt(variance / emerged)


def curve_band(
    curve: tuple[tuple[float, int], ...], sown: int, *, level: float = 0.8
) -> tuple[tuple[float, float, float, float], ...]:
    """
    Share emerged on each day of observation, with its Jeffreys interval: a step line and its band.

    Day, low, share and high, from day 0 on. [days, 1, 1, 1] The interval of this level holds day by
    day, not for the whole curve at once.
    """
    band: list[tuple[float, float, float, float]] = [(0, 0.0, 0.0, 0.0)]
    for day, total in curve:
        low, high = jeffreys_interval(total, sown, level=level)
        band.append((day, low, total / sown, high))
    return tuple(band)
