"""What feeding takes and what a feed supplies: from the grade on a label to ppm in water, and back.

A grade states nitrogen as the element N, phosphorus as the oxide P2O5 and potassium as the oxide
K2O, in per cent by weight. A strength in parts per million, unless it says otherwise, is mg of the
*element* in a litre of solution.
"""

from dataclasses import dataclass
from typing import NamedTuple

from pennyflat.scenario.records import Feed
from pennyflat.sentences import Amount, Said, say
from pennyflat.units import LITRES

_PHOSPHORUS, _POTASSIUM, _OXYGEN = 30.974, 39.098, 15.999
# g/mol. [Abridged standard atomic weights, IUPAC-CIAAW 2021; from memory]

P_PER_P2O5 = 2 * _PHOSPHORUS / (2 * _PHOSPHORUS + 5 * _OXYGEN)
"""Phosphorus in its oxide, by weight: 0.4364. [1]"""

K_PER_K2O = 2 * _POTASSIUM / (2 * _POTASSIUM + _OXYGEN)
"""Potassium in its oxide, by weight: 0.8301. [1]"""


def solution_litres(plants: float, times: int, ml_per_cell: float) -> float:
    """Feed solution for so many plants or cells and feedings, from mL for one and time. [L]"""
    return plants * times * ml_per_cell / 1000


def g_per_litre(target_ppm_n: float, n_percent: float) -> float:
    """
    Dry feed to dissolve for a given strength in mg N/L, from the % N on its label. [g/L]

    `ppm / (10 x %N)`: one gram in a litre of a feed with 1 % N gives 10 mg N/L; ValueError if the
    label states no nitrogen. [vce-430-100: Virginia Cooperative Extension, Basics of Fertilizer
    Calculations; the same arithmetic as the ounces per 100 gallons of University of Massachusetts
    Extension, Fertilizer Calculations for Greenhouse Crops.]

    >>> g_per_litre(150, 20)
    0.75
    """
    if not n_percent > 0:
        raise ValueError(f"n_percent must be more than 0, not {n_percent!r}.")
    return target_ppm_n / (10 * n_percent)


def dose(feed: Feed) -> float:
    """
    Concentrate in one litre of solution. [g/L, or mL/L for a liquid]

    >>> from pennyflat.scenario.records import Feed
    >>> dose(Feed("Soluble", 2, 15, (), n_percent=20, target_ppm_n=100))
    0.5
    """
    if feed.ml_per_litre is not None:
        return feed.ml_per_litre
    if feed.g_per_litre is not None:
        return feed.g_per_litre
    return g_per_litre(feed.target_ppm_n or 0.0, feed.n_percent or 0.0)


def g_per_gallon(dose: float) -> float:
    """Weight to dissolve in one US gallon, for a dose in g/L. [g/gal]"""
    return dose * LITRES["gal_liq"]


@dataclass(frozen=True, slots=True)
class Grade:
    """The three numbers on a label; ValueError if they cannot be. [%]"""

    n: float
    p2o5: float = 0.0
    k2o: float = 0.0

    def __post_init__(self) -> None:
        parts = (self.n, self.p2o5, self.k2o)
        if min(parts) < 0 or sum(parts) > 100:
            raise ValueError(
                f"Grade {self.n:g}-{self.p2o5:g}-{self.k2o:g}: each number must be at least 0 and"
                " all together at most 100 %."
            )


class Strength(NamedTuple):
    """Strength of a solution, in elements and in the label's oxides. [mg/L]"""

    n: float
    p: float
    k: float
    p2o5: float
    k2o: float


def strength(label: Grade, dose: float) -> Strength:
    """
    Strength of a solution for a dose of feed in g/L: `ppm = 10 x % x g/L`.

    20-10-20 made up to 100 ppm N also gives:

    >>> strength(Grade(20, 10, 20), 0.5)
    Strength(n=100.0, p=21.82, k=83.01, p2o5=50.0, k2o=100.0)
    """
    n, p2o5, k2o = (10 * percent * dose for percent in (label.n, label.p2o5, label.k2o))
    return Strength(n, p2o5 * P_PER_P2O5, k2o * K_PER_K2O, p2o5, k2o)


class FeedsFor(NamedTuple):
    """A range of weeks, and what it assumes as a sentence to show beside it."""

    low: float
    high: float
    assumption: Said


def addition_feeds_for(
    g_per_l: float,
    n_percent: float,
    cell_ml: float,
    *,
    released: tuple[float, float],
    ppm_n: float,
    per_week: float,
    ml_per_cell: float,
) -> FeedsFor:
    """
    How long a dry addition stirred into a medium replaces liquid feeding, and what that assumes.

    The nitrogen that `g_per_l` grams in a litre release in a cell of `cell_ml` millilitres, divided
    by what a liquid programme supplies: `per_week` feedings of `ml_per_cell` millilitres at `ppm_n`
    mg N/L. A range, because the share `released` while the seedling grows is one: for protein meals
    0.47 to 0.66 within two to eight weeks, in a field soil. [Hartz and Johnstone 2006, abstract]

    4 g/L of a meal with 8 % N in cells of 60 mL is 19.2 mg N a cell; half of it lasts as long as
    15 mL of 100 ppm N twice a week (3 mg N a week):

    >>> found = addition_feeds_for(4, 8, 60, released=(0.5, 0.5), ppm_n=100,
    ...                            per_week=2, ml_per_cell=15)
    >>> found.low, found.high
    (3.2, 3.2)
    """
    least, most = released
    held_mg = g_per_l * cell_ml * n_percent / 100
    a_week_mg = per_week * ml_per_cell / 1000 * ppm_n
    assumption = say(
        "if {least:.0%} to {most:.0%} of its nitrogen is released in that time, none is washed"
        " out, and the seedling needs what {per_week:g} feedings a week of {ml_per_cell:g}"
        " at {ppm_n:g} ppm N would bring",
        least=least,
        most=most,
        per_week=per_week,
        ml_per_cell=Amount(ml_per_cell, "liquid"),
        ppm_n=ppm_n,
    )
    return FeedsFor(held_mg * least / a_week_mg, held_mg * most / a_week_mg, assumption)
