"""Beta variables x on the scale of the angle t = asin(sqrt(x)), from 0 to pi/2, and their chances.

On this scale the spread hardly depends on the position, and the density, proportional to
sin(t)^(2a-1) cos(t)^(2b-1), is smooth at both ends: good conditions for adding up chances.
"""

import math
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from itertools import pairwise
from operator import mul

from pennyflat.chances.beta import MOST, beta_density

RIGHT = math.pi / 2

NOTHING = -39.0
"""Logarithm of a density, relative to its peak, that is negligible: 1e-17. [1]"""

STEP = 0.375
"""Step of t, in units of 1 / sqrt(seeds): 3/4 of a standard deviation. [1]"""

NODES = 20
"""Nodes on a panel. [count]"""

WIDTH = 4.0
"""Width of a panel, in standard deviations of its narrowest density. [1]"""

GRADES = 6
"""Additional panels towards an end, where a density may go by a fractional power of t. [count]"""


class Angle:
    """
    The density of t for a Beta(a, b) variable with both shapes at least 1/2, else ValueError.

    >>> known = angle(17.5, 3.5)
    >>> known.peak, known.spread, known.densities([known.peak])
    (1.1731, 0.1091, [3.6...])
    """

    def __init__(self, a: float, b: float) -> None:
        if not (0.5 <= a <= MOST and 0.5 <= b <= MOST):
            raise ValueError(
                f"a and b must be at least 1/2 and at most {MOST:g}, not {a!r} and {b!r}."
            )
        self._more, self._less = a - 0.5, b - 0.5  # the powers of x and 1 - x
        self._left = self._more / (a + b - 1) if a + b > 1 else 0.5
        self.peak = math.asin(math.sqrt(self._left))
        """Most likely t; any t if all are equally likely. [rad]"""
        self.spread = 0.5 / math.sqrt(a + b)
        """Approximate standard deviation. [rad]"""
        self.low, self.high = self._end(-1), self._end(1)
        """Where it becomes negligible. [rad]"""
        near = min(max(self.peak, self.spread / 4), RIGHT - self.spread / 4)  # 0 < x < 1 there
        if near < RIGHT / 2:
            density = beta_density(a, b, math.sin(near) ** 2)
        else:  # 1 - x keeps its digits when x is near 1
            density = beta_density(b, a, math.cos(near) ** 2)
        self._height = density * math.sin(2 * near) / math.exp(self.log_height(near))

    def log_height(self, t: float) -> float:
        """Logarithm of density over peak density, exact to rounding even for large shapes."""
        beyond = math.sin(t - self.peak) * math.sin(t + self.peak)  # x minus x at the peak
        more = _power(self._more, math.sin(t) ** 2, beyond, self._left)
        return more + _power(self._less, math.cos(t) ** 2, -beyond, 1 - self._left)

    def densities(self, places: Sequence[float]) -> list[float]:
        """The density at each of several t. [1 / rad]"""
        return [self._height * math.exp(self.log_height(t)) for t in places]

    def even_steps(self, count: int) -> list[tuple[float, float]]:
        """
        Midpoints t of `count` equal steps from 0 to pi/2, with weights that add up to 1.

        If the powers of x and 1 - x are whole, as for counts with Jeffreys' prior, averages of
        polynomials in x below degree 2 count minus these powers are exact: Gauss-Chebyshev
        quadrature [DLMF 3.5(v)]. Negligible steps are left out.
        """
        step = RIGHT / count
        places = range(int(self.low / step), min(math.ceil(self.high / step), count))
        found = [(t, math.exp(self.log_height(t))) for t in (step * (i + 0.5) for i in places)]
        total = math.fsum(weight for _, weight in found)
        return [(t, weight / total) for t, weight in found]

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

    >>> steps_for(21), steps_for(21 + 71)
    (20, 41)
    """
    return math.ceil(RIGHT / STEP * math.sqrt(seeds))


def panels(
    angles: Sequence[Angle],
) -> Iterator[tuple[list[float], list[tuple[int, list[float], list[float]]]]]:
    """
    Densities and distribution functions of several variables, panel by panel.

    Yields the `NODES` nodes of a panel [rad]; and for each variable that may still exceed them, its
    number in `angles`, the weight of its density at each node, and its chance of being below each.
    A density is evaluated once at each node; its distribution function there is the integral of the
    polynomial through these values.
    """
    nodes, (*upto, whole) = _rule()
    reached = [0.0] * len(angles)
    for left, right in pairwise(_ends(angles) if angles else ()):
        half = (right - left) / 2
        places = [left + half * (1 + node) for node in nodes]
        found = []
        for which, own in enumerate(angles):
            if own.high > left:
                density = [half * here for here in own.densities(places)]
                gained = list(map(mul, whole, density))
                base = reached[which]
                below = [max(0.0, base + sum(map(mul, row, density))) for row in upto]
                reached[which] += sum(gained)
                found.append((which, gained, below))
        yield places, found


def _ends(angles):
    """Ends of panels, from where the first density begins to where all are negligible."""
    ends = [min(own.low for own in angles)]
    high = max(own.high for own in angles)
    while ends[-1] < high:
        here = ends[-1]
        width = min(max(WIDTH * own.spread, own.low - here) for own in angles if own.high > here)
        ends.append(min(here + width, high))
    if ends[-1] == RIGHT:
        last = RIGHT - ends[-2]
        ends[-1:-1] = [RIGHT - last / 8**power for power in range(1, GRADES + 1)]
    if ends[0] == 0:
        ends[1:1] = [ends[1] / 8**power for power in range(GRADES, 0, -1)]
    return ends


@cache
def _rule():
    """
    Chebyshev's nodes on (-1, 1); the weights of the integrals up to each of them, and up to 1.

    Fejér's first rule: the polynomial through the values at cos s is a sum of cos(k s), which is
    integrated term by term. [DLMF 3.11(ii) and 18.3]
    """
    places = [math.pi * (i + 0.5) / NODES for i in reversed(range(NODES))]

    def rising(k, s):  # the integral of sin(k s) from s to pi
        return (math.cos(k * s) - math.cos(k * math.pi)) / k if k else 0.0

    def weights(s):
        series = [rising(k + 1, s) - rising(k - 1, s) for k in range(NODES)]  # twice the integrals
        series[0] /= 2
        return [
            math.fsum(part * math.cos(k * own) for k, part in enumerate(series)) / NODES
            for own in places
        ]

    return [math.cos(s) for s in places], [weights(s) for s in (*places, 0.0)]


def _power(power, x, beyond, base):
    """log of (x / base)^power, where x is base + beyond."""
    if power == 0:
        return 0.0
    if 2 * abs(beyond) < base:
        return power * math.log1p(beyond / base)
    return power * math.log(x / base) if x > 0 else -math.inf
