"""Beta variables on the scale of the angle and on panels, against SciPy."""

import math

import pytest
from scipy import stats

from pennyflat.chances.angle import NODES, RIGHT, angle, panels, steps_for

SHAPES = [
    (0.5, 0.5), (0.5, 20.5), (3.5, 0.5), (1, 1), (17.5, 3.5), (150.5, 50.5), (2, 5000),
    (10**6 + 0.5, 0.5), (8e5, 2e5),
]  # fmt: skip


def law(a, b, t):
    """SciPy's law of x and where t lies in it, or of 1 - x, whichever is told more exactly."""
    return (stats.beta(a, b), math.sin(t) ** 2) if t < 0.7 else (stats.beta(b, a), math.cos(t) ** 2)


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("a", "b"), SHAPES)
def test_density_is_scipys(a, b):
    own = angle(a, b)
    for share in (0.01, 0.2, 0.5, 0.8, 0.99):
        t = own.low + share * (own.high - own.low)
        known, x = law(a, b, t)
        expected = known.pdf(x) * math.sin(2 * t)
        assert own.densities([t])[0] == pytest.approx(expected, rel=1e-8, abs=1e-200)


@pytest.mark.parametrize(("a", "b"), SHAPES)
def test_what_lies_beyond_the_ends_is_negligible(a, b):
    own = angle(a, b)
    known, low = law(a, b, own.low)
    assert (known.cdf if own.low < 0.7 else known.sf)(low) < 1e-15 or own.low == 0
    known, high = law(a, b, own.high)
    assert (known.sf if own.high < 0.7 else known.cdf)(high) < 1e-15 or own.high == RIGHT


@pytest.mark.parametrize(("a", "b"), [shape for shape in SHAPES if shape[0] % 1 == 0.5])
def test_even_steps_average_powers_to_rounding(a, b):
    """Moments of Beta(a, b): products of (a + i) / (a + b + i)."""
    steps = angle(a, b).even_steps(steps_for(a + b + 12))

    for power in range(13):
        moment = math.prod((a + i) / (a + b + i) for i in range(power))
        found = math.fsum(weight * math.sin(t) ** (2 * power) for t, weight in steps)
        assert found == pytest.approx(moment, rel=1e-11), power


@pytest.mark.against("scipy")
@pytest.mark.parametrize(("a", "b"), [*SHAPES, (0.6, 3.4), (7.2, 0.55), (0.51, 0.53)])
def test_panels_add_up_to_scipys_distribution(a, b):
    own, total = angle(a, b), 0.0
    for places, ((which, gained, below),) in panels([own]):
        assert which == 0 and len(gained) == len(below) == NODES
        for t, chance in zip(places, below, strict=True):
            known, x = law(a, b, t)
            expected = known.cdf(x) if t < 0.7 else known.sf(x)
            assert chance == pytest.approx(expected, abs=1e-9)
        total += sum(gained)
    assert total == pytest.approx(1, abs=1e-9)


@pytest.mark.parametrize("shapes", [(0.4, 3), (3, 0.4), (math.nan, 2), (2, math.inf)])
def test_shapes_that_have_no_smooth_density_are_refused(shapes):
    with pytest.raises(ValueError, match="a and b must be at least 1/2"):
        angle(*shapes)
