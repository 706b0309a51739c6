"""The shopping list: which mix for which planting, and what to buy for all of them together.

Plantings with a `medium` keep it; the others are chosen for, jointly, among the media that leave
them ready, so that packages, trips and the as-used cost of seed, containers, energy and labour are
least over the whole scenario (see `mix_search`). The list is plain JSON values in the format
"seedling-costs-shopping/1" (DEVELOPERS.md describes every key).
"""

from dataclasses import dataclass
from math import fsum, inf

from pennyflat.basket import Basket, cheapest_basket
from pennyflat.cost import Requirement, requirement
from pennyflat.joint_cost import JointCost
from pennyflat.mix_search import MOST_BRANCHES, least_choice_piecemeal
from pennyflat.needs import needs_of
from pennyflat.piecemeal import to_the_end
from pennyflat.saying import phrase, say

FORMAT = "seedling-costs-shopping/1"


@dataclass(frozen=True, slots=True)
class Plan:
    """A mix for every planting that one leaves ready, and what is bought for them together."""

    picks: tuple[Requirement | None, ...]
    """One for each planting, in scenario order; None where nothing leaves it ready."""
    why_not: tuple[str | None, ...]
    """A sentence for each planting without a pick."""
    basket: Basket
    rest: float
    """As-used seed, containers, energy and labour. [currency]"""

    @property
    def with_the_rest(self):
        """Packages, trips and the as-used rest. [currency]"""
        return self.basket.total + self.rest


@dataclass(frozen=True, slots=True)
class BestPlan:
    """The plan that costs least with the rest."""

    plan: Plan
    proven: bool
    """Whether no other choice of mixes can cost less."""
    at_least: float
    """What any choice of mixes costs with the rest, or more. [currency]"""


def best_plan(scenario, *, most_branches=MOST_BRANCHES):
    """
    The joint choice of mixes that costs least, and its basket.

    Parameters
    ----------
    scenario : Scenario
    most_branches : int, default 4000
        Work after which the search stops without a proof. Random scenarios with mixes of like price
        took up to 135 for 5 media and 6 plantings; of 12 with 12 media and 12 plantings two were
        not proven at 4000, after 2 to 3 s of computing (tests/bench/bench_plan.py). [count]

    Returns
    -------
    BestPlan
        `proven` is False only where the search had to stop early; `at_least` is then a true bound.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> best = best_plan(read(DEMO))
    >>> {needed.crop: needed.medium for needed in best.plan.picks}
    {'tomato': 'Seed starter mix', 'lettuce': 'Seed starter mix', 'marigold': 'Seed starter mix'}
    >>> best.plan.with_the_rest, best.proven
    (39.97, True)
    """
    return to_the_end(_best_plan(scenario, to_the_end(_options(scenario)), most_branches))


def _best_plan(scenario, options, most_branches):
    open_rows = [row for row, _ in options if row]
    choice = yield from least_choice_piecemeal(scenario, open_rows, most_branches)
    picks = iter(choice.picks)
    plan = _plan(scenario, options, [next(picks) if row else None for row, _ in options])
    return BestPlan(plan, choice.proven, choice.at_least)


def single_mix_plans(scenario):
    """
    One mix for all plantings that leave theirs open, for each medium that leaves all of them ready.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    list of (str, Plan)
        Medium and plan, those that meet every need first, by cost with the rest.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> for medium, plan in single_mix_plans(read(DEMO)):
    ...     print(medium, round(plan.with_the_rest, 2))
    Seed starter mix 39.97
    Bulk potting mix 51.62
    Home blend 73.08
    """
    return to_the_end(_single_mix_plans(scenario, to_the_end(_options(scenario))))


def _single_mix_plans(scenario, options):
    found = []
    for medium in scenario.media:
        picks = [
            next(
                (needed for needed in row if planting.medium or needed.medium == medium.name), None
            )
            for planting, (row, _) in zip(scenario.plantings, options, strict=True)
        ]
        if all(pick or not row for pick, (row, _) in zip(picks, options, strict=True)):
            found.append((medium.name, _plan(scenario, options, picks)))
        yield
    return sorted(found, key=lambda pair: _order(pair[1]))


def own_mix_plan(scenario):
    """
    Each planting insisting on the mix that is cheapest for it alone, all bought together.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    Plan

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> round(own_mix_plan(read(DEMO)).with_the_rest, 2)
    39.97
    """
    return to_the_end(_own_mix_plan(scenario, to_the_end(_options(scenario))))


def _own_mix_plan(scenario, options):
    joint = JointCost(scenario, [row for row, _ in options])
    picks = []
    for place, (row, _) in enumerate(options):
        best = joint.cheapest_alone(place)
        picks.append(None if best is None else row[best])
        yield
    return _plan(scenario, options, picks)


