"""The errand: the plan for all sowings together, its shopping list, and what is in the cart.

The plan takes longer than the comparison, so it comes after it: the page sends "more" (see
state.py) once typing has stopped. A good plan is available at once. The proof that none is cheaper
follows, then the worth of the package whose price was typed last, then, once the page is at rest,
what would change the plan.
"""

from collections import Counter, namedtuple
from dataclasses import replace
from functools import cached_property, lru_cache
from json import dumps
from math import inf
from time import monotonic

import param

from pennyflat.buying.plan import Planner
from pennyflat.buying.shopping import shopping_list
from pennyflat.buying.turns import turns_of
from pennyflat.buying.worth import worth_of
from pennyflat_display.money import currency_of
from work.asking import QUESTIONS, asked_of
from work.solving import Solving

Line = namedtuple("Line", "key store item size unit count paid")
"""One line of the shopping list, as in the report; its key says shop, item and package."""


class Errand(param.Parameterized):
    """The plan, its shopping list with ticks, and the questions asked before paying."""

    opened = param.List(doc="Questions that stand open on the page; names as in asking.py.")
    answers = param.Dict({}, doc="Answers by question: (what was asked, the answer).")
    weighed = param.Parameter((), doc="Whose worth is asked; see `worth_of`.")
    ticks = param.Dict({}, doc="What is in the cart: key of a line to the count it was ticked at.")
    solve = param.Callable(None, doc="What solves here; None where the page has its own solver.")

    _search = None

    @property
    def bill(self):
        """Report of `pennyflat.shop`; None before the first."""
        return self._search and self._search.bill

    @property
    def plan(self):
        """The model's best plan so far, or None."""
        return self._search and self._search.plan

    @property
    def scenario(self):
        """The scenario that the bill is for."""
        return self._search.scenario

    @property
    def currency(self):
        """How to write the money of the bill and the answers."""
        return currency_of(self.scenario.currency)

    def is_for(self, scenario):
        """Whether the bill is for these entries."""
        return self._search is not None and self.scenario == _priced(scenario)

    @property
    def is_checking(self):
        """Whether a cheaper plan, or what would change it, may still be found."""
        return self._search is not None and not self._search.is_done

    @property
    def solving(self):
        """What is being solved, or was last; None until anything is."""
        return self._search and self._search.solving(self.weighed)

    def left(self, scenario):
        """What is left to work out here for these entries: "plan", its "turns" only, or ""."""
        if not self.is_for(scenario):
            return "plan"
        if self.solving.is_done or self.solving.to_solve is not None:
            return ""
        return "turns" if self._search.is_turning(self.weighed) else "plan"

    def worth(self, scenario):
        """The worth of the weighed package, once worked out; None if none is weighed."""
        return self._search.worth(self.weighed) if self.weighed and self.is_for(scenario) else None

    def catch_up(self, scenario, patience_s=inf, *, turning=True):
        """
        Work out the bill for these entries; returns whether all that can be done here is done.

        What would change a proven plan is included only if `turning`. The next call resumes it.
        """
        self._search = _search_for(_priced(scenario), self.solve)
        is_done = self._search.go_on(self.weighed, patience_s, turning)
        counts = {line.key: line.count for line in lines(self.bill)}
        self.ticks = {key: n for key, n in self.ticks.items() if counts.get(key) == n}
        return is_done

    def questions_behind(self, work):
        """Open questions whose answer does not match the current entries."""
        asked = asked_of(work)
        return [name for name in self.opened if self.answers.get(name, (None,))[0] != asked]

    def answer(self, work):
        """Answer the open questions; the bill must be up to date."""
        for name in self.questions_behind(work):
            self.answers = self.answers | {name: (asked_of(work), QUESTIONS[name](work))}

    def ask(self, message):
        """A question was opened or closed."""
        name = message.question
        others = [other for other in self.opened if other != name]
        self.opened = [*others, name] if message.text and name in QUESTIONS else others
        self.answers = {name: found for name, found in self.answers.items() if name in self.opened}

    def tick(self, message):
        """Put a line into the cart, or take it out."""
        kept = {line: n for line, n in self.ticks.items() if line != message.line}
        self.ticks = kept | ({message.line: message.count} if message.text else {})


def lines(bill):
    """
    The lines of a shopping list, shop by shop.

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


def _priced(scenario):
    """The scenario without anything that does not affect the bill."""
    return replace(scenario, title="", last_frost=None, trials=(), happened=None)


class _Search:
    """The search for a scenario's plan, the worth of packages, and what would change the plan."""

    def __init__(self, scenario, solve):
        self.scenario, self._solve = scenario, solve
        self._planner, self._worths = Planner(scenario), {}
        self._best = Solving(self._planner.best(), solve)
        self._billed = None, None, None

    @property
    def plan(self):
        """The best one so far."""
        return self._best.result or self._planner.start()

    @property
    def bill(self):
        """The shopping list as far as it is known."""
        turns = (self._best.is_done and self._turning.result) or ()
        if self._billed[:2] != (self.plan, turns):
            self._billed = self.plan, turns, shopping_list(self.scenario, self.plan, turns)
        return self._billed[2]

    @cached_property
    def _turning(self):
        """What would change the plan, once that is final."""
        return Solving(turns_of(self._planner, self.plan), self._solve)

    def worth(self, place):
        """What a package is worth to the plan, once worked out; None until that is final."""
        if self._best.is_done and place not in self._worths:
            work = worth_of(self._planner, self.plan, place)
            self._worths[place] = Solving(work, self._solve)
        return self._worths.get(place)

    @property
    def is_done(self):
        """Whether the plan, and what would change it, are known."""
        return self._best.is_done and self._turning.is_done

    def solving(self, place):
        """The next or last program to solve; for the worth of the package at a place, if any."""
        if not self._best.is_done:
            return self._best
        return self.worth(place) if place and not self.worth(place).is_done else self._turning

    def is_turning(self, place):
        """Whether only what would change the plan, which is proven, is not known yet."""
        stage = self.solving(place)
        return self.plan.proven and not stage.is_done and stage is self._turning

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


_search_for = lru_cache(maxsize=8)(_Search)
"""Cached, since a price is often put back, and an interrupted search resumes."""
