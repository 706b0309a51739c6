"""What other choices of mix would cost than the one on the shopping list, all plantings together.

Money counts packages, trips and the as-used cost of seed, containers, energy and labour, as the
list's `with_the_rest` does.
"""

from pennyflat.cost import requirement
from pennyflat.joint_cost import JointCost
from pennyflat.piecemeal import to_the_end


def plans_compared(bill):
    """
    The plan of a shopping list beside the best with one mix for all and each crop's own choice.

    Parameters
    ----------
    bill : dict
        As from `shop`.

    Returns
    -------
    list of dict
        By `kind`: "joint", the list's own; "one_mix", where one mix can serve all; "each_its_own",
        each planting insisting on the mix cheapest for it alone, bought together. Each with `plan`,
        `total`, `with_the_rest`, `more` than the joint plan [currency] and `unmet`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.plan import shop
    >>> from pennyflat.scenario import read
    >>> for row in plans_compared(shop(read(DEMO))):
    ...     print(row["kind"], round(row["with_the_rest"], 2), round(row["more"], 2))
    joint 39.97 0.0
    one_mix 39.97 0.0
    each_its_own 39.97 0.0
    """
    others = bill["other_plans"]
    found = [("joint", bill), *(("one_mix", plan) for plan in others["one_mix"][:1])]
    found.append(("each_its_own", others["each_its_own"]))
    return [
        {
            "kind": kind,
            "plan": plan["plan"],
            "total": plan["total"],
            "with_the_rest": plan["with_the_rest"],
            "more": plan["with_the_rest"] - bill["with_the_rest"],
            "unmet": plan["unmet"],
        }
        for kind, plan in found
    ]


def switches(scenario, bill):
    """
    For each planting, the next best mix while the others keep theirs, and what that adds in all.

    Parameters
    ----------
    scenario : Scenario
    bill : dict
        As from `shop` for this scenario.

    Returns
    -------
    list of dict or None
        One per planting: `instead`, a medium, and `more` money [currency], at least 0 where the
        plan is proven. None where no other medium leaves the planting ready with every need met, or
        its medium is the grower's own choice.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.plan import shop
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> [(s["instead"], round(s["more"], 2)) for s in switches(demo, shop(demo))]
    [('Bulk potting mix', 18.0), ('Bulk potting mix', 21.45), ('Bulk potting mix', 18.0)]
    """
    return to_the_end(switches_piecemeal(scenario, bill))


def switches_piecemeal(scenario, bill):
    """As `switches`, as work that can be left off; see `piecemeal`."""
    rows = []
    for planting in scenario.plantings:
        row = [requirement(scenario, planting, medium) for medium in scenario.media]
        rows.append([needed for needed in row if needed.ready])
        yield
    joint = JointCost(scenario, rows)
    plan = [
        next((i for i, needed in enumerate(row) if needed.medium == chosen["medium"]), None)
        for row, chosen in zip(rows, bill["plan"], strict=True)
    ]
    planned, found = joint.money(joint.of(plan)), []
    for place, (planting, row) in enumerate(zip(scenario.plantings, rows, strict=True)):
        best = None
        for pick, needed in enumerate(row):
            if planting.medium or plan[place] in (None, pick):
                continue
            cost = joint.of((*plan[:place], pick, *plan[place + 1 :]))
            if not joint.is_short(cost) and (best is None or cost < best[0]):
                best = cost, needed.medium
        found.append(best and {"instead": best[1], "more": joint.money(best[0]) - planned})
        yield
    return found
