"""Salts: what a published threshold says of a crop, and what a meter's reading is called.

Electrical conductivity (EC) is in mS/cm, the same as dS/m. A reading means nothing without its
method: of a 1:2 dilution, of a saturated media extract (SME), or by PourThru. Published bands say
what each method calls "normal"; they are bands, and no method is converted into another. Crop
thresholds are for the saturated paste of a field soil (ECe) and the yield of a mature crop: they
rank crops, and say nothing of emergence in a potting mix.
"""

from dataclasses import dataclass

from pennyflat.sentences import say
from pennyflat.trade.facts import default, read_number

METHODS = ("1:2", "SME", "PourThru")
"""Ways to measure the EC of a growing medium."""


@dataclass(frozen=True, slots=True)
class Band:
    """What one method calls a range of readings."""

    method: str
    reading: str
    """"very low" to "extreme"."""
    low: float
    """[mS/cm]"""
    high: float | None
    """None for the topmost band, which begins above its low end. [mS/cm]"""

    def __post_init__(self):
        if self.method not in METHODS:
            raise ValueError(
                f"Band {self.reading!r}: method must be one of {', '.join(METHODS)},"
                f" not {self.method!r}."
            )


@dataclass(frozen=True, slots=True)
class SaltYield:
    """Yield of a mature crop in a saline soil, or the reason why there is no number."""

    percent: float | None
    """Of the yield without salts, 0 to 100. [%]"""
    why_not: str | None
    """A sentence, where there is no number."""


def relative_yield(ec_e, threshold, slope):
    """
    Yield of a mature crop, against that without salts.

    `100 - b (ECe - a)` above the threshold a, kept between 0 and 100. [Maas and Hoffman 1977, as in
    FAO, Agricultural drainage water management in arid and semi-arid areas, Annex 1, equation 1]

    Parameters
    ----------
    ec_e : float
        EC of the saturated paste of the soil, at least 0. [dS/m]
    threshold : float
        a, at least 0. [dS/m]
    slope : float
        b, at least 0. [% per dS/m]

    Returns
    -------
    float
        [%]

    Raises
    ------
    ValueError
        If a number is negative.

    Examples
    --------
    Lettuce, threshold 1.3 dS/m and slope 13 % per dS/m [Maas 1990]:

    >>> relative_yield(3, 1.3, 13), relative_yield(1, 1.3, 13), relative_yield(10, 1.3, 13)
    (77.9, 100.0, 0.0)
    """
    if min(ec_e, threshold, slope) < 0:
        raise ValueError(
            "ec_e, threshold and slope must be at least 0,"
            f" not {ec_e!r}, {threshold!r} and {slope!r}."
        )
    return min(100.0, max(0.0, 100.0 - slope * (ec_e - threshold)))


def crop_yield(facts, crop, ec_e):
    """
    Yield of one mature crop by its published threshold and slope.

    Parameters
    ----------
    facts : iterable of Fact
        Facts about crops, with `salt_threshold` [dS/m] and `salt_slope` [% per dS/m].
    crop : str
    ec_e : float
        EC of the saturated paste of the soil, at least 0. [dS/m]

    Returns
    -------
    SaltYield
        Without a number where none is published.

    Raises
    ------
    ValueError
        If `ec_e` is negative.

    Examples
    --------
    >>> print(crop_yield([], "kale", 3).why_not)
    There is no published threshold for kale.
    """
    facts = tuple(facts)
    threshold = default(facts, crop, "salt_threshold")
    slope = default(facts, crop, "salt_slope")
    if threshold is None or slope is None:
        return SaltYield(None, say("There is no published threshold for {crop}.", crop=crop))
    return SaltYield(relative_yield(ec_e, threshold.value, slope.value), None)


def read_band(row):
    """
    One row of the table of EC bands.

    Parameters
    ----------
    row : dict of str to str

    Returns
    -------
    Band

    Raises
    ------
    ValueError
        If a number cannot be read or the method is unknown.

    Examples
    --------
    >>> read_band({"method": "SME", "reading": "extreme", "low": "6.0", "high": ""}).high is None
    True
    """
    return Band(row["method"], row["reading"], float(row["low"]), read_number(row["high"]))


def readings(bands, method, ec):
    """
    What a method calls a reading.

    Parameters
    ----------
    bands : iterable of Band
    method : str
        One of `METHODS`.
    ec : float
        Reading, at least 0. [mS/cm]

    Returns
    -------
    tuple of str
        One name; two where the reading lies on the border of two bands, or in a gap that the table
        leaves between them, the lower first.

    Raises
    ------
    ValueError
        If the method is unknown or the reading negative.

    Examples
    --------
    >>> table = [Band("SME", "low", 0.8, 2.0), Band("SME", "normal", 2.0, 3.5)]
    >>> readings(table, "SME", 2.6), readings(table, "SME", 2.0)
    (('normal',), ('low', 'normal'))
    """
    if method not in METHODS:
        raise ValueError(f"method must be one of {', '.join(METHODS)}, not {method!r}.")
    if ec < 0:
        raise ValueError(f"ec must be at least 0, not {ec!r}.")
    ladder = sorted((b for b in bands if b.method == method), key=lambda band: band.low)
    inside = [b for b in ladder if _holds(b, ec)]
    if not inside:
        inside = [b for b in ladder if b.low < ec][-1:] + [b for b in ladder if b.low > ec][:1]
    return tuple(band.reading for band in inside)


def bands_called(bands, reading):
    """
    The readings that each method calls by one name, to look across methods without converting.

    Parameters
    ----------
    bands : iterable of Band
    reading : str
        "very low", "low", "normal", "high", "very high" or "extreme".

    Returns
    -------
    dict of str to tuple
        Method to the low and high end; None for no top. [mS/cm]

    Examples
    --------
    >>> bands_called([Band("SME", "normal", 2.0, 3.5), Band("1:2", "normal", 0.8, 1.3)], "normal")
    {'SME': (2.0, 3.5), '1:2': (0.8, 1.3)}
    """
    return {band.method: (band.low, band.high) for band in bands if band.reading == reading}


def _holds(band, ec):
    return band.low < ec if band.high is None else band.low <= ec <= band.high
