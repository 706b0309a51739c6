"""The questions before paying about the crop shown, and the model's answer to each."""

from collections import namedtuple

from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.bag_sizes import big_bag, next_year, unit_price_ladder
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.working.of_crop import working_of
from pennyflat.working.receipt import working_of_plan

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
    is_lean = bool(_remedies_of(scenario, row))
    has = {"bags": has_bags, "matters": True, "remedies": is_lean}
    return tuple(name for name in has if has[name])


def _remedies_of(scenario, row):
    sowing = scenario.sowings[row]
    return _found(remedies_compared(scenario, sowing, medium) for medium in scenario.media)


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
    "remedies": lambda work: _remedies_of(work.scenario, work.row_shown),
    "crop_working": _of_planned(working_of),
    "plan_working": lambda work: working_of_plan(work.scenario, work.errand.plan),
}
"""What answers each question about a `Work`: values of the model's own classes."""
