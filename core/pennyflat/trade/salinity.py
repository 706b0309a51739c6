"""Salts: how a meter's reading is rated.

Electrical conductivity (EC) is in mS/cm, the same as dS/m. A reading means nothing without its
method: a 1:2 dilution, a saturated media extract (SME), or PourThru. Published bands say what each
method calls "normal"; no method is converted into another.
"""

from collections.abc import Iterable
from dataclasses import dataclass

METHODS = ("1:2", "SME", "PourThru")
"""Ways to measure the EC of a growing medium."""


@dataclass(frozen=True, slots=True)
class Band:
    """A range of readings and its name in one method: a row of the table of EC bands."""

    method: str
    """One of `METHODS`."""
    reading: str
    """"very low" to "extreme"."""
    low: float
    """[mS/cm]"""
    high: float | None
    """None for the topmost band, which starts above its low end. [mS/cm]"""


def readings(bands: Iterable[Band], ec: float) -> tuple[str, ...]:
    """
    What one method, given by its bands, calls a reading of at least 0 mS/cm.

    One name; two, the lower first, if the reading is on the border of two bands or in a gap between
    them in the table.

    >>> table = [Band("SME", "low", 0.8, 2.0), Band("SME", "normal", 2.0, 3.5)]
    >>> readings(table, 2.6), readings(table, 2.0)
    (('normal',), ('low', 'normal'))
    """
    ladder = sorted(bands, key=lambda band: band.low)
    inside = [
        band
        for band in ladder
        if (band.low < ec if band.high is None else band.low <= ec <= band.high)
    ]
    if not inside:
        inside = [b for b in ladder if b.low < ec][-1:] + [b for b in ladder if b.low > ec][:1]
    return tuple(band.reading for band in inside)
