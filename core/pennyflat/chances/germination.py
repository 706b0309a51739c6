"""How fast a sowing comes up, from the counts on the days of observation.

A *curve* is a tuple of (day, total): days since sowing, rising, and how many have emerged by then,
never falling, including those lost or pulled since. Days may be missing. On day 0 nothing is up.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from pennyflat.chances.proportion import jeffreys_interval

HALF = {
    # Number of seedlings up at half emergence, out of the N that ever emerge.
    "Coolbear": lambda emerged: (emerged + 1) / 2,
    "Farooq": lambda emerged: emerged / 2,
}
"""Definition of half, by published formula. Coolbear: Coolbear, Francis and Grierson 1984, J. Exp.
Bot. 35:1609-1617. Farooq: Farooq, Basra, Hafeez and Ahmad 2005, J. Integr. Plant Biol.
47:187-193."""


@dataclass(frozen=True, slots=True)
class MeanTime:
    """Mean emergence time and how well it is known."""

    days: float
    """Mean over the seedlings that emerged. [days]"""
    standard_error: float | None
    """Of the mean; None for one seedling. [days]"""


def half_emergence(
    curve: tuple[tuple[float, int], ...], *, formula: str = "Coolbear"
) -> float | None:
    """
    Days to half emergence, T50: half of those that emerge, not of those sown.

    `Ti + (h - Ni)(Tj - Ti) / (Nj - Ni)` between the last count Ni below h and the next, Nj, with
    h = (N + 1) / 2 (Coolbear et al. 1984) or N / 2 (Farooq et al. 2005). See `half_between` for
    the interval that was observed rather than interpolated.

    Parameters
    ----------
    curve : tuple of (float, int)
        Day and total emerged. [days, count]
    formula : str, default "Coolbear"
        A key of `HALF`.

    Returns
    -------
    float or None
        None if nothing has emerged. [days]

    Examples
    --------
    >>> curve = ((5, 4), (6, 21), (7, 31), (8, 38), (9, 39), (11, 40))
    >>> half_emergence(curve), half_emergence(curve, formula="Farooq")
    (5.9706, 5.9412)
    """
    found = _around_half(curve, formula)
    if found is None:
        return None
    half, (day, count), (next_day, next_count) = found
    return day + (half - count) * (next_day - day) / (next_count - count)


def half_between(
    curve: tuple[tuple[float, int], ...], *, formula: str = "Coolbear"
) -> tuple[float, float] | None:
    """
    The two observations between which half came up: what is known without interpolation.

    Parameters
    ----------
    curve : tuple of (float, int)
        Day and total emerged. [days, count]
    formula : str, default "Coolbear"
        A key of `HALF`.

    Returns
    -------
    (float, float) or None
        After the first day and by the second; None if nothing has emerged. [days]

    Examples
    --------
    >>> half_between(((5, 4), (12, 40)))
    (5, 12)
    """
    found = _around_half(curve, formula)
    return None if found is None else (found[1][0], found[2][0])


def mean_emergence(curve: tuple[tuple[float, int], ...]) -> MeanTime | None:
    """
    Mean emergence time: `sum(n T) / sum(n)`, with n first seen on day T.

    Seedlings count from the day they were seen; missing days make the mean late, by less than the
    gap.

    Parameters
    ----------
    curve : tuple of (float, int)
        Day and total emerged. [days, count]

    Returns
    -------
    MeanTime or None
        Standard error `sqrt(variance / N)`, the variance with divisor N - 1. None if nothing has
        emerged.

    Examples
    --------
    >>> mean_emergence(((5, 4), (6, 21), (7, 31), (8, 38), (9, 39), (11, 40))).days
    6.7
    """
    looks = _from_day_zero(curve)
    seen = [(day, total - before) for (_, before), (day, total) in pairwise(looks)]
    emerged = looks[-1][1]
    if emerged == 0:
        return None
    mean = math.fsum(count * day for day, count in seen) / emerged
    if emerged == 1:
        return MeanTime(mean, None)
    variance = math.fsum(count * (day - mean) ** 2 for day, count in seen) / (emerged - 1)
    return MeanTime(mean, math.sqrt(variance / emerged))


def curve_band(
    curve: tuple[tuple[float, int], ...], sown: int, *, level: float = 0.8
) -> tuple[tuple[float, float, float, float], ...]:
    """
    Share emerged on each day of observation, with its Jeffreys interval: a step line and its band.

    The interval holds day by day, not for the whole curve at once.

    Parameters
    ----------
    curve : tuple of (float, int)
        Day and total emerged. [days, count]
    sown : int
        Seeds. [count]
    level : float, default 0.8
        Probability inside the interval. [1]

    Returns
    -------
    tuple of (float, float, float, float)
        Day, low, share, high; from day 0 on. [days, 1, 1, 1]

    Examples
    --------
    >>> curve_band(((6, 3), (9, 4)), 5)
    ((0, 0.0, 0.0, 0.0), (6, 0.3268, 0.6, 0.825), (9, 0.5161, 0.8, 0.9402))
    """
    (first_day, _), *looks = _from_day_zero(curve)
    band = [(first_day, 0.0, 0.0, 0.0)]
    for day, total in looks:
        low, high = jeffreys_interval(total, sown, level=level)
        band.append((day, low, total / sown, high))
    return tuple(band)


def _around_half(curve, formula):
    """h, the last observation below it and the first at or above it."""
    if formula not in HALF:
        raise ValueError(f"formula must be one of {', '.join(HALF)}, not {formula!r}.")
    looks = _from_day_zero(curve)
    emerged = looks[-1][1]
    if emerged == 0:
        return None
    half = HALF[formula](emerged)
    after = next(place for place, (_, total) in enumerate(looks) if total >= half)
    return half, looks[after - 1], looks[after]


def _from_day_zero(curve):
    looks = ((0, 0), *curve)
    for (day, total), (next_day, next_total) in pairwise(looks):
        if next_day <= day or next_total < total:
            raise ValueError(
                "curve must have rising days after day 0 and totals that never fall, not"
                f" {(day, total)!r} followed by {(next_day, next_total)!r}."
            )
    return looks
