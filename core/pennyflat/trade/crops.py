"""When and how much seed comes up, and how little of it a packet may promise.

Temperatures are those of the growing medium in degrees Celsius, times are days. A table of days
says "no germination" at some temperatures and "not tested" at others; next to either no number is
given, and none beyond the tested range. The days come with the share of seed that gives a normal
seedling there: at some temperatures seed is fast but little of it comes up.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.sentences import Amount, say

OUTCOMES = ("emerged", "no germination", "not tested")
"""What a test at one temperature found. [Harrington and Minges 1954, legend of the table]"""

POOR_SHARE = 0.75
"""Fraction of a crop's best tested share below which a warning says that few come up. Ours. [1]"""

CONTRADICTION = 0.1
"""Share of normal seedlings in one table above which "no germination" in the other contradicts it.
Ours: a few in a hundred do not justify a number of days. [1]"""


@dataclass(frozen=True, slots=True)
class EmergenceRow:
    """One row of the table of days to emergence: a crop tested at one temperature."""

    subject: str
    """The crop."""
    temperature_c: float
    outcome: str
    """One of `OUTCOMES`."""
    value: float | None
    """Days, only if it emerged. [d]"""
    normal_percent: float | None = None
    """Seeds that gave a normal seedling, if the companion table says. [%]"""
    low: float | None = None
    high: float | None = None
    """Shortest and longest days if copies of the table differ. [d]"""

    @property
    def share(self) -> float | None:
        """Seeds that gave a normal seedling. [1]"""
        return None if self.normal_percent is None else self.normal_percent / 100


@dataclass(frozen=True, slots=True)
class Emergence:
    """Days to emergence, or the reason why there is no number."""

    days: float | None
    """[d]"""
    between: tuple[EmergenceRow, ...]
    """The tested rows it rests on: one at this very temperature, or two around it."""
    why_not: str | None
    """A sentence if there is no number."""
    share: float | None
    """Seeds that give a normal seedling there; None if no table says. [1]"""
    warnings: tuple[str, ...]
    """Sentences: if few come up, and if sources contradict each other."""


def days_to_emergence(
    rows: Iterable[EmergenceRow], crop: str, temperature_c: float, *, called: str | None = None
) -> Emergence:
    """
    Days from sowing to emergence at one temperature of the medium, and the share that comes up.

    Its sentences name the crop as it is `called`, by default as in the table.

    `days` is None, with `why_not`, if the crop is not in the table, did not germinate at this
    temperature or the tested one next to it, or the temperature is outside the tested range.
    `warnings` say if the share is below `POOR_SHARE` of the crop's best, and if sources contradict
    each other.

    Between two tested temperatures the share is interpolated linearly, and so are the rates, the
    inverses of the days: each day advances a seed by what its temperature allows, so rates are
    nearly linear below the best temperature. [thermal time: Coolbear, Toledo and Seetagoses 1992,
    New Zealand Journal of Crop and Horticultural Science 19: 9 to 14, abstract, for celery from 5
    to 20 °C]

    Sown 1/2 inch deep. [Harrington and Minges 1954, Vegetable Seed Germination, California
    Agricultural Extension, as reprinted in Knott's Handbook for Vegetable Growers, 1997; the shares
    from the companion table, in copies]

    Pepper took 13 days at 20 °C and 8 days at 25 °C:

    >>> pepper = [EmergenceRow("pepper", 10, "no germination", None),
    ...           EmergenceRow("pepper", 15, "emerged", 25),
    ...           EmergenceRow("pepper", 20, "emerged", 13),
    ...           EmergenceRow("pepper", 25, "emerged", 8)]
    >>> days_to_emergence(pepper, "pepper", 22.5).days
    9.90
    >>> print(days_to_emergence(pepper, "pepper", 12).why_not)
    pepper did not germinate at 10 °C, so nothing can be said of 12 °C.
    """
    tested = sorted((r for r in rows if r.subject == crop), key=lambda r: r.temperature_c)
    crop = called or crop
    below = [r for r in tested if r.temperature_c <= temperature_c][-1:]
    above = [r for r in tested if r.temperature_c >= temperature_c][:1]
    between = tuple(dict.fromkeys(below + above))
    why_not = _why_no_days(crop, temperature_c, tested, below, above)
    days = share = None
    if below and above:
        days, share = _interpolated(below[0], above[0], temperature_c)
    warnings = tuple(_warnings(crop, temperature_c, tested, between, share))
    return Emergence(days, between, why_not, share, warnings)


def _interpolated(low, high, temperature_c):
    """Days and share at a tested temperature, or between two; None where one of them has none."""
    if low is high:
        return low.value, low.share
    weight = (temperature_c - low.temperature_c) / (high.temperature_c - low.temperature_c)
    days = share = None
    if low.value and high.value:
        days = 1 / (1 / low.value + weight * (1 / high.value - 1 / low.value))
    if None not in (low.share, high.share):
        share = low.share + weight * (high.share - low.share)
    return days, share


def _warnings(crop, temperature_c, tested, between, share):
    """Sentences if a share is poor compared with the crop's best, and if sources disagree."""
    told = [row for row in tested if row.share is not None and row.outcome == "emerged"]
    best = max(told, key=lambda row: row.share, default=None)
    if share is not None and best and share < POOR_SHARE * best.share:
        gaps = {"crop": crop, "percent": 100 * share, "asked": _degrees(temperature_c)}
        yield say(
            "About {percent:.0f} % of {crop} seed gives a normal seedling at {asked:g};"
            " {best:.0f} % did at {at:g}.",
            **gaps | {"best": 100 * best.share, "at": _degrees(best.temperature_c)},
        )
    for row in between:
        gaps = {"crop": crop, "tested": _degrees(row.temperature_c)}
        if row.outcome == "no germination" and (row.share or 0) >= CONTRADICTION:
            yield say(
                "Sources disagree on {crop} at {tested:g}: in one table nothing came up, in another"
                " {percent:.0f} % gave normal seedlings.",
                percent=100 * row.share,
                **gaps,
            )
        if row.low is not None:
            yield say(
                "Copies of the table disagree on {crop} at {tested:g}: {low:g} or {high:g} days.",
                **gaps | {"low": row.low, "high": row.high},
            )


def _why_no_days(crop, temperature_c, tested, below, above):
    if not tested:
        return say("{crop} is not in the table of days to emergence.", crop=crop)
    gaps = {"crop": crop, "asked": _degrees(temperature_c)}
    if not below or not above:
        low, high = (_degrees(end.temperature_c) for end in (tested[0], tested[-1]))
        gaps |= {"low": low, "high": high}
        return say("{crop} was tested from {low:g} to {high:g}, not at {asked:g}.", **gaps)
    silent = next((row for row in below + above if row.outcome != "emerged"), None)
    if silent is None:
        return None
    return say(
        {
            ("no germination", False): "{crop} did not germinate at {tested:g}, so nothing can be"
            " said of {asked:g}.",
            ("no germination", True): "{crop} did not germinate at {tested:g}.",
            ("not tested", False): "{crop} was not tested at {tested:g}, so nothing can be said of"
            " {asked:g}.",
            ("not tested", True): "{crop} was not tested at {tested:g}.",
        }[silent.outcome, silent.temperature_c == temperature_c],
        tested=_degrees(silent.temperature_c),
        **gaps,
    )


def _degrees(temperature_c):
    return Amount(temperature_c, "temperature")
