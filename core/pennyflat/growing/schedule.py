"""When to do what: from the day of transplanting back to sowing, and every feeding in between.

Weeks are the model's; only `whole_days` turns them into days, so equal lengths of time always give
the same day. The day of transplanting or of the last frost is entered, never looked up.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import copysign, floor, fsum

from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.cost import requirement
from pennyflat.growing.feeding import dose, solution_litres
from pennyflat.growing.sowing import occupied_share
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.sentences import Amount, phrase, say
from pennyflat.trade.crops import Emergence, EmergenceRow, days_to_emergence
from pennyflat.trade.facts import default, facts, records
from pennyflat.trade.names import known_crop

HARDEN_DAYS = 7
"""Days of hardening off before planting out. [d] One to two weeks. [University of Maryland
Extension, Hardening Vegetable Seedlings for the Home Garden, 2023]"""

THIN_AFTER_DAYS = 7
"""Days from emergence to thinning, about the first true leaf. [d] Common practice, no source."""

STEPS = ("sow", "emerge", "mat off", "thin", "pot on", "feed", "harden off", "plant out", "stall")
"""Things to do, and things that may happen."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do on one day."""

    on: date
    what: str
    """One of `STEPS`."""
    words: str
    """Its description for people."""


@dataclass(frozen=True, slots=True)
class Feeding:
    """One feeding of a whole sowing."""

    on: date
    solution_l: float
    """[L]"""
    concentrate: float
    """In the feed's measure. [g, or mL for a liquid]"""


@dataclass(frozen=True, slots=True)
class Calendar:
    """What to do for one sowing in one medium."""

    crop: str
    steps: tuple[Step, ...]
    """In date order; only the first feeding is included."""
    feedings: tuple[Feeding, ...]
    why_not: str | None
    """A sentence if it is not ready."""


@dataclass(frozen=True, slots=True)
class Day:
    """What to do on one day, for all sowings."""

    on: date
    steps: tuple[tuple[str, Step], ...]
    """Crop and step, in the order of the sowings."""
    fed: tuple[str, ...]
    """Crops that are fed."""
    solution_l: float
    """For all of them. [L]"""
    concentrate: float
    """In the feed's measure. [g, or mL for a liquid]"""


def by_day(calendars: Iterable[Calendar]) -> tuple[Day, ...]:
    """
    Several sowings' calendars, all with the same feed, by date.

    A sowing's first feeding is listed only with the feedings.

    >>> fed = Feeding(date(2027, 4, 29), 1.5, 2.0)
    >>> sow = Step(date(2027, 4, 8), "sow", "sow 60 cells")
    >>> tomato = Calendar("tomato", (sow,), (fed,), None)
    >>> pepper = Calendar("pepper", (), (fed,), None)
    >>> for day in by_day([tomato, pepper]):
    ...     print(day.on, [step.words for _, step in day.steps], day.fed, day.solution_l)
    2027-04-08 ['sow 60 cells'] () 0.0
    2027-04-29 [] ('tomato', 'pepper') 3.0
    """
    days: defaultdict[date, tuple[list, list]] = defaultdict(lambda: ([], []))
    for found in calendars:
        for step in found.steps:
            if step.what != "feed":
                days[step.on][0].append((found.crop, step))
        for feeding in found.feedings:
            days[feeding.on][1].append((found.crop, feeding))
    return tuple(
        Day(
            on,
            tuple(steps),
            tuple(dict.fromkeys(crop for crop, _ in feedings)),
            fsum(feeding.solution_l for _, feeding in feedings),
            fsum(feeding.concentrate for _, feeding in feedings),
        )
        for on, (steps, feedings) in sorted(days.items())
    )


