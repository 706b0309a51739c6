"""Densities and distribution functions of several beta variables on shared panels.

Gauss-Legendre quadrature on the angle t of `angle`. Each density is evaluated once at each node;
its distribution function there follows from integrating the polynomial through these values.
"""

import math
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from operator import mul
from typing import Any

from pennyflat.chances.angle import RIGHT, Angle

NODES = 20
"""Nodes on a panel. [count]"""

WIDTH = 4.0
"""Width of a panel, in standard deviations of its narrowest density. [1]"""

GRADES = 6
"""Additional panels towards an end where a density behaves like a fractional power of t. [count]"""


def panels(
    angles: Sequence[Angle], start: float
) -> Iterator[tuple[float, list[tuple[int, Any, Any]]]]:
    """
    Densities and distribution functions of several variables from a point on, panel by panel.

    Yields where a panel starts, in rad like `start`; and for each variable that is not yet
    negligible, its number in `angles`, the weight of its density at each of `NODES` nodes, and the
    chance of being below each node.

    Examples
    --------
    The chance that 5 of 5 are better than 3 of 5:

    >>> from pennyflat.chances.angle import angle
    >>> known = angle(5.5, 0.5), angle(3.5, 2.5)
    >>> chance = 0
    >>> for _, [(_, gained, _), *other] in panels(known, known[0].low):
    ...     below = other[0][2] if other else [1.0] * NODES
    ...     chance += sum(map(mul, gained, below))
    >>> chance
    0.94
    """
    at, weights, rows = _rule()
    reached = [own.below(start) for own in angles]
    for left, right in pairwise(_ends(angles, start)):
        half = (right - left) / 2
        places = [left + half * (1 + place) for place in at]
        found = []
        for which, own in enumerate(angles):
            if own.high > left:
                density = own.densities(places)
                base = reached[which]
                below = [base + half * sum(map(mul, row, density)) for row in rows]
                gained = [
                    half * weight * here for weight, here in zip(weights, density, strict=True)
                ]
                reached[which] = base + sum(gained)
                found.append((which, gained, below))
        yield left, found


def _ends(angles, start):
    """Ends of panels, from the start to where all densities are negligible."""
    high = max(own.high for own in angles)
    ends = [start]
    while ends[-1] < high:
        here = ends[-1]
        width = min(max(WIDTH * own.spread, own.low - here) for own in angles if own.high > here)
        ends.append(min(here + width, high))
    if len(ends) > 1 and not all(own.is_smooth() for own in angles):
        if ends[-1] == RIGHT:
            last = RIGHT - ends[-2]
            ends[-1:-1] = [RIGHT - last / 8**power for power in range(1, GRADES + 1)]
        if start == 0:
            ends[1:1] = [ends[1] / 8**power for power in range(GRADES, 0, -1)]
    return ends


@cache
def _rule():
    """
    Nodes and weights on (-1, 1), roots of the Legendre polynomial by Newton's method; their rows.

    [DLMF 3.5(v); start cos(pi (i - 1/4) / (n + 1/2)), weight 2 / ((1 - x²) P'(x)²).]
    """
    places, weights = [], []
    for i in range(NODES, 0, -1):
        x = math.cos(math.pi * (i - 0.25) / (NODES + 0.5))
        for _ in range(6):  # each doubles the digits
            *_, before, value = _legendre(NODES, x)
            slope = NODES * (before - x * value) / (1 - x * x)
            x -= value / slope
        places.append(x)
        weights.append(2 / ((1 - x * x) * slope * slope))
    return places, weights, _rows(places, weights)


def _legendre(degree, x):
    """Legendre polynomials of all degrees up to `degree`, at x. [DLMF 18.9.1]"""
    values = [1.0, x]
    for n in range(2, degree + 1):
        values.append(((2 * n - 1) * x * values[-1] - (n - 1) * values[-2]) / n)
    return values


def _rows(places, weights):
    """
    For each node, the factors of the values whose sum is the integral from -1 to that node.

    Their Legendre series, integrated term by term: (2n + 1) times the integral of P_n is
    P_(n+1) - P_(n-1), and that of P_0 is P_1 + P_0. [DLMF 18.9.7 and 18.9.8]
    """
    count = len(places)
    series = [_legendre(count, x) for x in places]

    def factor(upto, own):
        terms = (own[n] * (upto[n + 1] - upto[n - 1]) for n in range(1, count))
        return (upto[0] + upto[1] + math.fsum(terms)) / 2

    return [
        [weight * factor(upto, own) for weight, own in zip(weights, series, strict=True)]
        for upto in series
    ]
