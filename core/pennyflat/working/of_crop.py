"""How one row of the comparison is worked out, step by step, in sentences with the numbers.

A step is a dict of `what`, `sentence` and `amount`; `pennyflat.working.taken` explains the
rounding.
"""

from dataclasses import asdict
from functools import partial

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.needs import needs_of, seed_name
from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.cost import energy_used, tray_price
from pennyflat.growing.feeding import dose, solution_litres
from pennyflat.growing.outcomes import requirement_of
from pennyflat.growing.sowing import occupied_share, sown
from pennyflat.scenario.package import SEEDS, amount_in, cheapest, label_of, price_per
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.sentences import Amount, Listed, Money, say
from pennyflat.working.receipt import purchases
from pennyflat.working.taken import (
    Step,
    cell_steps,
    counted,
    feeding_steps,
    mix_parts,
    needed,
    ready_steps,
    shown,
    step,
)


def working_of(scenario: Scenario, sowing: Sowing, medium: Medium) -> dict[str, list[Step]]:
    """
    How the figures of a sowing in one of the scenario's media are worked out.

    The lists of steps `growing`, `as_used` and `at_the_till`. `growing` is as from
    `pennyflat.working.taken`; it ends with "stalls" if no seedling is ready [weeks from sowing],
    and then the other two are empty. `as_used` holds "plants" [count], "fill" and "sum" of mixes
    [L], "mixed" of ingredients, "solution" [L], "dose", "concentrate" and "cost" of each thing
    bought, "tray", "light", "heat" [kWh], "energy", "time" [currency], "total", "each" [currency]
    and "not_counted". `at_the_till` is as from `pennyflat.working.receipt`, and ends with "each"
    [currency], or "short" if limits leave too little.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> found = working_of(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> for made in found["as_used"][:2]:
    ...     print(made["sentence"])
    Seed starter mix: 77 cells × 59 mL ÷ (1 − 0.12 lost in filling) = 5,163 mL, that is 5.163 L.
    Seed starter mix: 5.163 L × 9.80 USD ÷ 17.62 L = 2.87 USD, at its lowest price, 16 ...
    >>> print(found["at_the_till"][-1]["sentence"])
    At the till: 18.70 USD ÷ 60 wanted = 0.312 USD a seedling.
    """
    found = requirement_of(scenario, sowing, medium)
    after = aftercare(scenario, sowing, medium)
    growing = [*ready_steps(sowing, medium)]
    if found.cells:
        growing += cell_steps(scenario, sowing, medium)
        growing += feeding_steps(scenario, sowing, medium, after)
    if not found.ready:
        growing.append(step("stalls", found.why_not or "", found.stalls_in_week))
        return {"growing": growing, "as_used": [], "at_the_till": []}
    plants = found.cells * occupied_share(sowing, medium)
    as_used = [
        *_mixes(scenario, sowing, medium, found, plants, after.move),
        *_feed(scenario, found, plants, after.feedings),
        *_seed(scenario, sowing, medium, found),
        *_trays(scenario, found),
        *_energy(scenario, sowing.weeks * medium.pace, found),
        *_time(scenario, found),
        *_sum(scenario, found),
    ]
    return {"growing": growing, "as_used": as_used, "at_the_till": [*_till(scenario, found)]}


def _cost(scenario, item, amount, packages, measure):
    """Cost of an amount of one item as used, at the lowest plain price."""
    best = cheapest(packages, measure)
    cost = amount * price_per(best, measure, tax=scenario.tax)
    text = say(
        "{item}: {amount:,.10g} × {price} × (1 + {tax:g} tax) ÷ {holds:,.10g} = {cost}, at its"
        " lowest price, {label} at {store}."
        if scenario.tax
        else "{item}: {amount:,.10g} × {price} ÷ {holds:,.10g} = {cost}, at its lowest price,"
        " {label} at {store}.",
        item=item,
        amount=counted(amount, measure),
        price=Money(best.price, scenario.currency),
        tax=scenario.tax,
        holds=counted(amount_in(best, measure), measure),
        cost=Money(cost, scenario.currency),
        label=label_of(best),
        store=best.store,
    )
    return step("cost", text, cost)


