"""Trials as a long table, one row for each observation, written to CSV and read back."""

from collections.abc import Callable, Iterable
from operator import itemgetter
from typing import Any

from pennyflat.scenario.checking import Document
from pennyflat.scenario.export import FORMULA_SIGNS
from pennyflat.scenario.trial import Trial
from pennyflat.sentences import say

HEADS = ("pot", "crop", "medium", "observed", "when", "value")

SOWN, SOWN_ON = "sown [seeds]", "sown on"
EMERGED, ABNORMAL = "emerged by day [seedlings]", "abnormal [seedlings]"
WATER = "water by minute [mL]"
HEIGHT, LEAVES, LOOKED = "height in week [mm]", "oldest leaves in week", "looked at in week"
FED, PHOTO, LABEL, NOTES = "fed in week", "photo", "label", "notes"


def long_rows(trials: Iterable[Trial]) -> list[tuple[Any, ...]]:
    """Trials as rows for a CSV file: a heading, then one row for each observation."""
    rows: list[tuple[Any, ...]] = [HEADS]
    for pot, trial in enumerate(trials, start=1):
        blank = (look for look in trial.looks if look.height_mm is None and look.leaves is None)
        observed = [
            (SOWN, "", trial.sown),
            (SOWN_ON, "", trial.sown_on and trial.sown_on.isoformat()),
            *((EMERGED, count.day, count.emerged) for count in trial.counts),
            (ABNORMAL, "", trial.abnormal),
            *((WATER, uptake.minute, uptake.ml) for uptake in trial.water),
            *((HEIGHT, look.week, look.height_mm) for look in trial.looks),
            *((LEAVES, look.week, look.leaves) for look in trial.looks),
            *((LOOKED, look.week, "") for look in blank),
            *((FED, week, "") for week in trial.fed_in_weeks),
            *((PHOTO, "", name) for name in trial.photos),
            (LABEL, "", trial.label or None),
            (NOTES, "", trial.notes or None),
        ]
        rows += [(pot, trial.crop, trial.medium, *row) for row in observed if row[-1] is not None]
    return rows


def add_observed(
    pot: Document, observed: str, when: str, value: str, number: Callable[[str, str], float]
) -> None:
    """
    Add one row of a long table to its pot, so far a trial as in a scenario document.

    `number` takes a cell and the name of its column and returns a number. ValueError with the
    reason if the row does not fit.
    """
    observed, text = observed.strip(), unquoted(value)
    if observed in (SOWN, ABNORMAL):
        pot["sown" if observed == SOWN else "abnormal"] = number(value, "value")
    elif observed in (SOWN_ON, LABEL, NOTES):
        key = {SOWN_ON: "sown_on", LABEL: "label", NOTES: "notes"}[observed]
        pot[key] = text.strip() if observed == SOWN_ON else text
    elif observed in (EMERGED, WATER):
        table, at, key = {
            EMERGED: ("counts", "day", "emerged"),
            WATER: ("water", "minute", "ml"),
        }[observed]
        row = {at: number(when, "when"), key: number(value, "value")}
        pot[table] = sorted([*pot.get(table, ()), row], key=itemgetter(at))
    elif observed in (HEIGHT, LEAVES, LOOKED):
        week = number(when, "when")
        looks = {look["week"]: look for look in pot.get("looks", ())}
        seen = {"week": week, **looks.get(week, {})}
        if observed == HEIGHT:
            seen["height_mm"] = number(value, "value")
        elif observed == LEAVES:
            seen["leaves"] = text.strip()
        pot["looks"] = sorted((looks | {week: seen}).values(), key=itemgetter("week"))
    elif observed == FED:
        pot["fed_in_weeks"] = [*pot.get("fed_in_weeks", ()), number(when, "when")]
    elif observed == PHOTO:
        pot["photos"] = [*pot.get("photos", ()), text]
    else:
        raise ValueError(say('"{cell}" under observed is not known', cell=observed[:40]))


def unquoted(cell: str) -> str:
    """
    A text without the mark that `csv_text` puts before what a spreadsheet would read as a formula.

    >>> unquoted("'=1+1"), unquoted("'tis")
    ('=1+1', "'tis")
    """
    is_marked = cell.startswith("'") and cell[1:].lstrip(" \u00a0")[:1] in FORMULA_SIGNS
    return cell[1:] if is_marked and cell[1:].strip(" \u00a0") else cell
