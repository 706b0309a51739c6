"""How many cells, seeds and feedings a sowing takes, step by step, as sentences with the numbers.

A step is a dict of `what`, `sentence` and `amount`, as in `pennyflat.working.taken`.
"""

from collections.abc import Iterator
from typing import Any

from pennyflat.chances.counted import enough_chance
from pennyflat.chances.probability import binomial_tail
from pennyflat.growing.aftercare import Aftercare
from pennyflat.growing.feeding import ROUNDING
from pennyflat.growing.sowing import (
    expected_share,
    occupied_share,
    ready_share,
    seed_chance,
    sown,
    survival,
)
from pennyflat.scenario.records import Counts, Medium, Scenario, Sowing
from pennyflat.sentences import Amount, say
from pennyflat.working.taken import Step, step


def ready_steps(sowing: Sowing, medium: Medium) -> Iterator[Step]:
    """
    The share of cells that end with a seedling ready to transplant.

    "emergence" if a cell's chance is more than that of one seed, then "ready". [1]
    """
    chance, seeds = seed_chance(sowing, medium), sowing.seeds_per_cell
    occupied, share = occupied_share(sowing, medium), ready_share(sowing, medium)
    gaps: dict[str, Any] = {"chance": chance, "occupied": 100 * occupied, "share": 100 * share}
    gaps |= {"seeds": seeds, "survival": 100 * survival(sowing, medium)}
    if sowing.presprout:
        text = say(
            "Cells that end ready: {occupied:.4g} % of sprouted seeds take × {survival:.4g} % of"
            " those live = {share:.4g} %.",
            **gaps,
        )
        yield step("ready", text, share)
        return
    came_up = None
    if isinstance(chance, Counts):
        gaps |= {"up": chance.up, "sown": chance.sown}
        came_up = say(
            "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average"
            " {occupied:.4g} % of cells hold a seedling, with {seeds:,} seeds in each.",
            **gaps,
        )
        if seeds == 1:
            came_up = say(
                "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average:"
                " ({up:,} + 0.5) ÷ ({sown:,} + 1) = {occupied:.4g} %.",
                **gaps,
            )
    elif seeds > 1:
        came_up = say(
            "Cells that hold a seedling, with {seeds:,} seeds in each: 1 − (1 − {chance:.4g})^"
            "{seeds:,} = {occupied:.4g} %.",
            **gaps,
        )
    if came_up:
        yield step("emergence", came_up, occupied)
    text = say(
        "Cells that end ready: {occupied:.4g} % come up × {survival:.4g} % of those live ="
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
    gaps: dict[str, Any] = {"wanted": sowing.wanted, "cells": cells, "seeds": seeds}
    if sure is None:
        text = say(
            "Cells: {wanted:,} wanted ÷ {share:.4g} % = {exact:,.2f}, rounded up to {cells:,}.",
            share=100 * share,
            exact=sowing.wanted / share,
            **gaps,
        )
    else:
        chance = seed_chance(sowing, medium)
        is_counted = isinstance(chance, Counts) and not sowing.presprout
        each = sowing.seeds_per_cell, survival(sowing, medium)
        text = say(
            "{wanted:,} wanted, and {sure:.4g} % sure to be enough: {cells:,} cells. Of {cells:,},"
            " {wanted:,} or more end ready in {chance:.2f} % of cases, of {fewer:,} only in"
            " {less:.2f} %.",
            sure=100 * sure,
            **_chances(chance if is_counted else share, cells, sowing.wanted, *each),
            **gaps,
        )
    yield step("cells", text, cells)
    if not sowing.presprout:
        text = say(
            "Seeds: {cells:,} cells × {each:,} = {seeds:,}.", each=sowing.seeds_per_cell, **gaps
        )
        yield step("seeds", text, seeds)
        return
    gaps["exact"] = amounts.seeds_as_used
    gaps["germination"] = 100 * expected_share(sowing.germination)
    if sure is None:
        text = say(
            "Seeds on the towel: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}, rounded up"
            " to {seeds:,}.",
            **gaps,
        )
    else:
        text = say(
            "Seeds on the towel: {seeds:,}. Of {seeds:,}, {cells:,} or more sprout in {chance:.2f}"
            " % of cases, of {fewer:,} only in {less:.2f} %.",
            **_chances(sowing.germination, seeds, cells),
            **gaps,
        )
    yield step("seeds", text, seeds)
    text = say("Seeds as used: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}.", **gaps)
    yield step("seeds_as_used", text, amounts.seeds_as_used)


def _chances(chance, trials, wanted, seeds=1, survives=1.0):
    """Chances that so many trials, and one fewer, are enough, as gaps."""

    def enough(trials):
        if isinstance(chance, Counts):
            return enough_chance(trials, wanted, chance.up, chance.sown, seeds, survives)
        return binomial_tail(trials, chance, wanted)

    fewer = trials - 1
    return {"chance": 100 * enough(trials), "fewer": fewer, "less": 100 * enough(fewer)}


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
    if medium.pace != 1:
        text = say(
            "Weeks to transplanting in {medium}: {given:g} × {pace:g} = {weeks:.4g}.",
            given=sowing.weeks,
            pace=medium.pace,
            **gaps,
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
        if abs(gaps["exact"] - fed.times) < ROUNDING:
            text = say(
                "Weeks that {medium} does not feed: {end:.4g} − {start:.4g} = {hungry:.4g}."
                " Feedings: {hungry:.4g} × {per_week:g} a week = {times:,}.",
                **gaps,
            )
        else:
            text = say(
                "Weeks that {medium} does not feed: {end:.4g} − {start:.4g} = {hungry:.4g}."
                " Feedings: {hungry:.4g} × {per_week:g} a week = {exact:.4g}, rounded up to"
                " {times:,}.",
                **gaps,
            )
        yield step("feedings", text, fed.times)
