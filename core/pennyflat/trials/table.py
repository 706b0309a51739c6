"""Trials as tables: written, one row for each observation, and pasted from a spreadsheet.

A pasted table has one row for each pot, each count, or each observation. The heading is guessed
from its words. Counts are either in a column for each day, headed by its number ("5", "day 5"), or
in two columns, one for the day and one for the seedlings so far, where rows of the same pot belong
together. The long table that `long_rows` writes is read back in full. A row that cannot be used is
named and left out.
"""

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Any

from pennyflat.scenario.checking import BAD, Faults, record
from pennyflat.scenario.export import FORMULA_SIGNS
from pennyflat.scenario.trial import Trial
from pennyflat.sentences import Listed, phrase, say, unclear

HEADS = {
    "medium": ("mix", "medium", "media", "substrate", "soil", "compost"),
    "crop": ("crop", "plant", "species", "seed kind", "vegetable"),
    "sown": ("sown", "seeds", "seeds sown", "sowed", "number sown"),
    "label": ("pot", "label", "rep", "replicate", "tray", "cell"),
    "abnormal": ("abnormal", "abnormals", "bad"),
    "notes": ("notes", "note", "remarks", "remark", "comment"),
    "day": ("day", "days", "day from sowing", "days from sowing"),
    "emerged": ("emerged", "up", "count", "came up", "germinated", "seedlings", "total emerged"),
}
"""Words that head a column, by what it holds. Ours."""

NUMBERS = {
    "sown": phrase("sown"),
    "abnormal": phrase("abnormal"),
    "day": phrase("day"),
    "emerged": phrase("emerged"),
    "when": phrase("when"),
    "value": phrase("value"),
}
"""Columns that hold numbers, by their contents, with their names in sentences."""

MOST_TEXT = 200_000
"""Longest text read. [characters] Ours."""

LONG_HEADS = ("pot", "crop", "medium", "observed", "when", "value")
SOWN, SOWN_ON = "sown [seeds]", "sown on"
EMERGED, ABNORMAL = "emerged by day [seedlings]", "abnormal [seedlings]"
WATER = "water by minute [mL]"
HEIGHT, LEAVES, LOOKED = "height in week [mm]", "oldest leaves in week", "looked at in week"
FED, PHOTO, LABEL, NOTES = "fed in week", "photo", "label", "notes"

_ONCE = {SOWN: "sown", SOWN_ON: "sown_on", ABNORMAL: "abnormal", LABEL: "label", NOTES: "notes"}
_SERIES = {
    EMERGED: ("counts", "day", "emerged"),
    WATER: ("water", "minute", "ml"),
    HEIGHT: ("looks", "week", "height_mm"),
    LEAVES: ("looks", "week", "leaves"),
    LOOKED: ("looks", "week", None),
}
"""Where a trial of a scenario document has what is observed: its table, the time, the value."""


@dataclass(frozen=True, slots=True)
class Pasted:
    """The contents of a pasted table."""

    trials: tuple[dict, ...]
    """Valid trials, as in a scenario document."""
    problems: tuple[str, ...]
    """A sentence for each row that was left out, naming it."""


def long_rows(trials: Iterable[Trial]) -> list[tuple[Any, ...]]:
    """Trials as rows for a CSV file: a heading, then one row for each observation."""
    rows: list[tuple[Any, ...]] = [LONG_HEADS]
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


def read_table(text: str, *, crop: str | None = None) -> Pasted:
    """
    The trials in a pasted table, with cells set apart by tabs, semicolons or commas.

    The crop is that of rows that name none.

    >>> found = read_table("Mix,Crop,Sown,day 5,day 9\\nFine mix,leek,5,2,4\\n,leek,5,1,2")
    >>> found.trials[0]["counts"]
    [{'day': 5, 'emerged': 2}, {'day': 9, 'emerged': 4}]
    >>> found.problems
    ('Row 3 is left out: the mix is missing.',)
    """
    if len(text) > MOST_TEXT:
        problem = say("It is longer than {most:,} characters; paste it in parts.", most=MOST_TEXT)
        return Pasted((), (problem,))
    rows = _rows(text)
    if not rows:
        return Pasted((), (phrase("There is nothing in it."),))
    heads = [_plain(cell) for cell in rows[0][1]]
    if set(LONG_HEADS) <= set(heads):
        return _pasted(rows[1:], heads, crop, _add_seen)
    columns = _columns(rows[0][1])
    if "medium" in columns and "sown" in columns:
        return _pasted(rows[1:], columns, crop, _add)
    problem = phrase(
        "The first row does not head the columns; write mix, crop, seeds sown, and day 5, day 9"
        " … or day and emerged above them."
    )
    return Pasted((), (problem,))


def _rows(text):
    """(number, cells) of each row that is not blank."""
    text = text.lstrip("\ufeff")
    first = text.lstrip("\ufeff\r\n").partition("\n")[0]
    mark = next((mark for mark in "\t;" if mark in first), ",")
    table = csv.reader(io.StringIO(text.replace("\0", "")), delimiter=mark)
    try:
        return [(at, cells) for at, cells in enumerate(table, 1) if any(map(str.strip, cells))]
    except csv.Error:
        return []


def _plain(head):
    """A heading without units, marks and capitals."""
    return re.sub(r"[\W_]+", " ", re.sub(r"[\[(].*?[\])]", "", head)).strip().lower()


