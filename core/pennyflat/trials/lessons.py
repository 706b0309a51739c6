"""What a trial teaches the plan: when a crop comes to size in a mix, and what is taken over."""

from typing import Any

from pennyflat.scenario.checking import Document
from pennyflat.scenario.records import Medium, Sowing
from pennyflat.scenario.trial import Lesson
from pennyflat.sentences import Said, phrase, say, say_count
from pennyflat.trials.findings import Known
from pennyflat.trials.growth import Growth


def days_of(growth: Growth, sowing: Sowing, medium: Medium) -> dict[str, float | None] | None:
    """
    How many days later than planned a crop comes to size in a mix, with the 80 % range.

    Negative is earlier; `high` is None if it did not come to size. The result is None if its pace
    is not known, or it is unfit and may never come to size.

    >>> leek = Sowing("leek", 50, 25, weeks=10, germination=0.8)
    >>> slow = Growth("Lean", 3, 90.0, 8.0, 1.2, 1.1, 1.3)
    >>> days_of(slow, leek, Medium("Lean", feeds_for_weeks=3))
    {'later': 14.0, 'low': 7.0, 'high': 21.0}
    """
    if growth.pace is None or growth.is_unfit:
        return None
    paces = {"later": growth.pace, "low": growth.low, "high": growth.high}
    return {
        name: None if pace is None else 7 * sowing.weeks * (pace - medium.pace)
        for name, pace in paces.items()
    }


def days_said(days: dict[str, Any], mix: str, crop: str) -> Said:
    """
    When a crop comes to size in a mix compared with the plan, as a sentence.

    >>> print(days_said({"later": 6.2, "low": -0.8, "high": 9.1}, "Bulk", "kale"))
    Against your plan, kale in Bulk comes to size 6 days later, likely between 1 day sooner and ...
    """
    gaps: dict[str, object] = {"mix": mix, "crop": crop, "when": _shift(days["later"])}
    if days["high"] is None:
        return say(
            "{crop} in {mix} had not come to size at the last look: against your plan, at the"
            " earliest {when}.",
            **gaps,
        )
    low, high = _shift(days["low"]), _shift(days["high"])
    if low == high:
        return say("Against your plan, {crop} in {mix} comes to size {when}.", **gaps)
    return say(
        "Against your plan, {crop} in {mix} comes to size {when}, likely between {low} and {high}.",
        **gaps,
        low=low,
        high=high,
    )


def _shift(days):
    """A number of days later or earlier, in words."""
    count = round(days)
    if count < 0:
        return say_count(-count, "{days} day sooner", "{days} days sooner", days=-count)
    if count > 0:
        return say_count(count, "{days} day later", "{days} days later", days=count)
    return phrase("on time")


def known_of(learnt: Lesson | None, growth: Growth | None) -> Known | None:
    """
    What one tap takes over into a mix: emergence, weeks of feeding, pace, and being unfit, if any.

    >>> from pennyflat.scenario.trial import ChargeSeen
    >>> known = known_of(Lesson(9, 10, ChargeSeen(2, 4, "yellowing")), None)
    >>> known["emergence"], known["feeds_for_weeks"], known["measured"]
    ({'up': 9, 'sown': 10}, 3.0, ['feeds_for_weeks'])
    """
    charge = learnt.charge if learnt else None
    is_unfit = growth is not None and growth.is_unfit
    pace = None if growth is None or is_unfit else growth.pace  # unfit, it may never get to size
    if learnt is None and pace is None and not is_unfit:
        return None
    weeks_at_least = charge is not None and charge.by is None
    pace_at_least = pace is not None and growth is not None and growth.high is None
    seen = {
        "feeds_for_weeks": charge is not None and not weeks_at_least,
        "pace": pace is not None and not pace_at_least,
    }
    return {
        "emergence": {"up": learnt.up, "sown": learnt.sown} if learnt and learnt.sown else None,
        "feeds_for_weeks": charge.weeks if charge else None,
        "is_at_least": weeks_at_least,
        "pace": pace and round(pace, 2),
        "pace_is_at_least": pace_at_least,
        "unfit": is_unfit,
        "measured": [name for name, is_seen in seen.items() if is_seen],
    }


def taken_over(row: Document, crop: str, known: Known) -> Document:
    """
    A mix of a document with what a trial of one crop showed about it.

    Lower bounds on weeks and pace replace only smaller values. The row of `media` is a new one.

    >>> known = known_of(Lesson(9, 10, None), None)
    >>> taken_over({"name": "Fine mix", "feeds_for_weeks": 3}, "leek", known)
    {'name': 'Fine mix', 'feeds_for_weeks': 3, 'emergence': {'leek': {'up': 9, 'sown': 10}}}
    """
    row = dict(row)
    if known["emergence"] is not None:
        row["emergence"] = {**(row.get("emergence") or {}), crop: dict(known["emergence"])}
    for name, found, is_least in (
        ("feeds_for_weeks", known["feeds_for_weeks"], known["is_at_least"]),
        ("pace", known["pace"], known["pace_is_at_least"]),
    ):
        entered = row.get(name)
        is_enough = is_least and isinstance(entered, int | float) and entered >= (found or 0)
        if found is not None and not is_enough:
            row[name] = int(found) if found == int(found) else found
    before = row.get("unfit_for") or []
    unfit = [name for name in before if name != crop] + ([crop] if known["unfit"] else [])
    if unfit != before:
        row["unfit_for"] = unfit
    measured = {*(row.get("measured") or ()), *known["measured"]}
    if measured:
        row["measured"] = sorted(measured)
    return row
