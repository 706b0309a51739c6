"""Work that needs solutions, run here or with the page's solver, which is elsewhere.

The model's generators (see `pennyflat.buying.plan`) yield programs, or None to pause.
"""

from itertools import count
from math import inf
from time import monotonic

_NUMBERS = count(1)


class Solving:
    """
    A generator being driven, which can be interrupted and resumed.

    `solve` solves a program here; None uses the page's solver.
    """

    def __init__(self, work, solve):
        self.result, self.is_done = None, False
        self._work, self._solve, self._answer = work, solve, None
        self.to_solve = None
        """A program for the page's solver, with the number for its answer, or None."""

    def solved(self, message):
        """The page's solver has answered, or failed."""
        if self.to_solve and message.id == self.to_solve["id"]:
            self._answer, self.to_solve = vars(message), None

    def go_on(self, patience_s=inf):
        """Continue for some time; returns whether nothing is left to do here for now."""
        until = monotonic() + patience_s
        while not self.is_done and self.to_solve is None:
            answer, self._answer = self._answer, None
            try:
                program = self._work.send(answer)
            except StopIteration as end:
                self.result, self.is_done = end.value, True
                return True
            if program is not None and self._solve:
                self._answer = self._solve(program)
            elif program is not None:
                self.to_solve = {"id": next(_NUMBERS), "model": program}
                return True
            if monotonic() >= until:
                return False
        return True
