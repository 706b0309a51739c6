"""What a remedy costs in a given scenario: feeding once, sowing again, potting on, a warm week.

The table of symptoms says what each remedy requires, one of `COSTS`; this module prices that for
one sowing in one medium, as used, for the whole sowing.
"""

from dataclasses import replace
from typing import NamedTuple

from pennyflat.growing.cost import energy_per_cell, requirement, tray_price
from pennyflat.growing.feeding import dose, solution_litres
from pennyflat.growing.medium import medium_price
from pennyflat.growing.sowing import occupied_share
from pennyflat.scenario.package import lowest_price
from pennyflat.scenario.records import Medium, PotOn, Scenario, Sowing
from pennyflat.sentences import Amount, phrase, say

DAYS_MORE = 7
"""Extra days of light and heat in a remedy's price. [d] Ours: a week."""


class Price(NamedTuple):
    """What a remedy takes and costs, or why that is unknown."""

    cost: float | None
    """For the whole sowing, as used; None if the scenario does not tell. [currency]"""
    words: str | None
    """What is paid for, or what is missing."""


def price_of(
    scenario: Scenario, sowing: Sowing, medium: Medium, cost_from: str, *, pot_ml: float
) -> Price:
    """
    What one remedy, a key of `COSTS`, costs for one sowing in the medium it grows in.

    Plants are potted on into `pot_ml` millilitres of the same mix if the sowing names no pot.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> tomato, starter = demo.sowings[0], demo.medium("Seed starter mix")
    >>> found = price_of(demo, tomato, starter, "feed", pot_ml=381)
    >>> print(f"{found.cost:.4f}: {found.words}")
    0.0130: one feeding of 77 cells with Soluble feed 20-20-20: 0.924 L of solution
    """
    needed = requirement(scenario, sowing, medium)
    if not needed.cells and cost_from != "nothing":
        return Price(None, needed.why_not)
    return COSTS[cost_from](scenario, needed, medium, pot_ml)


def _feed_once(scenario, needed, *_):
    feed = scenario.feed
    if feed is None:
        return Price(None, phrase("no feed is entered"))
    solution = solution_litres(needed.cells, 1, feed.ml_per_cell)
    price = lowest_price(feed.packages, feed.measure, tax=scenario.tax)
    gaps = {"cells": needed.cells, "feed": feed.name, "solution": Amount(solution, "solution")}
    words = say("one feeding of {cells} cells with {feed}: {solution:.3g} of solution", **gaps)
    return Price(solution * dose(feed) * price, words)


def _pot_on(scenario, needed, medium, pot_ml):
    move = needed.sowing.pot_on or PotOn(medium.name, pot_ml)
    bigger, tray = scenario.medium(move.medium), scenario.tray(move.tray)
    plants = needed.cells * occupied_share(needed.sowing, medium)
    mix = bigger.litres_for(move.cell_ml) * medium_price(scenario, bigger)
    gaps = {"medium": bigger.name, "plants": plants, "pot_ml": Amount(move.cell_ml, "cell")}
    if tray is None:
        words = say(
            "{medium} for {plants:.0f} plants in pots of {pot_ml:.0f}, the pots not counted",
            **gaps,
        )
    else:
        words = say("{medium} for {plants:.0f} plants in pots of {pot_ml:.0f}", **gaps)
    return Price(plants * (mix + tray_price(tray, scenario.tax)), words)


def _resow(scenario, needed, *_):
    mix = needed.cells * needed.litres_per_cell * needed.price_per_litre
    gaps = {"medium": needed.medium, "cells": needed.cells}
    words = say("seed and {medium} once more for all {cells} cells, in the same trays", **gaps)
    return Price(mix + needed.costs.seed, words)


def _another_week(scenario, needed, *_):
    if scenario.energy is None:
        return Price(None, phrase("light and heat are not counted in these entries"))
    week = replace(scenario.energy, mat_days=DAYS_MORE)
    words = say("a week more of lights and mat for {cells} cells", cells=needed.cells)
    return Price(needed.cells * energy_per_cell(week, DAYS_MORE / 7), words)


def _another_medium(scenario, needed, medium, _):
    fills = {
        other.name: needed.cells
        * other.litres_for(needed.sowing.cell_ml)
        * medium_price(scenario, other)
        for other in scenario.media
        if other.name != medium.name
    }
    if not fills:
        return Price(None, phrase("there is no other mix on the shelf"))
    cost, name = min((cost, name) for name, cost in fills.items())
    gaps = {"cells": needed.cells, "medium": name}
    words = say("all {cells} cells filled with {medium}, the cheapest other mix", **gaps)
    return Price(cost, words)


COSTS = {
    "feed": _feed_once,
    "pot on": _pot_on,
    "resow": _resow,
    "energy": _another_week,
    "medium": _another_medium,
    "nothing": lambda *_: Price(0.0, phrase("nothing has to be bought")),
}
"""What prices a remedy in a scenario: its feed, a move to a bigger container, seed and cells again,
light and heat, another medium; or nothing has to be bought."""
