"""What a feed or a dry addition supplies: from the grade on a label to ppm in water, and back.

A grade states nitrogen as the element N, phosphorus as the oxide P2O5 and potassium as the oxide
K2O, in per cent by weight. A strength in parts per million, unless it says otherwise, is mg of the
*element* in a litre of solution. The dose for a strength in nitrogen is `feeding.g_per_litre`.
"""

from dataclasses import dataclass

from pennyflat.sentences import Amount, say
from pennyflat.units import LITRES

_PHOSPHORUS, _POTASSIUM, _OXYGEN = 30.974, 39.098, 15.999
# g/mol. [Abridged standard atomic weights, IUPAC-CIAAW 2021; from memory]

P_PER_P2O5 = 2 * _PHOSPHORUS / (2 * _PHOSPHORUS + 5 * _OXYGEN)
"""Phosphorus in its oxide, by weight: 0.4364. [1]"""

K_PER_K2O = 2 * _POTASSIUM / (2 * _POTASSIUM + _OXYGEN)
"""Potassium in its oxide, by weight: 0.8301. [1]"""


@dataclass(frozen=True, slots=True)
class Grade:
    """The three numbers on a label."""

    n: float
    """Nitrogen, N. [%]"""
    p2o5: float = 0.0
    """Phosphorus as its oxide. [%]"""
    k2o: float = 0.0
    """Potassium as its oxide. [%]"""

    def __post_init__(self) -> None:
        parts = (self.n, self.p2o5, self.k2o)
        if min(parts) < 0 or sum(parts) > 100:
            raise ValueError(
                f"Grade {self.n:g}-{self.p2o5:g}-{self.k2o:g}: each number must be at least 0 and"
                " all together at most 100 %."
            )


@dataclass(frozen=True, slots=True)
class Strength:
    """Strength of a solution, in elements and in the label's oxides. [mg/L]"""

    n: float
    p: float
    k: float
    p2o5: float
    k2o: float


@dataclass(frozen=True, slots=True)
class FeedsFor:
    """A range of weeks and what it assumes."""

    low: float
    """[weeks]"""
    high: float
    """[weeks]"""
    assumption: str
    """A sentence to show beside the range."""


def strength(label: Grade, dose: float) -> Strength:
    """
    Strength of a solution for a dose of feed in g/L: `ppm = 10 x % x g/L`.

    Examples
    --------
    20-10-20 made up to 100 ppm N also gives:

    >>> strength(Grade(20, 10, 20), 0.5)
    Strength(n=100.0, p=21.82, k=83.01, p2o5=50.0, k2o=100.0)
    """
    n, p2o5, k2o = (10 * percent * dose for percent in (label.n, label.p2o5, label.k2o))
    return Strength(n, p2o5 * P_PER_P2O5, k2o * K_PER_K2O, p2o5, k2o)


def g_per_gallon(dose: float) -> float:
    """
    Weight to dissolve in one US gallon, for a dose in g/L. [g/gal]

    Examples
    --------
    150 ppm N from a feed with 20 % N is 0.75 g/L:

    >>> g_per_gallon(0.75)
    2.839
    """
    return dose * LITRES["gal_liq"]


def addition_feeds_for(
    g_per_l: float,
    n_percent: float,
    cell_ml: float,
    *,
    released: tuple[float, ...],
    ppm_n: float,
    per_week: float,
    ml_per_cell: float,
) -> FeedsFor:
    """
    How long a dry addition stirred into a medium replaces liquid feeding, and what that assumes.

    The nitrogen it releases in one cell, divided by the nitrogen that a liquid programme supplies
    per cell and week; a range, because the share released is one.

    Parameters
    ----------
    g_per_l : float
        Addition per volume of medium, at least 0. [g/L]
    n_percent : float
        Nitrogen by weight on its label, 0 to 100. [%]
    cell_ml : float
        Medium in one cell, more than 0. [mL]
    released : tuple of float
        Lowest and highest share of its nitrogen that becomes available while the seedling grows,
        0 to 1. [1] For protein meals 0.47 to 0.66 within two to eight weeks, in a field soil.
        [Hartz and Johnstone 2006, abstract]
    ppm_n : float
        Strength of the liquid feed it replaces, more than 0. [mg N/L]
    per_week : float
        Liquid feedings it replaces, more than 0. [1/week]
    ml_per_cell : float
        Solution per cell at each feeding, more than 0. [mL]

    Raises
    ------
    ValueError
        If a range is out of bounds or reversed, or an amount is out of range.

    Examples
    --------
    4 g/L of a meal with 8 % N in cells of 60 mL is 19.2 mg N a cell; half of it lasts as long as
    15 mL of 100 ppm N twice a week (3 mg N a week):

    >>> found = addition_feeds_for(4, 8, 60, released=(0.5, 0.5), ppm_n=100,
    ...                            per_week=2, ml_per_cell=15)
    >>> found.low, found.high
    (3.2, 3.2)
    """
    least, most = released
    if not 0 <= least <= most <= 1:
        raise ValueError(f"released must be a low and a high end from 0 to 1, not {released!r}.")
    for name, amount in (("ppm_n", ppm_n), ("per_week", per_week), ("ml_per_cell", ml_per_cell)):
        if not amount > 0:
            raise ValueError(f"{name} must be more than 0, not {amount!r}.")
    if g_per_l < 0 or not 0 <= n_percent <= 100 or not cell_ml > 0:
        raise ValueError(
            "g_per_l must be at least 0, n_percent between 0 and 100 and cell_ml more than 0,"
            f" not {g_per_l!r}, {n_percent!r} and {cell_ml!r}."
        )
    held_mg = g_per_l * cell_ml * n_percent / 100
    a_week_mg = per_week * ml_per_cell / 1000 * ppm_n
    return FeedsFor(
        low=held_mg * least / a_week_mg,
        high=held_mg * most / a_week_mg,
        assumption=say(
            "if {least:.0%} to {most:.0%} of its nitrogen is released in that time, none is washed"
            " out, and the seedling needs what {per_week:g} feedings a week of {ml_per_cell:g}"
            " at {ppm_n:g} ppm N would bring",
            least=least,
            most=most,
            per_week=per_week,
            ml_per_cell=Amount(ml_per_cell, "liquid"),
            ppm_n=ppm_n,
        ),
    )
