"""Several members' scenarios as one order: one cheapest plan for all, and who pays what.

The order is the plan (see `plan`) for all members' sowings together, from everything that any of
them lists (see `joint_shelf`): mixes are chosen jointly, a trip is made once, and packages,
including seed packets of the same crop, serve everyone. Each member's own figures decide how a mix
behaves. A sowing with a `medium` of its own keeps it, and the order says what that costs. Stock
serves its owner only; trays are not shared. Currency and tax must agree. A `limit` applies to the
whole order.

The cost, with what is used besides the packages, is divided by the Shapley value of the groups of
members, where every group knows the joint shelf (see `split`). Without limits no member is worse
off than alone: the members' own lists put together are one way to meet the joint needs, and the
same is true of every group a member may join. If that fails, because limits bind or leftovers
count, no payment exceeds the member's own list as long as the own lists together pay for the order;
otherwise the report says who would do better alone. Leftovers go to the members who use the item,
in proportion to their needs.
"""

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import fsum
from typing import TypedDict

from pennyflat.buying.highs import solve as solve_natively
from pennyflat.buying.milp import Solve, Work
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import ShoppingList, shopping_list
from pennyflat.club.joint_plan import JointPlanner, members_of
from pennyflat.club.joint_shelf import alike, joint_shelf
from pennyflat.club.payments import (
    BetterAlone,
    MemberRow,
    SplitRule,
    better_alone,
    owed_by,
    payments,
    why_worse_off,
)
from pennyflat.club.split import known_split
from pennyflat.scenario.document import write
from pennyflat.scenario.records import Scenario, expect_scenario
from pennyflat.sentences import Listed, Money, phrase, say

FORMAT = "seedling-costs-pool/2"


class Insists(TypedDict):
    """What it costs that a member insists on their own choice of mixes."""

    member: str
    crops: list[str]
    media: list[str]
    costs: float
    sentence: str


class Order(ShoppingList):
    """The report of `pool`, which explains the keys."""

    members: list[MemberRow]
    alone: float | None
    saving: float | None
    split: SplitRule
    insists: list[Insists]
    better_alone: list[BetterAlone]
    none_worse_off: bool
    why_not: str | None
    notices: list[str]


class PoolError(ValueError):
    """Scenarios that cannot form one order. `differences` holds every reason; `str` of it, a
    `Said`, lists them."""

    def __init__(self, differences: Iterable[str]) -> None:
        self.differences = tuple(differences)
        super().__init__(say("{reasons}", reasons=Listed(self.differences, "\n")))


def pool(
    scenarios: Sequence[Scenario],
    *,
    names: Sequence[str] | None = None,
    decimals: int = 2,
    split: str = "shapley",
    solve: Solve = solve_natively,
) -> Order:
    """
    One order for several members, with what each of them pays and takes.

    The order of the `scenarios`, one for each member, only affects that of `members`. The members'
    `names` are the scenarios' titles by default; `decimals` are those of the currency's minor unit;
    `split`, "shapley" or "equal", says how the saving is divided; `solve` solves the choice of
    mixes, see `pennyflat.buying.plan.run`. A PoolError if the scenarios contradict each other, a
    TypeError if one of them is not a `Scenario`.

    The report is plain JSON values with the keys of a shopping list; `plan` names the `member` of
    each row, `stores` who `goes`. `members`: each with `name`; `alone`, the cost of their own list,
    or null if something cannot be bought or raised alone; `besides`, how much more than alone is
    used besides packages and trips; `saving` and `pays`, so that alone = besides + saving + pays;
    `goods` and `trips`, the parts of `pays`; `over_budget_by` [currency]; `items` (`needed`,
    `taken`, `left_over`, `short_by` [measure]). The payments add up to `total`, to the minor unit.
    `alone`, `saving`: sums; `split`: the `rule`, its `error` [currency], whether its plans are
    `proven`, a `sentence`; `insists`: `member`, `crops`, `media`, `costs`, `sentence`;
    `better_alone`: `members`, `saves`, `sentence`; `none_worse_off` and, if false, `why_not`;
    `notices`.

    >>> from dataclasses import replace
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> report = pool([replace(demo, title=p.crop, sowings=(p,)) for p in demo.sowings[:2]])
    >>> [(member["name"], member["alone"], member["pays"]) for member in report["members"]]
    [('tomato', 18.7, 14.5), ('lettuce', 18.1, 13.9)]
    >>> report["total"], report["none_worse_off"]
    (28.4, True)
    """
    return run(pool_steps(scenarios, names=names, decimals=decimals, split=split), solve)


def pool_steps(
    scenarios: Sequence[Scenario],
    *,
    names: Sequence[str] | None = None,
    decimals: int = 2,
    split: str = "shapley",
) -> Work[Order]:
    """
    Like `pool`, as work that needs solutions; see `pennyflat.buying.plan`.

    Scenarios that contradict each other raise a `PoolError` immediately.
    """
    known_split(split)
    for scenario in scenarios:
        expect_scenario(scenario, "pool")
    titles = [scenario.title for scenario in scenarios] if names is None else list(names)
    documents = [json.dumps(write(scenario), sort_keys=True) for scenario in scenarios]
    order = sorted(range(len(scenarios)), key=lambda i: (titles[i], documents[i]))
    labels = _labels([titles[i] for i in order])
    named = {label: scenarios[i] for label, i in zip(labels, order, strict=True)}
    shelf = joint_shelf(named)
    _check(named.values(), shelf)
    return _steps(named, shelf, order, decimals, split)