def shop(scenario, *, most_branches=MOST_BRANCHES):
    """
    The shopping list of a scenario.

    Parameters
    ----------
    scenario : Scenario
    most_branches : int, default 4000
        As for `best_plan`. [count]

    Returns
    -------
    dict
        The report: `plan`, `stores` with their `items`, `packages_paid`, `trips_paid`, `total`,
        `with_the_rest`, `over_budget_by` [currency], `left_over`, `unmet`; beyond these `proven`
        and `at_least` [currency], see `best_plan`, and `other_plans`: `one_mix`, a list by
        `medium`, and `each_its_own`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> bill = shop(read(DEMO))
    >>> [(item["item"], item["count"]) for item in bill["stores"][0]["items"]]
    [('Seed starter mix', 1), ('Soluble feed 20-20-20', 1)]
    """
    return to_the_end(shop_piecemeal(scenario, most_branches))


def shop_piecemeal(scenario, most_branches):
    """As `shop`, as work that can be left off; see `piecemeal`."""
    options = yield from _options(scenario)
    best = yield from _best_plan(scenario, options, most_branches)
    one_mix = yield from _single_mix_plans(scenario, options)
    its_own = yield from _own_mix_plan(scenario, options)
    plan, basket = best.plan, best.plan.basket
    rows = list_rows(basket)
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "plan": plan_rows(scenario, plan),
        "stores": rows["stores"],
        "packages_paid": rows["packages_paid"],
        "trips_paid": rows["trips_paid"],
        "total": rows["total"],
        "with_the_rest": plan.with_the_rest,
        "over_budget_by": basket.over_budget_by,
        "left_over": rows["left_over"],
        "unmet": rows["unmet"],
        "proven": best.proven,
        "at_least": best.at_least,
        "other_plans": {
            "one_mix": [{"medium": medium, **_other(scenario, other)} for medium, other in one_mix],
            "each_its_own": _other(scenario, its_own),
        },
    }


def plan_rows(scenario, plan):
    """
    Which mix each planting got, as in a shopping report.

    Parameters
    ----------
    scenario : Scenario
    plan : Plan
        A plan of it.

    Returns
    -------
    list of dict
        `crop` and `medium`; where none leaves it ready, `medium` is None and `why_not` says so.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> plan_rows(demo, own_mix_plan(demo))[0]["crop"]
    'tomato'
    """
    return [
        {"crop": planting.crop, "medium": pick.medium}
        if pick
        else {"crop": planting.crop, "medium": None, "why_not": why_not}
        for planting, pick, why_not in zip(
            scenario.plantings, plan.picks, plan.why_not, strict=True
        )
    ]


def list_rows(basket):
    """
    A basket as in a shopping report.

    Parameters
    ----------
    basket : Basket

    Returns
    -------
    dict
        `stores` with their `items`, `packages_paid`, `trips_paid`, `total` [currency], `left_over`
        and `unmet` [their measure].

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> [row["store"] for row in list_rows(own_mix_plan(read(DEMO)).basket)["stores"]]
    ['Corner shop']
    """
    return {
        "stores": [
            {
                "store": bill.store,
                "trip_cost": bill.trip_cost,
                "subtotal": bill.subtotal,
                "items": [
                    {
                        "item": line.item,
                        "size": line.package.size,
                        "unit": line.package.unit,
                        "count": line.count,
                        "paid": line.paid,
                    }
                    for line in bill.lines
                ],
            }
            for bill in basket.stores
        ],
        "packages_paid": basket.packages_paid,
        "trips_paid": basket.trips_paid,
        "total": basket.total,
        "left_over": [
            {"item": left.item, "amount": left.amount, "measure": left.measure, "worth": left.worth}
            for left in basket.left_over
        ],
        "unmet": [
            {"item": lack.item, "short_by": lack.short_by, "measure": lack.measure}
            for lack in basket.unmet
        ],
    }


def _options(scenario):
    """For each planting the requirements that leave it ready, and why there are none if so."""
    found = []
    for planting in scenario.plantings:
        allowed = [m for m in scenario.media if planting.medium in (None, m.name)]
        row = [requirement(scenario, planting, medium) for medium in allowed]
        ready = [needed for needed in row if needed.ready]
        found.append((ready, None if ready else _why_not(planting, row)))
        yield
    return found


def _why_not(planting, row):
    if not row:
        return phrase("There is no growing medium to choose from.")
    latest = max(row, key=lambda needed: needed.stalls_in_week or -inf)
    if planting.medium:
        return latest.why_not
    return say(
        "No medium brings {crop} to transplanting. In {medium}: {why_not}",
        crop=planting.crop,
        medium=latest.medium,
        why_not=latest.why_not,
    )


def _plan(scenario, options, picks):
    chosen = [pick for pick in picks if pick]
    basket = cheapest_basket(
        needs_of(scenario, chosen),
        stores=scenario.stores,
        tax=scenario.tax,
        budget=scenario.budget,
    )
    rest = fsum(pick.costs.besides_packages for pick in chosen)
    return Plan(tuple(picks), tuple(why_not for _, why_not in options), basket, rest)


def _order(plan):
    """Plans that meet every need first, then the cheapest."""
    return bool(plan.basket.unmet), plan.with_the_rest


def _other(scenario, plan):
    return {
        "plan": plan_rows(scenario, plan),
        "total": plan.basket.total,
        "with_the_rest": plan.with_the_rest,
        "unmet": list_rows(plan.basket)["unmet"],
    }
