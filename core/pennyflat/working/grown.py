"""How many cells, seeds and feedings a sowing takes, step by step, as sentences with the numbers.

A step is a dict of `what`, `sentence` and `amount`, as in `pennyflat.working.taken`.
"""

from pennyflat.chances.probability import binomial_tail, enough_chance
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


def ready_steps(sowing: Sowing, medium: Medium) -> list[Step]:
    """
    The share of cells that end with a seedling ready to transplant.

    Returns
    -------
    list of dict
        "emergence" if a cell's chance is more than that of one seed, then "ready". [1]

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> print(ready_steps(demo.sowings[0], demo.media[0])[0]["sentence"])
    Cells that end ready: 88 % come up × 95 % of those live = 83.6 %.
    """
    chance, steps = seed_chance(sowing, medium), []
    occupied, share = occupied_share(sowing, medium), ready_share(sowing, medium)
    gaps: dict[str, float] = {
        "occupied": 100 * occupied,
        "survival": 100 * survival(sowing, medium),
        "share": 100 * share,
        "seeds": sowing.seeds_per_cell,
    }
    if isinstance(chance, Counts):
        gaps |= {"up": chance.up, "sown": chance.sown}
    if sowing.presprout:
        text = say(
            "Cells that end ready: {occupied:.4g} % of sprouted seeds take × {survival:.4g} % of"
            " those live = {share:.4g} %.",
            **gaps,
        )
        return [step("ready", text, share)]
    came_up = None
    if isinstance(chance, Counts) and sowing.seeds_per_cell == 1:
        came_up = say(
            "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average:"
            " ({up:,} + 0.5) ÷ ({sown:,} + 1) = {occupied:.4g} %.",
            **gaps,
        )
    elif isinstance(chance, Counts):
        came_up = say(
            "{up:,} of {sown:,} seeds came up, which leaves the true share open. On average"
            " {occupied:.4g} % of cells hold a seedling, with {seeds:,} seeds in each.",
            **gaps,
        )
    elif sowing.seeds_per_cell > 1:
        came_up = say(
            "Cells that hold a seedling, with {seeds:,} seeds in each: 1 − (1 − {chance:.4g})^"
            "{seeds:,} = {occupied:.4g} %.",
            chance=chance,
            **gaps,
        )
    if came_up:
        steps.append(step("emergence", came_up, occupied))
    text = say(
        "Cells that end ready: {occupied:.4g} % come up × {survival:.4g} % of those live ="
        " {share:.4g} %.",
        **gaps,
    )
    return [*steps, step("ready", text, share)]


def cell_steps(scenario: Scenario, sowing: Sowing, medium: Medium) -> list[Step]:
    """
    How many cells and seeds are sown in a medium in which some end ready, and why that many.

    Returns
    -------
    list of dict
        "assurance" if seeds are sprouted first [1], "cells", "seeds" [count], and "seeds_as_used"
        if those are not the seeds sown. [count]

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> for made in cell_steps(demo, demo.sowings[0], demo.media[0]):
    ...     print(made["sentence"])
    60 wanted, and 90 % sure to be enough: 77 cells. Of 77, 60 or more end ready in 92.85 % of ...
    Seeds: 77 cells × 1 = 77.
    """
    amounts, share = sown(sowing, medium, scenario.assurance), ready_share(sowing, medium)
    cells, sure, steps = amounts.cells, scenario.assurance, []
    if sowing.presprout and sure is not None:
        held = 1 - (1 - sure) / 2
        text = say(
            "Two things have to go well, sprouting and growing on, so each is held to 1 − (1 −"
            " {sure:.4g}) ÷ 2 = {held:.4g} %.",
            sure=sure,
            held=100 * held,
        )
        steps.append(step("assurance", text, held))
        sure = held
    gaps: dict[str, float] = {"wanted": sowing.wanted, "cells": cells}
    if sure is None:
        text = say(
            "Cells: {wanted:,} wanted ÷ {share:.4g} % = {exact:,.2f}, rounded up to {cells:,}.",
            share=100 * share,
            exact=sowing.wanted / share,
            **gaps,
        )
    else:
        text = say(
            "{wanted:,} wanted, and {sure:.4g} % sure to be enough: {cells:,} cells. Of {cells:,},"
            " {wanted:,} or more end ready in {chance:.2f} % of cases, of {fewer:,} only in"
            " {less:.2f} %.",
            sure=100 * sure,
            fewer=cells - 1,
            chance=100 * _enough(sowing, medium, cells),
            less=100 * _enough(sowing, medium, cells - 1),
            **gaps,
        )
    steps.append(step("cells", text, cells))
    gaps = {"cells": cells, "seeds": amounts.seeds}
    if not sowing.presprout:
        text = say(
            "Seeds: {cells:,} cells × {each:,} = {seeds:,}.", each=sowing.seeds_per_cell, **gaps
        )
        return [*steps, step("seeds", text, amounts.seeds)]
    germination = sowing.germination
    gaps["germination"] = 100 * expected_share(germination)
    exact = amounts.seeds_as_used
    if sure is None:
        text = say(
            "Seeds on the towel: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}, rounded up"
            " to {seeds:,}.",
            exact=exact,
            **gaps,
        )
    else:
        text = say(
            "Seeds on the towel: {seeds:,}. Of {seeds:,}, {cells:,} or more sprout in {chance:.2f}"
            " % of cases, of {fewer:,} only in {less:.2f} %.",
            fewer=amounts.seeds - 1,
            chance=100 * _enough_of(germination, amounts.seeds, cells),
            less=100 * _enough_of(germination, amounts.seeds - 1, cells),
            **gaps,
        )
    steps.append(step("seeds", text, amounts.seeds))
    text = say(
        "Seeds as used: {cells:,} ÷ {germination:.4g} % = {exact:,.2f}.", exact=exact, **gaps
    )
    return [*steps, step("seeds_as_used", text, exact)]