def _steps(scenarios, shelf, order, decimals, split):
    """The work of an order; `order` has each member's place in the arguments."""
    members = yield from members_of(scenarios, shelf)
    together = JointPlanner(members)
    best = yield from together.best()
    shares, groups, rule = yield from owed_by(members, best, split)
    rows, is_within = payments(together, best, shares, decimals=decimals)
    insists = yield from _insists(members, best)
    better = yield from better_alone(together, rows, groups, decimals=decimals)
    report = shopping_list(together.scenario, best)
    names = [member.name for member in members for _ in member.own.sowings]
    plan = [{"member": name, **row} for name, row in zip(names, report["plan"], strict=True)]
    stores = [{"goes": list(shelf.goers[row["store"]]), **row} for row in report["stores"]]
    why_not = why_worse_off(members, best, rows, is_within)
    return {
        **report,
        "format": FORMAT,
        "plan": plan,
        "stores": stores,
        "members": [rows[order.index(i)] for i in range(len(order))],
        "alone": _sum(rows, "alone"),
        "saving": _sum(rows, "saving"),
        "split": rule,
        "insists": insists,
        "better_alone": better,
        "none_worse_off": why_not is None,
        "why_not": why_not,
        "notices": list(_notices(members, rule["proven"])),
    }


def _insists(members, best):
    """What it costs that a member insists on their own choice of mixes."""
    found = []
    for place, member in enumerate(members):
        sowings, guest = member.own.sowings, member.planner
        kept = [one for one, row in zip(sowings, guest.rows, strict=True) if one.medium and row]
        if not kept:
            continue
        open_ = tuple(replace(one, medium=None) if one in kept else one for one in sowings)
        free = replace(member, planner=Planner(replace(guest.scenario, sowings=open_)))
        together = JointPlanner([*members[:place], free, *members[place + 1 :]])
        other = yield from together.best()
        costs = max(0.0, best.weighed_cost - other.weighed_cost)
        crops = tuple(dict.fromkeys(sowing.crop for sowing in kept))
        media = tuple(dict.fromkeys(sowing.medium for sowing in kept))
        gaps = {"member": member.name, "crops": Listed(crops, "and"), "media": Listed(media, "and")}
        if costs > 0.005:
            money = Money(costs, member.own.currency)
            text = say(
                "{member} keeps {media} for {crops}: it costs {costs} more.", **gaps, costs=money
            )
        else:
            text = say("{member} keeps {media} for {crops}: it costs nothing more.", **gaps)
        row = {"member": member.name, "crops": list(crops), "media": list(media)}
        found.append(row | {"costs": costs, "sentence": text})
    return found


def _sum(rows, key):
    found = [row[key] for row in rows]
    return None if None in found else fsum(found)


def _labels(titles):
    """Names that tell the members apart."""
    titles = [title.strip() or phrase("No name") for title in titles]
    times, found = Counter(titles), Counter()
    for title in titles:
        found[title] += 1
        again = say("{name} ({number})", name=title, number=found[title])
        yield again if times[title] > 1 else title


def _check(scenarios, shelf):
    differences = [] if scenarios else [phrase("An order needs at least one member.")]
    values = Listed(tuple(sorted({scenario.currency for scenario in scenarios})), ",")
    if len(values.items) > 1:
        text = say("The members differ in currency: {values}; an order needs one.", values=values)
        differences.append(text)
    values = Listed(tuple(sorted({scenario.tax for scenario in scenarios})), ",")
    if len(values.items) > 1:
        text = say("The members differ in tax: {values}; an order needs one.", values=values)
        differences.append(text)
    if differences := [*differences, *shelf.differences]:
        raise PoolError(differences)


def _notices(members, is_proven):
    shelves = [member.own for member in members]
    rows = (row for own in shelves for row in (*own.media, *own.ingredients, own.feed) if row)
    for names in alike(row.name for row in rows):
        yield say(
            "{names} are counted as different items; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
    for names in alike(store.name for own in shelves for store in own.stores):
        yield say(
            "{names} are counted as different shops; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
    counts = {own.left_over_counts for own in shelves}
    if len(counts) > 1:
        yield say(
            "The members count differently on what is left over; the order takes the least,"
            " {percent:.0f} %.",
            percent=100 * min(counts),
        )
    for member in members:
        if not member.alone.proven:
            yield say(
                "{member}: the search for the cheapest mixes stopped before it had a proof; alone"
                " it may cost less than stated, by {by:.2f} at most.",
                member=member.name,
                by=member.alone.weighed_cost - member.alone.at_least,
            )
    if not is_proven:
        yield phrase(
            "Not every group's plan was proven to cost least in the time given; the shares are as"
            " good as the plans found."
        )
