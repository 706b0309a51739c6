"""How the total of a purchase is worked out, step by step, in sentences; see `taken`."""

from collections.abc import Sequence
from math import fsum

from pennyflat.buying.basket import Basket
from pennyflat.buying.cover import Need, best_way
from pennyflat.buying.plan import Plan, Planner
from pennyflat.growing.cost import tray_price
from pennyflat.scenario.package import TRAYS, label_of
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import Listed, Money, phrase, say
from pennyflat.working.taken import Step, at_home, counted, needed, step


def working_of_plan(scenario: Scenario, plan: Plan) -> list[Step]:
    """
    How the recommendation's total is worked out, from the needs to the cost of a seedling.

    Returns
    -------
    list of dict
        `what`: "needed", "mixed" and "at_home" of an item [its measure], "bought" of a package
        [currency], "left_over" and "short" of an item [its measure], "packages", "tax", "trips",
        "to_pay", "over_budget", "rest" (one for each thing not bought as packages),
        "with_the_rest", "each" and, where leftovers count, "leftovers" and "weighed" [currency];
        `sentence`; `amount`. Empty if nothing is raised.

    Examples
    --------
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> steps = working_of_plan(demo, run(Planner(demo).best(), solve))
    >>> print(steps[0]["sentence"])
    Seed starter mix: 5.163 L for tomato + 4.432 L for lettuce + 4.626 L for marigold = 14.22 L.
    >>> print(steps[-1]["sentence"])
    A seedling: 39.75 USD ÷ 228 wanted = 0.174 USD.
    """
    picks = [pick for pick in plan.picks if pick]
    if not picks:
        return []
    planner, currency = Planner(scenario), scenario.currency
    needs = planner.needs(plan.picks)
    steps = [*needed(scenario, picks), *purchases(scenario, needs, plan.basket)]
    if scenario.budget is not None and plan.basket.over_budget_by:
        text = say(
            "Over the budget: {total} − {budget} = {over}.",
            total=Money(plan.basket.total, currency),
            budget=Money(scenario.budget, currency),
            over=Money(plan.basket.over_budget_by, currency),
        )
        steps.append(step("over_budget", text, plan.basket.over_budget_by))
    steps += _rest(scenario, plan, picks)
    wanted = sum(pick.wanted for pick in picks)
    each = plan.with_the_rest / wanted
    text = say(
        "A seedling: {total} ÷ {wanted:,} wanted = {each}.",
        total=Money(plan.with_the_rest, currency),
        wanted=wanted,
        each=Money(each, currency),
    )
    steps.append(step("each", text, each))
    return steps + (_weighed(scenario, planner, plan, needs) if scenario.left_over_counts else [])


def purchases(scenario: Scenario, needs: Sequence[Need], basket: Basket) -> list[Step]:
    """
    The steps of `working_of_plan` from "at_home" to "to_pay", for needs and their basket.

    Examples
    --------
    >>> from pennyflat.buying.basket import cheapest_basket
    >>> from pennyflat.buying.cover import Need
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> needs = [Need("Mix", "L", 20.0, demo.media[0].packages)]
    >>> for made in purchases(demo, needs, cheapest_basket(needs)):
    ...     print(made["sentence"])
    Mix, 8 qt_dry at Corner shop: 1 × 5.90 USD = 5.90 USD.
    Mix, 16 qt_dry at Corner shop: 1 × 9.80 USD = 9.80 USD.
    Mix: 26.43 L − 20 L = 6.429 L left over.
    To pay: 5.90 USD + 9.80 USD = 15.70 USD.
    """
    steps, currency = [], scenario.currency
    for need, cover in zip(needs, basket.covers, strict=True):
        steps += _bought(scenario, need, cover)
    paid = [made["amount"] for made in steps if made["what"] == "bought"]
    before = fsum(paid)
    parts = [Money(each, currency) for each in paid]
    if scenario.tax and paid:
        text = say(
            "Packages: {parts} = {sum}.",
            parts=Listed(tuple(parts), "+"),
            sum=Money(before, currency),
        )
        steps.append(step("packages", text, before))
        text = say(
            "With tax: {sum} × (1 + {tax:g}) = {paid}.",
            sum=Money(before, currency),
            tax=scenario.tax,
            paid=Money(basket.packages_paid, currency),
        )
        steps.append(step("tax", text, basket.packages_paid))
        parts = [Money(basket.packages_paid, currency)]
    for store, cost in basket.trips.items():
        if cost:
            text = say("The trip to {store}: {cost}.", store=store, cost=Money(cost, currency))
            steps.append(step("trips", text, cost))
            parts.append(Money(cost, currency))
    if len(parts) > 1:
        text = say(
            "To pay: {parts} = {total}.",
            parts=Listed(tuple(parts), "+"),
            total=Money(basket.total, currency),
        )
    else:
        text = say("To pay: {total}.", total=Money(basket.total, currency))
    return [*steps, step("to_pay", text, basket.total)]


