"""Cell volumes against elementary geometry and a published tray table."""

import math

import pytest

from pennyflat.scenario.records import Shape
from pennyflat.units import LITRES

INCH_CM = 2.54

CUBES = [
    # Soil blocks of 3/4, 1 1/2, 2 and 4 inches; (inches x 2.54)^3 by hand.
    (0.75, 6.913),
    (1.5, 55.306),
    (2.0, 131.097),
    (4.0, 1048.772),
]


@pytest.mark.parametrize(("inches", "expected"), CUBES)
def test_soil_block(inches, expected):
    assert Shape("cube", inches * INCH_CM).volume_ml == pytest.approx(expected, abs=5e-4)


def volume_ml(form, *measures, **filled):
    return Shape(form, *measures, **filled).volume_ml


def test_square_cell():
    # By hand: 5.0 / 3 x (3.8^2 + 3.8 x 2.5 + 2.5^2)
    assert volume_ml("square frustum", 3.8, 2.5, 5.0) == pytest.approx(50.3167, abs=5e-5)


def test_round_cell_is_a_cylinder_when_straight():
    cylinder = volume_ml("cylinder", 4, depth_cm=5)

    assert cylinder == pytest.approx(math.pi * 2**2 * 5)
    assert volume_ml("cone frustum", 4, 4, 5) == pytest.approx(cylinder)


def test_cone():
    assert volume_ml("cone frustum", 6, 0, 10) == pytest.approx(math.pi * 3**2 * 10 / 3)


def test_filling_half_a_cylinder_is_half_its_volume():
    half = volume_ml("cylinder", 4, depth_cm=5, fill_height=0.5)

    assert half == pytest.approx(volume_ml("cylinder", 4, depth_cm=5) / 2)


def test_tapered_cell_holds_less_below_than_above():
    filled = volume_ml("square frustum", 3.8, 2.5, 5.0, fill_height=0.5)

    # By hand: at half height the side is 3.15.
    assert filled == pytest.approx(2.5 / 3 * (3.15**2 + 3.15 * 2.5 + 2.5**2))
    assert filled < volume_ml("square frustum", 3.8, 2.5, 5.0) / 2


@pytest.mark.against("tray-table-a")
def test_tray_of_72():
    # A published tray table: 3.60 cubic inches a cell, 58.99 mL; 72 cells are 4.2475 L, and a cubic
    # foot fills 6.667 trays.
    cell = 3.60 * LITRES["cu_in"] * 1000

    assert cell == pytest.approx(58.99, abs=5e-3)
    assert LITRES["cu_ft"] * 1000 / (72 * cell) == pytest.approx(6.667, abs=5e-4)
