"""A club's order: several members' scenarios, what they pay together and who takes what."""

from pennyflat.scenario.document import read
from pennyflat_display.money import currency_of
from share import sharing
from work.errand import Solving
from work.messages import Refused

MOST_MEMBERS = 60
"""Most members of an order. [count] Ours: so that the page stays fast."""


class Pooling:
    """The members so far, and the order they make."""

    def __init__(self, solve=None):
        self._solve = solve
        self.members = ()
        """Scenario documents, all valid."""
        self.split = "shapley"
        """How the club divides its saving; one of `pennyflat.club.split.SPLITS`."""
        self.refused = ""
        """Why the last attempt to add a member failed, as a sentence."""
        self.solving = self.report = None
        """The computation, and the order as from `pennyflat.pool`; None until there is any."""
        self.reasons = ()
        """Why the members do not fit, as sentences."""

    def add(self, document):
        """Add a member."""
        self._work_out((*self.members, document)[:MOST_MEMBERS])

    def on_order_link(self, work, message):
        self._take(sharing.from_link, message.text)

    def on_order_file(self, work, message):
        self._take(sharing.from_file, message.name, message.text)

    def _take(self, reading, *source):
        self.refused = ""
        try:
            self.add(reading(*source).document)
        except Refused as refused:
            self.refused = str(refused)

    def on_order_split(self, work, message):
        self.split = message.text
        self._work_out(self.members)

    def on_order_remove(self, work, message):
        self.refused = ""
        self._work_out((*self.members[: message.text], *self.members[message.text + 1 :]))

    def go_on(self, message=None):
        """Continue the computation as far as possible here; `message` may be "solved"."""
        if self.solving is not None:
            if message is not None and message.do == "solved":
                self.solving.solved(message)
            if self.solving.go_on():
                self.report = self.solving.result

    def _work_out(self, members):
        from pennyflat.club.pool import PoolError, pool_steps  # not at the start: few need it

        self.members, self.report, self.reasons, self.solving = members, None, (), None
        if len(members) < 2:
            return
        decimals = currency_of(members[0]["currency"]).decimals
        try:
            scenarios = [read(document) for document in members]
            steps = pool_steps(scenarios, decimals=decimals, split=self.split)
            self.solving = Solving(steps, self._solve)
            self.go_on()
        except PoolError as error:
            self.solving, self.reasons = None, error.differences
