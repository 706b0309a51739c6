"""How the total of a purchase is worked out, step by step, in sentences; see `taken`."""

from collections.abc import Iterator, Sequence
from functools import partial
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

    Empty if nothing is raised; otherwise steps about "needed", "mixed" and "at_home" of an item
    [its measure], "bought" of a package [currency], "left_over" and "short" of an item [its
    measure], "packages", "tax", "trips", "to_pay", "over_budget", "rest" (one for each thing not
    bought as packages), "with_the_rest", "each" and, where leftovers count, "leftovers",
    "weighed" and, with what was at home before, "spent". [currency]

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import run
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
    planner, money = Planner(scenario), partial(Money, currency=scenario.currency)
    needs, basket = planner.needs(plan.picks), plan.basket
    steps = [*needed(scenario, picks), *purchases(scenario, needs, basket)]
    if scenario.budget is not None and basket.over_budget_by:
        sums = {"total": basket.total, "budget": scenario.budget, "over": basket.over_budget_by}
        gaps = {name: money(amount) for name, amount in sums.items()}
        text = say("Over the budget: {total} − {budget} = {over}.", **gaps)
        steps.append(step("over_budget", text, basket.over_budget_by))
    steps += _rest(scenario, plan, picks)
    each = plan.with_the_rest / plan.wanted
    paid = {"total": money(plan.with_the_rest), "each": money(each)}
    text = say("A seedling: {total} ÷ {wanted:,} wanted = {each}.", wanted=plan.wanted, **paid)
    steps.append(step("each", text, each))
    if scenario.left_over_counts:
        steps += _weighed(scenario, planner, plan, needs)
    return steps


def purchases(scenario: Scenario, needs: Sequence[Need], basket: Basket) -> Iterator[Step]:
    """The steps of `working_of_plan` from "at_home" to "to_pay", for needs and their basket."""
    money, paid = partial(Money, currency=scenario.currency), list[float]()
    for need, cover in zip(needs, basket.covers, strict=True):
        made = [*_bought(scenario, need, cover)]
        paid += (one["amount"] for one in made if one["what"] == "bought")
        yield from made
    if scenario.tax and paid:
        before, packages = fsum(paid), Listed(tuple(map(money, paid)), "+")
        text = say("Packages: {parts} = {sum}.", parts=packages, sum=money(before))
        yield step("packages", text, before)
        paid = [basket.packages_paid]
        gaps = {"sum": money(before), "tax": scenario.tax, "paid": money(basket.packages_paid)}
        text = say("With tax: {sum} × (1 + {tax:g}) = {paid}.", **gaps)
        yield step("tax", text, basket.packages_paid)
    for store, cost in basket.trips.items():
        if cost:
            text = say("The trip to {store}: {cost}.", store=store, cost=money(cost))
            yield step("trips", text, cost)
            paid.append(cost)
    gaps = {"parts": Listed(tuple(map(money, paid)), "+"), "total": money(basket.total)}
    text = say("To pay: {parts} = {total}." if len(paid) > 1 else "To pay: {total}.", **gaps)
    yield step("to_pay", text, basket.total)


def _bought(scenario, need, cover):
    """The stock of one item, the packages bought of it, and what is left over."""
    if need.stock:
        yield at_home(need.item, need.amount, need.stock, need.measure)
    for package, count in zip(need.packages, cover.counts, strict=True):
        if count:
            yield _line(need.item, package, count, scenario.currency)
    left, short = cover.left_over, cover.short_by
    amounts = {"bought": cover.bought, "stock": need.stock, "amount": need.amount}
    amounts["left"] = left or short
    if amounts["left"]:
        text = say(
            "{item}: {left:,.10g} cannot be had, for there are limits."
            if short
            else "{item}: {bought:,.10g} + {stock:,.10g} at home − {amount:,.10g} = {left:,.10g}"
            " left over."
            if need.stock
            else "{item}: {bought:,.10g} − {amount:,.10g} = {left:,.10g} left over.",
            item=need.item,
            **{name: counted(amount, need.measure) for name, amount in amounts.items()},
        )
        yield step("short" if short else "left_over", text, amounts["left"])


