"""What each member of a club pays for the joint plan and takes from it; who would do better alone.

The divided cost is the plan's cost with what is used besides packages; members bear their own part
of the latter. If the members' own lists together pay for the order, no member pays more than for
their own list, unless that list leaves something out.
"""

from collections import Counter
from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from itertools import combinations
from math import fsum
from typing import TypeAlias, TypedDict

from pennyflat.buying.milp import Work
from pennyflat.buying.plan import Plan
from pennyflat.club.joint_plan import JointPlanner, Member, by_themselves
from pennyflat.club.split import EXACT, shapley, to_the_cent
from pennyflat.scenario.package import label_of
from pennyflat.sentences import Listed, Money, Said, phrase, say, say_count

GROUP_SECONDS, HASTY_SECONDS = 1.0, 0.1
"""How long to search for a group's plan; and the same after `MOST_UNPROVEN`. [s] Ours."""

MOST_UNPROVEN = 30
"""Unproven groups after which the search is cut short. [count] Ours."""

MOST_TOLD = 3
"""Most groups reported as better off alone. [count] Ours."""

_NOISE_PLACES = 9
"""Decimals of money beyond which digits come from adding floats, not from prices. [count]"""


class ItemShare(TypedDict):
    """What one member takes of one item. [measure]"""

    item: str
    measure: str
    needed: float
    taken: float
    left_over: float
    short_by: float


class SplitRule(TypedDict):
    """How the cost was divided."""

    rule: str
    error: float
    proven: bool
    sentence: str


class BetterAlone(TypedDict):
    """Members who would do better alone."""

    members: list[str]
    saves: float
    sentence: str


class MemberRow(TypedDict):
    """What one member pays and takes. [currency]"""

    name: str
    alone: float | None
    besides: float
    goods: float
    trips: float
    saving: float | None
    pays: float
    over_budget_by: float
    items: list[ItemShare]


Groups: TypeAlias = dict[tuple[int, ...], Plan]
"""The plans of the groups that were searched, by the members' places."""


def owed_by(
    members: Sequence[Member], best: Plan, split: str
) -> Work[tuple[list[float], Groups, SplitRule]]:
    """
    What each member owes by a rule, as work that needs solutions.

    `best` is the plan of their `JointPlanner`. The rule `split` divides the cost by the Shapley
    value ("shapley"), or the saving equally ("equal"). The shares include use besides packages.
    [currency]
    """
    groups: Groups = {}
    buying = [place for place, member in enumerate(members) if any(member.planner.rows)]

    def cost(places):
        group, plan = tuple(buying[place] for place in places), best
        yield None
        if len(group) < len(buying):
            work = JointPlanner([members[place] for place in group])
            unproven = sum(not plan.proven for plan in groups.values())
            is_hasty = unproven >= MOST_UNPROVEN
            plan = yield from work.best(seconds=HASTY_SECONDS if is_hasty else GROUP_SECONDS)
        groups[group] = plan
        return plan.with_the_rest

    if split == "equal":
        found = []
        for place in range(len(buying)):
            own = _own_cost(members[buying[place]])
            found.append((yield from cost((place,))) if own is None else own)
        if len(buying) <= EXACT:  # to find the groups that would do better alone
            for size in range(2, len(buying)):
                for group in combinations(range(len(buying)), size):
                    yield from cost(group)
        each, error = (fsum(found) - best.with_the_rest) / max(1, len(found)), 0.0
        found = [own - each for own in found]
        sentence = phrase("What is saved against buying alone is divided equally.")
    else:
        found, error = yield from shapley(len(buying), cost)
        sentence = phrase(
            "Each pays what their sowings add to the cost, on average over all sequences in which"
            " the members can join the order (the Shapley value)."
        )
    if error:
        sentence = say(
            "Each pays what their sowings add to the cost, on average over some of the sequences"
            " in which the members can join the order (the Shapley value, sampled: its standard"
            " error is {error} at most).",
            error=Money(error, members[0].own.currency),
        )
    shares = dict(zip(buying, found, strict=True))
    proven = all(plan.proven for plan in (best, *groups.values()))
    rule: SplitRule = {"rule": split, "error": error, "proven": proven, "sentence": sentence}
    return [shares.get(place, 0.0) for place in range(len(members))], groups, rule


