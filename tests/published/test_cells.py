"""Cell volumes against elementary geometry and a published tray table."""

import math

import pytest

from pennyflat.scenario.cell import cone_frustum_ml, cylinder_ml, square_frustum_ml
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


def test_square_cell():
    # By hand: 5.0 / 3 x (3.8^2 + 3.8 x 2.5 + 2.5^2)
    assert square_frustum_ml(3.8, 2.5, 5.0) == pytest.approx(50.3167, abs=5e-5)


def test_round_cell_is_a_cylinder_when_straight():
    assert cylinder_ml(4, 5) == pytest.approx(math.pi * 2**2 * 5)
    assert cone_frustum_ml(4, 4, 5) == pytest.approx(cylinder_ml(4, 5))


def test_cone():
    assert cone_frustum_ml(6, 0, 10) == pytest.approx(math.pi * 3**2 * 10 / 3)


def test_filling_half_a_cylinder_is_half_its_volume():
    assert cylinder_ml(4, 5, fill_height=0.5) == pytest.approx(cylinder_ml(4, 5) / 2)


def test_tapered_cell_holds_less_below_than_above():
    filled = square_frustum_ml(3.8, 2.5, 5.0, fill_height=0.5)

    # By hand: at half height the side is 3.15.
    assert filled == pytest.approx(2.5 / 3 * (3.15**2 + 3.15 * 2.5 + 2.5**2))
    assert filled < square_frustum_ml(3.8, 2.5, 5.0) / 2


@pytest.mark.against("tray-table-a")
def test_tray_of_72():
    # A published tray table: 3.60 cubic inches a cell, 58.99 mL; 72 cells are 4.2475 L, and a cubic
    # foot fills 6.667 trays.
    cell = 3.60 * LITRES["cu_in"] * 1000

    assert cell == pytest.approx(58.99, abs=5e-3)
    assert LITRES["cu_ft"] * 1000 / (72 * cell) == pytest.approx(6.667, abs=5e-4)


@pytest.mark.parametrize("measures", [(0, 1, 1), (1, -1, 1), (1, 1, 0)])
def test_measures_out_of_range(measures):
    with pytest.raises(ValueError, match="must be"):
        square_frustum_ml(*measures)


@pytest.mark.parametrize("fill_height", [0, 1.01])
def test_fill_height_out_of_range(fill_height):
    with pytest.raises(ValueError, match="fill_height must be"):
        cylinder_ml(4, 5, fill_height=fill_height)