def _mixes(scenario, sowing, medium, found, plants, move):
    """Litres of mixes and ingredients, and their cost."""
    fill = _fill(medium, found.cells, sowing.cell_ml)
    yield fill
    if move:
        gaps = {"cells": found.cells, "occupied": 100 * plants / found.cells, "plants": plants}
        text = say("Plants to pot on: {cells:,} cells × {occupied:.4g} % = {plants:,.2f}.", **gaps)
        yield step("plants", text, plants)
        bigger = _fill(scenario.medium(move.medium), plants, move.cell_ml)
        yield bigger
        if move.medium == medium.name:
            litres = fill["amount"], bigger["amount"]
            yield _both("sum", medium.name, *litres, "mix")
    for name, litres in found.litres.items():
        mix = scenario.medium(name)
        if not mix.parts:
            yield _cost(scenario, name, litres, mix.packages, "L")
            continue
        for ingredient, measure, made in mix_parts(mix, litres):
            yield made
            packages = scenario.ingredient(ingredient).packages
            yield _cost(scenario, ingredient, made["amount"], packages, measure)


def _fill(medium, cells, cell_ml):
    """Volume out of the bag that fills the cells."""
    litres = cells * medium.litres_for(cell_ml)
    in_all = shown(litres, "mix")
    gaps = {"item": medium.name, "cells": round(cells, 2), "loss": medium.fill_loss}
    gaps |= {"cell": Amount(cell_ml, "cell"), "volume": shown(in_all.value * 1000, "cell")}
    text = say(
        "{item}: {cells:,.10g} cells × {cell:,.10g} ÷ (1 − {loss:g} lost in filling) ="
        " {volume:,.10g}, that is {litres:,.10g}.",
        litres=in_all,
        **gaps,
    )
    return step("fill", text, litres)


def _both(what, item, first, second, quantity):
    """What is needed before potting on and after it, together."""
    amounts = {"first": first, "second": second, "amount": first + second}
    gaps = {name: shown(value, quantity) for name, value in amounts.items()}
    text = say("{item}: {first:,.10g} + {second:,.10g} = {amount:,.10g}.", item=item, **gaps)
    return step(what, text, first + second)


def _feed(scenario, found, plants, feedings):
    """Solution and concentrate, and their cost."""
    if not found.feed_amount:
        return
    feed, parts = scenario.feed, []
    for spell in feedings:
        fed = found.cells if spell.in_cells else plants
        parts.append(solution_litres(fed, spell.times, feed.ml_per_cell))
        in_all = shown(parts[-1], "solution")
        text = say(
            "Feed solution: {fed:,.10g} plants × {times:,} × {each:,.10g} = {volume:,.10g}, that is"
            " {litres:,.10g}.",
            fed=round(fed, 2),
            times=spell.times,
            each=Amount(feed.ml_per_cell, "liquid"),
            volume=shown(in_all.value * 1000, "liquid"),
            litres=in_all,
        )
        yield step("solution", text, parts[-1])
    if len(parts) > 1:
        yield _both("solution", feed.name, *parts, "solution")
    each = dose(feed)
    gaps = {"item": feed.name, "dose": counted(each, feed.measure), "one": Amount(1, "solution")}
    gaps |= {"ppm": feed.target_ppm_n, "percent": feed.n_percent, "grams": each}
    if feed.ml_per_litre is None and feed.g_per_litre is None:
        text = say(
            "Dose for {ppm:g} ppm N from {percent:g} % N: {ppm:g} ÷ (10 × {percent:g}) ="
            " {grams:.4g} g for a litre, that is {dose:,.10g} in {one:g}.",
            **gaps,
        )
        yield step("dose", text, each)
    gaps["litres"] = shown(found.solution_litres, "solution")
    gaps["amount"] = counted(found.feed_amount, feed.measure)
    text = say("{item}: {litres:,.10g} × {dose:,.10g} ÷ {one:g} = {amount:,.10g}.", **gaps)
    yield step("concentrate", text, found.feed_amount)
    yield _cost(scenario, feed.name, found.feed_amount, feed.packages, feed.measure)


def _seed(scenario, sowing, medium, found):
    """Cost of the seed."""
    used = sown(sowing, medium, scenario.assurance).seeds_as_used
    if found.costs.seed and sowing.seed_packets:
        packages = [packet.package for packet in sowing.seed_packets]
        yield _cost(scenario, seed_name(sowing.crop), used, packages, SEEDS)
    elif found.costs.seed:
        text = say(
            "Seed: {used:,.10g} × {price} a hundred ÷ 100 = {cost}.",
            used=round(used, 2),
            price=Money(100 * sowing.seed_price, scenario.currency),
            cost=Money(found.costs.seed, scenario.currency),
        )
        yield step("cost", text, found.costs.seed)


