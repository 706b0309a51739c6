"""When and how much seed comes up, and how little of it a packet may promise.

Temperatures are those of the growing medium in degrees Celsius, times are days. A table of days
says "no germination" at some temperatures and "not tested" at others; next to either no number is
given, and none beyond the tested range. The days come with the share of seed that gives a normal
seedling there: at some temperatures seed is fast but little of it comes up.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.sentences import Amount, say
from pennyflat.trade.facts import read_number

OUTCOMES = ("emerged", "no germination", "not tested")
"""What a test at one temperature found. [Harrington and Minges 1954, legend of the table]"""

POOR_SHARE = 0.75
"""Fraction of a crop's best tested share below which a warning says that few come up. Ours. [1]"""

CONTRADICTION = 0.1
"""Share of normal seedlings in one table above which "no germination" in the other contradicts it.
Ours: a few in a hundred do not justify a number of days. [1]"""


@dataclass(frozen=True, slots=True)
class EmergenceRow:
    """One cell of a table of days to emergence."""

    crop: str
    temperature_c: float
    outcome: str
    """One of `OUTCOMES`."""
    days: float | None
    """Only if it emerged. [d]"""
    share: float | None = None
    """Seeds that gave a normal seedling, if the companion table says. [1]"""
    copies: tuple[float, ...] = ()
    """Shortest and longest days if copies of the table differ. [d]"""

    def __post_init__(self) -> None:
        if self.outcome not in OUTCOMES:
            raise ValueError(
                f"{self.crop} at {self.temperature_c:g} °C: outcome must be one of"
                f" {', '.join(OUTCOMES)}, not {self.outcome!r}."
            )
        if (self.days is not None) != (self.outcome == "emerged"):
            raise ValueError(
                f"{self.crop} at {self.temperature_c:g} °C: days must be given where it emerged"
                f" and only there, not {self.days!r} with {self.outcome!r}."
            )


@dataclass(frozen=True, slots=True)
class Emergence:
    """Days to emergence, or the reason why there is no number."""

    days: float | None
    """[d]"""
    rule: str
    """How it was found: "table", "rate", or "none"."""
    between: tuple[EmergenceRow, ...]
    """The tested cells it rests on."""
    why_not: str | None
    """A sentence if there is no number."""
    share: float | None = None
    """Seeds that give a normal seedling there; None if no table says. [1]"""
    warnings: tuple[str, ...] = ()
    """Sentences: if few come up, and if sources contradict each other."""


def read_emergence(row: dict[str, str]) -> EmergenceRow:
    """
    One row of the table of days to emergence.

    Raises
    ------
    ValueError
        If a number is given although nothing emerged, or is missing although something did.

    Examples
    --------
    >>> celery = read_emergence({"subject": "celery", "temperature_c": "25", "value": "",
    ...                          "outcome": "no germination", "normal_percent": "65"})
    >>> celery.days is None, celery.share
    (True, 0.65)
    """
    percent = read_number(row.get("normal_percent") or "")
    return EmergenceRow(
        crop=row["subject"],
        temperature_c=float(row["temperature_c"]),
        outcome=row["outcome"],
        days=read_number(row["value"]),
        share=None if percent is None else percent / 100,
        copies=tuple(float(row[end]) for end in ("low", "high") if row.get(end)),
    )


