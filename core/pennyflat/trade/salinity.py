"""Salts: how a meter's reading is rated.

Electrical conductivity (EC) is in mS/cm, the same as dS/m. A reading means nothing without its
method: a 1:2 dilution, a saturated media extract (SME), or PourThru. Published bands say what each
method calls "normal"; no method is converted into another.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.trade.facts import read_number

METHODS = ("1:2", "SME", "PourThru")
"""Ways to measure the EC of a growing medium."""


@dataclass(frozen=True, slots=True)
class Band:
    """A range of readings and its name in one method."""

    method: str
    reading: str
    """"very low" to "extreme"."""
    low: float
    """[mS/cm]"""
    high: float | None
    """None for the topmost band, which starts above its low end. [mS/cm]"""

    def __post_init__(self) -> None:
        if self.method not in METHODS:
            raise ValueError(
                f"Band {self.reading!r}: method must be one of {', '.join(METHODS)},"
                f" not {self.method!r}."
            )


def read_band(row: dict[str, str]) -> Band:
    """
    One row of the table of EC bands.

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


def readings(bands: Iterable[Band], method: str, ec: float) -> tuple[str, ...]:
    """
    What a method calls a reading in mS/cm.

    One name; two, the lower first, if the reading is on the border of two bands or in a gap between
    them in the table.

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


def _holds(band, ec):
    return band.low < ec if band.high is None else band.low <= ec <= band.high
