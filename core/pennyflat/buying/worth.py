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
from pennyflat.buying.turns import HUNDREDTH
from pennyflat.growing.medium import parts_per_litre
from pennyflat.scenario.package import amount_in, contents
from pennyflat.scenario.records import Store
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

    Parameters
    ----------
    planner : Planner
    plan : Plan
        The best one, proven.
    place : tuple
        ("media", row, package), ("ingredients", row, package) or ("feed", package), counted from 0.

    Returns
    -------
    Said or None
        A sentence: what the plan saves by buying it, or costs more with it, a hundredth or more;
        that nothing else will do, no choice of mixes takes any, the stock is enough or its limit is
        0. None if the plan is unproven or limits leave it short.

    Examples
    --------
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
    item, packages, number = _at(planner.scenario, place)
    if _is_bought(planner, plan, item, packages, number):
        return (yield from _worth_of_bought(planner, plan, place))
    if packages[number].limit == 0:
        return say("It is not to be had: its limit is 0.")
    return (yield from _worth_of_other(planner, plan, place))


def _worth_of_bought(planner, plan, place):
    """For a package in the plan: what the plan costs without it."""
    scenario = planner.scenario
    elsewhere = Store("\n", FAR_AWAY * (floor(plan.with_the_rest) + 10))
    far = replace(
        _with(scenario, place, store=elsewhere.name), stores=(*scenario.stores, elsewhere)
    )
    other = yield from Planner(far).best()
    if elsewhere.name in {bill.store for bill in other.basket.stores}:
        other = yield from Planner(_with(scenario, place, limit=0)).best()
        if other.basket.unmet:
            return say("Your crops need it: nothing else on the shelf does in its place.")
    if not other.proven:
        return None
    saves = max(0.0, other.weighed_cost - plan.weighed_cost)
    instead = (other.basket.counts - plan.basket.counts).items()
    lines = (line_said(count, item, package) for (item, package), count in instead)
    others = Listed(tuple(lines), "and")
    if saves < HUNDREDTH - SAME:
        if instead:
            return say("It costs the same as {others}.", others=others)
        return say("It costs the same without it.")
    money = Money(saves, scenario.currency)
    if instead:
        return say("{saves} less than with {others}: worth it.", saves=money, others=others)
    return say("{saves} less than without it: worth it.", saves=money)


def _worth_of_other(planner, plan, place):
    """For a package outside the plan: the extra cost of a plan with it."""
    scenario, model = planner.scenario, planner.model()
    if not model.require(*_at(scenario, place)):
        return say("Nothing you raise takes any of it.")
    if model.shortfall():
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
    return _worse(scenario, plan, place, more)


def _at(scenario, place):
    """The item at a place, its packages, and which of them the place means."""
    kind, *rest, number = place
    row = scenario.feed if kind == "feed" else getattr(scenario, kind)[rest[0]]
    return row.name, row.packages, number


def _with(scenario, place, **changed):
    """The scenario with changes to the package at a place."""
    kind, *rest, number = place
    rows = [scenario.feed] if kind == "feed" else list(getattr(scenario, kind))
    index = rest[0] if rest else 0
    packages = list(rows[index].packages)
    packages[number] = replace(packages[number], **changed)
    rows[index] = replace(rows[index], packages=tuple(packages))
    return replace(scenario, **{kind: rows[0] if kind == "feed" else tuple(rows)})


def _is_bought(planner, plan, item, packages, number):
    needs = planner.needs(plan.picks)
    return any(
        cover.counts[number]
        for need, cover in zip(needs, plan.basket.covers, strict=True)
        if (need.item, need.packages) == (item, packages)
    )


def _worse(scenario, plan, place, more):
    """Why a package that the plan leaves out is no better: against one of the same purpose."""
    gaps = {"more": Money(more, scenario.currency)}
    line = _against(scenario, plan, place)
    if line is None:
        return say("No better: with it the plan would cost {more} more.", **gaps)
    _, packages, number = _at(scenario, place)
    package, other = packages[number], line.package
    per, here, there = _amounts(package, other)
    less = (package.price / here - other.price / there) * (1 + scenario.tax)
    gaps |= {
        "size": other.size,
        "unit": other.unit,
        "item": line.item,
        "price": Money(other.price, scenario.currency),
        "less": Money(abs(less), scenario.currency),
        "per": per,
    }
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


def _against(scenario, plan, place):
    """The line of the plan that serves the same purpose and costs most; None without one."""
    item, packages, number = _at(scenario, place)
    serving = {(item, other) for other in packages}
    bought = [line for bill in plan.basket.stores for line in bill.lines]
    if place[0] == "media" and not any((line.item, line.package) in serving for line in bought):
        mixes = [scenario.medium(pick.medium) for pick in plan.picks if pick]
        rows = [*mixes, *(scenario.ingredient(name) for m in mixes for name in parts_per_litre(m))]
        serving = {(row.name, other) for row in rows for other in row.packages}
    alike = [
        line
        for line in bought
        if (line.item, line.package) in serving
        and contents(line.package).keys() & contents(packages[number]) & set(GOODS)
    ]
    return max(alike, key=lambda line: line.paid, default=None)


def _amounts(package, other):
    """A unit that fits both packages, the first one's if possible, and both amounts in it."""
    both = contents(package).keys() & contents(other)
    if package.yields_l is None and package.unit in LITRES:
        return package.unit, package.size, amount_in(other, "L") / LITRES[package.unit]
    if package.unit in GRAMS and "L" not in both:
        return package.unit, package.size, amount_in(other, "g") / GRAMS[package.unit]
    return "L", amount_in(package, "L"), amount_in(other, "L")
