"""A side-by-side trial as written down at the bench, and what one pot of it shows.

One `Trial` is one pot, tray or towel: a mix, a crop, the seeds sown. Pots of the same mix and crop
are replicates. Everything but the seeds may be missing, and so may any day, week or reading.
Days and weeks count from sowing.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import linear_regression

from pennyflat.scenario.checking import Fault, key, optional, record, several
from pennyflat.scenario.kinds import day, number, one_of, text, whole
from pennyflat.sentences import say

LEAVES = ("green", "yellowing")
"""Colour of the oldest leaves, where a lack of nitrogen shows first."""

STALL = 0.25
"""A plant has stalled when it gains less than this share of its best earlier weekly gain. Ours. [1]
"""

SCATTER, SCATTER_MM = 0.05, 2.0
"""How much two measurements of a typical plant's height may differ: this share of the height, and
at least this many mm. Common practice, no source. [1, mm]"""

FIRST_PART = 0.5
"""Water uptake is measured until this share of the last reading has gone in. Ours. [1]"""


@dataclass(frozen=True, slots=True)
class Count:
    """Seedlings seen on one day."""

    day: float = key(number(above=0, at_most=3650))
    """[days from sowing]"""
    emerged: int = key(whole(at_least=0))
    """All that have come up so far, including those lost or pulled since. [count]"""


@dataclass(frozen=True, slots=True)
class Uptake:
    """A reading while a dry or drained pot stands in water."""

    minute: float = key(number(at_least=0))
    """[minutes from setting in]"""
    ml: float = key(number(at_least=0))
    """Water taken up so far. [mL]"""


@dataclass(frozen=True, slots=True)
class Look:
    """What the plants look like in one week."""

    week: float = key(number(at_least=0, at_most=520))
    """[weeks from sowing]"""
    height_mm: float | None = key(optional(number(at_least=0)), None)
    """Of a typical plant. [mm]"""
    leaves: str | None = key(optional(one_of(*LEAVES)), None)
    """Oldest leaves."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One pot of a trial."""

    medium: str = key(text())
    crop: str = key(text())
    sown: int = key(whole(at_least=1))
    """Seeds. [count]"""
    counts: tuple[Count, ...] = key(several(record(Count)), ())
    abnormal: int = key(whole(at_least=0), 0)
    """Of those emerged, seedlings that will not make a plant. [count]"""
    water: tuple[Uptake, ...] = key(several(record(Uptake)), ())
    looks: tuple[Look, ...] = key(several(record(Look)), ())
    fed_in_weeks: tuple[float, ...] = key(several(number(at_least=0, at_most=520)), ())
    """When feed was given. [weeks from sowing]"""
    label: str = key(text(empty=True), "")
    """Tells replicates apart."""
    notes: str = key(text(empty=True), "")
    photos: tuple[str, ...] = key(several(text()), ())
    """File names."""
    sown_on: date | None = key(optional(day), None)
    """Day of sowing, so that calendar days can be counted from it; otherwise a note."""

    @property
    def normal(self) -> int | None:
        """Of those emerged, seedlings that make a plant; None before any count. [count]"""
        return self.counts[-1].emerged - self.abnormal if self.counts else None

    def faults_at(self, path: str) -> Iterator[Fault]:
        """Faults between its rows, where `path` is its place in the document."""
        for name, unit in (("counts", "day"), ("water", "minute"), ("looks", "week")):
            times = [getattr(row, unit) for row in getattr(self, name)]
            for place, (before, now) in enumerate(pairwise(times), start=1):
                if now <= before:
                    message = _out_of_order(unit, now=now, before=before)
                    yield Fault(f"{path}.{name}[{place}].{unit}", now, message)
        before = 0
        for place, emerged in enumerate(count.emerged for count in self.counts):
            gaps = {"emerged": emerged, "sown": self.sown, "before": before}
            where = f"{path}.counts[{place}].emerged"
            if emerged > self.sown:
                message = say("{emerged:g} is more than the {sown} sown", **gaps)
                yield Fault(where, emerged, message)
            if emerged < before:
                message = say(
                    "{emerged:g} is fewer than the {before} before; count those since lost too",
                    **gaps,
                )
                yield Fault(where, emerged, message)
            before = emerged
        if self.abnormal > before:
            gaps = {"abnormal": self.abnormal, "emerged": before}
            message = say("{abnormal:g} is more than the {emerged} that emerged", **gaps)
            yield Fault(f"{path}.abnormal", self.abnormal, message)


@dataclass(frozen=True, slots=True)
class ChargeSeen:
    """When a mix ran out, as far as observations tell."""

    after: float
    """Last observation with plants still doing well unfed. [weeks]"""
    by: float | None
    """First observation with hungry plants; None if there is none. [weeks]"""
    sign: str | None
    """"yellowing" or "stall"."""

    @property
    def weeks(self) -> float:
        """A single figure: the middle of the two observations, or the last one. [weeks]"""
        return self.after if self.by is None else (self.after + self.by) / 2


