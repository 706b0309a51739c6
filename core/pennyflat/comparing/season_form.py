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

    A sowing without a mix in the `plan` uses the mix chosen for it, else the first. `bags` holds
    what there is of each mix with the plan's bags [L], without blends; `feed_had` [g, or mL for a
    liquid] is left out if the plan does not feed.

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
    bags = []
    for name in dict.fromkeys(name for pick in picks for name in pick.litres):
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
    for left in plan.basket.left_over:
        needed += left["amount"] if (left["item"], left["measure"]) == (item, measure) else 0.0
    for lack in plan.basket.unmet:
        needed -= lack["short_by"] if (lack["item"], lack["measure"]) == (item, measure) else 0.0
    return float(f"{needed:.{DIGITS}g}")
