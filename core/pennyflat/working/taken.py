"""What sowings take of each thing together, step by step, in sentences with the numbers.

A step is a dict: `what`, a word for its subject; a `sentence`; the `amount` with all its digits.
Sentences round amounts to four digits and money to its usual places, but each step continues from
the full digits. Repeating the arithmetic on the displayed numbers gives the same result to within
rounding.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import fsum
from typing import Any

from pennyflat.buying.needs import seed_name, seed_of, whole_trays
from pennyflat.growing.cost import Requirement
from pennyflat.growing.medium import additions_per_litre, parts_per_litre
from pennyflat.scenario.package import SEEDS
from pennyflat.scenario.records import Medium, Scenario
from pennyflat.sentences import GOODS, Amount, Listed, say

Step = dict[str, Any]
"""`what` it is about, a `sentence`, and the `amount` with all its digits."""


def step(what: str, sentence: str, amount: float | None = None) -> Step:
    """One step of a working."""
    return {"what": what, "sentence": sentence, "amount": amount}


def shown(value: float, quantity: str) -> Amount:
    """
    An amount to four digits, as shown in a sentence.

    >>> f"{shown(5162.51, 'cell'):,.10g}"
    '5,163 mL'
    """
    return Amount(float(f"{value:.4g}"), quantity)


def counted(value: float, measure: str) -> Amount | float:
    """
    An amount by its measure, as shown in a sentence; a plain number for pieces.

    >>> f"{counted(20.0, 'L'):,.10g}", f"{counted(1200, 'seeds'):,.10g}"
    ('20 L', '1,200')
    """
    return shown(value, GOODS[measure]) if measure in GOODS else round(value, 2)


def at_home(item: str, amount: float, stock: float, measure: str) -> Step:
    """
    The step from the need to what is missing after stock.

    >>> print(at_home("Coir", 5.0, 2.0, "L")["sentence"])
    Coir: 5 L − 2 L at home = 3 L.
    """
    missing = max(0.0, amount - stock)
    amounts = {"stock": stock, "amount": amount, "missing": missing}
    gaps = {name: counted(value, measure) for name, value in amounts.items()}
    text = say("{item}: {stock:,.10g} at home is enough for {amount:,.10g}.", item=item, **gaps)
    if missing:
        text = say(
            "{item}: {amount:,.10g} − {stock:,.10g} at home = {missing:,.10g}.", item=item, **gaps
        )
    return step("at_home", text, missing)


def needed(scenario: Scenario, picks: Sequence[Requirement]) -> Iterator[Step]:
    """
    What sowings that end ready take of each thing together, and what goes into their blends.

    The steps are "needed", "at_home" of a blend, and "mixed" of an ingredient.

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.growing.cost import requirement
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.sowings[0], demo.medium("Seed starter mix"))
    >>> for made in needed(demo, [starter]):
    ...     print(made["sentence"])
    Seed starter mix: 5.163 L for tomato.
    Soluble feed 20-20-20: 2.772 g for tomato.
    tomato seed: 77 for tomato.
    72 cells: 77 ÷ 72 = 1.069, rounded up to 2.
    """
    blended = defaultdict[tuple[str, str], list](list)
    for medium in scenario.media:
        parts = [(pick.crop, pick.litres.get(medium.name, 0.0)) for pick in picks]
        if not any(litres for _, litres in parts):
            continue
        yield _together(medium.name, parts, "L")
        if medium.parts:
            litres = fsum(litres for _, litres in parts)
            if medium.stock:
                yield at_home(medium.name, litres, medium.stock, "L")
            if litres > medium.stock:
                for item, measure, made in mix_parts(medium, litres - medium.stock):
                    yield made
                    blended[item, measure].append((medium.name, made["amount"]))
    for (item, measure), parts in blended.items():
        if len(parts) > 1:
            yield _together(item, parts, measure)
    if scenario.feed and any(pick.feed_amount for pick in picks):
        parts = [(pick.crop, pick.feed_amount) for pick in picks]
        yield _together(scenario.feed.name, parts, scenario.feed.measure)
    for crop, packets in dict.fromkeys(seed_of(pick.sowing) for pick in picks):
        if packets:
            own = [pick for pick in picks if seed_of(pick.sowing) == (crop, packets)]
            yield _together(seed_name(crop), [(crop, pick.seeds) for pick in own], SEEDS)
    for tray in scenario.trays:
        cells = fsum(pick.trays.get(tray.name, 0.0) for pick in picks)
        if cells and tray.have is not None:
            trays = whole_trays(cells, tray)
            gaps = {"item": tray.name, "cells": round(cells, 2), "in_one": tray.cells}
            text = say(
                "{item}: {cells:,.10g} ÷ {in_one:g} = {exact:.4g}, rounded up to {trays:,}.",
                exact=cells / tray.cells,
                trays=trays,
                **gaps,
            )
            yield step("needed", text, trays)


def mix_parts(medium: Medium, litres: float) -> Iterator[tuple[str, str, Step]]:
    """
    The ingredients of a volume of blend: each with its measure and the step "mixed".

    >>> from pennyflat.scenario.records import Medium, Part
    >>> blend = Medium("Blend", 5, shrink=0.1, parts=(Part("Coir", 3), Part("Perlite", 1)))
    >>> for _, _, made in mix_parts(blend, 36.0):
    ...     print(made["sentence"])
    Coir: 36 L × 3 ÷ 4 ÷ (1 − 0.1) = 30 L.
    Perlite: 36 L × 1 ÷ 4 ÷ (1 − 0.1) = 10 L.
    """
    gaps = {"litres": shown(litres, "mix"), "one": Amount(1, "mix"), "shrink": medium.shrink}
    gaps["whole"] = sum(part.parts for part in medium.parts)
    for name, each in parts_per_litre(medium).items():
        text = say(
            "{item}: {litres:,.10g} × {parts:g} ÷ {whole:g} ÷ (1 − {shrink:g}) = {amount:,.10g}.",
            item=name,
            parts=sum(part.parts for part in medium.parts if part.ingredient == name),
            amount=shown(litres * each, "mix"),
            **gaps,
        )
        yield name, "L", step("mixed", text, litres * each)
    for name, each in additions_per_litre(medium).items():
        amounts = {"each": Amount(each, "weight"), "amount": shown(litres * each, "weight")}
        text = say(
            "{item}: {litres:,.10g} × {each:,.10g} ÷ {one:g} = {amount:,.10g}.",
            item=name,
            **amounts,
            **gaps,
        )
        yield name, "g", step("mixed", text, litres * each)


def _together(item, parts, measure):
    """What crops, or blends, take of one item together."""
    total = fsum(amount for _, amount in parts)
    found = tuple(
        say("{amount:,.10g} for {what}", amount=counted(amount, measure), what=what)
        for what, amount in parts
        if amount
    )
    gaps = {"item": item, "parts": Listed(found, "+"), "amount": counted(total, measure)}
    text = say("{item}: {parts} = {amount:,.10g}.", **gaps)
    if len(found) == 1:
        text = say("{item}: {amount}.", item=item, amount=found[0])
    return step("needed", text, total)
