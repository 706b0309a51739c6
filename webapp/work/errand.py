"""The errand: the plan for all sowings together, its shopping list, what is in the cart, and the
questions before paying.

The plan takes longer than the comparison, so it comes after it: the page sends "more" (see
state.py) once typing has stopped. A good plan is available at once. The proof that none is cheaper
follows, then the worth of the package whose price was typed last, then, once the page is at rest,
what would change the plan.
"""

from collections import Counter, namedtuple
from dataclasses import replace
from functools import cached_property, lru_cache
from itertools import count
from json import dumps
from math import inf
from time import monotonic

import param

from pennyflat.buying.plan import Planner
from pennyflat.buying.shopping import shopping_list
from pennyflat.buying.turns import turns_of
from pennyflat.buying.worth import worth_of
from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.bag_sizes import big_bag, next_year, unit_price_ladder
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.working.of_crop import working_of
from pennyflat.working.receipt import working_of_plan
from pennyflat_display.money import currency_of

Line = namedtuple("Line", "key store item size unit count paid")
"""One line of the shopping list, as in the report; its key says shop, item and package."""


class Errand(param.Parameterized):
    """The plan, its shopping list with ticks, and the questions asked before paying."""

    opened = param.List(doc="Questions that stand open on the page; names as in `QUESTIONS`.")
    answers = param.Dict({}, doc="Answers by question: (what was asked, the answer).")
    weighed = param.Parameter((), doc="Whose worth is asked; see `worth_of`.")
    ticks = param.Dict({}, doc="What is in the cart: key of a line to the count it was ticked at.")
    solve = param.Callable(None, doc="What solves here; None where the page has its own solver.")

    _search = bill = plan = scenario = None
    """Report of `pennyflat.shop`, the model's best plan so far, and the scenario that they are for;
    None before the first."""
    is_checking = False
    """Whether a cheaper plan, or what would change it, may still be found."""

    @property
    def currency(self):
        """How to write the money of the bill and the answers."""
        return currency_of(self.scenario.currency)

    def is_for(self, scenario):
        """Whether the bill is for these entries."""
        return self.bill is not None and self.scenario == _priced(scenario)

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
        search = self._search = _search_for(_priced(scenario), self.solve)
        is_done = search.go_on(self.weighed, patience_s, turning)
        self.bill, self.plan, self.scenario = search.bill, search.plan, search.scenario
        self.is_checking = not search.is_done
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

    def on_tick(self, message):
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


def _has(scenario, place):
    """Whether a scenario has the package at a place; a new one is in it once it is filled in."""
    kind, *row, number = place
    items = getattr(scenario, kind)
    item = next(iter(items[row[0] :]), None) if row else items
    return item is not None and number < len(item.packages)


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
        """What a package is worth to the plan; None until that is final, or without the package."""
        if self._best.is_done and place not in self._worths and _has(self.scenario, place):
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
        worth = self.worth(place) if place else None
        return worth if worth and not worth.is_done else self._turning

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


_NUMBERS = count(1)


class Solving:
    """
    A generator being driven, which can be interrupted and resumed.

    The model's generators (see `pennyflat.buying.plan`) yield programs, or None to pause. `solve`
    solves a program here; None uses the page's solver.
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


Asked = namedtuple("Asked", "scenario row planned weighed_cost")
"""What the answers depend on: the sowing's row, its medium in the plan, and the cost of that plan,
which distinguishes it from a dearer one. [currency]"""


def asked_of(work):
    """What the questions are about now; needs an answer and a shopping list."""
    row, errand = work.row_shown, work.errand
    planned = errand.bill["plan"][row]["medium"]
    return Asked(work.scenario, row, planned, errand.plan.weighed_cost)


def offered(scenario, row):
    """The questions about a sowing that have an answer, in the order shown."""
    has_bags = any(len(medium.packages) > 1 for medium in scenario.media)
    has = {"bags": has_bags, "matters": True, "remedies": any(_remedies_of(scenario, row))}
    return tuple(filter(has.get, has))


def _remedies_of(scenario, row):
    """The remedies compared for each lean mix, one by one, as each edit asks if there is any."""
    sowing = scenario.sowings[row]
    found = (remedies_compared(scenario, sowing, medium) for medium in scenario.media)
    return filter(None, found)


def _bags(work):
    scenario, media, row = work.scenario, work.scenario.media, work.row_shown
    used = (
        (found["medium"], found["medium_litres"]) for found in work.compared(row) if found["ready"]
    )
    return (
        _found(big_bag(scenario, scenario.sowings[row], medium) for medium in media),
        _found(next_year(scenario, scenario.medium(name), litres) for name, litres in used),
        _found(unit_price_ladder(scenario, medium) for medium in media if medium.packages),
    )


def _found(answers):
    return tuple(filter(None, answers))


def _of_planned(work_out):
    """A question about the crop in its planned medium; its answer is None without one."""

    def answered(work):
        scenario, row, planned, _ = asked_of(work)
        return planned and work_out(scenario, scenario.sowings[row], scenario.medium(planned))

    return answered


QUESTIONS = {
    "bags": _bags,
    "matters": _of_planned(what_matters),
    "remedies": lambda work: tuple(_remedies_of(work.scenario, work.row_shown)),
    "crop_working": _of_planned(working_of),
    "plan_working": lambda work: working_of_plan(work.scenario, work.errand.plan),
}
"""What answers each question about a `Work`: values of the model's own classes."""
