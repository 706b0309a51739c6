"""The calendars of a plan, where the tables complete the entries: warmth and weeks from frost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from pennyflat.growing.schedule import Calendar, after_weeks, calendar
from pennyflat.scenario.records import Scenario
from pennyflat.trade.crops import Emergence, EmergenceRow, days_to_emergence
from pennyflat.trade.data import facts, records
from pennyflat.trade.facts import about, default
from pennyflat.trade.names import known_crop


@dataclass(frozen=True, slots=True)
class Dated:
    """The calendar of one sowing, as far as the entries allow."""

    row: int
    crop: str
    medium: str | None
    """None if no mix gets the crop ready."""
    temperature_c: float | None
    """Temperature of the medium until emergence. [degC]"""
    emergence: Emergence | None
    plan: Calendar | None
    """None until there is a day to plant out, and without a mix."""


@lru_cache(maxsize=2)
def calendars(scenario: Scenario, planned: Sequence[str | None]) -> tuple[Dated, ...]:
    """
    The calendars of a scenario's sowings, each in the medium planned; None if no mix gets it ready.

    >>> from pennyflat import DEMO, read
    >>> found = calendars(read(DEMO | {"last_frost": "2027-05-15"}), ("Home blend", None, None))
    >>> found[0].crop, str(found[0].plan.steps[0].on), found[1].plan
    ('tomato', '2027-04-10', None)
    """
    return tuple(
        _dated(scenario, row, sowing, medium)
        for row, (sowing, medium) in enumerate(zip(scenario.sowings, planned, strict=True))
    )


def after_frost(last_frost: date | None, name: str) -> date | None:
    """
    The table's day to plant out a crop, named in any of its languages, for a last frost, or None.

    >>> str(after_frost(date(2027, 5, 15), "Tomatoes")), after_frost(date(2027, 5, 15), "Tulip")
    ('2027-05-22', None)
    """
    crop = known_crop(name)
    weeks = about(facts("crops"), crop, "weeks_from_last_frost") if crop else ()
    return after_weeks(last_frost, weeks[0].figure) if last_frost and weeks else None


def _dated(scenario, row, sowing, medium):
    crop = known_crop(sowing.crop)
    temperature = sowing.germinate_at_c
    if temperature is None and crop:
        usual = default(facts("crops"), crop, "germination_temperature")
        temperature = usual and usual.usual
    found = None
    if crop and temperature is not None:
        found = days_to_emergence(records("emergence_days", EmergenceRow), crop, temperature)
    day = sowing.plant_out or after_frost(scenario.last_frost, sowing.crop)
    made = None
    if day is not None and medium:
        days = found and found.days
        made = calendar(scenario, sowing, scenario.medium(medium), day, emergence_days=days)
    return Dated(row, sowing.crop, medium, temperature, found, made)