def _bought(scenario, need, cover):
    """The stock of one item, the packages bought of it, and what is left over."""
    currency = scenario.currency
    if need.stock:
        yield at_home(need.item, need.amount, need.stock, need.measure)
    for package, count in zip(need.packages, cover.counts, strict=True):
        if count:
            yield _line(need.item, package, count, currency)
    left, short = cover.left_over, cover.short_by
    gaps = {
        "item": need.item,
        "bought": counted(cover.bought, need.measure),
        "stock": counted(need.stock, need.measure),
        "amount": counted(need.amount, need.measure),
        "left": counted(left or short, need.measure),
    }
    if short:
        text = say("{item}: {left:,.10g} cannot be had, for there are limits.", **gaps)
        yield step("short", text, short)
    elif left and need.stock:
        text = say(
            "{item}: {bought:,.10g} + {stock:,.10g} at home − {amount:,.10g} = {left:,.10g} left"
            " over.",
            **gaps,
        )
        yield step("left_over", text, left)
    elif left:
        text = say("{item}: {bought:,.10g} − {amount:,.10g} = {left:,.10g} left over.", **gaps)
        yield step("left_over", text, left)


def _line(item, package, count, currency):
    """Cost of a number of packages before tax, deals applied."""
    take, pay = 1, package.price
    if package.deal and package.deal.pay < package.price * package.deal.take:
        take, pay = package.deal.take, package.deal.pay
    deals, singles = divmod(count, take) if take > 1 else (0, count)
    paid = deals * pay + singles * package.price
    gaps = {
        "item": item,
        "label": label_of(package),
        "store": package.store,
        "count": singles,
        "price": Money(package.price, currency),
        "paid": Money(paid, currency),
    }
    if deals:
        text = say(
            "{item}, {label} at {store}, {take:,} for {pay}: {deals:,} × {pay} + {count:,} ×"
            " {price} = {paid}.",
            **gaps,
            deals=deals,
            pay=Money(pay, currency),
            take=take,
        )
    elif package.unit == TRAYS:
        text = say("{item} at {store}: {count:,} × {price} = {paid}.", **gaps)
    else:
        text = say("{item}, {label} at {store}: {count:,} × {price} = {paid}.", **gaps)
    return step("bought", text, paid)


def _rest(scenario, plan, picks):
    """Things not bought as packages, as used, and the sum with them."""
    currency = scenario.currency
    seed = fsum(pick.costs.seed for pick in picks if not pick.sowing.seed_packets)
    trays = fsum(
        cells * tray_price(scenario.tray(name))
        for pick in picks
        for name, cells in pick.trays.items()
        if scenario.tray(name).have is None
    )
    parts = (
        (phrase("Seed that is not bought in packets"), seed),
        (phrase("Wear of trays at home"), trays),
        (phrase("Light and heat"), fsum(pick.costs.energy for pick in picks)),
        (phrase("Time"), fsum(pick.costs.labour for pick in picks)),
    )
    found = [(what, paid) for what, paid in parts if paid]
    for what, paid in found:
        text = say("{what}: {paid} as used.", what=what, paid=Money(paid, currency))
        yield step("rest", text, paid)
    if found:
        sums = [plan.basket.total, *(paid for _, paid in found)]
        text = say(
            "With the rest: {parts} = {total}.",
            parts=Listed(tuple(Money(each, currency) for each in sums), "+"),
            total=Money(plan.with_the_rest, currency),
        )
        yield step("with_the_rest", text, plan.with_the_rest)


def _weighed(scenario, planner, plan, needs):
    """The leftovers, as far as they count."""
    currency, steps, seen = scenario.currency, [], set()
    for need, cover in zip(needs, plan.basket.covers, strict=True):
        seen.add(need.key)
        steps += _worth(scenario, need, cover)
    for key, worth in planner.left_at_home(plan.picks).items():
        if key not in seen and worth:
            item = key[1] if key[0] == "mixed" else key[0]
            text = say(
                "{item} at home that is not used: worth {worth}.",
                item=item,
                worth=Money(worth, currency),
            )
            steps.append(step("leftovers", text, worth))
    worth = fsum(made["amount"] for made in steps)
    text = say(
        "What the plan makes least: {paid} − {share:g} × {worth} of leftovers = {weighed}.",
        paid=Money(plan.with_the_rest, currency),
        share=scenario.left_over_counts,
        worth=Money(worth, currency),
        weighed=Money(plan.weighed_cost, currency),
    )
    return [*steps, step("weighed", text, plan.weighed_cost)]


def _worth(scenario, need, cover):
    """Worth of one item's leftover."""
    used = (need.stock + cover.bought - cover.left_over) if need.keeps else 0.0
    worth = (cover.left_over + need.keeps * used) * need.worth(scenario.tax)
    way = best_way(need.packages, need.measure)
    if not worth or way is None:
        return
    gaps = {
        "item": need.item,
        "left": counted(cover.left_over, need.measure),
        "pay": Money(way[0] * (1 + scenario.tax), scenario.currency),
        "holds": counted(way[1], need.measure),
        "worth": Money(worth, scenario.currency),
    }
    if used:
        text = say(
            "{item}: ({left:,.10g} + {used:,.10g} × (1 − 1 ÷ {uses:g})) × {pay} = {worth} that"
            " remains.",
            **gaps,
            used=used,
            uses=scenario.tray(need.item).uses,
        )
    else:
        text = say(
            "{item}: {left:,.10g} × {pay} ÷ {holds:,.10g} = {worth} that remains.",
            **gaps,
        )
    yield step("leftovers", text, worth)
