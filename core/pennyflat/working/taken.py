"""What sowings take, step by step, in sentences: cells, seeds, feedings; then each thing together.

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
from pennyflat.chances.probability import enough_chance
from pennyflat.growing.aftercare import ROUNDING, Aftercare
from pennyflat.growing.cost import Requirement
from pennyflat.growing.medium import recipe_of
from pennyflat.growing.sowing import (
    expected_share,
    occupied_share,
    ready_by,
    ready_share,
    seed_chance,
    sown,
    survival,
)
from pennyflat.scenario.package import SEEDS
from pennyflat.scenario.records import Counts, Medium, Scenario, Sowing
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
    text = say(
        "{item}: {amount:,.10g} − {stock:,.10g} at home = {missing:,.10g}."
        if missing
        else "{item}: {stock:,.10g} at home is enough for {amount:,.10g}.",
        item=item,
        **{name: counted(value, measure) for name, value in amounts.items()},
    )
    return step("at_home", text, missing)


def ready_steps(sowing: Sowing, medium: Medium) -> Iterator[Step]:
    """
    The share of cells that end with a seedling ready to transplant.

    "emergence" if a cell's chance is more than that of one seed, then "ready". [1]
    """
    chance, seeds = seed_chance(sowing, medium), sowing.seeds_per_cell
    occupied, share = occupied_share(sowing, medium), ready_share(sowing, medium)
    gaps: dict[str, Any] = {"chance": chance, "occupied": 100 * occupied, "share": 100 * share}
    gaps |= {"seeds": seeds, "survival": 100 * survival(sowing, medium)}
    if isinstance(chance, Counts):
        gaps |= {"up": chance.up, "sown": chance.sown}
    if not sowing.presprout and (seeds > 1 or "up" in gaps):
        text = say(
            "Cells that hold a seedling, with {seeds:,} seeds in each: 1 − (1 − {chance:.4g})^"
            "{seeds:,} = {occupied:.4g} %."
            if "up" not in gaps
            else "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average:"
            " ({up:,} + 0.5) ÷ ({sown:,} + 1) = {occupied:.4g} %."
            if seeds == 1
            else "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average"
            " {occupied:.4g} % of cells hold a seedling, with {seeds:,} seeds in each.",
            **gaps,
        )
        yield step("emergence", text, occupied)
    text = say(
        "Cells that end ready: {occupied:.4g} % of sprouted seeds take × {survival:.4g} % of"
        " those live = {share:.4g} %."
        if sowing.presprout
        else "Cells that end ready: {occupied:.4g} % come up × {survival:.4g} % of those live ="
        " {share:.4g} %.",
        **gaps,
    )
    yield step("ready", text, share)


def cell_steps(scenario: Scenario, sowing: Sowing, medium: Medium) -> Iterator[Step]:
    """
    How many cells and seeds are sown in a medium in which some end ready, and why that many.

    "assurance" if seeds are sprouted first [1], "cells", "seeds" [count], and "seeds_as_used" if
    those are not the seeds sown. [count]
    """
    amounts, share = sown(sowing, medium, scenario.assurance), ready_share(sowing, medium)
    cells, seeds, sure = amounts.cells, amounts.seeds, scenario.assurance
    each = sowing.seeds_per_cell
    gaps: dict[str, Any] = {"wanted": sowing.wanted, "cells": cells, "seeds": seeds, "each": each}
    if sowing.presprout and sure is not None:
        held = 1 - (1 - sure) / 2
        text = say(
            "Two things have to go well, sprouting and growing on, so each is held to 1 − (1 −"
            " {sure:.4g}) ÷ 2 = {held:.4g} %.",
            sure=sure,
            held=100 * held,
        )
        yield step("assurance", text, held)
        sure = held
    if sure is None:
        gaps |= {"share": 100 * share, "exact": sowing.wanted / share}
    else:
        of_seeds = ready_by(seed_chance(sowing, medium), each, survival(sowing, medium))
        known = share if sowing.presprout else of_seeds
        gaps |= {"sure": 100 * sure, **_chances(known, cells, sowing.wanted)}
    text = say(
        "Cells: {wanted:,} wanted ÷ {share:.4g} % = {exact:,.2f}, rounded up to {cells:,}."
        if sure is None
        else "{wanted:,} wanted, and {sure:.4g} % sure to be enough: {cells:,} cells. Of {cells:,},"
        " {wanted:,} or more end ready in {chance:.2f} % of cases, of {fewer:,} only in"
        " {less:.2f} %.",
        **gaps,
    )
    yield step("cells", text, cells)
    if not sowing.presprout:
        yield step("seeds", say("Seeds: {cells:,} cells × {each:,} = {seeds:,}.", **gaps), seeds)
        return
    gaps["exact"] = amounts.seeds_as_used
    gaps["germination"] = 100 * expected_share(sowing.germination)
    if sure is not None:
        gaps |= _chances(ready_by(sowing.germination), seeds, cells)
    text = say(
        "Seeds on the towel: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}, rounded up"
        " to {seeds:,}."
        if sure is None
        else "Seeds on the towel: {seeds:,}. Of {seeds:,}, {cells:,} or more sprout in {chance:.2f}"
        " % of cases, of {fewer:,} only in {less:.2f} %.",
        **gaps,
    )
    yield step("seeds", text, seeds)
    text = say("Seeds used up: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}.", **gaps)
    yield step("seeds_as_used", text, amounts.seeds_as_used)


def _chances(known, trials, wanted):
    """Chances that so many trials, and one fewer, are enough, as gaps."""
    chance, less = (100 * enough_chance(n, wanted, known) for n in (trials, trials - 1))
    return {"chance": chance, "fewer": trials - 1, "less": less}


def feeding_steps(
    scenario: Scenario, sowing: Sowing, medium: Medium, after: Aftercare
) -> Iterator[Step]:
    """
    When the mix's own fertiliser runs out, and what follows, by the `aftercare` of the sowing.

    "weeks" if the mix has its own pace [weeks], "fed" if it feeds long enough [weeks], "moved" if
    the plants are potted on [weeks from sowing], "feedings" for each hungry spell. [count]
    """
    weeks, charge = sowing.weeks * medium.pace, medium.feeds_for_weeks
    gaps: dict[str, Any] = {"medium": medium.name, "charge": charge, "weeks": weeks}
    gaps |= {"given": sowing.weeks, "pace": medium.pace}
    if medium.pace != 1:
        text = say(
            "Weeks to transplanting in {medium}: {given:g} × {pace:g} = {weeks:.4g}.", **gaps
        )
        yield step("weeks", text, weeks)
    if weeks <= charge:
        text = say(
            "{medium} feeds for {charge:g} weeks and the crop takes {weeks:.4g}: no feeding.",
            **gaps,
        )
        yield step("fed", text, weeks)
        return
    second = medium
    if after.move and after.at_week is not None:
        second = scenario.medium(after.move.medium)
        text = say(
            "Potting on in week {week:g}: into {size:,.10g} of {medium}. It feeds until week:"
            " {week:g} + {charge:g} = {until:.4g}.",
            week=after.at_week,
            size=Amount(after.move.cell_ml, "cell"),
            medium=second.name,
            charge=second.feeds_for_weeks,
            until=after.at_week + second.feeds_for_weeks,
        )
        yield step("moved", text, after.at_week)
    per_week = scenario.feed.per_week if scenario.feed else 0.0
    for fed in after.feedings:
        hungry = fed.end - fed.start
        gaps = {"medium": medium.name if fed.in_cells else second.name, "times": fed.times}
        gaps |= {"end": fed.end, "start": fed.start, "hungry": hungry}
        gaps |= {"per_week": per_week, "exact": hungry * per_week}
        text = say(
            "Weeks that {medium} does not feed: {end:.4g} − {start:.4g} = {hungry:.4g}."
            " Feedings: {hungry:.4g} × {per_week:g} a week = {times:,}."
            if abs(gaps["exact"] - fed.times) < ROUNDING
            else "Weeks that {medium} does not feed: {end:.4g} − {start:.4g} = {hungry:.4g}."
            " Feedings: {hungry:.4g} × {per_week:g} a week = {exact:.4g}, rounded up to {times:,}.",
            **gaps,
        )
        yield step("feedings", text, fed.times)


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
    seed of tomato: 77 for tomato.
    72 cells: 77 ÷ 72 = 1.069, rounded up to 2.
    """
    blended = defaultdict[tuple[str, str], list](list)
    for medium in scenario.media:
        parts = [(pick.crop, pick.litres.get(medium.name, 0.0)) for pick in picks]
        yield from _together(medium.name, parts, "L")
        litres = fsum(litres for _, litres in parts)
        if medium.parts and medium.stock and litres:
            yield at_home(medium.name, litres, medium.stock, "L")
        if medium.parts and litres > medium.stock:
            for item, measure, made in mix_parts(medium, litres - medium.stock):
                yield made
                blended[item, measure].append((medium.name, made["amount"]))
    for (item, measure), parts in blended.items():
        if len(parts) > 1:
            yield from _together(item, parts, measure)
    if feed := scenario.feed:
        parts = [(pick.crop, pick.feed_amount) for pick in picks]
        yield from _together(feed.name, parts, feed.measure)
    for crop, packets in dict.fromkeys(seed_of(pick.sowing) for pick in picks):
        if packets:
            own = [pick for pick in picks if seed_of(pick.sowing) == (crop, packets)]
            yield from _together(seed_name(crop), [(crop, pick.seeds) for pick in own], SEEDS)
    for tray in scenario.trays:
        cells = fsum(pick.trays.get(tray.name, 0.0) for pick in picks)
        if cells and tray.have is not None:
            trays = whole_trays(cells, tray)
            gaps = {"item": tray.name, "cells": round(cells, 2), "in_one": tray.cells}
            gaps |= {"exact": cells / tray.cells, "trays": trays}
            text = say(
                "{item}: {cells:,.10g} ÷ {in_one:g} = {exact:.4g}, rounded up to {trays:,}.", **gaps
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
    for (_, name, measure), each in recipe_of(medium).items():
        text = say(
            "{item}: {litres:,.10g} × {parts:g} ÷ {whole:g} ÷ (1 − {shrink:g}) = {amount:,.10g}."
            if measure == "L"
            else "{item}: {litres:,.10g} × {each:,.10g} ÷ {one:g} = {amount:,.10g}.",
            item=name,
            parts=sum(part.parts for part in medium.parts if part.ingredient == name),
            each=Amount(each, GOODS[measure]),
            amount=shown(litres * each, GOODS[measure]),
            **gaps,
        )
        yield name, measure, step("mixed", text, litres * each)


def _together(item, parts, measure):
    """What crops, or blends, take of one item together, if any."""
    total = fsum(amount for _, amount in parts)
    found = tuple(
        say("{amount:,.10g} for {what}", amount=counted(amount, measure), what=what)
        for what, amount in parts
        if amount
    )
    if len(found) == 1:
        yield step("needed", say("{item}: {amount}.", item=item, amount=found[0]), total)
    elif found:
        gaps = {"item": item, "parts": Listed(found, "+"), "amount": counted(total, measure)}
        yield step("needed", say("{item}: {parts} = {amount:,.10g}.", **gaps), total)