def _trays(scenario, found):
    """Cost of the trays' wear."""
    money = partial(Money, currency=scenario.currency)
    for name, cells in found.trays.items():
        tray = scenario.tray(name)
        cost = cells * tray_price(tray, scenario.tax)
        gaps = {"item": name, "cells": round(cells, 2), "price": money(tray.price)}
        gaps |= {"in_one": tray.cells, "uses": tray.uses, "cost": money(cost), "tax": scenario.tax}
        text = say(
            "{item}: {cells:,.10g} cells × {price} × (1 + {tax:g} tax) ÷ {in_one:g} cells ÷"
            " {uses:g} uses = {cost}."
            if scenario.tax and tray.have is not None
            else "{item}: {cells:,.10g} cells × {price} ÷ {in_one:g} cells ÷ {uses:g} uses ="
            " {cost}.",
            **gaps,
        )
        yield step("tray", text, cost)


def _energy(scenario, weeks, found):
    """Cost of light and heat."""
    energy = scenario.energy
    if energy is None:
        return
    light, heat = energy_used(energy, weeks)
    gaps = {"watts": energy.light_watts, "hours": energy.hours_per_day, "weeks": weeks}
    gaps |= {"days": energy.mat_days, "light": light, "heat": heat, "tariff": energy.tariff}
    text = say(
        "Light: {watts:g} W × {hours:g} h × 7 days × {weeks:.4g} weeks ÷ 1000 = {light:.4g} kWh.",
        **gaps,
    )
    yield step("light", text, light)
    gaps["watts"] = energy.mat_watts
    text = say("Heat: {watts:g} W × 24 h × {days:g} days ÷ 1000 = {heat:.4g} kWh.", **gaps)
    yield step("heat", text, heat)
    text = say(
        "Light and heat: ({light:.4g} + {heat:.4g}) kWh × {tariff:g} a kWh ÷ {fit:g} cells that fit"
        " × {cells:,} = {cost}.",
        fit=energy.cells,
        cells=found.cells,
        cost=Money(found.costs.energy, scenario.currency),
        **gaps,
    )
    yield step("energy", text, found.costs.energy)


def _time(scenario, found):
    """Cost of time."""
    if (labour := scenario.labour) is None:
        return
    text = say(
        "Time: {cells:,} cells × {minutes:g} minutes ÷ 60 × {wage} an hour = {cost}.",
        cells=found.cells,
        minutes=labour.minutes_per_cell,
        wage=Money(labour.wage, scenario.currency),
        cost=Money(found.costs.labour, scenario.currency),
    )
    yield step("time", text, found.costs.labour)


def _sum(scenario, found):
    """All costs as used, and the cost of one seedling."""
    money, costs = partial(Money, currency=scenario.currency), found.costs
    paid = tuple(money(part) for part in asdict(costs).values() if part)
    gaps = {"parts": Listed(paid, "+"), "total": money(costs.total), "cells": found.cells}
    gaps |= {"share": 100 * found.ready_share, "each": money(found.each.total)}
    if len(paid) > 1:
        yield step("total", say("In all, what you use up: {parts} = {total}.", **gaps), costs.total)
    text = say(
        "What you use up: {total} ÷ ({cells:,} cells × {share:.4g} % ready) = {each} a ready"
        " seedling.",
        **gaps,
    )
    yield step("each", text, found.each.total)
    if found.not_counted:
        text = say("Not counted: {names}.", names=Listed(found.not_counted, "and"))
        yield step("not_counted", text)


def _till(scenario, found):
    """What is bought for this sowing alone."""
    needs = needs_of(scenario, [found])
    basket = cheapest_basket(needs, stores=scenario.stores, tax=scenario.tax)
    yield from needed(scenario, [found])
    yield from purchases(scenario, needs, basket)
    if not basket.unmet:
        paid, each = (Money(basket.total / by, scenario.currency) for by in (1, found.wanted))
        gaps = {"paid": paid, "wanted": found.wanted, "each": each}
        text = say("At the till: {paid} ÷ {wanted:,} wanted = {each} a seedling.", **gaps)
        yield step("each", text, each.amount)