def days_to_emergence(rows: Iterable[EmergenceRow], crop: str, temperature_c: float) -> Emergence:
    """
    Days from sowing to emergence at one temperature of the medium, and the share that comes up.

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

    Examples
    --------
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
    tested = sorted((r for r in rows if r.crop == crop), key=lambda r: r.temperature_c)
    below = [r for r in tested if r.temperature_c <= temperature_c][-1:]
    above = [r for r in tested if r.temperature_c >= temperature_c][:1]
    cells = tuple(dict.fromkeys(below + above))
    share = _share_at(cells, temperature_c)
    warnings = _warnings(crop, temperature_c, tested, cells, share)
    why_not = _why_no_days(crop, temperature_c, tested, below, above)
    if why_not:
        return Emergence(None, "none", cells, why_not, share, warnings)
    if len(cells) == 1:
        return Emergence(cells[0].days, "table", cells, None, share, warnings)
    low, high = cells
    weight = (temperature_c - low.temperature_c) / (high.temperature_c - low.temperature_c)
    low_days, high_days = (cell.days or 0.0 for cell in cells)  # both emerged without a why_not
    days = 1 / (1 / low_days + weight * (1 / high_days - 1 / low_days))
    return Emergence(days, "rate", cells, None, share, warnings)


def _share_at(cells, temperature_c):
    """Share that comes up, interpolated linearly between tested temperatures; None if unknown."""
    if not cells or any(cell.share is None for cell in cells):
        return None
    low, high = cells[0], cells[-1]
    span = high.temperature_c - low.temperature_c
    if span:
        return low.share + (temperature_c - low.temperature_c) / span * (high.share - low.share)
    return low.share if low.temperature_c == temperature_c else None


def _warnings(crop, temperature_c, tested, cells, share):
    """Sentences if a share is poor compared with the crop's best, and if sources disagree."""
    told = [cell for cell in tested if cell.share is not None and cell.outcome == "emerged"]
    found = []
    if share is not None and told:
        best = max(told, key=lambda cell: cell.share)
        if share < POOR_SHARE * best.share:
            found.append(
                say(
                    "About {percent:.0f} % of {crop} seed gives a normal seedling at {asked:g};"
                    " {best:.0f} % did at {at:g}.",
                    crop=crop,
                    percent=100 * share,
                    asked=_degrees(temperature_c),
                    best=100 * best.share,
                    at=_degrees(best.temperature_c),
                )
            )
    for cell in cells:
        if cell.outcome == "no germination" and (cell.share or 0) >= CONTRADICTION:
            found.append(
                say(
                    "Sources disagree on {crop} at {tested:g}: in one table nothing came up, in"
                    " another {percent:.0f} % gave normal seedlings.",
                    crop=crop,
                    tested=_degrees(cell.temperature_c),
                    percent=100 * cell.share,
                )
            )
        if cell.copies:
            found.append(
                say(
                    "Copies of the table disagree on {crop} at {tested:g}: {low:g} or {high:g}"
                    " days.",
                    crop=crop,
                    tested=_degrees(cell.temperature_c),
                    low=cell.copies[0],
                    high=cell.copies[1],
                )
            )
    return tuple(found)


def _why_no_days(crop, temperature_c, tested, below, above):
    if not tested:
        return say("{crop} is not in the table of days to emergence.", crop=crop)
    if not below or not above:
        return say(
            "{crop} was tested from {low:g} to {high:g}, not at {asked:g}.",
            crop=crop,
            low=_degrees(tested[0].temperature_c),
            high=_degrees(tested[-1].temperature_c),
            asked=_degrees(temperature_c),
        )
    silent = [cell for cell in below + above if cell.outcome != "emerged"]
    return _why_silent(silent[0], temperature_c) if silent else None


def _why_silent(cell, asked):
    """What a tested temperature without a number of days says about the requested one."""
    tested = _degrees(cell.temperature_c)
    gaps = {"crop": cell.crop, "tested": tested, "asked": _degrees(asked)}
    if cell.outcome == "no germination":
        if cell.temperature_c == asked:
            return say("{crop} did not germinate at {tested:g}.", **gaps)
        return say(
            "{crop} did not germinate at {tested:g}, so nothing can be said of {asked:g}.",
            **gaps,
        )
    if cell.temperature_c == asked:
        return say("{crop} was not tested at {tested:g}.", **gaps)
    return say("{crop} was not tested at {tested:g}, so nothing can be said of {asked:g}.", **gaps)


def _degrees(temperature_c):
    return Amount(temperature_c, "temperature")
