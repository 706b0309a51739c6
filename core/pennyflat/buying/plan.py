"""The plan: which mix for which sowing, and what to buy for all of them together.

It costs least when the share `left_over_counts` of the leftovers' worth is subtracted. The choice
of mixes is a mixed-integer linear program (`mix_model`); the caller passes in the function that
solves it. The purchases and their cost are then worked out exactly from the chosen mixes
(`basket`). Ties go to fewer packages, then to less left over.

Work that needs a solver is a generator: it yields programs as plain values (`milp`) and is sent
answers with `values`, `bound` and `proven`. `run` drives it with a function; the page sends the
programs to its solver and resumes with the answers.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice, product
from math import fsum, inf, prod
from typing import Any

from pennyflat.buying.basket import Basket, cheapest_basket
from pennyflat.buying.cover import Need
from pennyflat.buying.milp import Result, Solve, Work
from pennyflat.buying.mix_model import SECONDS, STEPS, TIE, MixModel
from pennyflat.buying.needs import Key, needs_of
from pennyflat.growing.cost import Requirement
from pennyflat.growing.outcomes import requirement_of
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import phrase, say

SAME = 1e-6
"""Difference in money below which a proof still holds: solvers use binary fractions. [currency]"""

MOST_TRIED = 12
"""Most mixes tried for all sowings together before any search. [count] Ours."""

MOST_ALIKE = 40
"""Most choices of equal cost that are searched for the one with least left over. [count] Ours."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A mix for every sowing that can be raised, and one purchase for all of them."""

    picks: tuple[Requirement | None, ...]
    """One for each sowing, in scenario order; None if no mix gets it ready to transplant."""
    why_not: tuple[str | None, ...]
    """A sentence for each sowing without a mix."""
    basket: Basket
    rest: float
    """Seed, containers, energy and labour, as used, that do not come in packages. [currency]"""
    weighed_cost: float
    """With the rest, less the leftovers' worth as far as it counts. [currency]"""
    proven: bool = False
    """Whether no other choice can cost less."""
    at_least: float = -inf
    """A lower bound on the weighed cost of any choice of mixes. [currency]"""

    @property
    def wanted(self) -> int:
        """Seedlings wanted of what can be raised. [count]"""
        return sum(pick.wanted for pick in self.picks if pick)

    @property
    def with_the_rest(self) -> float:
        """Packages, trips and the rest as used. [currency]"""
        return self.basket.total + self.rest

    @property
    def media(self) -> tuple[str | None, ...]:
        """The medium of each sowing, or None."""
        return tuple(pick.medium if pick else None for pick in self.picks)

    @property
    def order(self) -> tuple[float, float, int, float]:
        """Order of plans: by shortfall, then money, packages and leftovers."""
        missing = fsum(lack["short_by"] * STEPS[lack["measure"]] for lack in self.basket.unmet)
        left = fsum(left["amount"] * STEPS[left["measure"]] for left in self.basket.left_over)
        return missing, round(self.weighed_cost, 9), self.packages, round(left, 6)

    @property
    def packages(self) -> int:
        """Packages to buy. [count]"""
        return sum(sum(cover.counts) for cover in self.basket.covers)


def run(work: Work[Result], solve: Solve) -> Result:
    """
    Drive work that needs solutions with a function like `pennyflat.buying.highs.solve`.

    >>> def work():
    ...     answer = yield {"cost": [2.0]}
    ...     return answer["objective"]
    >>> run(work(), lambda program: {"objective": 3 * program["cost"][0]})
    6.0
    """
    answer = None
    while True:
        try:
            program = work.send(answer)
        except StopIteration as end:
            return end.value
        answer = None if program is None else solve(program)


