"""What one package on the shelf is worth to the plan.

If the plan buys it, the package is worth the extra cost of the plan without it. If not, the
question is what the cheapest plan with it would cost. Leftovers are valued alike on both sides, at
the prices of the whole shelf. Work that needs solutions is a generator, as in `plan`.
"""

from collections import Counter
from dataclasses import replace
from math import floor
from typing import Any

from pennyflat.buying.milp import Work
from pennyflat.buying.mix_model import TIE
from pennyflat.buying.plan import SAME, Plan, Planner
from pennyflat.buying.turns import HUNDREDTH
from pennyflat.growing.medium import parts_per_litre
from pennyflat.scenario.package import SEEDS, TRAYS, amount_in, measures_of
from pennyflat.scenario.records import Store
from pennyflat.sentences import GOODS, Listed, Money, say
from pennyflat.units import GRAMS, LITRES

FAR_AWAY = 1000
"""Price that rules a way out, as a multiple of the plan's cost. Ours."""

MOST_PRICES = 12
"""Most prices tried to find the one at which a package would be bought; they converge fast, like
Newton's method on a concave function. [count] Ours."""

PLACES = 4
"""Decimals to which the cost of a plan with a package is known, since it includes the solver's tie
rule; see `mix_model.TIE`. [count]"""

SEEN = 0.0005
"""Least difference in the price of one unit that shows in three decimals. [currency]"""


def worth_of(
    planner: Planner, plan: Plan, place: tuple[str | int, ...]
) -> Work[dict[str, Any] | None]:
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
    dict or None
        None if the plan is unproven or limits leave it short. `verdict`, if the plan buys it:
        "worth" it, "same" (the plan costs less than a hundredth more without it) or "only" (nothing
        else will do); if not: "same" (a plan with it costs less than a hundredth more), "worse",
        "unused" (no choice of mixes takes any), "enough" (the stock is enough) or "gone" (its limit
        is 0). `bought`, how many the plan buys; `saves`, how much less the plan costs with it, or
        None; `costs_more`, how much more the plan would cost with at least one, or None [currency];
        `instead`, what would be bought in its place: `item`, `store`, `size`, `unit`, `count`;
        `against`, if it is not bought, the package in the plan that serves the same purpose:
        `item`, `store`, `size`, `unit`, `price`, and how much `less` one `per` of the label costs
        there [currency, with tax], or None; `from_price`, the highest price of one package at which
        buying it would save at least a hundredth, or None (skipped if it has a deal or leftovers
        count); `sentence`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> planner = Planner(read(DEMO))
    >>> best = run(planner.best(), solve)
    >>> print(run(worth_of(planner, best, ("media", 0, 1)), solve)["sentence"])
    2.00 USD less than with 2 × Seed starter mix 8 qt_dry: worth it.
    """
    if not plan.proven or plan.basket.unmet or not any(plan.picks):
        return None
    item, packages, number = _at(planner.scenario, place)
    bought = _bought(planner, plan, item, packages, number)
    if bought:
        return (yield from _worth_of_bought(planner, plan, place, bought))
    if packages[number].limit == 0:
        return _found("gone", 0, say("It is not to be had: its limit is 0."))
    return (yield from _worth_of_other(planner, plan, place))


def _worth_of_bought(planner, plan, place, bought):
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
            text = say("Your crops need it: nothing else on the shelf does in its place.")
            return _found("only", bought, text)
    if not other.proven:
        return None
    instead = _instead(other, plan)
    saves = max(0.0, other.weighed_cost - plan.weighed_cost)
    others = Listed(tuple(map(_line, instead)), "and")
    if saves < HUNDREDTH - SAME:
        text = (
            say("It costs the same as {others}.", others=others)
            if instead
            else say("It costs the same without it.")
        )
        return _found("same", bought, text, saves=saves, instead=instead)
    money = Money(saves, scenario.currency)
    text = (
        say("{saves} less than with {others}: worth it.", saves=money, others=others)
        if instead
        else say("{saves} less than without it: worth it.", saves=money)
    )
    return _found("worth", bought, text, saves=saves, instead=instead)


def _worth_of_other(planner, plan, place):
    """For a package outside the plan: the extra cost of a plan with it."""
    scenario = planner.scenario
    item, packages, number = _at(scenario, place)
    model = planner.model()
    counted = model.require(item, packages, number)
    if not counted:
        return _found("unused", 0, say("Nothing you raise takes any of it."))
    if model.shortfall():
        model.hold_shortfall(0.0)
    answer = yield model.document()
    if answer["status"] == "infeasible":
        return _found("enough", 0, say("What is at home is enough."))
    if not answer["proven"]:
        return None
    count = round(sum(answer["values"][column] * times for column, times in counted))
    cost = model.constant + answer["objective"]
    more = round(max(0.0, cost - plan.weighed_cost - TIE * plan.packages), PLACES)
    against = _against(scenario, plan, place)
    if more < HUNDREDTH - SAME:
        text = say("It would cost the same as what the plan buys.")
        return _found("same", 0, text, costs_more=more, against=against)
    from_price = yield from _from_price(planner, plan, place, more / count)
    text = _worse(scenario, more, against)
    return _found("worse", 0, text, costs_more=more, against=against, from_price=from_price)


def _from_price(planner, plan, place, more_each):
    """
    The highest price, in hundredths, at which the plan would buy a package and cost less.

    `more_each` is the extra cost of the cheapest plan with it, for each one. That plan's cost is
    concave in the price: a straight line from any plan with it meets the goal at a price that is
    low enough.
    """
    scenario, goal = planner.scenario, plan.weighed_cost - HUNDREDTH
    _, packages, number = _at(scenario, place)
    package, tax = packages[number], 1 + scenario.tax
    if package.deal or scenario.left_over_counts:
        return None
    price, found = max(0.0, package.price - (more_each + HUNDREDTH) / tax - 1e-4), None
    for _ in range(MOST_PRICES):
        price = floor(price * 1e4) / 1e4
        at = Planner(_with(scenario, place, price=price))
        other = yield from at.best()
        bought = _bought(at, other, *_at(at.scenario, place))
        if not other.proven or not bought or other.weighed_cost > goal + SAME:
            break
        found = price
        price += (goal - other.weighed_cost) / (bought * tax)
        if price - found < 1e-4:
            break
    cents = 0 if found is None else floor(found * 100 + 1e-6)
    return cents / 100 if cents else None


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


def _bought(planner, plan, item, packages, number):
    """How many of a package a plan buys."""
    needs = planner.needs(plan.picks)
    return sum(
        cover.counts[number]
        for need, cover in zip(needs, plan.basket.covers, strict=True)
        if (need.item, need.packages) == (item, packages)
    )


def _lines(plan):
    """How many of each package a plan buys, by item and package."""
    found = Counter()
    for bill in plan.basket.stores:
        for line in bill.lines:
            found[line.item, line.package] += line.count
    return found


def _instead(other, plan):
    """What another plan buys beyond this one: how many more of each package."""
    return [
        {
            "item": item,
            "store": package.store,
            "size": package.size,
            "unit": package.unit,
            "count": count,
        }
        for (item, package), count in (_lines(other) - _lines(plan)).items()
    ]


def _line(line):
    gaps = {name: line[name] for name in ("count", "item")}
    if line["unit"] == TRAYS:
        return say("{count} × {item}", **gaps)
    if line["unit"] == SEEDS:
        return say("{count} × {item}, {seeds} seeds", **gaps, seeds=line["size"])
    return say("{count} × {item} {size:g} {unit}", **gaps, size=line["size"], unit=line["unit"])


def _against(scenario, plan, place):
    """The plan's package for the same purpose, and how much less one unit of the label costs."""
    item, packages, number = _at(scenario, place)
    package = packages[number]
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
        and measures_of(line.package) & measures_of(package) & set(GOODS)
    ]
    if not alike:
        return None
    line = max(alike, key=lambda line: line.paid)
    per, here, there = _amounts(package, line.package)
    return {
        "item": line.item,
        "store": line.package.store,
        "size": line.package.size,
        "unit": line.package.unit,
        "price": line.package.price,
        "per": per,
        "less": (package.price / here - line.package.price / there) * (1 + scenario.tax),
    }


