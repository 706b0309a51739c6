"""The errand: what is bought for all sowings together, and what of it is in the cart already.

The choice of mixes for all sowings takes longer than the comparison, so it is worked out after
it: the page asks with "more" (see state.py) once it shows the comparison and nobody is typing.
"""

from collections import Counter
from dataclasses import dataclass, replace
from functools import lru_cache
from json import dumps
from math import inf
from time import monotonic

import param

import asking
from money import currency_of
from pennyflat.alternatives import switches_piecemeal
from pennyflat.mix_search import MOST_BRANCHES
from pennyflat.plan import shop_piecemeal
from pennyflat.scenario import Scenario

EFFORTS = (60, 500, MOST_BRANCHES)
"""
Branches after which a search for the best plan stops, the first time and later. [count] Ours: a
plan is there soon, and most plans are proven at once.
"""

COMMON_SIZE = 12 * 12
"""Sowings times media up to which `EFFORTS` holds. [count] A branch of more takes longer in
proportion, so that fewer are looked at, and the last effort is spared. Ours."""


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
    """The shopping list, its ticks, and the questions asked before paying."""

    bill = param.Dict(None, allow_None=True, doc="Report of `pennyflat.shop`.")
    switches = param.List(doc="As from `pennyflat.alternatives.switches`, for the bill.")
    document = param.Dict(None, allow_None=True, doc="The scenario document the bill is for.")
    opened = param.List(doc="Questions that stand open on the page; names as in asking.py.")
    answers = param.Dict({}, doc="Answers by question: (what was asked, the answer).")
    ticks = param.Dict({}, doc="What is in the cart: key of a line to the count it was ticked at.")

    def is_for(self, scenario):
        """Whether the bill is for these entries."""
        return self.bill is not None and self._bill_for == _priced(scenario)

    @property
    def may_improve(self):
        """Whether a longer search could still find a cheaper plan, or prove that there is none."""
        efforts = EFFORTS[:-1] if is_large(self._bill_for) else EFFORTS
        return not self.bill["proven"] and self._effort + 1 < len(efforts)

    def is_behind(self, scenario):
        """Whether there is something to work out for these entries."""
        return not self.is_for(scenario) or self.may_improve

    def catch_up(self, scenario, document, patience_s=inf):
        """
        Work out the bill for these entries; where there is one, with a longer search.

        Returns whether that has come to its end within so long. It is left off otherwise, and the
        next time taken up again.
        """
        effort = self._effort + 1 if self.is_for(scenario) else 0
        priced = _priced(scenario)
        share = COMMON_SIZE / max(COMMON_SIZE, _size(priced))
        search = _search(priced, int(EFFORTS[effort] * share))
        if not search.go_on(patience_s):
            return False
        self._effort, self._bill_for, self.document = effort, priced, document
        self.bill, self.switches = search.found
        counts = {line.key: line.count for line in lines(self.bill)}
        self.ticks = {key: n for key, n in self.ticks.items() if counts.get(key) == n}
        return True

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
        """A question was opened, or shut: {path, text}, text blank for shut."""
        name = message["path"]
        others = [other for other in self.opened if other != name]
        self.opened = [*others, name] if message["text"] and name in asking.QUESTIONS else others
        self.answers = {name: found for name, found in self.answers.items() if name in self.opened}

    def tick(self, message):
        """Put a line into the cart, or take it out: {line, count, text}, text blank for out."""
        key, count = str(message["line"]), int(message["count"])
        kept = {line: n for line, n in self.ticks.items() if line != key}
        self.ticks = kept | ({key: count} if message["text"] else {})


def is_large(scenario):
    """Whether there is more to search than `EFFORTS` are meant for."""
    return _size(scenario) > COMMON_SIZE


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


def _size(scenario):
    """Sowings times media. [count]"""
    return len(scenario.sowings) * len(scenario.media)


def _priced(scenario: Scenario):
    """The scenario without what makes no difference to the bill."""
    return replace(scenario, title="")


class _Search:
    """The search for a bill, which can be left off and taken up again."""

    def __init__(self, scenario, most_branches):
        self.found = None
        self._work = _bill(scenario, most_branches)

    def go_on(self, patience_s):
        """Go on for so long, or a little longer; whether it has come to its end."""
        until = monotonic() + patience_s
        while self.found is None:
            try:
                next(self._work)
            except StopIteration as end:
                self.found, self._work = end.value, None
            if monotonic() > until:
                break
        return self.found is not None


@lru_cache(maxsize=8)
def _search(scenario, most_branches):
    """Kept, since a price is often put back, and a search left off is taken up again."""
    return _Search(scenario, most_branches)


def _bill(scenario, most_branches):
    bill = yield from shop_piecemeal(scenario, most_branches)
    return bill, (yield from switches_piecemeal(scenario, bill))
