"""A club's order: several members' scenarios, what they pay together and who takes what."""

from pennyflat.scenario.document import read
from reader.money import currency_of
from work.messages import Refused, Solved
from work.solving import Solving

MOST_MEMBERS = 60
"""Members of an order. [count] Ours: so that the page stays quick."""


class Pooling:
    """The members so far, and the order they make."""

    def __init__(self, solve=None):
        self._solve = solve
        self.solving = None
        """What the order is being worked out by."""
        self.members = ()
        """Scenario documents, sound ones."""
        self.split = "shapley"
        """How the club divides what it saves; one of `pennyflat.club.split.SPLITS`."""
        self.refused = ""
        """Why what was to be added last was not, as a sentence."""
        self._report = None, ()

    def add(self, document):
        """Take a member in."""
        self._work_out((*self.members, document)[:MOST_MEMBERS])

    def take(self, opened):
        """Take a member in whose link or file `opened` reads, or note why not."""
        self.refused = ""
        try:
            self.add(opened().document)
        except Refused as refused:
            self.refused = str(refused)

    def divide(self, split):
        """Divide what is saved by another rule."""
        self.split = split
        self._work_out(self.members)

    def remove(self, place):
        """Let the member at that place go."""
        self.refused = ""
        self._work_out((*self.members[:place], *self.members[place + 1 :]))

    def report(self):
        """
        The order.

        Returns
        -------
        report : dict or None
            As from `pennyflat.pool`; None while there are fewer than two members, or where they
            make no one order.
        reasons : tuple of str
            Why they do not, as sentences.
        """
        return self._report

    def go_on(self, message=None):
        """Go on working out the order, as far as it goes here; `message` may be a `Solved`."""
        if self.solving is not None and isinstance(message, Solved):
            self.solving.solved(message)
        if self.solving is not None and self.solving.go_on():
            self._report = self.solving.result, ()

    def _work_out(self, members):
        from pennyflat.club.pool import (  # not at the start: few visitors need it
            PoolError,
            pool_steps,
        )

        self.members, self._report, self.solving = members, (None, ()), None
        if len(members) < 2:
            return
        decimals = currency_of(members[0]["currency"]).decimals
        try:
            scenarios = [read(document) for document in members]
            steps = pool_steps(scenarios, decimals=decimals, split=self.split)
            self.solving = Solving(steps, self._solve)
            self.go_on()
        except PoolError as error:
            self.solving, self._report = None, (None, error.differences)
