"""The form to fill in after the season, laid out from the plan.

Crops, mixes and the amounts of mix and feed are filled in as planned; everything that only the
grower knows is left blank.
"""

from pennyflat.buying.plan import Plan
from pennyflat.scenario.checking import Document
from pennyflat.scenario.records import Scenario
from pennyflat.units import DIGITS


def season_form(scenario: Scenario, plan: Plan) -> Document:
    """
    The `happened` of a scenario document, still to be filled in.

    Parameters
    ----------
    scenario : Scenario
    plan : Plan
        The plan for it. A sowing without a mix in the plan uses the mix chosen for it, else the
        first.

    Returns
    -------
    dict
        `sowings`, one for each: `crop`, `medium` and, if the plan has them, `cells`; `bags`, one
        for each mix that the plan uses: `medium` and, except for a blend, `litres`, what there is
        with the plan's bags [L]; `feed_had`, if the plan feeds [g, or mL for a liquid].

    Examples
    --------
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import Planner, run
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> form = season_form(demo, run(Planner(demo).best(), solve))
    >>> form["sowings"][0]
    {'crop': 'tomato', 'medium': 'Seed starter mix', 'cells': 77}
    >>> form["bags"]
    [{'medium': 'Seed starter mix', 'litres': 17.62}]
    """
    first = scenario.media[0].name
    sowings = [
        {"crop": pick.crop, "medium": pick.medium, "cells": pick.cells}
        if pick
        else {"crop": sowing.crop, "medium": sowing.medium or first}
        for sowing, pick in zip(scenario.sowings, plan.picks, strict=True)
    ]
    picks = [pick for pick in plan.picks if pick]
    used = list(dict.fromkeys(name for pick in picks for name in pick.litres))
    bags = []
    for name in used:
        bag = {"medium": name}
        if not scenario.medium(name).parts:
            needed = sum(pick.litres.get(name, 0.0) for pick in picks)
            bag["litres"] = _there_was(plan, name, "L", needed)
        bags.append(bag)
    form = {"sowings": sowings, "bags": bags}
    fed = sum(pick.feed_amount for pick in picks)
    if scenario.feed and fed:
        name, measure = scenario.feed.name, scenario.feed.measure
        form["feed_had"] = _there_was(plan, name, measure, fed)
    return form


def _there_was(plan, item, measure, needed):
    """Amount of an item with the plan's purchases, stock included. [measure]"""
    basket = plan.basket
    left = sum(
        left.amount for left in basket.left_over if (left.item, left.measure) == (item, measure)
    )
    short = sum(
        lack.short_by for lack in basket.unmet if (lack.item, lack.measure) == (item, measure)
    )
    return float(f"{needed + left - short:.{DIGITS}g}")
