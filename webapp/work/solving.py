"""Work that asks for solutions, done here or with the page's solver, which is elsewhere.

The model's generators (see `pennyflat.buying.plan`) yield programs, or None for a pause.
"""

from dataclasses import asdict
from itertools import count
from math import inf
from time import monotonic

_NUMBERS = count(1)


class Solving:
    """
    A generator being driven, which can be left off and taken up again.

    Parameters
    ----------
    work : generator
    solve : callable or None
        What solves a program here; None where the page's solver is to be asked.
    """

    def __init__(self, work, solve):
        self.result, self.is_done = None, False
        self._work, self._solve, self._answer = work, solve, None
        self._program, self._number = None, 0

    @property
    def to_solve(self):
        """A program for the page's solver with the number to answer it by, or None."""
        if self._program is None:
            return None
        return {"id": self._number, "model": self._program}

    def solved(self, message):
        """The page's solver has answered, or failed."""
        if message.id == self._number and self._program is not None:
            self._answer, self._program = asdict(message), None

    def go_on(self, patience_s=inf):
        """Go on for so long; whether there is nothing more to do here for now."""
        until = monotonic() + patience_s
        while not self.is_done and self._program is None:
            answer, self._answer = self._answer, None
            try:
                program = self._work.send(answer)
            except StopIteration as end:
                self.result, self.is_done = end.value, True
                return True
            if program is not None and self._solve:
                self._answer = self._solve(program)
            elif program is not None:
                self._program, self._number = program, next(_NUMBERS)
                return True
            if monotonic() > until:
                return False
        return True