def _amounts(package, other):
    """A unit that fits both packages, the first one's if possible, and both amounts in it."""
    both = measures_of(package) & measures_of(other)
    if package.yields_l is None and package.unit in LITRES:
        return package.unit, package.size, amount_in(other, "L") / LITRES[package.unit]
    if package.unit in GRAMS and "L" not in both:
        return package.unit, package.size, amount_in(other, "g") / GRAMS[package.unit]
    return "L", amount_in(package, "L"), amount_in(other, "L")


def _worse(scenario, more, against):
    """Why a package that the plan leaves out is no better."""
    gaps = {"more": Money(more, scenario.currency)}
    if against is None:
        return say("No better: with it the plan would cost {more} more.", **gaps)
    gaps |= {
        "size": against["size"],
        "unit": against["unit"],
        "item": against["item"],
        "price": Money(against["price"], scenario.currency),
        "less": Money(abs(against["less"]), scenario.currency),
        "per": against["per"],
    }
    if abs(against["less"]) < SEEN:
        return say(
            "No better: one {per} costs the same as in {size:g} {unit} of {item} for {price}, and"
            " with it the plan would cost {more} more.",
            **gaps,
        )
    if against["less"] < 0:
        return say(
            "No better for your crops: one {per} costs {less} less than in {size:g} {unit} of"
            " {item} for {price}, but with it the plan would cost {more} more.",
            **gaps,
        )
    return say("No better: {size:g} {unit} of {item} for {price} is {less} less per {per}.", **gaps)


def _found(verdict, bought, sentence, **more):
    nothing = {"saves": None, "costs_more": None, "instead": [], "against": None}
    found = {"verdict": verdict, "bought": bought} | nothing | {"from_price": None} | more
    return found | {"sentence": sentence}
