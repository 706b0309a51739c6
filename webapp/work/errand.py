"""The errand: the plan for all sowings together, its shopping list, and what is in the cart.

The plan needs a solver and takes longer than the comparison, so it is worked out after it: the page
asks with "more" (see state.py) once it shows the comparison and nobody is typing. A good plan is
there at once; the proof that none is cheaper, and what would turn it, follow. A page has its solver
elsewhere: it is handed what to solve and answers with "solved".
"""

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from json import dumps
from math import inf

import param

from pennyflat.buying.plan import Planner
from pennyflat.buying.shopping import shopping_list
from pennyflat.buying.turns import turns_of
from pennyflat.scenario.records import Scenario
from reader.money import currency_of
from work import asking
from work.solving import Solving


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the shopping list, as in the report."""

    key: str
    """What the line is: shop, item and package; the same as long as these are."""
    store: str
    item: str
    size: float
    unit: str
    count: int
    paid: float
    """[currency]"""


class Errand(param.Parameterized):
    """The plan, its shopping list with ticks, and the questions asked before paying."""

    bill = param.Dict(None, allow_None=True, doc="Report of `pennyflat.shop`.")
    document = param.Dict(None, allow_None=True, doc="The scenario document the bill is for.")
    opened = param.List(doc="Questions that stand open on the page; names as in asking.py.")
    answers = param.Dict({}, doc="Answers by question: (what was asked, the answer).")
    ticks = param.Dict({}, doc="What is in the cart: key of a line to the count it was ticked at.")
    solve = param.Callable(None, doc="What solves here; None where the page has its own solver.")

    def __init__(self, **params):
        super().__init__(**params)
        self._search = None

    def is_for(self, scenario):
        """Whether the bill is for these entries."""
        return self.bill is not None and self._bill_for == _priced(scenario)

    @property
    def is_checking(self):
        """Whether a cheaper plan may still be found, or what would turn it."""
        return self._search is not None and not self._search.solving.is_done

    @property
    def plan(self):
        """The plan as the model has it."""
        return self._search.plan

    @property
    def solving(self):
        """What is being solved; None before anything is."""
        return self._search and self._search.solving

    def is_behind(self, scenario):
        """Whether there is something to work out here for these entries."""
        return not self.is_for(scenario) or (self.is_checking and self.solving.to_solve is None)

    def catch_up(self, scenario, document, patience_s=inf):
        """
        Work out the bill for these entries; whether what can be done here is done within so long.

        It is left off otherwise, and the next time taken up again.
        """
        priced = _priced(scenario)
        if self._search is None or self._search.scenario != priced:
            self._search = _search_for(priced, self.solve)
        is_done = self.solving.go_on(patience_s)
        self._bill_for, self.document, self.bill = priced, document, self._search.bill
        counts = {line.key: line.count for line in lines(self.bill)}
        self.ticks = {key: n for key, n in self.ticks.items() if counts.get(key) == n}
        return is_done

    @property
    def currency(self):
        """How money of the bill and of the answers is written."""
        return currency_of(self.document["currency"])

    def questions_behind(self, work):
        """Questions that stand open and have no answer to what would be asked now."""
        asked = asking.asked_of(work)
        return [name for name in self.opened if self.answers.get(name, (None,))[0] != asked]

    def answer(self, work):
        """Answer the questions that stand open; the bill must be up to date."""
        asked = asking.asked_of(work)
        self.answers = {name: (asked, asking.answer(name, asked)) for name in self.opened}

    def ask(self, message):
        """A question was opened, or shut."""
        name = message.question
        others = [other for other in self.opened if other != name]
        self.opened = [*others, name] if message.text and name in asking.QUESTIONS else others
        self.answers = {name: found for name, found in self.answers.items() if name in self.opened}

    def tick(self, message):
        """Put a line into the cart, or take it out."""
        kept = {line: n for line, n in self.ticks.items() if line != message.line}
        self.ticks = kept | ({message.line: message.count} if message.text else {})


def lines(bill):
    """
    The lines of a shopping list, shop by shop.

    Examples
    --------
    >>> item = {"item": "Mix", "size": 10, "unit": "L", "count": 2, "paid": 8.0}
    >>> lines({"stores": [{"store": "Lane", "items": [item]}]})[0].key
    '["Lane", "Mix", 10, "L", 1]'
    """
    seen, found = Counter(), []
    for store in bill["stores"]:
        for row in store["items"]:
            what = (store["store"], row["item"], row["size"], row["unit"])
            seen[what] += 1  # two packages with the same label are told apart by their order
            key = dumps([*what, seen[what]], ensure_ascii=False)
            found.append(Line(key, *what, row["count"], row["paid"]))
    return found


def _priced(scenario: Scenario):
    """The scenario without what makes no difference to the bill."""
    return replace(scenario, title="", last_frost=None, trials=())


class _Search:
    """The search for the plan of a scenario and for what would turn it."""

    def __init__(self, scenario, solve):
        self.scenario = scenario
        self._planner = Planner(scenario)
        self._plan, self._turns = self._planner.start(), ()
        self._shown = None
        self.solving = Solving(self._steps(), solve)

    def _steps(self):
        self._plan = yield from self._planner.best()
        self._turns = yield from turns_of(self._planner, self._plan)

    @property
    def plan(self):
        """The best plan so far."""
        return self._plan

    @property
    def bill(self):
        """The shopping list as far as it is known."""
        if self._shown is None or self._shown[:2] != (self._plan, self._turns):
            found = shopping_list(self.scenario, self._plan, self._turns)
            self._shown = self._plan, self._turns, found
        return self._shown[2]


@lru_cache(maxsize=8)
def _search_for(scenario, solve):
    """Kept, since a price is often put back, and a search left off is taken up again."""
    return _Search(scenario, solve)
