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
    """One possible cause of one sight."""

    key: str
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


def read_cause(row: dict[str, str]) -> Cause:
    """
    One row of the table of symptoms.

    Raises
    ------
    ValueError
        If the remedy's cost is to come from something unknown.

    Examples
    --------
    >>> read_cause({"subject": "algae", "observation": "green film", "cause": "too wet",
    ...             "tell_apart": "", "remedy": "let it dry", "cost_from": "nothing", "doubt": "",
    ...             "source_id": "", "place": "", "kind": "common practice"}).key
    'algae'
    """
    return Cause(
        key=row["subject"],
        observation=row["observation"],
        cause=row["cause"],
        tell_apart=row["tell_apart"],
        remedy=row["remedy"],
        cost_from=row["cost_from"],
        doubt=row["doubt"],
        source_id=row["source_id"],
        place=row["place"],
        kind=row["kind"],
    )


def observations(causes: Iterable[Cause]) -> dict[str, str]:
    """
    The sights that can be looked up.

    Returns
    -------
    dict of str to str
        Key to what is seen, in the order of the table.

    Examples
    --------
    >>> observations([])
    {}
    """
    return {cause.key: cause.observation for cause in causes}


def causes_of(causes: Iterable[Cause], key: str) -> tuple[Cause, ...]:
    """
    What may have caused one sight, in the table's order.

    Parameters
    ----------
    causes : iterable of Cause
    key : str
        A key of `observations`.

    Raises
    ------
    ValueError
        If there is no such observation.

    Examples
    --------
    >>> causes_of([], "wilting")
    Traceback (most recent call last):
    ValueError: key must be one of the observations (), not 'wilting'.
    """
    causes = tuple(causes)
    found = tuple(cause for cause in causes if cause.key == key)
    if not found:
        known = ", ".join(observations(causes))
        raise ValueError(f"key must be one of the observations ({known}), not {key!r}.")
    return found
