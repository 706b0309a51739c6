"""When seed comes up, and how little of it a packet may promise.

Temperatures are those of the growing medium in degrees Celsius, times are days. A table of days
says "no germination" at some temperatures and "not tested" at others; next to either no number is
given, and beyond the tested range none either.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from pennyflat.sentences import Amount, say
from pennyflat.trade.facts import read_number

OUTCOMES = ("emerged", "no germination", "not tested")
"""What a test at one temperature found. [Harrington and Minges 1954, legend of the table]"""

RULES = ("days", "rate")
"""Ways to read between two tested temperatures: a straight line between the days, or between their
inverses, which gives the shorter time. The table itself speaks for neither."""


@dataclass(frozen=True, slots=True)
class EmergenceRow:
    """One cell of a table of days to emergence."""

    crop: str
    temperature_c: float
    outcome: str
    """One of `OUTCOMES`."""
    days: float | None
    """Only where it emerged. [d]"""

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
    """How it was found: "table", "days", "rate", or "none"."""
    between: tuple[EmergenceRow, ...]
    """The tested cells it rests on."""
    why_not: str | None
    """A sentence, where there is no number."""


def read_emergence(row: dict[str, str]) -> EmergenceRow:
    """
    One row of the table of days to emergence.

    Parameters
    ----------
    row : dict of str to str

    Returns
    -------
    EmergenceRow

    Raises
    ------
    ValueError
        If a number is given where nothing emerged, or the other way round.

    Examples
    --------
    >>> read_emergence({"subject": "celery", "temperature_c": "25",
    ...                 "outcome": "no germination", "value": ""}).days is None
    True
    """
    return EmergenceRow(
        crop=row["subject"],
        temperature_c=float(row["temperature_c"]),
        outcome=row["outcome"],
        days=read_number(row["value"]),
    )


def days_to_emergence(
    rows: Iterable[EmergenceRow], crop: str, temperature_c: float, *, rule: str = "days"
) -> Emergence:
    """
    Days from sowing to emergence at one temperature of the medium.

    Parameters
    ----------
    rows : iterable of EmergenceRow
    crop : str
    temperature_c : float
        Temperature of the medium. [degC]
    rule : {"days", "rate"}, default "days"
        How to read between two tested temperatures.

    Returns
    -------
    Emergence
        With `days` None and `why_not` where the crop is not in the table, where it did not
        germinate, next to such a temperature, and outside the tested range.

    Raises
    ------
    ValueError
        If the rule is neither of the two.

    Notes
    -----
    Sown 1/2 inch deep. [Harrington and Minges 1954, Vegetable Seed Germination, California
    Agricultural Extension, as reprinted in Knott's Handbook for Vegetable Growers, 1997]

    Examples
    --------
    Pepper took 13 days at 20 °C and 8 days at 25 °C:

    >>> pepper = [EmergenceRow("pepper", 10, "no germination", None),
    ...           EmergenceRow("pepper", 15, "emerged", 25),
    ...           EmergenceRow("pepper", 20, "emerged", 13),
    ...           EmergenceRow("pepper", 25, "emerged", 8)]
    >>> days_to_emergence(pepper, "pepper", 22.5).days
    10.5
    >>> days_to_emergence(pepper, "pepper", 22.5, rule="rate").days
    9.90
    >>> print(days_to_emergence(pepper, "pepper", 12).why_not)
    pepper did not germinate at 10 °C, so nothing can be said of 12 °C.
    """
    if rule not in RULES:
        raise ValueError(f"rule must be one of {', '.join(RULES)}, not {rule!r}.")
    tested = sorted((r for r in rows if r.crop == crop), key=lambda r: r.temperature_c)
    below = [r for r in tested if r.temperature_c <= temperature_c][-1:]
    above = [r for r in tested if r.temperature_c >= temperature_c][:1]
    cells = tuple(dict.fromkeys(below + above))
    why_not = _why_no_days(crop, temperature_c, tested, below, above)
    if why_not:
        return Emergence(None, "none", cells, why_not)
    if len(cells) == 1:
        return Emergence(cells[0].days, "table", cells, None)
    low, high = cells
    weight = (temperature_c - low.temperature_c) / (high.temperature_c - low.temperature_c)
    low_days, high_days = (cell.days or 0.0 for cell in cells)  # both emerged, else there is a why
    if rule == "days":
        days = low_days + weight * (high_days - low_days)
    else:
        days = 1 / (1 / low_days + weight * (1 / high_days - 1 / low_days))
    return Emergence(days, rule, cells, None)


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
    """What a tested temperature without a number of days says of the one asked for."""
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
