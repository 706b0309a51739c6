"""What the trade knows, one fact at a time, each with its source.

A fact is a figure, a range or a sentence about one quantity of one subject ("weeks_to_transplant"
of "tomato"). If sources disagree there are several facts, one of which is the default; `widest`
gives the range over all. Rows come from the tables in data/.
"""

from collections.abc import Iterable
from dataclasses import dataclass

KINDS = ("published", "second-hand", "memory", "common practice", "computed", "trade page")
"""How well a fact is known: read in the issuer's own text; in a copy or report of it; not
confirmed; no source; worked out from figures in the row; a seller's page, weak."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact and where it was read."""

    subject: str
    quantity: str
    value: float | None
    """The figure, if the source gives one. [unit]"""
    unit: str
    low: float | None
    """Low end of the range, if the source gives one. [unit]"""
    high: float | None
    """High end of the range, if the source gives one. [unit]"""
    text: str
    """The fact in words, or what the source prints."""
    default: bool
    """Whether to start from this one if sources disagree."""
    source_id: str
    place: str
    """Place in the source."""
    kind: str
    """One of `KINDS`."""
    note: str

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(
                f"Fact {self.subject!r}, {self.quantity}: kind must be one of"
                f" {', '.join(KINDS)}, not {self.kind!r}."
            )

    @property
    def usual(self) -> float | None:
        """The figure to start from: the value, else the middle of the range, else None. [unit]"""
        if self.value is not None:
            return self.value
        if self.low is None or self.high is None:
            return None
        return (self.low + self.high) / 2

    @property
    def figure(self) -> float:
        """Like `usual`, but ValueError if there is no figure. [unit]"""
        if self.usual is None:
            raise ValueError(f"{self.subject}, {self.quantity}: the source gives no figure.")
        return self.usual


def read_fact(row: dict[str, str]) -> Fact:
    """
    One row of a table of facts; an empty number means that the source gives none.

    Raises
    ------
    ValueError
        If a number cannot be read or the kind is not one of `KINDS`.

    Examples
    --------
    >>> weeks = read_fact({
    ...     "subject": "tomato", "quantity": "weeks_to_transplant", "value": "", "unit": "week",
    ...     "low": "5", "high": "6", "text": "", "default": "yes", "source_id": "udel-transplants",
    ...     "place": "table, Weeks to Grow", "kind": "published", "note": ""})
    >>> weeks.low, weeks.high, weeks.usual
    (5.0, 6.0, 5.5)
    """
    return Fact(
        subject=row["subject"],
        quantity=row["quantity"],
        value=read_number(row["value"]),
        unit=row["unit"],
        low=read_number(row["low"]),
        high=read_number(row["high"]),
        text=row["text"],
        default=row["default"] == "yes",
        source_id=row["source_id"],
        place=row["place"],
        kind=row["kind"],
        note=row["note"],
    )


def read_number(text: str) -> float | None:
    """
    A number of a table; None for an empty cell.

    Raises
    ------
    ValueError
        If the cell holds anything but a finite number.

    Examples
    --------
    >>> read_number("58.99"), read_number("")
    (58.99, None)
    """
    if text == "":
        return None
    found = float(text)
    if not abs(found) < float("inf"):
        raise ValueError(f"a table's number must be finite, not {text!r}.")
    return found


def about(facts: Iterable[Fact], subject: str, quantity: str) -> tuple[Fact, ...]:
    """All facts about one quantity of one subject, the default first; empty if none is known."""
    found = (f for f in facts if f.subject == subject and f.quantity == quantity)
    return tuple(sorted(found, key=lambda fact: not fact.default))


def default(facts: Iterable[Fact], subject: str, quantity: str) -> Fact | None:
    """The fact to start from; None if nothing is known."""
    return next(iter(about(facts, subject, quantity)), None)


def widest(facts: Iterable[Fact]) -> tuple[float, float] | None:
    """
    Lowest and highest figure in facts about one quantity; None if none has one. [unit of the facts]

    Examples
    --------
    Two sources on the weeks to a tomato transplant:

    >>> row = {"subject": "tomato", "quantity": "weeks_to_transplant", "value": "", "unit": "week",
    ...        "text": "", "default": "no", "source_id": "", "place": "", "kind": "published",
    ...        "note": ""}
    >>> widest([read_fact({**row, "low": "5", "high": "6"}),
    ...         read_fact({**row, "low": "6", "high": "8"})])
    (5.0, 8.0)
    """
    figures = [x for f in facts for x in (f.value, f.low, f.high) if x is not None]
    return (min(figures), max(figures)) if figures else None