def payments(
    together: JointPlanner, best: Plan, shares: Sequence[float], *, decimals: int
) -> tuple[list[MemberRow], bool]:
    """
    A row of the report for each member, and whether their own lists together pay for the order.

    `shares` is what each owes, as from `owed_by` [currency]; `decimals` are those of the currency's
    minor unit.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.club.joint_plan import members_of
    >>> from pennyflat.club.joint_shelf import joint_shelf
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.scenario.document import read
    >>> scenarios = {"Ann": read(DEMO), "Ben": read(DEMO)}
    >>> two = JointPlanner(run(members_of(scenarios, joint_shelf(scenarios)), solve))
    >>> best = run(two.best(), solve)
    >>> rows, is_within = payments(two, best, [best.with_the_rest / 2] * 2, decimals=2)
    >>> [(row["alone"], row["saving"], row["pays"]) for row in rows], is_within
    ([(31.3, 4.5, 26.8), (31.3, 4.5, 26.8)], True)
    """
    used = together.by_member(best.picks)
    rests = [fsum(pick.rest for pick in picks if pick) for picks in used]
    alone, besides = [], []
    for member, rest in zip(together.members, rests, strict=True):
        is_whole = _own_cost(member) is not None
        alone.append(_exact(member.alone.basket.total) if is_whole else None)
        besides.append(_exact(rest - member.alone.rest))
    bill = _minor(best.basket.total, decimals)
    most = _most(bill, alone, besides, decimals)
    owed = [(share - rest) * 10**decimals for share, rest in zip(shares, rests, strict=True)]
    pays = to_the_cent(bill, owed, most)
    trips_paid = _minor(best.basket.trips_paid, decimals)
    trips = to_the_cent(trips_paid, [trips_paid * paid / (bill or 1) for paid in pays], pays)
    items = _items(together, best)
    rows: list[MemberRow] = []
    for place, member in enumerate(together.members):
        paid, own, budget = pays[place] / 10**decimals, alone[place], member.own.budget
        row: MemberRow = {
            "name": member.name,
            "alone": own,
            "besides": besides[place],
            "goods": (pays[place] - trips[place]) / 10**decimals,
            "trips": trips[place] / 10**decimals,
            "saving": None if own is None else _exact(own - besides[place] - paid),
            "pays": paid,
            "over_budget_by": 0.0 if budget is None else max(0.0, _exact(paid - budget)),
            "items": items[place],
        }
        rows.append(row)
    return rows, most is not None


def _own_cost(member):
    """Total of the member's own list; None if it leaves something out. [currency]"""
    alone = member.alone
    raised = zip(member.planner.rows, alone.picks, strict=True)
    is_less = alone.basket.unmet or any(row and not own for row, own in raised)
    return None if is_less else alone.with_the_rest


def _raised(plan):
    return sum(map(bool, plan.picks))


def _most(bill, alone, besides, decimals):
    """The most that each member may pay; None if that is impossible. [minor units]"""
    spared = [max(0.0, more) for more in besides]
    ways = (spared, ROUND_HALF_UP), (besides, ROUND_HALF_UP), (besides, ROUND_CEILING)
    for taken_off, rounding in ways:
        most = [
            None if own is None else max(0, _minor(own - more, decimals, rounding))
            for own, more in zip(alone, taken_off, strict=True)
        ]
        if None in most or sum(most) >= bill:
            return most
    return None


def _exact(money):
    return round(money, _NOISE_PLACES)


def _minor(money, decimals, rounding=ROUND_HALF_UP):
    """Money in whole minor units of the currency."""
    return int(Decimal(repr(_exact(money))).scaleb(decimals).to_integral_value(rounding))


