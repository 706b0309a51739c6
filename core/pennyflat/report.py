"""A scenario in, the report of its comparison out: every planting in every medium.

The report is plain JSON values in the format "seedling-costs-report/1" (DEVELOPERS.md describes
every key). Numbers are full precision, never rounded for show.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from pennyflat.cost import Requirement, requirement
from pennyflat.cover import cheapest_cover
from pennyflat.needs import needs_of
from pennyflat.picture import bags, tray_cells
from pennyflat.saying import GOODS, Amount, say
from pennyflat.till import Step, look_ahead, till_steps
from pennyflat.verdict import rescue, verdict

FORMAT = "seedling-costs-report/1"


def compare(scenario):
    """
    What one transplant-ready seedling costs, for every planting in every medium.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    dict
        The report: `comparisons` in scenario order, plantings outermost; `left_overs`, what the
        medium left at the till is worth as used, one per comparison in the same order; `verdicts`,
        one per planting; `rescues`, one per comparison that is not ready and could be; `notices`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> report = compare(read(DEMO))
    >>> for row in report["comparisons"][:3]:
    ...     print(row["medium"], round(row["as_used"]["total"], 3), row["at_the_till"]["paid"])
    Seed starter mix 0.205 12.3
    Bulk potting mix 0.18 14.5
    Home blend 0.2 44.9
    """
    comparisons, verdicts, rescues, notices = [], [], [], []
    rest, media = _rest(scenario), [_part(medium) for medium in scenario.media]
    for planting in scenario.plantings:
        moved_to = _moved_to(scenario, planting)
        outcomes = [_outcome(rest, _part(planting), medium, moved_to) for medium in media]
        row = [outcome.needed for outcome in outcomes]
        comparisons += [_copy(outcome.row) for outcome in outcomes]
        verdicts.append(
            verdict(
                planting,
                row,
                paid={
                    o.needed.medium: o.row["at_the_till"]["paid"]
                    for o in outcomes
                    if o.row["at_the_till"]
                },
                steps={o.needed.medium: o.steps for o in outcomes if o.needed.ready},
                currency=scenario.currency,
            )
        )
        for medium, needed in zip(scenario.media, row, strict=True):
            found = rescue(scenario, planting, medium, needed, row)
            rescues += [found] if found else []
            notices += [
                {"crop": needed.crop, "medium": needed.medium, "text": text}
                for text in needed.notices
            ]
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "comparisons": comparisons,
        "left_overs": [_left_over(row) for row in comparisons],
        "verdicts": verdicts,
        "rescues": rescues,
        "notices": notices,
    }


def at_the_till(scenario, needed):
    """
    Whole packages bought for one planting alone, trips to the shops left aside.

    Parameters
    ----------
    scenario : Scenario
    needed : Requirement
        Of a planting that is ready.

    Returns
    -------
    till : dict or None
        `paid`, `per_seedling` wanted [currency], `left_over_litres` of the medium itself [L] and
        the `packages`; None where limits make a need impossible.
    why_not : str or None
        A sentence then.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> starter = requirement(demo, demo.plantings[0], demo.medium("Seed starter mix"))
    >>> till, _ = at_the_till(demo, starter)
    >>> [(line["item"], line["count"], line["paid"]) for line in till["packages"]]
    [('Seed starter mix', 1, 5.9), ('Soluble feed 20-20-20', 1, 6.4)]
    """
    needs = needs_of(scenario, [needed])
    covers = [cheapest_cover(need, tax=scenario.tax) for need in needs]
    for need, cover in zip(needs, covers, strict=True):
        if cover.short_by:
            return None, say(
                "The limits leave {item} short by {short_by:.3g}, so {wanted} seedlings"
                " cannot be had this way.",
                item=need.item,
                short_by=Amount(cover.short_by, GOODS[need.measure]),
                wanted=needed.wanted,
            )
    paid = math.fsum(cover.paid for cover in covers)
    # Needs of media come first; those of a blend are its ingredients, and no blend is left over.
    is_blend = bool(scenario.medium(needed.medium).parts)
    left_over = 0.0 if is_blend else covers[[n.item for n in needs].index(needed.medium)].left_over
    return {
        "paid": paid,
        "per_seedling": paid / needed.wanted,
        "left_over_litres": left_over,
        "packages": [
            {
                "item": need.item,
                "store": package.store,
                "size": package.size,
                "unit": package.unit,
                "count": count,
                "paid": charge,
            }
            for need, cover in zip(needs, covers, strict=True)
            for package, count, charge in zip(
                need.packages, cover.counts, cover.charges, strict=True
            )
            if count
        ],
    }, None


def steps_at_the_till(scenario, planting, medium):
    """
    Money at the till for one planting in one medium, number by number; `compare` works it out too.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
        One of the scenario's.
    medium : Medium
        One of the scenario's.

    Returns
    -------
    tuple of Step
        As from `pennyflat.till.till_steps`, up to `look_ahead` of the number wanted; empty where
        the planting is not ready.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> found = steps_at_the_till(demo, demo.plantings[0], demo.medium("Seed starter mix"))
    >>> [(step.wanted, round(step.paid, 2)) for step in found]
    [(1, 12.3), (105, 16.2)]
    """
    moved_to = _moved_to(scenario, planting)
    return _outcome(_rest(scenario), _part(planting), _part(medium), moved_to).steps


def to_draw(scenario, planting):
    """
    What there is to draw for one planting.

    Parameters
    ----------
    scenario : Scenario
    planting : Planting
        One of the scenario's.

    Returns
    -------
    dict of str to (TrayCells, tuple of Bag)
        By medium, in the scenario's order; as from `pennyflat.picture`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> tray, [bag] = to_draw(demo, demo.plantings[0])["Bulk potting mix"]
    >>> tray.cells, round(bag.litres, 1)
    (77, 56.6)
    """
    rest, moved_to = _rest(scenario), _moved_to(scenario, planting)
    return {
        medium.name: _drawn(rest, _part(planting), _part(medium), moved_to)
        for medium in scenario.media
    }


@dataclass(frozen=True, slots=True)
class _Outcome:
    """One planting in one medium: what it takes, its row of the report, and its steps."""

    needed: Requirement
    row: dict
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """A part of a scenario that is the same object for equal values: quick to find things by."""

    value: object


@lru_cache(maxsize=2048)
def _part(value):
    return _Part(value)


def _rest(scenario):
    """What of a scenario is shared by all plantings in all media."""
    nothing = {"title": "", "budget": None, "last_frost": None}
    return _part(replace(scenario, stores=(), media=(), plantings=(), trials=(), **nothing))


def _moved_to(scenario, planting):
    """The medium that a planting is potted on into, or None."""
    name = planting.pot_on.medium if planting.remedy == "pot_on" else None
    return next((_part(medium) for medium in scenario.media if medium.name == name), None)


@lru_cache(maxsize=8192)
def _outcome(rest, planting_part, medium_part, moved_to):
    """
    A planting in a medium, perhaps potted on into another.

    Kept, since an edit leaves most plantings in most media as they were; found by what can make a
    difference to it.
    """
    planting, shelf = planting_part.value, _shelf(rest, medium_part, moved_to)
    needed = requirement(shelf, planting, medium_part.value)
    if not needed.ready:
        return _Outcome(needed, _comparison(needed, None, None))
    steps = till_steps(shelf, needed, look_ahead(planting.wanted))
    return _Outcome(needed, _comparison(needed, *at_the_till(shelf, needed)), steps)


@lru_cache(maxsize=1024)
def _drawn(rest, planting_part, medium_part, moved_to):
    needed = _outcome(rest, planting_part, medium_part, moved_to).needed
    shelf = _shelf(rest, medium_part, moved_to)
    return tray_cells(planting_part.value, medium_part.value, needed), bags(shelf, needed)


def _shelf(rest, *media):
    """A scenario of all that can make a difference to a planting."""
    values = dict.fromkeys(part.value for part in media if part)
    return replace(rest.value, media=tuple(values))


def _left_over(row):
    """What the medium left over at the till is worth at its price per litre. [currency]"""
    till = row["at_the_till"]
    worth = till and till["left_over_litres"] * row["price_per_litre"]
    return {"crop": row["crop"], "medium": row["medium"], "worth": worth}


def _copy(row):
    """A row for whoever takes the report to change."""
    used, till = row["as_used"], row["at_the_till"]
    if till:
        till = till | {"packages": [dict(line) for line in till["packages"]]}
    return row | {"as_used": used and dict(used), "at_the_till": till}


def _comparison(needed, till, why_not):
    each = needed.each
    return {
        "crop": needed.crop,
        "medium": needed.medium,
        "ready": needed.ready,
        "why_not": needed.why_not or why_not,
        "stalls_in_week": needed.stalls_in_week,
        "price_per_litre": needed.price_per_litre,
        "litres_per_cell": needed.litres_per_cell,
        "ready_share": needed.ready_share,
        "cells": needed.cells,
        "seeds": math.ceil(needed.seeds - 1e-9),
        "medium_litres": needed.litres.get(needed.medium, 0.0),
        "hungry_weeks": needed.hungry_weeks,
        "feedings": needed.feedings,
        "solution_litres": needed.solution_litres,
        "feed_amount": needed.feed_amount,
        "expected_ready": needed.expected_ready,
        "as_used": each
        and {
            "medium": each.medium,
            "feed": each.feed,
            "seed": each.seed,
            "container": each.container,
            "energy": each.energy,
            "labour": each.labour,
            "total": each.total,
        },
        "at_the_till": till,
    }
