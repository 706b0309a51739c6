"""The errand: the plan for all sowings together, its shopping list, and what is in the cart.

The plan takes longer than the comparison, so it comes after it: the page sends "more" (see
state.py) once typing has stopped. A good plan is available at once. The proof that none is cheaper
follows, then the worth of the package whose price was typed last, then, once the page is at rest,
what would change the plan.
"""

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from json import dumps
from math import inf
from time import monotonic

import param

from pennyflat.buying.plan import Planner
from pennyflat.buying.shopping import shopping_list
from pennyflat.buying.turns import turns_of
from pennyflat.buying.worth import worth_of
from pennyflat.scenario.records import Scenario
from pennyflat_display.money import currency_of
from work import asking
from work.solving import Solving


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the shopping list, as in the report; its key says shop, item and package."""

    key: str
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
    weighed = param.Parameter((), doc="Whose worth is asked; see `worth_of`.")
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
        """Whether a cheaper plan, or what would change it, may still be found."""
        return self._search is not None and not self._search.is_done

    @property
    def is_unproven(self):
        """Whether there is a plan without its proof."""
        return self._search is not None and not self._search.plan.proven

    @property
    def plan(self):
        """The model's best plan so far."""
        return self._search.plan

    @property
    def solving(self):
        """What is being solved, or was last; None until anything is."""
        return self._search and self._search.solving(self.weighed)

    def is_behind(self, scenario):
        """Whether there is something to work out here for these entries, other than the turns."""
        return not self.is_for(scenario) or (self._is_free and not self.is_turning)

    @property
    def is_turning(self):
        """Whether what would change a proven plan is left, and is to be worked out here."""
        return self._is_free and self._search.is_turning(self.weighed)

    @property
    def _is_free(self):
        return not self.solving.is_done and self.solving.to_solve is None

    def worth(self, scenario):
        """The worth of the weighed package, once worked out; None if none is weighed."""
        return self._search.worth(self.weighed) if self.weighed and self.is_for(scenario) else None

    def catch_up(self, scenario, document, patience_s=inf, *, turning=True):
        """
        Work out the bill for these entries; returns whether all that can be done here is done.

        What would change a proven plan is included only if `turning`. The next call resumes it.
        """
        priced = _priced(scenario)
        if self._search is None or self._search.scenario != priced:
            self._search = _search_for(priced, self.solve)
        is_done = self._search.go_on(self.weighed, patience_s, turning)
        self._bill_for, self.document, self.bill = priced, document, self._search.bill
        counts = {line.key: line.count for line in lines(self.bill)}
        self.ticks = {key: n for key, n in self.ticks.items() if counts.get(key) == n}
        return is_done

    @property
    def currency(self):
        """How to write the money of the bill and the answers."""
        return currency_of(self.document["currency"])

    def questions_behind(self, work):
        """Open questions whose answer does not match the current entries."""
        asked = asking.asked_of(work)
        return [name for name in self.opened if self.answers.get(name, (None,))[0] != asked]

    def answer(self, work):
        """Answer the open questions; the bill must be up to date."""
        asked = asking.asked_of(work)
        self.answers = {name: (asked, asking.answer(name, asked)) for name in self.opened}

    def ask(self, message):
        """A question was opened or closed."""
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
            seen[what] += 1  # order distinguishes two packages with the same label
            key = dumps([*what, seen[what]], ensure_ascii=False)
            found.append(Line(key, *what, row["count"], row["paid"]))
    return found


def _priced(scenario: Scenario):
    """The scenario without anything that does not affect the bill."""
    return replace(scenario, title="", last_frost=None, trials=(), happened=None)


class _Search:
    """The search for a scenario's plan, the worth of packages, and what would change the plan."""

    def __init__(self, scenario, solve):
        self.scenario = scenario
        self._planner = Planner(scenario)
        self.plan, self._turns = self._planner.start(), ()
        self._shown, self._solve = (None, None, None), solve
        self._best = Solving(self._to_best(), solve)
        self._worths = {}
        self._turning = Solving(self._to_turns(), solve)

    def _to_best(self):
        self.plan = yield from self._planner.best()

    def _to_worth(self, place):
        return (yield from worth_of(self._planner, self.plan, place))  # the plan as it is then

    def _to_turns(self):
        self._turns = yield from turns_of(self._planner, self.plan)

    @property
    def is_done(self):
        """Whether the plan, and what would change it, are known."""
        return self._best.is_done and self._turning.is_done

    def worth(self, place):
        """What a package is worth, once worked out."""
        if place not in self._worths:
            self._worths[place] = Solving(self._to_worth(place), self._solve)
        return self._worths[place]

    def solving(self, place):
        """The next or last program to solve; for the worth of the package at a place, if any."""
        stages = (self._best, *([self.worth(place)] if place else ()), self._turning)
        return next((stage for stage in stages if not stage.is_done), self._turning)

    def is_turning(self, place):
        """Whether only what would change the plan, which is proven, is not known yet."""
        stage = self.solving(place)
        return stage is self._turning and not stage.is_done and self.plan.proven

    def go_on(self, place, patience_s, turning):
        """Continue for some time; returns whether nothing is left to do here for now."""
        until = monotonic() + patience_s
        while not (stage := self.solving(place)).is_done:
            if self.is_turning(place) and not turning:
                break
            if not stage.go_on(until - monotonic()):
                return False
            if not stage.is_done or (stage is self._best and patience_s < inf):
                break  # the page's solver is next, or the page shows the proof first
        return True

    @property
    def bill(self):
        """The shopping list as far as it is known."""
        if self._shown[:2] != (self.plan, self._turns):
            found = shopping_list(self.scenario, self.plan, self._turns)
            self._shown = self.plan, self._turns, found
        return self._shown[2]


@lru_cache(maxsize=8)
def _search_for(scenario, solve):
    """Cached, since a price is often put back, and an interrupted search resumes."""
    return _Search(scenario, solve)
