"""Several members' scenarios as one order: one cheapest plan for all, and who pays what.

The order is the plan (see `plan`) for all members' sowings together, from everything that any of
them lists (see `joint_shelf`): mixes are chosen jointly, a trip is made once, and packages, seed
packets of the same crop among them, serve everybody. How a mix behaves is each member's own
reckoning. A sowing with a `medium` of its own keeps it, and the order says what that costs. What is
at home serves its owner first and nobody else; trays are not shared. Currency and tax must agree. A
`limit` holds for the whole order.

The cost, with what is used besides the packages, is divided by the Shapley value of the groups of
members, all groups knowing the joint shelf (see `split`). Without limits this leaves nobody worse
off than alone: the members' own lists put together are one way to meet the joint needs, and so for
each group that a member may join. Where that does not hold, because limits bind or what is left
over counts, no payment exceeds the own list as long as the own lists together pay for the order;
else the report says who would do better alone. What is left over goes to those who use the item, in
proportion to what they need of it.
"""

import json
from collections import Counter
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from math import fsum

from pennyflat.highs import solve as solve_natively
from pennyflat.joint_plan import JointPlanner
from pennyflat.joint_shelf import alike, joint_shelf
from pennyflat.package import label_of
from pennyflat.plan import Plan, Planner, run
from pennyflat.saying import Listed, Money, phrase, say, say_count
from pennyflat.scenario import Scenario, write
from pennyflat.shopping import shopping_list
from pennyflat.split import MOST_GROUPS, shapley, to_the_cent

FORMAT = "seedling-costs-pool/2"

SPLITS = ("shapley", "equal")
"""Rules by which a club can divide what it saves."""

GROUPS_SECONDS = 20.0
"""How long to look for the plans of all groups together. [s] Ours."""

MOST_TOLD = 3
"""Groups that would do better alone which are told. [count] Ours."""

_NOISE_PLACES = 9
"""Decimals of money beyond which digits come from adding floats, not from prices. [count]"""


class PoolError(ValueError):
    """Scenarios that make no one order. `differences` holds every reason; `str` of it, a `Said`,
    lists them."""

    def __init__(self, differences):
        self.differences = tuple(differences)
        super().__init__(say("{reasons}", reasons=Listed(self.differences, "\n")))


