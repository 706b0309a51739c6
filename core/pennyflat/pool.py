"""Several members' scenarios as one order: one cheapest shopping list and a fair split of the bill.

Each member's scenario is planned as it would be alone (see `plan`): a sowing's own `medium`, or
the best choice for that member. What must then be bought is added up, after each member's own
stock, and the cheapest basket from the joint shelf (see `joint_shelf`) is found for all of it. What
an order shares are bags; how a mix behaves is each member's own reckoning. Currency and tax must
agree. A `limit` holds for the whole order.

The bill is split in proportion to the as-used cost of what each member needs bought, nobody paying
more than their own list alone would cost (see `split`). What is left over goes to those who use the
item, in proportion to what they need of it.

Why nobody need be worse off: all members' own lists put together are one way to meet the joint
needs; deals can be used as before and no trip is made twice, so it costs at most the lists' sum,
and the joint list is the cheapest way. Only a limit can forbid that way, where the own lists
together hold more of a package than can be had. The report then says so. If money must be rounded,
own bills are rounded up where rounding to the nearest would leave a part of the bill unpaid.
"""

import json
from collections import Counter
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from math import fsum

from pennyflat.basket import cheapest_basket
from pennyflat.cover import TOLERANCE, Need
from pennyflat.joint_shelf import alike, joint_shelf, trips
from pennyflat.needs import needs_of
from pennyflat.package import label_of, lowest_price
from pennyflat.plan import BestPlan, best_plan, list_rows, plan_rows
from pennyflat.saying import Listed, phrase, say
from pennyflat.scenario import Scenario, write
from pennyflat.split import split_bill

FORMAT = "seedling-costs-pool/1"

_NOISE_PLACES = 9
"""Decimals of money beyond which digits come from adding floats, not from prices. [count]"""


class PoolError(ValueError):
    """Scenarios that make no one order. `differences` holds every reason; `str` of it, a `Said`,
    lists them."""

    def __init__(self, differences):
        self.differences = tuple(differences)
        super().__init__(say("{reasons}", reasons=Listed(self.differences, "\n")))


def pool(scenarios, *, names=None, decimals=2):
    """
    One order for several members, and who pays and takes how much of it.

    Parameters
    ----------
    scenarios : sequence of Scenario
        One for each member, at least one. Their order changes nothing but that of `members`.
    names : sequence of str, optional
        Of the members; the scenarios' titles if not given.
    decimals : int, default 2
        Of the currency's minor unit. [count]

    Returns
    -------
    dict
        The report, plain JSON values. `members`: each with `plan`, `items` (`needed`, `taken`,
        `left_over`, `short_by` [measure]), `as_used`, `alone` (null where limits forbid it),
        `pays`, `saves`, `over_budget_by` [currency]. The list as in a shopping report, with who
        `goes` to each store. `bill`: the total to the minor unit, which the payments come to;
        `alone_total`, `saved`; `none_worse_off` and, where not, `why_not`; `notices`.

    Raises
    ------
    PoolError
        If the scenarios contradict each other.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> report = pool([replace(demo, title=p.crop, sowings=(p,)) for p in demo.sowings[:2]])
    >>> [(member["name"], member["alone"], member["pays"]) for member in report["members"]]
    [('tomato', 12.3, 8.74), ('lettuce', 12.3, 7.46)]
    >>> report["bill"], report["none_worse_off"]
    (16.2, True)
    """
    titles = [scenario.title for scenario in scenarios] if names is None else list(names)
    order = sorted(range(len(scenarios)), key=lambda i: (titles[i], _canonical(scenarios[i])))
    labels = _labels([titles[i] for i in order])
    members = [_member(label, scenarios[i]) for label, i in zip(labels, order, strict=True)]
    by_name = {member.name: member.scenario for member in members}
    shelves = {key: joint_shelf(by_name, *key) for m in members for key in m.needs}
    _check(scenarios, shelves)
    needs = {
        key: Need(*key, fsum(m.needs.get(key, 0.0) for m in members), shelf.packages)
        for key, shelf in shelves.items()
    }
    tax = scenarios[0].tax
    visits = trips(by_name)
    basket = cheapest_basket(needs.values(), stores=[visit.store for visit in visits], tax=tax)
    rows, money = _shares(members, needs, basket, tax, decimals)
    return {
        "format": FORMAT,
        "currency": scenarios[0].currency,
        "members": [rows[order.index(i)] for i in range(len(scenarios))],
        **_list_rows(basket, {visit.store.name: visit.goers for visit in visits}),
        **money,
        "notices": _notices(members, needs),
    }


@dataclass(frozen=True, slots=True)
class _Member:
    name: str
    scenario: Scenario
    best: BestPlan
    needs: dict[tuple[str, str], float]
    """What must be bought, after the own stock, by item and measure. [measure]"""


def _canonical(scenario):
    return json.dumps(write(scenario), sort_keys=True)


def _labels(titles):
    """Names that tell the members apart."""
    titles = [title.strip() or phrase("No name") for title in titles]
    times, found = Counter(titles), Counter()
    for title in titles:
        found[title] += 1
        again = say("{name} ({number})", name=title, number=found[title])
        yield again if times[title] > 1 else title


def _member(name, scenario):
    best = best_plan(scenario)
    needs = {}
    for need in needs_of(scenario, [pick for pick in best.plan.picks if pick]):
        missing = need.amount - need.stock
        if missing > need.amount * TOLERANCE:
            key = need.item, need.measure
            needs[key] = needs.get(key, 0.0) + missing
    return _Member(name, scenario, best, needs)


