"""Types of the report on trials; core/FORMATS.md explains the keys, also those of small rows."""

from typing import Any, TypedDict


class Known(TypedDict):
    """What a scenario can take from a mix's trials."""

    emergence: dict[str, int] | None
    feeds_for_weeks: float | None
    is_at_least: bool
    pace: float | None
    pace_is_at_least: bool
    unfit: bool
    measured: list[str]


class TriedMix(TypedDict):
    """All pots of one crop in one mix."""

    medium: str
    pots: int
    normal: int | None
    sown: int | None
    share: float | None
    wilson_95: list[float] | None
    jeffreys_95: list[float] | None
    best_chance: float | None
    curve: list[list[float]]
    half_days: dict[str, float] | None
    half_between: list[float] | None
    mean_days: float | None
    mean_error: float | None
    water_ml_per_minute: list[float] | None
    charge: dict[str, Any] | None
    growth: dict[str, Any] | None
    lesson: Known | None
    wet_half_minutes: float | None
    hard_to_wet: str | None


class MeasurementRow(TypedDict):
    """A further measurement and its worth. [currency]"""

    medium: str
    measure: str
    worth: float | None


class Stakes(TypedDict):
    """What the trials mean in money for one sowing."""

    wanted: int
    mixes: list[dict[str, Any]]
    test_seeds: int
    test_first: str | None
    tests: list[MeasurementRow]
    first: MeasurementRow | None
    everything_worth: float | None
    untested: list[str]


class Answer(TypedDict):
    """The answer of one crop's trial."""

    leader: str | None
    by: str | None
    chance: float | None
    next: MeasurementRow | None
    more_seeds: int | None
    sentence: str


class TriedCrop(TypedDict):
    """Everything tried with one crop."""

    crop: str
    answer: Answer | None
    mixes: list[TriedMix]
    says: str | None
    pairs: list[dict[str, Any]]
    replicates: list[dict[str, Any]]
    money: list[Stakes]


class TrialReport(TypedDict):
    """The report of `trial_report`."""

    format: str
    currency: str
    pots: list[dict[str, Any]]
    crops: list[TriedCrop]
