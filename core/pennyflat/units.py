"""What a label's unit is in litres or grams.

The US customary units follow from the inch of exactly 25.4 mm; the bushel is 2150.42 cubic inches
and the liquid gallon 231 cubic inches. [NIST Handbook 44, Appendix C, "General Tables of Units of
Measurement"; NIST Special Publication 811, Appendix B.8.] The avoirdupois pound is exactly
453.59237 g. [same]
"""

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


def litres(size, unit):
    """
    Volume printed on a label, in litres.

    Parameters
    ----------
    size : float
        Number on the label, more than 0. [unit]
    unit : str
        A key of `LITRES`.

    Returns
    -------
    float
        Volume. [L]

    Raises
    ------
    ValueError
        If the unit is not one of volume.

    Examples
    --------
    A bag of 8 US dry quarts, the measure meant by "quarts" on dry goods:

    >>> litres(8, "qt_dry")
    8.80976754
    """
    return _convert(size, unit, LITRES, "volume")


def grams(size, unit):
    """
    Weight printed on a label, in grams.

    Parameters
    ----------
    size : float
        Number on the label, more than 0. [unit]
    unit : str
        A key of `GRAMS`.

    Returns
    -------
    float
        Weight. [g]

    Raises
    ------
    ValueError
        If the unit is not one of weight.

    Examples
    --------
    >>> grams(1.5, "kg")
    1500.0
    """
    return _convert(size, unit, GRAMS, "weight")


def _convert(size, unit, table, kind):
    if unit not in table:
        raise ValueError(f"unit must be one of {kind}, {', '.join(table)}, not {unit!r}.")
    return size * table[unit]
