"""A mixed-integer linear program as plain values that any solver can take, as JSON too.

It minimises cost·x within bounds on the columns and rows, with some columns whole.
"""

from collections.abc import Callable, Generator, Iterable
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


class Milp:
    """
    A program under construction.

    Examples
    --------
    >>> program = Milp()
    >>> bags = program.column(5.2, upper=9, integer=True)
    >>> program.row([(bags, 10.0)], lower=24.0)
    >>> program.document()["row_lower"], program.document()["cost"]
    ([24.0], [5.2])
    """

    def __init__(self) -> None:
        self.program: Program = {
            "cost": [],
            "lower": [],
            "upper": [],
            "integer": [],
            "row_lower": [],
            "row_upper": [],
            "starts": [0],
            "index": [],
            "value": [],
            "start": None,
            "seconds": 10.0,
        }

    def column(
        self,
        cost: float = 0.0,
        *,
        lower: float = 0.0,
        upper: float | None = None,
        integer: bool = False,
    ) -> int:
        """Add a column and return its number."""
        self.program["cost"].append(cost)
        self.program["lower"].append(lower)
        self.program["upper"].append(upper)
        self.program["integer"].append(int(integer))
        return len(self.program["cost"]) - 1

    def row(
        self,
        terms: Iterable[tuple[int, float]],
        *,
        lower: float | None = None,
        upper: float | None = None,
    ) -> None:
        """Add a row of (column, coefficient) within bounds."""
        for column, coefficient in terms:
            self.program["index"].append(column)
            self.program["value"].append(coefficient)
        self.program["starts"].append(len(self.program["index"]))
        self.program["row_lower"].append(lower)
        self.program["row_upper"].append(upper)

    def document(
        self,
        *,
        start: list[float] | None = None,
        seconds: float = 10.0,
        cost: list[float] | None = None,
    ) -> Program:
        """The program as plain values; `cost` replaces the columns' own."""
        found: Program = {**self.program, "start": start, "seconds": seconds}
        return found if cost is None else {**found, "cost": cost}
