"""The questions at the shelf about one crop: which of the model's answers each one takes."""

from dataclasses import dataclass, field
from functools import lru_cache

from pennyflat.buying.plan import Plan
from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.bag_sizes import big_bag, next_year, unit_price_ladder
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.scenario.records import Scenario
from pennyflat.working.of_crop import working_of
from pennyflat.working.receipt import working_of_plan


@dataclass(frozen=True, slots=True)
class Asked:
    """What the questions are about."""

    scenario: Scenario
    row: int
    """Number of the sowing shown in detail."""
    planned: str | None
    """Its medium in the plan."""
    plan: Plan = field(compare=False)
    """The plan for all sowings."""
    weighed_cost: float
    """The plan's, which distinguishes it from a dearer one. [currency]"""
    litres: tuple[tuple[str, float], ...]
    """This year's use, by medium that leaves it ready. [L]"""

    @property
    def sowing(self):
        return self.scenario.sowings[self.row]


def asked_of(work):
    """What the questions are about now; needs an answer and a shopping list."""
    row = work.row_shown
    return Asked(
        work.scenario,
        row,
        work.errand.bill["plan"][row]["medium"],
        work.errand.plan,
        work.errand.plan.weighed_cost,
        tuple(
            (found["medium"], found["medium_litres"])
            for found in work.compared(row)
            if found["ready"]
        ),
    )


@lru_cache(maxsize=128)
def answer(name, asked):
    """
    The answer to one of `QUESTIONS`: values of the model's own classes.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> asked = Asked(read(DEMO), 0, "Seed starter mix", None, 0.0, ())
    >>> [ladder.medium for ladder in answer("bags", asked)[2]]
    ['Seed starter mix', 'Bulk potting mix']
    """
    return QUESTIONS[name](asked)


def offered(scenario, row):
    """The questions about a sowing that have an answer, in the order shown."""
    sowing, media = scenario.sowings[row], scenario.media
    has_bags = any(len(medium.packages) > 1 for medium in media)
    is_lean = any(remedies_compared(scenario, sowing, medium) for medium in media)
    has = {"bags": has_bags, "matters": True, "remedies": is_lean}
    return tuple(name for name in has if has[name])


def _bags(asked):
    scenario, media = asked.scenario, asked.scenario.media
    return (
        _found(big_bag(scenario, asked.sowing, medium) for medium in media),
        _found(next_year(scenario, scenario.medium(name), litres) for name, litres in asked.litres),
        _found(unit_price_ladder(scenario, medium) for medium in media if medium.packages),
    )


def _found(answers):
    return tuple(filter(None, answers))


def _of_planned(work_out):
    """A question about the crop in its planned medium; its answer is None without one."""

    def answered(asked):
        if asked.planned is None:
            return None
        return work_out(asked.scenario, asked.sowing, asked.scenario.medium(asked.planned))

    return answered


def _remedies(asked):
    media = asked.scenario.media
    return _found(remedies_compared(asked.scenario, asked.sowing, medium) for medium in media)


def _plan_working(asked):
    return working_of_plan(asked.scenario, asked.plan)


QUESTIONS = {
    "bags": _bags,
    "matters": _of_planned(what_matters),
    "remedies": _remedies,
    "crop_working": _of_planned(working_of),
    "plan_working": _plan_working,
}
"""The function that answers each question, in the order shown."""
