"""The plan for several members' sowings together, each using what is at home for itself."""

from dataclasses import replace
from math import fsum

from pennyflat.cover import Need
from pennyflat.mix_model import MixModel
from pennyflat.needs import bought_together
from pennyflat.package import TRAYS
from pennyflat.plan import Planner


class JointPlanner(Planner):
    """
    The plans of several members together.

    Parameters
    ----------
    planners : sequence of Planner
        Each member's, of scenarios on a joint shelf; at least one.
    media : sequence of (str or None)
        For all sowings in order, the mixes of a plan to begin with: each member's own.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.highs import solve
    >>> from pennyflat.plan import run
    >>> from pennyflat.scenario import read
    >>> two = JointPlanner([Planner(read(DEMO))] * 2, ["Bulk potting mix"] * 6)
    >>> best = run(two.best(), solve)
    >>> set(best.media), best.basket.total
    ({'Seed starter mix'}, 53.6)
    """

    def __init__(self, planners, media):
        self._planners, self._begin_with = tuple(planners), tuple(media)
        scenarios = [planner.scenario for planner in planners]
        mixes = {medium.name: medium for scenario in scenarios for medium in scenario.media}
        sowings = tuple(sowing for scenario in scenarios for sowing in scenario.sowings)
        market = replace(scenarios[0], title="", budget=None, trials=())
        super().__init__(replace(market, media=tuple(mixes.values()), sowings=sowings))

    def _look_up(self):
        for planner in self._planners:
            yield from zip(planner.rows, planner.why_not, strict=True)

    def start(self):
        """As of a `Planner`, or what the members would do by themselves, where that is better."""
        if self._start is None:
            places = tuple(
                next((i for i, needed in enumerate(row) if needed.medium == medium), 0)
                if row
                else None
                for row, medium in zip(self.rows, self._begin_with, strict=True)
            )
            self._start = min(super().start(), self.of(places), key=lambda plan: plan.order)
        return self._start

    def by_member(self, things):
        """What there is for each sowing, member by member."""
        done = 0
        for planner in self._planners:
            yield things[done : done + len(planner.rows)]
            done += len(planner.rows)

    def missing(self, picks):
        """What each member has to have bought; as from `needs.bought_together`. [measure]"""
        own = zip(self._planners, self.by_member(picks), strict=True)
        return bought_together(planner.needs(mine) for planner, mine in own)

    def needs(self, picks):
        """What has to be bought for all, after what is at home."""
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

    def model(self):
        """The choice of mixes as a program."""
        households = [(planner.scenario, planner.rows) for planner in self._planners]
        return MixModel(self.scenario, self.rows, households=households)

    def _left_at_home(self, picks, needs):
        own = zip(self._planners, self.by_member(picks), strict=True)
        return [left for planner, mine in own for _, left in planner.left_at_home(mine)]