def feeding_steps(
    scenario: Scenario, sowing: Sowing, medium: Medium, after: Aftercare
) -> list[Step]:
    """
    When the mix's own fertiliser runs out, and what follows, by the `aftercare` of the sowing.

    Returns
    -------
    list of dict
        "weeks" if the mix has its own pace [weeks], "fed" if it feeds long enough [weeks], "moved"
        if the plants are potted on [weeks from sowing], "feedings" for each hungry spell [count],
        "stalls" if there is no remedy [weeks from sowing].

    Examples
    --------
    >>> from pennyflat.growing.cost import aftercare
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> tomato, starter = demo.sowings[0], demo.media[0]
    >>> after = aftercare(demo, tomato, starter)
    >>> print(feeding_steps(demo, tomato, starter, after)[0]["sentence"])
    Weeks that Seed starter mix does not feed: 6 − 3 = 3. Feedings: 3 × 2 a week = 6.
    """
    weeks, steps = sowing.weeks * medium.pace, []
    gaps = {"medium": medium.name, "charge": medium.feeds_for_weeks, "weeks": weeks}
    if medium.pace != 1:
        text = say(
            "Weeks to transplanting in {medium}: {given:g} × {pace:g} = {weeks:.4g}.",
            given=sowing.weeks,
            pace=medium.pace,
            **gaps,
        )
        steps.append(step("weeks", text, weeks))
    if weeks <= medium.feeds_for_weeks:
        text = say(
            "{medium} feeds for {charge:g} weeks and the crop takes {weeks:.4g}: no feeding.",
            **gaps,
        )
        return [*steps, step("fed", text, weeks)]
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
        steps.append(step("moved", text, after.at_week))
    per_week = scenario.feed.per_week if scenario.feed else 0.0
    for fed in after.feedings:
        hungry = fed.end - fed.start
        gaps = {
            "medium": medium.name if fed.in_cells else second.name,
            "end": fed.end,
            "start": fed.start,
            "hungry": hungry,
            "per_week": per_week,
            "times": fed.times,
        }
        exact = hungry * per_week
        if abs(exact - fed.times) < ROUNDING:
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
                exact=exact,
                **gaps,
            )
        steps.append(step("feedings", text, fed.times))
    return steps


def _enough(sowing, medium, cells):
    """Chance that this many cells are enough."""
    chance = seed_chance(sowing, medium)
    if sowing.presprout or not isinstance(chance, Counts):
        return binomial_tail(cells, ready_share(sowing, medium), sowing.wanted)
    return enough_chance(
        cells,
        sowing.wanted,
        chance.up,
        chance.sown,
        sowing.seeds_per_cell,
        survival(sowing, medium),
    )


def _enough_of(chance, seeds, wanted):
    """Chance that this many seeds sprout."""
    if isinstance(chance, Counts):
        return enough_chance(seeds, wanted, chance.up, chance.sown)
    return binomial_tail(seeds, chance, wanted)
