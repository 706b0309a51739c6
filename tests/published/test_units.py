"""Label units against the tables of the US National Institute of Standards and Technology."""

import pint
import pytest

from pennyflat.scenario.package import Package, price_per
from pennyflat.units import GRAMS, LITRES

EXACT_LITRES = [
    # NIST Handbook 44, Specifications, Tolerances, and Other Technical Requirements for Weighing
    # and Measuring Devices, Appendix C, "General Tables of Units of Measurement": the cubic inches
    # of each unit; litres by 1 in = 25.4 mm exactly.
    ("cu_in", 0.016387064),
    ("cu_ft", 28.316846592),
    ("cu_yd", 764.554857984),
    ("qt_liq", 0.946352946),
    ("gal_liq", 3.785411784),
    ("qt_dry", 1.101220942715),
    ("bu", 35.23907016688),
]

SP_811 = [
    # NIST Special Publication 811 (Thompson & Taylor 2008), App. B.8, cubic metres; from memory.
    ("qt_dry", 1.101221e-3),
    ("qt_liq", 9.463529e-4),
    ("bu", 3.523907e-2),
    ("cu_ft", 2.831685e-2),
]

PINT_NAMES = {
    "L": "liter", "mL": "milliliter", "m3": "meter**3", "qt_dry": "dry_quart",
    "qt_liq": "liquid_quart", "gal_liq": "gallon", "bu": "bushel", "cu_in": "inch**3",
    "cu_ft": "foot**3", "cu_yd": "yard**3", "g": "gram", "kg": "kilogram", "oz": "ounce",
    "lb": "pound",
}  # fmt: skip


@pytest.mark.against("nist-hb44")
@pytest.mark.parametrize(("unit", "expected"), EXACT_LITRES)
def test_exact_litres(unit, expected):
    assert LITRES[unit] == pytest.approx(expected, rel=1e-12)


@pytest.mark.against("nist-sp811")
@pytest.mark.parametrize(("unit", "cubic_metres"), SP_811)
def test_seven_figures_of_sp_811(unit, cubic_metres):
    assert LITRES[unit] / 1000 == pytest.approx(cubic_metres, rel=6e-7)


@pytest.mark.against("illinois-600")
def test_illinois_table_of_dry_and_liquid_quarts():
    # Illinois Administrative Code, title 8, part 600, table D: 67.20 in3 = 1.1012 L; 0.9463 L.
    assert round(LITRES["qt_dry"], 4) == 1.1012
    assert round(LITRES["qt_liq"], 4) == 0.9464  # the table cuts 0.946353 off after four places
    assert int(LITRES["qt_liq"] * 1e4) / 1e4 == 0.9463


@pytest.mark.against("pint")
def test_every_unit_agrees_with_pint():
    registry = pint.UnitRegistry()

    for unit in LITRES:
        expected = registry.Quantity(1, PINT_NAMES[unit]).to("liter").magnitude
        assert LITRES[unit] == pytest.approx(expected, rel=1e-9), unit
    for unit in GRAMS:
        expected = registry.Quantity(1, PINT_NAMES[unit]).to("gram").magnitude
        assert GRAMS[unit] == pytest.approx(expected, rel=1e-12), unit


def test_quart_taken_for_the_wrong_one():
    # From the definitions: a dry quart is 67.200625 in3, a liquid one 57.75 in3.
    assert LITRES["qt_dry"] / LITRES["qt_liq"] == pytest.approx(67.200625 / 57.75)


@pytest.mark.against("nist-hb44")
def test_cubic_yard_in_bushels():
    # NIST Handbook 44, Appendix C: 1 cubic yard = 21.696 bushels.
    assert LITRES["cu_yd"] / LITRES["bu"] == pytest.approx(21.696, abs=5e-4)


@pytest.mark.parametrize(
    ("size", "unit", "price", "expected"),
    # Computed from the definitions above.
    [(8, "qt_dry", 5.00, 0.567552), (8, "qt_liq", 5.00, 0.660430), (1, "cu_ft", 9.00, 0.317832)],
)
def test_price_per_litre(size, unit, price, expected):
    assert price_per(Package("", size, unit, price), "L") == pytest.approx(expected, abs=5e-7)
