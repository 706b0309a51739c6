"""A mixed-integer linear program as plain values that any solver can take, as JSON too.

It minimises cost·x within bounds on the columns and rows, with some columns whole.
"""

from collections.abc import Callable, Generator
from typing import Any, TypeAlias, TypedDict, TypeVar


class Program(TypedDict):
    """A program as plain values: a list entry for each column or row, None for no bound."""

    cost: list[float]
    lower: list[float]
    upper: list[float | None]
    integer: list[int]
    """1: whole numbers only, 0: any."""
    row_lower: list[float | None]
    row_upper: list[float | None]
    starts: list[int]
    """Where each row begins in `index` and `value`, and where the last ends."""
    index: list[int]
    """The columns of the rows' coefficients, row after row."""
    value: list[float]
    start: list[float] | None
    """Values to begin with."""
    seconds: float
    """How long to search at most. [s]"""


class Answer(TypedDict):
    """What a solver found."""

    values: list[float] | None
    """Of the columns; None if there are none."""
    objective: float | None
    """Their cost."""
    bound: float | None
    """A lower bound on the cost of any values."""
    proven: bool
    """Whether the values are the best."""
    status: str
    """In HiGHS's words: "optimal", "infeasible", "timeLimit", …"""


Solve: TypeAlias = Callable[[Program], Answer]
"""A function that solves programs."""

Result = TypeVar("Result")

Work: TypeAlias = Generator[Program | None, Any, Result]
"""Work that needs solutions: it yields programs, or None to pause, and is sent answers."""