def _columns(heads):
    """What each column holds: a key of `HEADS`, a day, or None."""
    found = []
    for head in heads:
        day = re.fullmatch(r"(?:day|d)?\s*(\d+(?:[.,]\d+)?)", head.strip().lower())
        key = next((key for key, words in HEADS.items() if _plain(head) in words), None)
        found.append(_number(day[1], "day") if day else key if key not in found else None)
    return found


def _pasted(rows, columns, crop, add):
    """The valid pots in these rows, in the order of the first row of each, and the problems."""
    pots, trials, problems = {}, [], []
    for number, cells in rows:
        try:
            add(pots, number, dict(zip(columns, cells, strict=False)), crop)
        except ValueError as error:
            problems.append(
                say("Row {row} is left out: {reason}.", row=number, reason=error.args[0])
            )
    for number, pot in sorted(pots.values(), key=itemgetter(0)):
        faults = Faults()
        trial = record(Trial)(pot, "", faults)
        if trial is not BAD:
            faults.extend(trial.faults_at(""))
        wrong = tuple(str(replace(one, path=one.path.removeprefix("."))) for one in faults)
        if wrong:
            wrong = Listed(wrong, ";")
            problems.append(
                say("The pot of row {row} is left out: {faults}.", row=number, faults=wrong)
            )
        else:
            trials.append(pot)
    return Pasted(tuple(trials), tuple(problems))


def _add(pots, number, row, crop):
    """Add a row to its pot; ValueError tells what is wrong with it."""
    given = {
        key: cell if isinstance(key, str) and key not in NUMBERS else _number(cell, key)
        for key, cell in ((key, cell.strip()) for key, cell in row.items())
        if cell and key is not None
    }
    medium, kind = _named(given.get("medium"), given.get("crop") or crop)
    counts = [(day, given[day]) for day in given if not isinstance(day, str)]
    long = [given[key] for key in ("day", "emerged") if key in given]
    if len(long) == 1:
        raise unclear("day and seedlings belong together and one is missing")
    name = (medium, kind, given.get("label", ""))
    if long:
        counts.append(tuple(long))
    else:
        name = (*name, number)
    if name not in pots and "sown" not in given:
        raise unclear("the number of seeds sown is missing")
    pot = {"medium": medium, "crop": kind, "sown": given.get("sown"), "counts": []}
    _, pot = pots.setdefault(name, (number, pot))
    pot |= {key: given[key] for key in ("abnormal", "label", "notes") if key in given}
    pot["counts"] += [{"day": day, "emerged": up} for day, up in counts]
    pot["counts"].sort(key=itemgetter("day"))


def _add_seen(pots, number, row, crop):
    """Add a row of a long table to its pot; another sowing starts a new pot of the same name."""
    row = {key: row.get(key, "") for key in LONG_HEADS}
    medium, kind, label = (_unquoted(row[key].strip()) for key in ("medium", "crop", "pot"))
    name = (*_named(medium, kind or crop), label)
    observed, value, when = row["observed"].strip(), _unquoted(row["value"]), None
    if observed == SOWN and name in pots and "sown" in pots[name][1]:
        pots[*name, number] = pots.pop(name)
    _, pot = pots.setdefault(name, (number, {"medium": name[0], "crop": name[1]}))
    if observed in _SERIES or observed == FED:
        when = _number(row["when"], "when")
    if observed in (SOWN, ABNORMAL, EMERGED, WATER, HEIGHT):
        value = _number(row["value"], "value")
    elif observed in (SOWN_ON, LEAVES):
        value = value.strip()
    if observed in _ONCE:
        pot[_ONCE[observed]] = value
    elif observed in _SERIES:
        table, at, key = _SERIES[observed]
        found = pot.setdefault(table, [])
        same = [seen for seen in found if table == "looks" and seen[at] == when]
        found += [] if same else [{at: when}]
        (same or found)[-1] |= {key: value} if key else {}
        found.sort(key=itemgetter(at))
    elif observed == FED:
        pot["fed_in_weeks"] = [*pot.get("fed_in_weeks", ()), when]
    elif observed == PHOTO:
        pot["photos"] = [*pot.get("photos", ()), value]
    else:
        raise unclear('"{cell}" under observed is not known', cell=observed[:40])


def _named(medium, crop):
    if not medium:
        raise unclear("the mix is missing")
    if not crop:
        raise unclear("the crop is missing")
    return medium, crop


def _number(cell, key):
    plain = cell.replace("\u00a0", "").replace(" ", "").replace(",", ".")
    if not re.fullmatch(r"\d{1,15}(?:\.\d{1,20})?(?:e[+-]?\d\d?)?", plain):
        head = NUMBERS[key] if isinstance(key, str) else say("day {day:g}", day=key)
        raise unclear('"{cell}" under {head} is not a number', cell=cell[:40], head=head)
    value = float(plain)
    return int(value) if value.is_integer() else value


def _unquoted(cell: str) -> str:
    """
    A text without the mark that `csv_text` puts before what a spreadsheet would read as a formula.

    >>> _unquoted("'=1+1"), _unquoted("'tis")
    ('=1+1', "'tis")
    """
    is_marked = cell.startswith("'") and cell[1:].lstrip(" \u00a0")[:1] in FORMULA_SIGNS
    return cell[1:] if is_marked and cell[1:].strip(" \u00a0") else cell