def pool(scenarios, *, names=None, decimals=2, split="shapley", solve=solve_natively):
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
    split : {"shapley", "equal"}, default "shapley"
        How what is saved is divided.
    solve : callable, optional
        What solves the choice of mixes; see `pennyflat.plan.run`. HiGHS if not given.

    Returns
    -------
    dict
        The report, plain JSON values, with the keys of a shopping list; `plan` names the `member`
        of each row, `stores` who `goes`. `members`: each with `name`; `alone`, what the own list
        comes to, or null where something cannot be had or raised alone; `besides`, what is used in
        the order besides packages and trips more than alone; `saving` and `pays`, so that alone =
        besides + saving + pays; `goods` and `trips`, of which `pays` is made up; `over_budget_by`
        [currency]; `items` (`needed`, `taken`, `left_over`, `short_by` [measure]). The payments
        come to `total`, to the minor unit. `alone`, `saving`: sums; `split`: the `rule`, its
        `error` [currency], whether its plans are `proven`, a `sentence`; `insists`: `member`,
        `crops`, `media`, `costs`, `sentence`; `better_alone`: `members`, `saves`, `sentence`;
        `none_worse_off` and, where not, `why_not`; `notices`.

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
    []
    >>> report["total"], report["none_worse_off"]
    (16.2, True)
    """
    return run(pool_steps(scenarios, names=names, decimals=decimals, split=split), solve)


def pool_steps(scenarios, *, names=None, decimals=2, split="shapley"):
    """
    As `pool`, as work that asks for solutions; see `pennyflat.plan`.

    Parameters
    ----------
    scenarios, names, decimals, split
        As for `pool`.

    Returns
    -------
    dict
        As from `pool`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.highs import solve
    >>> from pennyflat.plan import run
    >>> from pennyflat.scenario import read
    >>> run(pool_steps([read(DEMO)]), solve)["format"]
    'seedling-costs-pool/2'
    """
    if split not in SPLITS:
        raise ValueError(f"split must be one of {SPLITS}, not {split!r}.")
    titles = [scenario.title for scenario in scenarios] if names is None else list(names)
    order = sorted(range(len(scenarios)), key=lambda i: (titles[i], _canonical(scenarios[i])))
    labels = _labels([titles[i] for i in order])
    scenarios = {label: scenarios[i] for label, i in zip(labels, order, strict=True)}
    shelf = joint_shelf(scenarios)
    _check(scenarios.values(), shelf)
    members = []
    for name, own, guest in zip(scenarios, scenarios.values(), shelf.scenarios, strict=True):
        alone = yield from Planner(own).best()
        members.append(_Member(name, own, alone, Planner(guest)))
    together = _planner(members)
    best = yield from together.best()
    alone = [_own_cost(member, mine) for member, mine in _own_picks(members, together, best)]
    owed = yield from _owed(members, together, best, alone, split)
    rows, is_within = _rows(members, together, best, alone, owed.shares, decimals)
    insists = yield from _insists(members, best)
    better = yield from _better_alone(members, rows, best, together, owed.groups, decimals)
    report = shopping_list(together.scenario, best)
    names = [member.name for member in members for _ in member.own.sowings]
    plan = [{"member": name, **row} for name, row in zip(names, report["plan"], strict=True)]
    stores = [{"goes": list(shelf.goers[row["store"]]), **row} for row in report["stores"]]
    why_not = _why_not(members, best, rows, is_within)
    return {
        **report,
        "format": FORMAT,
        "plan": plan,
        "stores": stores,
        "members": [rows[order.index(i)] for i in range(len(order))],
        "alone": _sum(rows, "alone"),
        "saving": _sum(rows, "saving"),
        "split": owed.rule,
        "insists": insists,
        "better_alone": better,
        "none_worse_off": why_not is None,
        "why_not": why_not,
        "notices": _notices(members),
    }


@dataclass(frozen=True, slots=True)
class _Member:
    name: str
    own: Scenario
    alone: Plan
    planner: Planner
    """Of the own scenario on the joint shelf."""


@dataclass(frozen=True, slots=True)
class _Owed:
    """What each member owes, what is used besides included, and how that was found."""

    shares: list[float]
    """[currency]"""
    groups: dict[tuple[int, ...], Plan]
    """The plans of the groups that were looked at."""
    rule: dict


def _planner(members):
    media = [medium for member in members for medium in member.alone.media]
    return JointPlanner([member.planner for member in members], media)


def _own_picks(members, together, best):
    return zip(members, together.by_member(best.picks), strict=True)


def _rest(picks):
    return fsum(pick.rest for pick in picks if pick)


def _own_cost(member, picks):
    """All that the own list comes to; None where it leaves something out. [currency]"""
    is_less = any(pick and not own for pick, own in zip(picks, member.alone.picks, strict=True))
    return None if is_less or member.alone.basket.unmet else member.alone.with_the_rest


def _owed(members, together, best, alone, split):
    """The members' shares of the cost, by a rule."""
    groups = {}
    buying = [place for place, member in enumerate(members) if any(member.planner.rows)]
    many = min(2 ** len(buying), MOST_GROUPS)

    def cost(places):
        group = tuple(buying[place] for place in places)
        plan = best
        if len(group) < len(buying):
            work = _planner([members[place] for place in group])
            plan = yield from work.best(seconds=GROUPS_SECONDS / many)
        groups[group] = plan
        return plan.with_the_rest

    if split == "equal":
        found = []
        for place in buying:
            own = alone[place]
            found.append((yield from cost((buying.index(place),))) if own is None else own)
        each, error = (fsum(found) - best.with_the_rest) / max(1, len(buying)), 0.0
        found = [own - each for own in found]
        sentence = phrase("What is saved against buying alone is divided equally.")
    else:
        found, error = yield from shapley(len(buying), cost)
        sentence = _rule(error, together.scenario.currency)
    shares = [0.0] * len(members)
    for place, share in zip(buying, found, strict=True):
        shares[place] = share
    rule = {
        "rule": split,
        "error": error,
        "proven": all(plan.proven for plan in groups.values()),
        "sentence": sentence,
    }
    return _Owed(shares, groups, rule)


def _rule(error, currency):
    if not error:
        return phrase(
            "Each pays what the own sowings add to the cost, on average over all sequences in which"
            " the members can join the order (the Shapley value)."
        )
    return say(
        "Each pays what the own sowings add to the cost, on average over some of the sequences in"
        " which the members can join the order (the Shapley value, sampled: its standard error is"
        " {error} at most).",
        error=Money(error, currency),
    )