def _line(item, package, count, currency):
    """Cost of a number of packages before tax, deals applied."""
    money, take, pay = partial(Money, currency=currency), 1, package.price
    if package.deal and package.deal.pay < package.price * package.deal.take:
        take, pay = package.deal.take, package.deal.pay
    deals, singles = divmod(count, take) if take > 1 else (0, count)
    paid = deals * pay + singles * package.price
    gaps = {"item": item, "label": label_of(package), "store": package.store, "count": singles}
    gaps |= {"price": money(package.price), "paid": money(paid)}
    gaps |= {"deals": deals, "take": take, "pay": money(pay)}
    text = say(
        "{item}, {label} at {store}, {take:,} for {pay}: {deals:,} × {pay} + {count:,} ×"
        " {price} = {paid}."
        if deals
        else "{item} at {store}: {count:,} × {price} = {paid}."
        if package.unit == TRAYS
        else "{item}, {label} at {store}: {count:,} × {price} = {paid}.",
        **gaps,
    )
    return step("bought", text, paid)


def _rest(scenario, plan, picks):
    """Things not bought as packages, as used, and the sum with them."""
    money = partial(Money, currency=scenario.currency)
    trays = fsum(
        cells * tray_price(scenario.tray(name))
        for pick in picks
        for name, cells in pick.trays.items()
        if scenario.tray(name).have is None
    )
    seed = fsum(pick.costs.seed for pick in picks if not pick.sowing.seed_packets)
    parts = {
        phrase("Seed that is not bought in packets"): seed,
        phrase("Wear of trays at home"): trays,
        phrase("Light and heat"): fsum(pick.costs.energy for pick in picks),
        phrase("Time"): fsum(pick.costs.labour for pick in picks),
    }
    sums = [money(plan.basket.total)]
    for what, paid in parts.items():
        if paid:
            sums.append(money(paid))
            text = say("{what}: {paid} by what you use up.", what=what, paid=sums[-1])
            yield step("rest", text, paid)
    if len(sums) > 1:
        gaps = {"parts": Listed(tuple(sums), "+"), "total": money(plan.with_the_rest)}
        text = say("With the rest: {parts} = {total}.", **gaps)
        yield step("with_the_rest", text, plan.with_the_rest)


def _weighed(scenario, planner, plan, needs):
    """The leftovers, as far as they count."""
    money, steps, seen = partial(Money, currency=scenario.currency), [], set()
    for need, cover in zip(needs, plan.basket.covers, strict=True):
        seen.add(need.key)
        steps += _worth(scenario, need, cover)
    for key, worth in planner.left_at_home(plan.picks).items():
        if key not in seen and worth:
            item = key[1] if key[0] == "mixed" else key[0]
            gaps = {"item": item, "worth": money(worth)}
            text = say("{item} at home that is not used: worth {worth}.", **gaps)
            steps.append(step("leftovers", text, worth))
    text = say(
        "What the plan makes least: {paid} − {share:g} × {worth} of leftovers = {weighed}.",
        paid=money(plan.with_the_rest),
        share=scenario.left_over_counts,
        worth=money(fsum(made["amount"] for made in steps)),
        weighed=money(plan.weighed_cost),
    )
    steps.append(step("weighed", text, plan.weighed_cost))
    if home := planner.worth_at_home():
        spent = plan.weighed_cost + scenario.left_over_counts * home
        text = say(
            "Without what was at home before, worth {home}: {weighed} + {share:g} × {home} ="
            " {spent}.",
            home=money(home),
            weighed=money(plan.weighed_cost),
            share=scenario.left_over_counts,
            spent=money(spent),
        )
        steps.append(step("spent", text, spent))
    return steps


def _worth(scenario, need, cover):
    """Worth of one item's leftover, at what is paid where that is cheapest, deals included."""
    used, worth = need.remains(cover, scenario.tax)
    way = best_way(need.packages, need.measure)
    if not worth or way is None:
        return
    pay, holds = way
    text = say(
        "{item}: ({left:,.10g} + {used:,.10g} × (1 − 1 ÷ {uses:g})) × {pay} = {worth} that remains."
        if used
        else "{item}: {left:,.10g} × {pay} ÷ {holds:,.10g} = {worth} that remains.",
        item=need.item,
        left=counted(cover.left_over, need.measure),
        used=used,
        uses=scenario.tray(need.item).uses if used else 1,
        pay=Money(pay * (1 + scenario.tax), scenario.currency),
        holds=counted(holds, need.measure),
        worth=Money(worth, scenario.currency),
    )
    yield step("leftovers", text, worth)
