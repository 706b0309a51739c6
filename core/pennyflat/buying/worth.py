"""What one package on the shelf is worth to the plan.

If the plan buys it, the package is worth the extra cost of the plan without it. If not, the
question is what the cheapest plan with it would cost. Leftovers are valued alike on both sides, at
the prices of the whole shelf. Work that needs solutions is a generator, as in `plan`.
"""

from dataclasses import replace
from math import floor

from pennyflat.buying.milp import Work
from pennyflat.buying.mix_model import TIE
from pennyflat.buying.plan import SAME, Plan, Planner
from pennyflat.buying.shopping import line_said
from pennyflat.buying.turns import HUNDREDTH, with_package
from pennyflat.scenario.package import contents, price_per
from pennyflat.scenario.records import Medium, Store
from pennyflat.sentences import GOODS, Listed, Money, Said, say
from pennyflat.units import GRAMS, LITRES

FAR_AWAY = 1000
"""Price that rules a way out, as a multiple of the plan's cost. Ours."""

PLACES = 4
"""Decimals to which the cost of a plan with a package is known, since it includes the solver's tie
rule; see `mix_model.TIE`. [count]"""

SEEN = 0.0005
"""Least difference in the price of one unit that shows in three decimals. [currency]"""


def worth_of(planner: Planner, plan: Plan, place: tuple[str | int, ...]) -> Work[Said | None]:
    """
    What one package is worth to a plan.

    The `plan` is the best one, proven. The `place` is ("media", row, package), ("ingredients", row,
    package) or ("feed", package), counted from 0. The answer is a sentence: what the plan saves by
    buying it, or costs more with it, a hundredth or more; that nothing else will do, no choice of
    mixes takes any, the stock is enough or its limit is 0. None if the plan is unproven or limits
    leave it short.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> planner = Planner(read(DEMO))
    >>> best = run(planner.best(), solve)
    >>> print(run(worth_of(planner, best, ("media", 0, 1)), solve))
    2.00 USD less than with 2 × Seed starter mix 8 qt_dry: worth it.
    """
    if not plan.proven or plan.basket.unmet or not any(plan.picks):
        return None
    kind, *row, number = place
    rows = getattr(planner.scenario, str(kind))
    item = rows[row[0]] if row else rows
    package = item.packages[number]
    if plan.basket.counts[item.name, package]:
        return (yield from _worth_of_bought(planner, plan, item, package))
    if package.limit == 0:
        return say("It is not to be had: its limit is 0.")
    return (yield from _worth_of_other(planner, plan, item, number))


def _worth_of_bought(planner, plan, item, package):
    """For a package in the plan: what the plan costs without it."""
    scenario = planner.scenario
    elsewhere = Store("\n", FAR_AWAY * (floor(plan.with_the_rest) + 10))
    far = with_package(scenario, item.name, package, store=elsewhere.name)
    other = yield from Planner(replace(far, stores=(*scenario.stores, elsewhere))).best()
    if elsewhere.name in other.basket.trips:
        other = yield from Planner(with_package(scenario, item.name, package, limit=0)).best()
        if other.basket.unmet:
            return say("Your crops need it: nothing else on the shelf does in its place.")
    if not other.proven:
        return None
    saves = max(0.0, other.weighed_cost - plan.weighed_cost)
    instead = (other.basket.counts - plan.basket.counts).items()
    others = Listed(tuple(line_said(count, *bought) for bought, count in instead), "and")
    if saves < HUNDREDTH - SAME:
        if instead:
            return say("It costs the same as {others}.", others=others)
        return say("It costs the same without it.")
    money = Money(saves, scenario.currency)
    if instead:
        return say("{saves} less than with {others}: worth it.", saves=money, others=others)
    return say("{saves} less than without it: worth it.", saves=money)


def _worth_of_other(planner, plan, item, number):
    """For a package outside the plan: the extra cost of a plan with it."""
    model = planner.model()
    if not model.require(item.name, item.packages, number):
        return say("Nothing you raise takes any of it.")
    model.hold_shortfall(0.0)
    answer = yield model.document()
    if answer["status"] == "infeasible":
        return say("What is at home is enough.")
    if not answer["proven"]:
        return None
    cost = model.constant + answer["objective"]
    more = round(max(0.0, cost - plan.weighed_cost - TIE * plan.packages), PLACES)
    if more < HUNDREDTH - SAME:
        return say("It would cost the same as what the plan buys.")
    return _worse(planner.scenario, plan, item, item.packages[number], more)


def _worse(scenario, plan, item, package, more):
    """Why a package that the plan leaves out is no better: against one of the same purpose."""
    gaps = {"more": Money(more, scenario.currency)}
    if (line := _against(scenario, plan, item, package)) is None:
        return say("No better: with it the plan would cost {more} more.", **gaps)
    other = line.package
    per, less = _per_unit(package, other)
    less *= 1 + scenario.tax
    gaps |= {"size": other.size, "unit": other.unit, "item": line.item, "per": per}
    gaps["price"] = Money(other.price, scenario.currency)
    gaps["less"] = Money(abs(less), scenario.currency)
    if abs(less) < SEEN:
        return say(
            "No better: one {per} costs the same as in {size:g} {unit} of {item} for {price}, and"
            " with it the plan would cost {more} more.",
            **gaps,
        )
    if less < 0:
        return say(
            "No better for your crops: one {per} costs {less} less than in {size:g} {unit} of"
            " {item} for {price}, but with it the plan would cost {more} more.",
            **gaps,
        )
    return say("No better: {size:g} {unit} of {item} for {price} is {less} less per {per}.", **gaps)


def _against(scenario, plan, item, package):
    """The line of the plan that serves the same purpose and costs most; None without one."""
    serving = {(item.name, other) for other in item.packages}
    if isinstance(item, Medium) and not serving & plan.basket.counts.keys():
        mixes = [scenario.medium(pick.medium) for pick in plan.picks if pick]
        rows = [*mixes, *(scenario.ingredient(part.ingredient) for m in mixes for part in m.parts)]
        serving = {(row.name, other) for row in rows for other in row.packages}
    alike = [
        line
        for line in plan.basket.lines
        if (line.item, line.package) in serving
        and contents(line.package).keys() & contents(package) & set(GOODS)
    ]
    return max(alike, key=lambda line: line.paid, default=None)


def _per_unit(package, other):
    """A unit that fits both packages, the first one's if possible, and how much dearer it is."""
    measure = "L" if "L" in contents(package).keys() & contents(other) else "g"
    sizes = LITRES if measure == "L" else GRAMS
    is_own = package.unit in sizes and (package.yields_l is None or measure == "g")
    unit = package.unit if is_own else measure
    return unit, (price_per(package, measure) - price_per(other, measure)) * sizes[unit]