def _rows(members, together, best, alone, shares, decimals):
    """A row for each member, and whether nobody pays more than alone."""
    bill = _minor(best.basket.total, decimals, ROUND_HALF_UP)
    rests = [_rest(mine) for mine in together.by_member(best.picks)]
    besides = [
        rest - _rest(member.alone.picks) for rest, member in zip(rests, members, strict=True)
    ]
    own = [
        None if cost is None else member.alone.basket.total
        for cost, member in zip(alone, members, strict=True)
    ]
    most = _most(bill, own, besides, decimals)
    owed = [(s - rest) * 10**decimals for s, rest in zip(shares, rests, strict=True)]
    pays = to_the_cent(bill, owed, most)
    trips_paid = _minor(best.basket.trips_paid, decimals, ROUND_HALF_UP)
    trips = to_the_cent(
        trips_paid, [trips_paid * paid / bill if bill else 0.0 for paid in pays], pays
    )
    rows = []
    for place, (member, items) in enumerate(zip(members, _items(together, best), strict=True)):
        paid = pays[place] / 10**decimals
        budget = member.own.budget
        rows.append(
            {
                "name": member.name,
                "alone": own[place],
                "besides": besides[place],
                "goods": (pays[place] - trips[place]) / 10**decimals,
                "trips": trips[place] / 10**decimals,
                "saving": None if own[place] is None else own[place] - besides[place] - paid,
                "pays": paid,
                "over_budget_by": 0.0 if budget is None else max(0.0, paid - budget),
                "items": items,
            }
        )
    return rows, most is not None


def _most(bill, own, besides, decimals):
    """What nobody is to pay more than, where that can be had. [minor units]"""
    for spares, rounding in (
        (True, ROUND_HALF_UP),
        (False, ROUND_HALF_UP),
        (False, ROUND_CEILING),
    ):
        most = [
            None
            if cost is None
            else max(0, _minor(cost - (max(0.0, more) if spares else more), decimals, rounding))
            for cost, more in zip(own, besides, strict=True)
        ]
        if None in most or sum(most) >= bill:
            return most
    return None


def _minor(cost, decimals, rounding):
    """Money in whole minor units of the currency."""
    exact = Decimal(repr(round(cost, _NOISE_PLACES)))
    return int(exact.scaleb(decimals).to_integral_value(rounding))


def _items(together, best):
    """What each member takes of each item: of all that is bought, the share of the joint need."""
    found = []
    missing = together.missing(best.picks)
    for place, _ in enumerate(together.by_member(best.picks)):
        found.append(
            [
                {
                    "item": item,
                    "measure": measure,
                    "needed": lacks[place],
                    "taken": cover.bought * lacks[place] / fsum(lacks),
                    "left_over": cover.left_over * lacks[place] / fsum(lacks),
                    "short_by": cover.short_by * lacks[place] / fsum(lacks),
                }
                for ((item, measure, *_), lacks), cover in zip(
                    missing.items(), best.basket.covers, strict=True
                )
                if lacks[place]
            ]
        )
    return found


def _insists(members, best):
    """What it costs that a member keeps the own choice of mixes."""
    found = []
    for place, member in enumerate(members):
        kept = [
            sowing
            for sowing, row in zip(member.own.sowings, member.planner.rows, strict=True)
            if sowing.medium and row
        ]
        if not kept:
            continue
        open_ = tuple(
            replace(sowing, medium=None) if sowing in kept else sowing
            for sowing in member.own.sowings
        )
        planner = Planner(replace(member.planner.scenario, sowings=open_))
        free = [*members[:place], replace(member, planner=planner), *members[place + 1 :]]
        other = yield from _planner(free).best()
        costs = max(0.0, best.weighed_cost - other.weighed_cost)
        crops, media = (
            tuple(dict.fromkeys(getattr(sowing, name) for sowing in kept))
            for name in ("crop", "medium")
        )
        gaps = {
            "member": member.name,
            "media": Listed(media, "and"),
            "crops": Listed(crops, "and"),
        }
        money = Money(costs, member.own.currency)
        sentence = (
            say("{member} keeps {media} for {crops}: it costs {costs} more.", **gaps, costs=money)
            if costs > 0.005
            else say("{member} keeps {media} for {crops}: it costs nothing more.", **gaps)
        )
        found.append(
            {
                "member": member.name,
                "crops": list(crops),
                "media": list(media),
                "costs": costs,
                "sentence": sentence,
            }
        )
    return found