def _check(scenarios, shelves):
    differences = [] if scenarios else [phrase("An order needs at least one member.")]
    currencies = tuple(sorted({scenario.currency for scenario in scenarios}))
    if len(currencies) > 1:
        differences.append(
            say(
                "The members differ in currency: {values}; an order needs one.",
                values=Listed(currencies, ","),
            )
        )
    taxes = tuple(sorted({scenario.tax for scenario in scenarios}))
    if len(taxes) > 1:
        differences.append(
            say(
                "The members differ in tax: {values}; an order needs one.",
                values=Listed(taxes, ","),
            )
        )
    differences += [text for shelf in shelves.values() for text in shelf.differences]
    if differences:
        raise PoolError(differences)


def _shares(members, needs, basket, tax, decimals):
    """A row for each member, and the money of the order."""
    covers = dict(zip(needs, basket.covers, strict=True))
    prices = {
        key: lowest_price(need.packages, need.measure, tax=tax) for key, need in needs.items()
    }
    items = [_items(member, needs, covers) for member in members]
    as_used = [
        fsum(
            (row["needed"] - row["short_by"]) * prices[row["item"], row["measure"]] for row in rows
        )
        for rows in items
    ]
    alone = [None if m.best.plan.basket.unmet else m.best.plan.basket.total for m in members]
    bill = _minor(basket.total, decimals, ROUND_HALF_UP)
    own = [_minor(cost, decimals, ROUND_HALF_UP) for cost in alone]
    if None not in own and sum(own) < bill:
        own = [_minor(cost, decimals, ROUND_CEILING) for cost in alone]
    split = split_bill(bill, own_bills=own, weights=as_used)

    def money(units):
        return None if units is None else units / 10**decimals

    rows = [
        {
            "name": member.name,
            "plan": plan_rows(member.scenario, member.best.plan),
            "items": taken,
            "as_used": used,
            "alone": money(own_bill),
            "pays": money(pays),
            "saves": None if own_bill is None else money(own_bill - pays),
            "over_budget_by": max(0.0, money(pays) - (member.scenario.budget or 0.0))
            if member.scenario.budget is not None
            else 0.0,
        }
        for member, taken, used, own_bill, pays in zip(
            members, items, as_used, own, split.pays, strict=True
        )
    ]
    own_total = None if None in own else sum(own)
    why_not = _why_not(members, basket, money(bill), money(own_total), split.none_worse_off)
    return rows, {
        "bill": money(bill),
        "alone_total": money(own_total),
        "saved": None if own_total is None else money(own_total - bill),
        "none_worse_off": why_not is None,
        "why_not": why_not,
    }


def _items(member, needs, covers):
    """What a member takes of each item: of all that is bought, the share of the joint need."""
    found = []
    for (item, measure), amount in member.needs.items():
        need, cover = needs[item, measure], covers[item, measure]
        found.append(
            {
                "item": item,
                "measure": measure,
                "needed": amount,
                "taken": cover.bought * amount / need.amount,
                "left_over": cover.left_over * amount / need.amount,
                "short_by": cover.short_by * amount / need.amount,
            }
        )
    return found


def _minor(cost, decimals, rounding):
    """Money in whole minor units of the currency."""
    if cost is None:
        return None
    exact = Decimal(repr(round(cost, _NOISE_PLACES)))
    return int(exact.scaleb(decimals).to_integral_value(rounding))


def _why_not(members, basket, bill, own_total, is_split):
    """A sentence where somebody is worse off in the order than alone."""
    if not is_split:
        bought = Counter()
        for member in members:
            for store in member.best.plan.basket.stores:
                for line in store.lines:
                    bought[line.item, line.package] += line.count
        strained = tuple(
            say(
                "{item}, {label} at {store} (at most {limit}, wanted {wanted})",
                item=item,
                label=label_of(package),
                store=package.store,
                limit=package.limit,
                wanted=count,
            )
            for (item, package), count in bought.items()
            if package.limit is not None and count > package.limit
        )
        return say(
            "The order costs {bill:g}, more than the {alone:g} that the members would pay one by"
            " one, because there is not enough of what they would buy alone: {strained}. Each pays"
            " the own bill, and what is over it by as-used cost.",
            bill=bill,
            alone=own_total,
            strained=Listed(strained, ","),
        )
    short = [lack.item for lack in basket.unmet]
    if short and any(
        item in short for member in members if not member.best.plan.basket.unmet
        for item, _ in member.needs
    ):  # fmt: skip
        return say(
            "Limits leave the order short of {items}, which is shared by need; a member who could"
            " have had it all alone is worse off for that.",
            items=Listed(tuple(short), ","),
        )
    return None


def _list_rows(basket, goers):
    """The joint list, as in a shopping report, and who goes to each store."""
    rows = list_rows(basket)
    stores = [
        {"store": row["store"], "goes": list(goers[row["store"]]), **row} for row in rows["stores"]
    ]
    return rows | {"stores": stores}


def _notices(members, needs):
    found = [
        say(
            "{names} are counted as different items; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
        for names in alike(item for item, _ in needs)
    ]
    found += [
        say(
            "{names} are counted as different shops; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
        for names in alike(store.name for m in members for store in m.scenario.stores)
    ]
    found += [
        say(
            "{member}: the search for the cheapest mixes stopped before it had a proof; alone it"
            " may cost less than stated, by {by:.2f} at most.",
            member=member.name,
            by=member.best.plan.with_the_rest - member.best.at_least,
        )
        for member in members
        if not member.best.proven
    ]
    return found
