"""How long a medium feeds, and what feeding a hungry seedling takes.

Times are weeks from sowing. The *charge* is the fertiliser a medium brings along; a *hungry week*
is one after the charge has run out and before transplanting.
"""

import math

from pennyflat.scenario.records import Feed

ROUNDING = 1e-9
"""Feedings above a whole number that count as rounding error of the weeks. [count]"""


def hungry_weeks(weeks: float, feeds_for_weeks: float) -> float:
    """
    Weeks before transplanting, pace included, in which a medium no longer feeds: `max(0, T - F)`.

    Examples
    --------
    >>> hungry_weeks(6, 3), hungry_weeks(4, 6)
    (3, 0.0)
    """
    return max(0.0, weeks - feeds_for_weeks)


def feedings(hungry: float, per_week: float) -> int:
    """
    Times to feed in so many hungry weeks; a feeding begun counts in full. [count]

    Examples
    --------
    >>> feedings(2.6, 2)
    6
    """
    return math.ceil(hungry * per_week - ROUNDING)


def solution_litres(plants: float, times: int, ml_per_cell: float) -> float:
    """
    Feed solution for so many plants or cells and feedings, from mL for one plant and time. [L]

    Examples
    --------
    >>> solution_litres(101, 6, 15)
    9.09
    """
    return plants * times * ml_per_cell / 1000


def g_per_litre(target_ppm_n: float, n_percent: float) -> float:
    """
    Dry feed to dissolve for a given strength in mg N/L, from the % N on its label. [g/L]

    `ppm / (10 x %N)`: one gram in a litre of a feed with 1 % N gives 10 mg N/L. [vce-430-100:
    Virginia Cooperative Extension, Basics of Fertilizer Calculations; the same arithmetic as the
    ounces per 100 gallons of University of Massachusetts Extension, Fertilizer Calculations for
    Greenhouse Crops.]

    Raises
    ------
    ValueError
        If the label states no nitrogen.

    Examples
    --------
    >>> g_per_litre(150, 20)
    0.75
    """
    if not n_percent > 0:
        raise ValueError(f"n_percent must be more than 0, not {n_percent!r}.")
    return target_ppm_n / (10 * n_percent)


def dose(feed: Feed) -> float:
    """
    Concentrate in one litre of solution. [g/L, or mL/L for a liquid]

    Examples
    --------
    >>> from pennyflat.scenario.records import Feed
    >>> dose(Feed("Soluble", 2, 15, (), n_percent=20, target_ppm_n=100))
    0.5
    """
    if feed.ml_per_litre is not None:
        return feed.ml_per_litre
    if feed.g_per_litre is not None:
        return feed.g_per_litre
    return g_per_litre(feed.target_ppm_n or 0.0, feed.n_percent or 0.0)
