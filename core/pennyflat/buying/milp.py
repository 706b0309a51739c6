"""A mixed-integer linear program as plain values that any solver can take.

It minimises cost·x within bounds on the columns and rows, with some columns whole. As JSON it is an
object with `cost`, `lower`, `upper` and `integer` by column, `row_lower` and `row_upper` by row
(null for no bound), the rows as `starts`, `index` and `value` (compressed rows), `start` (a first
solution, or null) and `seconds` (the time limit).
"""

from collections.abc import Callable, Generator, Iterable
from typing import Any, TypeAlias, TypedDict, TypeVar


class Program(TypedDict):
    """A program as plain values."""

    cost: list[float]
    lower: list[float]
    upper: list[float | None]
    integer: list[int]
    row_lower: list[float | None]
    row_upper: list[float | None]
    starts: list[int]
    index: list[int]
    value: list[float]
    start: list[float] | None
    seconds: float


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
        self.cost: list[float] = []
        self.lower: list[float] = []
        self.upper: list[float | None] = []
        self.integer: list[int] = []
        self.row_lower: list[float | None] = []
        self.row_upper: list[float | None] = []
        self.starts: list[int] = [0]
        self.index: list[int] = []
        self.value: list[float] = []

    def column(
        self,
        cost: float = 0.0,
        *,
        lower: float = 0.0,
        upper: float | None = None,
        integer: bool = False,
    ) -> int:
        """Add a column and return its number."""
        self.cost.append(cost)
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(int(integer))
        return len(self.cost) - 1

    def row(
        self,
        terms: Iterable[tuple[int, float]],
        *,
        lower: float | None = None,
        upper: float | None = None,
    ) -> None:
        """Add a row of (column, coefficient) within bounds."""
        for column, coefficient in terms:
            self.index.append(column)
            self.value.append(coefficient)
        self.starts.append(len(self.index))
        self.row_lower.append(lower)
        self.row_upper.append(upper)

    def document(
        self,
        *,
        start: list[float] | None = None,
        seconds: float = 10.0,
        cost: list[float] | None = None,
    ) -> Program:
        """The program as plain values; `cost` replaces the columns' own."""
        return {
            "cost": self.cost if cost is None else cost,
            "lower": self.lower,
            "upper": self.upper,
            "integer": self.integer,
            "row_lower": self.row_lower,
            "row_upper": self.row_upper,
            "starts": self.starts,
            "index": self.index,
            "value": self.value,
            "start": start,
            "seconds": seconds,
        }