@dataclass(frozen=True, slots=True)
class Dated:
    """The calendar of one sowing, as far as the entries allow."""

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

    Where the entries leave it open, the tables give the warmth and the weeks from the last frost.

    >>> from pennyflat import DEMO, read
    >>> found = calendars(read(DEMO | {"last_frost": "2027-05-15"}), ("Home blend", None, None))
    >>> found[0].crop, str(found[0].plan.steps[0].on), found[1].plan
    ('tomato', '2027-04-10', None)
    """
    return tuple(
        _dated(scenario, sowing, medium)
        for sowing, medium in zip(scenario.sowings, planned, strict=True)
    )


def after_frost(last_frost: date | None, name: str) -> date | None:
    """
    The table's day to plant out a crop, named in any of its languages, for a last frost, or None.

    >>> str(after_frost(date(2027, 5, 15), "Tomatoes")), after_frost(date(2027, 5, 15), "Tulip")
    ('2027-05-22', None)
    """
    weeks = default(facts("crops"), known_crop(name) or "", "weeks_from_last_frost")
    return after_weeks(last_frost, weeks.figure) if last_frost and weeks else None


def _dated(scenario, sowing, medium):
    crop, temperature, found, plan = known_crop(sowing.crop), sowing.germinate_at_c, None, None
    if temperature is None and crop:
        usual = default(facts("crops"), crop, "germination_temperature")
        temperature = usual and usual.usual
    if crop and temperature is not None:
        rows = records("emergence_days", EmergenceRow)
        found = days_to_emergence(rows, crop, temperature, called=sowing.crop)
    day = sowing.plant_out or after_frost(scenario.last_frost, sowing.crop)
    if day is not None and medium:
        days = found and found.days
        plan = calendar(scenario, sowing, scenario.medium(medium), day, emergence_days=days)
    return Dated(sowing.crop, medium, temperature, found, plan)


def whole_days(days: float) -> int:
    """
    Days, negative before a date, rounded to whole ones; half a day counts in full. [d]

    >>> [whole_days(weeks * 7) for weeks in (2.5, 3.5, -2.5)]
    [18, 25, -18]
    """
    # Rounded first, so that 17.4999999999 from floating point, such as 0.1 x 175, is half a day.
    return int(copysign(floor(round(abs(days), 6) + 0.5), days))


def after_weeks(start: date, weeks: float) -> date:
    """
    The day so many weeks after another, or before it if they are negative.

    >>> print(after_weeks(date(2027, 5, 15), -2.5))
    2027-04-27
    """
    return start + timedelta(days=whole_days(weeks * 7))


def calendar(
    scenario: Scenario,
    sowing: Sowing,
    medium: Medium,
    plant_out: date,
    *,
    emergence_days: float | None = None,
) -> Calendar:
    """
    Days on which one sowing in one of the scenario's media needs something.

    Sowing is the sowing's weeks, times the medium's pace, before transplanting. The first feed is
    due when the last charge has run out, but not before seedlings are up: then as many feedings
    are spread over the rest of the weeks. Without a remedy, the sowing stalls when the charge has
    run out and the steps end there. Pre-sprouted seed counts its weeks from the damp towel.

    Nothing comes after planting out. A heat mat that is still on is removed that day, since the
    seedlings leave it. Emergence and thinning are left out without `emergence_days`, and if they
    would come later: planted-out seedlings are already up, so the given days cannot all be right,
    and no date is better than a wrong one. Steps on the same day follow the order of `STEPS`.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> plan = calendar(demo, demo.sowings[0], demo.medium("Seed starter mix"),
    ...                 date(2027, 5, 20), emergence_days=6)
    >>> for step in plan.steps:
    ...     print(step.on, step.what)
    2027-04-08 sow
    2027-04-14 emerge
    2027-04-15 mat off
    2027-04-29 feed
    2027-05-13 harden off
    2027-05-20 plant out
    >>> [f"{feeding.on:%d %b}" for feeding in plan.feedings]
    ['29 Apr', '03 May', '06 May', '10 May', '13 May', '17 May']
    """
    needed = requirement(scenario, sowing, medium)
    if not needed.cells:
        return Calendar(sowing.crop, (), (), needed.why_not)
    after = aftercare(scenario, sowing, medium)
    sow = after_weeks(plant_out, -after.weeks)
    plants = needed.cells * occupied_share(sowing, medium)
    up = whole_days(emergence_days or 0) / 7
    feedings = tuple(_feedings(scenario.feed, after.feedings, needed.cells, plants, sow, up))
    steps = list(_steps(scenario, sowing, needed, after, sow, plant_out, emergence_days))
    if feedings:
        words = say("first of {count} feedings", count=len(feedings))
        steps.append(Step(feedings[0].on, "feed", words))
    if needed.stalls_in_week is not None:
        words = phrase("it stalls: its fertiliser has run out")
        stall = Step(after_weeks(sow, needed.stalls_in_week), "stall", words)
        steps = [step for step in steps if step.on < stall.on or step.what == "sow"] + [stall]
    steps.sort(key=lambda step: (step.on, STEPS.index(step.what)))
    return Calendar(sowing.crop, tuple(steps), feedings, needed.why_not)


def _feedings(feed, spells, cells, plants, sow, up):
    """The feedings of each spell; one in which seedlings come `up` [weeks] has them after that."""
    for fed in spells:
        start, apart = fed.start, 1 / feed.per_week
        if fed.start < up < fed.end:
            start, apart = up, min(apart, (fed.end - up) / fed.times)
        solution = solution_litres(cells if fed.in_cells else plants, 1, feed.ml_per_cell)
        for count in range(fed.times):
            on = after_weeks(sow, start + count * apart)
            yield Feeding(on, solution, solution * dose(feed))


def _steps(scenario, sowing, needed, after, sow, plant_out, emergence_days):
    """What is to be done besides feeding, and what may happen, up to planting out."""
    gaps = {"seeds": needed.seeds, "cells": needed.cells}
    if sowing.presprout:
        words = say("lay {seeds} seeds on a damp towel; set {cells} in cells as roots show", **gaps)
    else:
        words = say("sow {seeds} seeds in {cells} cells", **gaps)
    yield Step(sow, "sow", words)
    energy = scenario.energy
    if energy and energy.mat_watts * energy.mat_days:
        off = min(sow + timedelta(days=whole_days(energy.mat_days)), plant_out)
        yield Step(off, "mat off", phrase("take off the heat mat"))
    if emergence_days is not None:
        up = sow + timedelta(days=whole_days(emergence_days))
        if up <= plant_out:
            yield Step(up, "emerge", phrase("expect seedlings; give light"))
        thin = up + timedelta(days=THIN_AFTER_DAYS)
        if thin <= plant_out and sowing.seeds_per_cell > 1 and not sowing.presprout:
            yield Step(thin, "thin", phrase("thin to the strongest in each cell"))
    if after.move:
        gaps = {"medium": after.move.medium, "pot_ml": Amount(after.move.cell_ml, "cell")}
        words = say("pot on into {medium}, {pot_ml:g} each", **gaps)
        yield Step(after_weeks(sow, after.at_week), "pot on", words)
    harden = max(sow, plant_out - timedelta(days=HARDEN_DAYS))
    yield Step(harden, "harden off", phrase("start hardening off"))
    words = say("plant out {wanted} {crop}", wanted=sowing.wanted, crop=sowing.crop)
    yield Step(plant_out, "plant out", words)
