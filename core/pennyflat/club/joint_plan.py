"""The plan for several members' sowings together, where each uses their own stock."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Any, TypeVar

from pennyflat.buying.cover import Need
from pennyflat.buying.milp import Work
from pennyflat.buying.mix_model import MixModel
from pennyflat.buying.needs import bought_together
from pennyflat.buying.plan import Plan, Planner
from pennyflat.club.joint_shelf import JointShelf, joint_shelf
from pennyflat.growing.cost import Requirement
from pennyflat.scenario.package import TRAYS
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
    """
    Members with the plans they would follow alone, as work that needs solutions.

    Parameters
    ----------
    scenarios : dict of str to Scenario
        By the member's name.
    shelf : JointShelf
        The members' shelf.

    Returns
    -------
    list of Member

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> scenarios = {"Ann": read(DEMO)}
    >>> [ann] = run(members_of(scenarios, joint_shelf(scenarios)), solve)
    >>> ann.alone.basket.total
    31.3
    """
    found = []
    for (name, own), guest in zip(scenarios.items(), shelf.scenarios, strict=True):
        alone = yield from Planner(own).best()
        found.append(Member(name, own, alone, Planner(guest)))
    return found


def by_themselves(members: Sequence[Member]) -> list[Member]:
    """
    Some members on a shelf without the others.

    Parameters
    ----------
    members : sequence of Member

    Returns
    -------
    list of Member

    Examples
    --------
    >>> by_themselves([])
    []
    """
    shelf = joint_shelf({member.name: member.own for member in members})
    return [
        replace(member, planner=Planner(guest))
        for member, guest in zip(members, shelf.scenarios, strict=True)
    ]


class JointPlanner(Planner):
    """
    The plans of several members together.

    Parameters
    ----------
    members : sequence of Member
        At least one.

    Examples
    --------
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
            places = tuple(
                next((i for i, needed in enumerate(row) if needed.medium == medium), 0)
                if row
                else None
                for row, medium in zip(self.rows, own, strict=True)
            )
            self._start = min(super().start(), self.of(places), key=lambda plan: plan.order)
        return self._start

    def by_member(self, things: Sequence[Thing]) -> Iterator[Sequence[Thing]]:
        """The things for each sowing, member by member."""
        done = 0
        for planner in self._planners:
            yield things[done : done + len(planner.rows)]
            done += len(planner.rows)

    def missing(self, picks: Sequence[Requirement | None]) -> dict[tuple[Any, ...], list[float]]:
        """What must be bought for each member; as from `needs.bought_together`. [measure]"""
        own = zip(self._planners, self.by_member(picks), strict=True)
        return bought_together(planner.needs(mine) for planner, mine in own)

    def needs(self, picks: Sequence[Requirement | None]) -> tuple[Need, ...]:
        """What must be bought for everyone, after their stock."""
        kept = {
            tray.name: max(0.0, 1 - 1 / tray.uses)
            for planner in self._planners
            for tray in planner.scenario.trays
        }
        return tuple(
            Need(
                item,
                measure,
                fsum(lacks),
                packages,
                keeps=kept[item] if measure == TRAYS else 0.0,
            )
            for (item, measure, packages, _), lacks in self.missing(picks).items()
        )

    def model(self) -> MixModel:
        """The choice of mixes as a program."""
        return MixModel(self.scenario, [(one.scenario, one.rows) for one in self._planners])

    def _left_at_home(self, picks, needs):
        own = zip(self._planners, self.by_member(picks), strict=True)
        return [left for planner, mine in own for _, left in planner.left_at_home(mine)]