@dataclass(frozen=True, slots=True)
class Lesson:
    """What trials of one mix and crop contribute to a scenario."""

    up: int
    """Normal seedlings. [count]"""
    sown: int
    """Seeds in the counted pots; 0 if none was counted. [count]"""
    charge: ChargeSeen | None
    """The pot that ran out first; None without observations."""


def _out_of_order(unit, **gaps):
    return say(
        {
            "day": "{now:g} does not come after {before:g}; write the rows in order, each day once",
            "minute": "{now:g} does not come after {before:g}; write the rows in order, each minute"
            " once",
            "week": "{now:g} does not come after {before:g}; write the rows in order, each week"
            " once",
        }[unit],
        **gaps,
    )


def curve(trial: Trial) -> tuple[tuple[float, int], ...]:
    """Day and total emerged, as `germination` takes them. [days, count]"""
    return tuple((count.day, count.emerged) for count in trial.counts)


def pots_of(trials: Iterable[Trial], crop: str, medium: str) -> tuple[tuple[int, int], ...]:
    """Normal seedlings and seeds sown in each counted pot of one crop and mix. [count, count]"""
    return tuple(
        (normal, trial.sown)
        for trial in trials
        if (trial.crop, trial.medium) == (crop, medium) and (normal := trial.normal) is not None
    )


def normal_seedlings(trials: Iterable[Trial]) -> dict[tuple[str, str], tuple[int, int]]:
    """Sums of `pots_of` each crop and mix that has counted pots. [count, count]"""
    totals: dict[tuple[str, str], tuple[int, int]] = {}
    for trial in trials:
        pair = trial.crop, trial.medium
        for normal, sown in pots_of([trial], *pair):
            up, of = totals.get(pair, (0, 0))
            totals[pair] = up + normal, of + sown
    return totals


def charge_seen(trial: Trial) -> ChargeSeen | None:
    """
    The weeks between which a mix ran out: first yellowing of the oldest leaves, or a growth stall.

    Growth stalls when a plant gains less than `STALL` of its best weekly gain so far, and continues
    so to the last observation. A gain within measuring error is no stall: at its best rate the
    plant would have grown by more than `SCATTER` since the observation before. After the first
    feeding, observations say nothing about the mix's own charge; None without any before it.

    >>> looks = Look(2, 30, "green"), Look(3, 55, "green"), Look(5, 60, "green")
    >>> charge_seen(Trial("Fine mix", "leek", 5, looks=looks))
    ChargeSeen(after=3, by=5, sign='stall')
    """
    until = min(trial.fed_in_weeks, default=float("inf"))
    unfed = [look for look in trial.looks if look.week <= until]
    if not unfed:
        return None
    stall = _stall([look for look in unfed if look.height_mm is not None])
    after = 0.0
    for look in unfed:
        if look.leaves == "yellowing" or look is stall:
            sign = "yellowing" if look.leaves == "yellowing" else "stall"
            return ChargeSeen(after, look.week, sign)
        after = look.week
    return ChargeSeen(after, None, None)


def _stall(looks):
    """The first observation with a height by which growth had stalled, or None."""
    best = 0.0
    for place, (before, look) in enumerate(pairwise(looks), start=1):
        at_best = best * (look.week - before.week)
        if at_best > max(SCATTER_MM, SCATTER * before.height_mm) and all(
            _gain(before, later) < STALL * best for later in looks[place:]
        ):
            return look
        best = max(best, _gain(before, look))
    return None


def _gain(before, look):
    """[mm a week]"""
    return (look.height_mm - before.height_mm) / (look.week - before.week)


def water_uptake(readings: Sequence[Uptake]) -> float | None:
    """
    How fast a mix takes up water at first: slope of the least-squares line. [mL/min]

    The line goes through the readings up to the first that reaches `FIRST_PART` of the last one,
    with 0 mL at minute 0 added in front if missing; None without a reading after minute 0.

    >>> water_uptake((Uptake(2, 20), Uptake(4, 38), Uptake(10, 60), Uptake(30, 75)))
    9.5
    """
    points = [(reading.minute, reading.ml) for reading in readings]
    if not points or points[0][0] > 0:
        points.insert(0, (0.0, 0.0))
    if len(points) < 2:
        return None
    enough = FIRST_PART * points[-1][1]
    last = next(place for place, (_, ml) in enumerate(points) if ml >= enough)
    minutes, amounts = zip(*points[: max(last, 1) + 1], strict=True)
    return linear_regression(minutes, amounts).slope


def lesson(trials: Iterable[Trial], crop: str, medium: str) -> Lesson | None:
    """What the trials of one crop in one mix contribute; None if no pot was counted or observed."""
    pots = [trial for trial in trials if (trial.crop, trial.medium) == (crop, medium)]
    charges = (seen for seen in map(charge_seen, pots) if seen is not None)
    # The first pot that ran out, or else the one that was seen doing well for longest.
    charge = min(charges, key=lambda seen: (seen.by is None, seen.by or -seen.after), default=None)
    up, sown = normal_seedlings(pots).get((crop, medium), (0, 0))
    return Lesson(up, sown, charge) if sown or charge else None
