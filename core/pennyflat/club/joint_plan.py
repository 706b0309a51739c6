"""The plan for several members' sowings together, where each uses their own stock."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import fsum
from typing import TypeVar

from pennyflat.buying.cover import TOLERANCE, Need
from pennyflat.buying.milp import Work
from pennyflat.buying.mix_model import MixModel
from pennyflat.buying.needs import Key, told_apart
from pennyflat.buying.plan import Plan, Planner
from pennyflat.club.joint_shelf import JointShelf, joint_shelf
from pennyflat.growing.cost import Requirement
from pennyflat.scenario.records import Scenario

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class Member:
    """A member of those who buy together."""

    name: str
    own: Scenario
    alone: Plan
    """For their own scenario."""
    planner: Planner
    """For their own scenario on the joint shelf."""


def members_of(scenarios: dict[str, Scenario], shelf: JointShelf) -> Work[list[Member]]:
    """Members with the plans they would follow alone, as work that needs solutions."""
    found = []
    for (name, own), guest in zip(scenarios.items(), shelf.scenarios, strict=True):
        alone = yield from Planner(own).best()
        found.append(Member(name, own, alone, Planner(guest)))
    return found


def by_themselves(members: Sequence[Member]) -> list[Member]:
    """Some members on a shelf without the others."""
    shelf = joint_shelf({member.name: member.own for member in members})
    return [
        replace(member, planner=Planner(guest))
        for member, guest in zip(members, shelf.scenarios, strict=True)
    ]


class JointPlanner(Planner):
    """
    The plans of several members together, at least one.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> scenarios = {"Ann": read(DEMO), "Ben": read(DEMO)}
    >>> two = JointPlanner(run(members_of(scenarios, joint_shelf(scenarios)), solve))
    >>> best = run(two.best(), solve)
    >>> set(best.media), best.basket.total
    ({'Seed starter mix'}, 53.6)
    """

    def __init__(self, members: Sequence[Member]) -> None:
        self.members = tuple(members)
        self._planners = [member.planner for member in members]
        scenarios = [planner.scenario for planner in self._planners]
        mixes = {medium.name: medium for scenario in scenarios for medium in scenario.media}
        sowings = tuple(sowing for scenario in scenarios for sowing in scenario.sowings)
        market = replace(scenarios[0], title="", budget=None, trials=())
        super().__init__(replace(market, media=tuple(mixes.values()), sowings=sowings))

    def _look_up(self):
        for planner in self._planners:
            yield from zip(planner.rows, planner.why_not, strict=True)

    def start(self) -> Plan:
        """The start of a `Planner`, or what the members would do alone if that is better."""
        if self._start is None:
            own = [medium for member in self.members for medium in member.alone.media]
            media = tuple(
                medium if medium in row else next(iter(row), None)
                for row, medium in zip(self.rows, own, strict=True)
            )
            self._start = min(super().start(), self.of(media), key=lambda plan: plan.order)
        return self._start

    def by_member(self, things: Sequence[Thing]) -> Iterator[Sequence[Thing]]:
        """The things for each sowing, member by member."""
        left = iter(things)
        for planner in self._planners:
            yield tuple(islice(left, len(planner.rows)))

    def shared(self, picks: Sequence[Requirement | None]) -> list[tuple[Need, list[float]]]:
        """What must be bought after everyone's stock, and how much of it for each. [measure]"""
        needs: dict[Key, Need] = {}
        lacks: defaultdict[Key, list[float]] = defaultdict(lambda: [0.0] * len(self.members))
        for place, own in enumerate(map(Planner.needs, self._planners, self.by_member(picks))):
            for key, need in zip(told_apart(own), own, strict=True):
                lack = need.amount - need.stock
                if lack > need.amount * TOLERANCE:
                    needs[key], lacks[key][place] = need, lack
        return [
            (replace(needs[key], amount=fsum(parts), stock=0.0), parts)
            for key, parts in lacks.items()
        ]

    def needs(self, picks: Sequence[Requirement | None]) -> tuple[Need, ...]:
        """What must be bought for everyone, after their stock."""
        return tuple(need for need, _ in self.shared(picks))

    def model(self) -> MixModel:
        """The choice of mixes as a program."""
        return MixModel(self.scenario, [(one.scenario, one.rows) for one in self._planners])

    def _left_at_home(self, picks, needs):
        found = map(Planner.left_at_home, self._planners, self.by_member(picks))
        return [left for own in found for left in own.values()]
