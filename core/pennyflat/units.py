"""Label units in litres or grams, and amounts in US customary units and back.

The US customary units follow from the inch of exactly 25.4 mm; the bushel is 2150.42 cubic inches
and the liquid gallon 231 cubic inches. [NIST Handbook 44, Appendix C, "General Tables of Units of
Measurement"; NIST Special Publication 811, Appendix B.8.] The avoirdupois pound is exactly
453.59237 g. [same]
"""

from dataclasses import dataclass

CUBIC_INCH_L = 2.54**3 / 1000
"""One cubic inch. [L] From 1 in = 25.4 mm exactly. [NIST SP 811, B.8]"""

BUSHEL_CUBIC_INCHES = 2150.42
"""One US struck bushel. [in3] [NIST Handbook 44, Appendix C]"""

LIQUID_GALLON_CUBIC_INCHES = 231
"""One US liquid gallon. [in3] [NIST Handbook 44, Appendix C]"""

LITRES = {
    "L": 1.0,
    "mL": 0.001,
    "m3": 1000.0,
    "qt_dry": BUSHEL_CUBIC_INCHES / 32 * CUBIC_INCH_L,
    "qt_liq": LIQUID_GALLON_CUBIC_INCHES / 4 * CUBIC_INCH_L,
    "gal_liq": LIQUID_GALLON_CUBIC_INCHES * CUBIC_INCH_L,
    "bu": BUSHEL_CUBIC_INCHES * CUBIC_INCH_L,
    "cu_in": CUBIC_INCH_L,
    "cu_ft": 12**3 * CUBIC_INCH_L,
    "cu_yd": 36**3 * CUBIC_INCH_L,
}
"""Litres in one of each unit of volume a label may use. [L]"""

GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""Grams in one of each unit of weight a label may use. [g] [NIST Handbook 44, Appendix C]"""

FLUID_OUNCE_ML = LIQUID_GALLON_CUBIC_INCHES * CUBIC_INCH_L * 1000 / 128
"""One US fluid ounce, 1/128 gallon. [mL] [NIST Handbook 44, Appendix C]"""


@dataclass(frozen=True, slots=True)
class Customary:
    """A US customary unit: its size in the model's metric unit, and its zero."""

    metric: str
    unit: str
    factor: float
    """[model's unit per customary unit]"""
    zero: float = 0.0
    """What the customary unit shows at 0 of the model's unit. [customary unit]"""


CUSTOMARY = {
    "mix": Customary("L", "qt_dry", LITRES["qt_dry"]),
    "cell": Customary("mL", "cu_in", LITRES["cu_in"] * 1000),
    "solution": Customary("L", "gal_liq", LITRES["gal_liq"]),
    "liquid": Customary("mL", "fl_oz", FLUID_OUNCE_ML),
    "weight": Customary("g", "oz", GRAMS["oz"]),
    "length": Customary("cm", "in", 2.54),
    "height": Customary("mm", "in", 25.4),
    "temperature": Customary("degC", "degF", 5 / 9, 32.0),
    "warming": Customary("degC", "degF", 5 / 9),
    "amendment": Customary("g_per_l", "lb_per_cu_yd", GRAMS["lb"] / LITRES["cu_yd"]),
    "dry_dose": Customary("g_per_l", "oz_per_100_gal", GRAMS["oz"] / (100 * LITRES["gal_liq"])),
    "liquid_dose": Customary("ml_per_l", "fl_oz_per_gal", FLUID_OUNCE_ML / LITRES["gal_liq"]),
    "price_of_mix": Customary("L", "qt_dry", 1 / LITRES["qt_dry"]),
    "price_of_solution": Customary("L", "gal_liq", 1 / LITRES["gal_liq"]),
    "price_of_weight": Customary("kg", "lb", 1000 / GRAMS["lb"]),
}
"""
The model's unit and the US customary unit of each quantity, as in the "short." keys of the words.

A warming is a difference of temperature; a price is per unit. Factors follow from those above; degF
= 1.8 degC + 32 [NIST SP 811, B.8]. Choice of units: potting mixes are sold by the dry quart and
cubic foot; amendments are given in pounds per cubic yard [University of Arkansas, Greenhouse
Management Online, Unit 7, Table 2], soluble feeds in ounces per 100 gallons [tables of doses, see
data/doses.csv], liquid ones in fluid ounces per gallon [common practice, no source].
"""

DIGITS = 12
"""Significant digits of an amount converted to the model's unit: 18.7 in3 are 306.4380968 mL."""


def to_customary(amount: float, quantity: str) -> float:
    """A model `amount` in the US customary unit of its `quantity`; KeyError if it has none."""
    scale = CUSTOMARY[quantity]
    return amount / scale.factor + scale.zero


def from_customary(amount: float, quantity: str) -> float:
    """
    The inverse of `to_customary`, to `DIGITS` digits.

    >>> from_customary(18.7, "cell"), from_customary(10, "amendment")
    (306.4380968, 5.932764)
    """
    scale = CUSTOMARY[quantity]
    return float(f"{(amount - scale.zero) * scale.factor:.{DIGITS}g}")