class Planner:
    """
    The plans of one scenario.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.scenario.document import read
    >>> best = run(Planner(read(DEMO)).best(), solve)
    >>> best.media, best.proven
    (('Seed starter mix', 'Seed starter mix', 'Seed starter mix'), True)
    """

    def __init__(self, scenario: Scenario, table: list[list[Requirement]] | None = None) -> None:
        """`table` is as from `requirement_of.table`, which makes it by default."""
        self.scenario, self._table = scenario, table
        found = list(self._look_up())
        self.rows: list[dict[str, Requirement]] = [ready for ready, _ in found]
        """For each sowing, what it takes in the media it can be raised in, by their names."""
        self.why_not = tuple(why_not for _, why_not in found)
        self._start: Plan | None = None

    def _look_up(self):
        """The mixes each sowing can be raised in, or why there are none."""
        table = self._table or requirement_of.table(self.scenario)
        for sowing, row in zip(self.scenario.sowings, table, strict=True):
            row = [needed for needed in row if sowing.medium in (None, needed.medium)]
            ready = {needed.medium: needed for needed in row if needed.ready}
            yield ready, None if ready else _why_not(sowing, row)

    def needs(self, picks: Sequence[Requirement | None]) -> tuple[Need, ...]:
        """The needs of some picks, whether bought or in stock."""
        return needs_of(self.scenario, [pick for pick in picks if pick])

    def model(self) -> MixModel:
        """The choice of mixes as a program."""
        return MixModel(self.scenario, [(self.scenario, self.rows)])

    def start(self) -> Plan:
        """
        A good plan without a search.

        The best of each crop's cheapest as used, and of the mixes that cost least as used if all
        crops stand in one, all bought together.
        """
        if self._start is None:
            choices = dict.fromkeys(self._likely())
            self._start = min(map(self.of, choices), key=lambda plan: plan.order)
        return self._start

    def _likely(self):
        yield tuple(min(row, key=lambda m: row[m].each.total, default=None) for row in self.rows)
        yield from sorted(self._one_mix(), key=self._as_used)[:MOST_TRIED]

    def _one_mix(self):
        """The choice of each medium for all sowings, of those that serve every one left open."""
        for medium in self.scenario.media:
            choice = tuple(
                medium.name if medium.name in row else sowing.medium if row else None
                for sowing, row in zip(self.scenario.sowings, self.rows, strict=True)
            )
            if list(map(bool, choice)) == list(map(bool, self.rows)):
                yield choice

    def _as_used(self, media):
        """What a choice costs if everything is used up. [currency]"""
        picks = [row[medium] for row, medium in zip(self.rows, media, strict=True) if medium]
        return fsum(pick.wanted * pick.each.total for pick in picks)

    def best(self, *, other_than: Plan | None = None, seconds: float = SECONDS) -> Work[Any]:
        """
        The plan that costs least, as work that needs solutions.

        It is searched for `seconds`; `proven` is False only if they ran out, and `at_least` is then
        a true bound. The choice of mixes of `other_than` is excluded; None if there is no other.
        """
        if not any(self.rows):
            none = self.start()
            return None if other_than else replace(none, proven=True, at_least=none.weighed_cost)
        best = None if other_than else self.start()
        yield None  # the start can be shown before the program is written
        model = self.model()
        if other_than:
            model.forbid(other_than.media)
        shortfall = model.shortfall()
        if shortfall:
            answer = yield model.document(seconds=seconds, cost=shortfall)
            if answer["values"] is None:
                return best
            model.hold_shortfall(answer["objective"] if answer["objective"] > 1e-6 else 0.0)
        while True:
            start = None
            if best and not shortfall:
                start = model.start_from(best.media, self.needs(best.picks), best.basket.covers)
            answer = yield model.document(start=start, seconds=seconds)
            bound = -inf if answer["bound"] is None else model.constant + answer["bound"]
            at_least = bound - TIE * model.most_packages
            if answer["values"] is None:
                # All choices are exhausted, or nothing was found in time.
                is_all = answer["status"] == "infeasible"
                at_least = best.weighed_cost if best and is_all else at_least
                return best and replace(best, proven=is_all, at_least=at_least)
            found = self.of(model.media(answer["values"]))
            if best is None or found.order < best.order:
                best = found
            if not answer["proven"]:
                return replace(best, at_least=min(at_least, best.weighed_cost))
            if min(plan.weighed_cost + TIE * plan.packages for plan in (found, best)) <= (
                bound + SAME
            ):
                if other_than is None:
                    best = self._less_left(best)
                return replace(best, proven=True, at_least=best.weighed_cost)
            # The purchase is within the solver's tolerance but not exact: try the other choices.
            model.forbid(found.media)

    def _less_left(self, best):
        """
        The plan, or one with other mixes that costs the same and leaves less over.

        If there are many, only some that change the mix of a single sowing are tried.
        """
        now = best.media
        alike = [
            [name for name, needed in row.items() if abs(needed.rest - pick.rest) < SAME]
            if pick
            else [None]
            for row, pick in zip(self.rows, best.picks, strict=True)
        ]
        if prod(map(len, alike)) <= MOST_ALIKE:
            choices = product(*alike)
        else:
            choices = (
                (*now[:number], medium, *now[number + 1 :])
                for number, media in enumerate(alike)
                for medium in media
            )
        others = [self.of(media) for media in islice(choices, MOST_ALIKE) if media != now]
        return min([best, *others], key=lambda plan: plan.order)

    def of(self, media: Sequence[str | None]) -> Plan:
        """The cheapest plan with given mixes, one for each sowing, which `rows` have."""
        scenario = self.scenario
        picks = tuple(row.get(medium or "") for row, medium in zip(self.rows, media, strict=True))
        needs = self.needs(picks)
        basket = cheapest_basket(
            needs,
            stores=scenario.stores,
            tax=scenario.tax,
            budget=scenario.budget,
            left_over_counts=scenario.left_over_counts,
        )
        rest = fsum(pick.rest for pick in picks if pick)
        weighed = basket.total + rest
        if scenario.left_over_counts:
            left = [left["worth"] for left in basket.left_over] + self._left_at_home(picks, needs)
            weighed -= scenario.left_over_counts * fsum(left)
        return Plan(picks, self.why_not, basket, rest, weighed)

    def worth_at_home(self) -> float:
        """Worth of the stock that some choice needs; 0 if leftovers do not count."""
        return fsum(stock * worth for stock, worth in self._home.values())

    def left_at_home(self, picks: Sequence[Requirement | None]) -> dict[Key, float]:
        """By the key of a need, or of a blend, the worth of the stock these picks leave."""
        used: defaultdict[Key, float] = defaultdict(float)
        for need in self.needs(picks):
            used[need.key] = min(need.stock, need.amount) * (1 - need.keeps)
        for pick in filter(None, picks):
            for medium, litres in pick.litres.items():
                used["mixed", medium, ()] += litres
        return {
            key: max(0.0, stock - used[key]) * worth for key, (stock, worth) in self._home.items()
        }

    def _left_at_home(self, picks, needs):
        """Worth of stock that this choice does not need. [currency]"""
        seen = {need.key for need in needs}
        return [left for key, left in self.left_at_home(picks).items() if key not in seen]

    @cached_property
    def _home(self):
        return self.model().at_home


def _why_not(sowing, row):
    if not row:
        return phrase("There is no mix to choose from.")
    latest = max(row, key=lambda needed: needed.stalls_in_week or -inf)
    if sowing.medium:
        return latest.why_not
    gaps = {"crop": sowing.crop, "medium": latest.medium, "why_not": latest.why_not}
    return say("No mix brings {crop} to transplanting. {medium}: {why_not}", **gaps)