def _items(together, best):
    """What each member takes of each item: a share of the purchase in proportion to their need."""
    lines = zip(together.shared(best.picks), best.basket.covers, strict=True)
    found = [[] for _ in together.members]
    for (need, lacks), cover in lines:
        for mine, lack in zip(found, lacks, strict=True):
            part = lack / fsum(lacks)
            row = {
                "item": need.item,
                "measure": need.measure,
                "needed": lack,
                "taken": cover.bought * part,
                "left_over": cover.left_over * part,
                "short_by": cover.short_by * part,
            }
            mine += [row] if lack else []
    return found


def better_alone(
    together: JointPlanner, rows: list[MemberRow], groups: Groups, *, decimals: int
) -> Work[list[BetterAlone]]:
    """
    Members and groups that would do better alone, as work; the largest saving first.

    The `rows` are those of `payments`. The `groups` are planned anew on their own shelf.
    """
    least, members = _exact(1 / 10**decimals), together.members
    paid = [
        row["pays"] + row["besides"] + member.alone.rest
        for row, member in zip(rows, members, strict=True)
    ]
    found: list[tuple[float, tuple[int, ...]]] = [
        (-row["saving"], (place,))
        for place, row in enumerate(rows)
        if row["saving"] is not None and _exact(row["saving"]) < -least
    ]
    likely = [
        (fsum(paid[place] for place in group) - plan.with_the_rest, group)
        for group, plan in groups.items()
        if 1 < len(group) < len(members) and not plan.basket.unmet
    ]
    likely = sorted((saves, group) for saves, group in likely if saves > least)
    for _, group in likely[: -MOST_TOLD - 1 : -1]:
        work = JointPlanner(by_themselves([members[place] for place in group]))
        plan = yield from work.best()
        is_whole = not plan.basket.unmet and _raised(plan) == _raised(groups[group])
        saves = fsum(paid[place] for place in group) - plan.with_the_rest
        found += [(saves, group)] if is_whole and saves > least else []
    told: list[BetterAlone] = []
    for saves, group in sorted(found, key=lambda one: (-_exact(one[0]), len(one[1]))):
        names = tuple(members[place].name for place in group)
        if any(set(names) > set(smaller["members"]) for smaller in told):
            continue
        sentence = say_count(
            len(names),
            "{names} would do better alone, by {saves}.",
            "{names} would do better by themselves, by {saves} together.",
            names=Listed(names, "and"),
            saves=Money(saves, members[0].own.currency),
        )
        told.append({"members": list(names), "saves": saves, "sentence": sentence})
    return told[:MOST_TOLD]


def why_worse_off(
    members: Sequence[Member], best: Plan, rows: list[MemberRow], is_within: bool
) -> Said | None:
    """Why some member is worse off in the order than alone; None if none is."""
    if not is_within:
        currency = members[0].own.currency
        alone = fsum((row["alone"] or 0.0) - row["besides"] for row in rows)
        gaps = {"bill": Money(best.basket.total, currency), "alone": Money(alone, currency)}
        if strained := _strained(members):
            return say(
                "The order costs {bill}, more than the {alone} that the members would pay one by"
                " one, because there is not enough of what they would buy alone: {strained}.",
                **gaps,
                strained=Listed(strained, ","),
            )
        return say(
            "The order costs {bill}, more than the {alone} that the members would pay one by one,"
            " because more of it is left over, which counts.",
            **gaps,
        )
    short = {lack["item"] for lack in best.basket.unmet}
    rivals = [row for row in rows if row["alone"] is not None]
    if any(item["item"] in short for row in rivals for item in row["items"]):
        return say(
            "Limits leave the order short of {items}, which is shared by need; a member who could"
            " have had it all alone is worse off for that.",
            items=Listed(tuple(sorted(short)), ","),
        )
    return None


def _strained(members):
    """Packages of which the members' own lists together exceed the limit."""
    bought = sum((member.alone.basket.counts for member in members), Counter())
    return tuple(
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
