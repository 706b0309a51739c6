"""A beta variable x on the scale of the angle t = asin(sqrt(x)), from 0 to pi/2.

On this scale the spread hardly depends on the position, and the density, proportional to
sin(t)^(2a-1) cos(t)^(2b-1), is smooth at both ends: good conditions for adding up chances.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import takewhile

from pennyflat.chances.beta import MOST, beta_density, regularized_beta

RIGHT = math.pi / 2

NOTHING = -39.0
"""Logarithm of a density, relative to its peak, that is negligible: 1e-17. [1]"""

STEP = 0.375
"""Step of t, in units of 1 / sqrt(seeds): 3/4 of a standard deviation. [1]"""


class Angle:
    """
    The density of t for a Beta(a, b) variable with both shapes at least 1/2, else ValueError.

    Examples
    --------
    >>> known = angle(17.5, 3.5)
    >>> known.peak, known.spread, known.densities([known.peak])
    (1.1731, 0.1091, [3.6...])
    """

    __slots__ = ("_height", "_left", "_less", "_more", "_shapes", "high", "low", "peak", "spread")

    def __init__(self, a: float, b: float) -> None:
        if not (0.5 <= a <= MOST and 0.5 <= b <= MOST):
            raise ValueError(
                f"a and b must be at least 1/2 and at most {MOST:g}, not {a!r} and {b!r}."
            )
        self._shapes = a, b
        self._more, self._less = a - 0.5, b - 0.5  # the powers of x and 1 - x
        both = self._more + self._less
        self._left = self._more / both if both else 0.5
        self.peak = math.asin(math.sqrt(self._left))
        """Most likely t; any t if all are equally likely. [rad]"""
        self.spread = 0.5 / math.sqrt(a + b)
        """Approximate standard deviation. [rad]"""
        self.low, self.high = self._end(-1), self._end(1)
        """Where it becomes negligible. [rad]"""
        near = (self.low + 3 * self.peak) / 4 if self.peak else self.high / 4
        upright = near < RIGHT / 2  # otherwise by 1 - x, which keeps its digits when x is near 1
        density = beta_density(*((a, b) if upright else (b, a)), _smaller(near))
        self._height = density * math.sin(2 * near) / math.exp(self.log_height(near))

    def log_height(self, t: float) -> float:
        """Logarithm of density over peak density, exact to rounding even for large shapes."""
        beyond = math.sin(t - self.peak) * math.sin(t + self.peak)  # x minus x at the peak
        return _power(self._more, beyond, self._left) + _power(self._less, -beyond, 1 - self._left)

    def densities(self, places: Sequence[float]) -> list[float]:
        """The density at each of several t. [1 / rad]"""
        return [self._height * math.exp(self.log_height(t)) for t in places]

    def below(self, t: float) -> float:
        """Chance that the variable is at most t. [1]"""
        if not self.low < t < self.high:
            return float(t >= self.high)
        a, b = self._shapes
        if t < RIGHT / 2:
            return regularized_beta(a, b, _smaller(t))
        return 1 - regularized_beta(b, a, _smaller(t))

    def even_steps(self, count: int) -> list[tuple[float, float]]:
        """
        Midpoints t of `count` equal steps from 0 to pi/2, with weights that add up to 1.

        If the powers of x and 1 - x are whole, as for counts with Jeffreys' prior, averages of
        polynomials in x below degree 2 count minus these powers are exact: Gauss-Chebyshev
        quadrature [DLMF 3.5(v)]. Negligible steps are left out.
        """
        step = RIGHT / count

        def run(places):
            weighed = ((t, self.log_height(t)) for t in ((place + 0.5) * step for place in places))
            return [(t, math.exp(log)) for t, log in takewhile(lambda at: at[1] > NOTHING, weighed)]

        middle = min(int(self.peak / step), count - 1)
        found = run(range(middle, -1, -1))[::-1] + run(range(middle + 1, count))
        total = math.fsum(weight for _, weight in found)
        return [(t, weight / total) for t, weight in found]

    def is_smooth(self) -> bool:
        """Whether it extends smoothly beyond both ends: whole powers of sine and cosine."""
        return (2 * self._more) % 1 == 0 == (2 * self._less) % 1

    def _end(self, side):
        t = self.peak
        while self.log_height(t) > NOTHING:
            t += side * self.spread
            if not 0 < t < RIGHT:
                return 0.0 if side < 0 else RIGHT
        return t


angle = lru_cache(maxsize=512)(Angle)
"""Cached."""


def steps_for(seeds: float) -> int:
    """
    Enough equal steps from 0 to pi/2 for averages over so many seeds, counted or averaged over.

    The error is that of the trapezoid rule for bell curves, `2 exp(-2 pi² / step²)` for steps in
    standard deviations of the product of all averaged factors: 1e-15. [Trefethen and Weideman 2014,
    SIAM Review 56, from memory]

    Examples
    --------
    >>> steps_for(21), steps_for(21 + 71)
    (20, 41)
    """
    return math.ceil(RIGHT / STEP * math.sqrt(seeds))


def _smaller(t):
    """x or 1 - x. [1]"""
    return (math.sin(t) if t < RIGHT / 2 else math.cos(t)) ** 2


def _power(power, beyond, base):
    """log of ((base + beyond) / base)^power."""
    if power == 0:
        return 0.0
    return power * math.log1p(beyond / base) if beyond > -base else -math.inf