def _better_alone(members, rows, best, together, groups, decimals):
    """Members and groups that would do better by themselves, on their own shelves."""
    least = 0.5 / 10**decimals
    paid = [
        row["pays"] + _rest(mine)
        for row, mine in zip(rows, together.by_member(best.picks), strict=True)
    ]
    found = [
        ((place,), -row["saving"])
        for place, row in enumerate(rows)
        if row["saving"] is not None and row["saving"] < -least
    ]
    likely = [
        (group, fsum(paid[place] for place in group) - plan.with_the_rest)
        for group, plan in groups.items()
        if 1 < len(group) < len(members) and not plan.basket.unmet
    ]
    likely = sorted((pair for pair in likely if pair[1] > least), key=lambda pair: -pair[1])
    for group, _ in likely[:MOST_TOLD]:
        shelf = joint_shelf({members[place].name: members[place].own for place in group})
        own = [
            replace(members[place], planner=Planner(guest))
            for place, guest in zip(group, shelf.scenarios, strict=True)
        ]
        plan = yield from _planner(own).best()
        is_whole = not plan.basket.unmet and sum(map(bool, plan.picks)) == sum(
            map(bool, groups[group].picks)
        )
        saves = fsum(paid[place] for place in group) - plan.with_the_rest
        if is_whole and saves > least:
            found.append((group, saves))
    found.sort(key=lambda pair: (-pair[1], len(pair[0])))
    told = []
    for group, saves in found[:MOST_TOLD]:
        names = tuple(members[place].name for place in group)
        sentence = say_count(
            len(names),
            "{names} would do better alone, by {saves}.",
            "{names} would do better by themselves, by {saves} together.",
            names=Listed(names, "and"),
            saves=Money(saves, members[0].own.currency),
        )
        told.append({"members": list(names), "saves": saves, "sentence": sentence})
    return told


def _sum(rows, key):
    found = [row[key] for row in rows]
    return None if None in found else fsum(found)


def _why_not(members, best, rows, is_within):
    """A sentence where somebody is worse off in the order than alone."""
    if not is_within:
        currency = members[0].own.currency
        gaps = {
            "bill": Money(best.basket.total, currency),
            "alone": Money(fsum(row["alone"] - row["besides"] for row in rows), currency),
        }
        strained = _strained(members)
        if strained:
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
    short = {lack.item for lack in best.basket.unmet}
    if any(
        row["alone"] is not None and item["item"] in short for row in rows for item in row["items"]
    ):
        return say(
            "Limits leave the order short of {items}, which is shared by need; a member who could"
            " have had it all alone is worse off for that.",
            items=Listed(tuple(sorted(short)), ","),
        )
    return None


def _strained(members):
    """Packages of which the members' own lists hold more than can be had."""
    bought = Counter()
    for member in members:
        for bill in member.alone.basket.stores:
            for line in bill.lines:
                bought[line.item, line.package] += line.count
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


def _check(scenarios, shelf):
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
    differences += shelf.differences
    if differences:
        raise PoolError(differences)


def _notices(members):
    found = [
        say(
            "{names} are counted as different items; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
        for names in alike(name for member in members for name in _items_of(member.own))
    ]
    found += [
        say(
            "{names} are counted as different shops; if they are one, give them one name, so that"
            " they can share.",
            names=Listed(names, "and"),
        )
        for names in alike(store.name for m in members for store in m.own.stores)
    ]
    counts = {member.own.left_over_counts for member in members}
    if len(counts) > 1:
        found.append(
            say(
                "The members count differently on what is left over; the order takes the least,"
                " {percent:.0f} %.",
                percent=100 * min(counts),
            )
        )
    found += [
        say(
            "{member}: the search for the cheapest mixes stopped before it had a proof; alone it"
            " may cost less than stated, by {by:.2f} at most.",
            member=member.name,
            by=member.alone.weighed_cost - member.alone.at_least,
        )
        for member in members
        if not member.alone.proven
    ]
    return found


def _items_of(scenario):
    rows = (*scenario.media, *scenario.ingredients, scenario.feed)
    return [row.name for row in rows if row]
