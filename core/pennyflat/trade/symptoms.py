"""What is seen in the tray, and what may cause it.

A lookup in a table. One sight has several causes, in the table's order, and none of them is
certain: the table's wording expresses the doubt.
"""

from collections.abc import Iterable
from dataclasses import dataclass

COSTS = ("feed", "pot on", "resow", "energy", "medium", "nothing")
"""What prices a remedy in a scenario: its feed, a move to a bigger container, seed and cells again,
light and heat, another medium; or nothing has to be bought."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause of one sight: a row of the table."""

    subject: str
    """Key of the sight."""
    observation: str
    cause: str
    tell_apart: str
    """Evidence for this cause rather than another."""
    remedy: str
    cost_from: str
    """One of `COSTS`."""
    doubt: str
    """How likely, in words."""
    source_id: str
    place: str
    kind: str

    def __post_init__(self) -> None:
        if self.cost_from not in COSTS:
            raise ValueError(
                f"Cause {self.cause!r}: cost_from must be one of {', '.join(COSTS)},"
                f" not {self.cost_from!r}."
            )


def observations(causes: Iterable[Cause]) -> dict[str, str]:
    """What is seen at each sight that can be looked up, by its key, in the table's order."""
    return {cause.subject: cause.observation for cause in causes}


def causes_of(causes: Iterable[Cause], key: str) -> tuple[Cause, ...]:
    """What may have caused one sight, a key of `observations`, in the table's order."""
    return tuple(cause for cause in causes if cause.subject == key)
