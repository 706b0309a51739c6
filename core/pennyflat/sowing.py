"""How many cells and seeds to sow so that enough seedlings are ready.

g is the chance that one seed gives a normal seedling, k the seeds in a cell (thinned to the one
strongest), s the share of thinned seedlings that reach transplanting. Cells are taken to be
independent; a poor seed lot or damping-off breaks that, and the counts are then too hopeful.
"""

import math

from pennyflat.counted import cells_for_counts
from pennyflat.probability import fewest_trials


def seed_chance(planting, medium):
    """
    Chance that one seed gives a normal seedling in a medium.

    The crop's `germination`, unless the medium's `emergence` names the crop.

    Parameters
    ----------
    planting : Planting
    medium : Medium

    Returns
    -------
    float
        g. [1]

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> demo = read(DEMO)
    >>> tomato, lettuce, marigold = demo.plantings
    >>> rich = demo.medium("Bulk potting mix")
    >>> seed_chance(tomato, rich), seed_chance(lettuce, rich)
    (0.88, 0.58)
    """
    return medium.emergence.get(planting.crop, planting.germination)


def occupied_share(planting, medium):
    """
    Chance that a cell holds a seedling after thinning.

    `e = 1 - (1 - g)^k`; for pre-sprouted seed, set one a cell, the planting's `take`. [The empty
    share (1 - g)^k: Landis, Tinus and Barnett, The Container Tree Nursery Manual, vol. 6, from
    memory; it is the binomial chance that none of k comes up.]

    Parameters
    ----------
    planting : Planting
    medium : Medium

    Returns
    -------
    float
        e. [1]

    Examples
    --------
    >>> from pennyflat.scenario import Medium, Planting
    >>> leek = Planting("leek", 50, 25, 10, 0.8, seeds_per_cell=2)
    >>> occupied_share(leek, Medium("Fine mix", 3))
    0.96
    """
    if planting.presprout:
        return planting.take
    return 1 - (1 - seed_chance(planting, medium)) ** planting.seeds_per_cell


def ready_share(planting, medium):
    """
    Chance that a cell ends with a transplant-ready seedling.

    `u = e x s`.

    Parameters
    ----------
    planting : Planting
    medium : Medium

    Returns
    -------
    float
        u. [1]

    Examples
    --------
    >>> from pennyflat.scenario import Medium, Planting
    >>> leek = Planting("leek", 50, 25, 10, 0.8, seeds_per_cell=2, survival=0.95)
    >>> ready_share(leek, Medium("Fine mix", 3))
    0.912
    """
    return occupied_share(planting, medium) * planting.survival


def cells_to_sow(wanted, share, assurance):
    """
    Fewest cells that give enough ready seedlings with the assurance asked for.

    Smallest n with `P[Binomial(n, u) >= wanted] >= assurance`, exact; without an assurance, the
    expected number, `ceil(wanted / u)`.

    Parameters
    ----------
    wanted : int
        Ready seedlings wanted, at least 1. [count]
    share : float
        u, more than 0 and at most 1. [1]
    assurance : float or None
        Chance of having enough, more than 0 and below 1; None for the expected number. [1]

    Returns
    -------
    int
        Cells. [count]

    Raises
    ------
    ValueError
        If no cell can end ready.

    Examples
    --------
    Sowing 50 / 0.8 cells would give 50 seedlings only about six times in ten:

    >>> cells_to_sow(50, 0.8, None), cells_to_sow(50, 0.8, 0.9)
    (63, 68)
    """
    if not 0 < share <= 1:
        raise ValueError(f"share must be more than 0 and at most 1, not {share!r}.")
    if assurance is None:
        return math.ceil(wanted / share - 1e-9)
    return fewest_trials(share, wanted, assurance)


def towel(wanted, share, germination, assurance):
    """
    Cells to set with sprouted seeds, and seeds to lay on a damp towel for them.

    Two things must go well, so each is held to `a' = 1 - (1 - assurance) / 2`, and both go well
    with the assurance at least: cells are the smallest n with `P[Binomial(n, u) >= wanted] >= a'`,
    seeds the smallest m with `P[Binomial(m, germination) >= cells] >= a'`. Without an assurance,
    both are the expected numbers, rounded up.

    Parameters
    ----------
    wanted : int
        Ready seedlings wanted, at least 1. [count]
    share : float
        u, those of the sprouted seeds set that end ready: take x survival. [1]
    germination : float or (int, int)
        Share of the seeds that sprout, more than 0 and at most 1, or how many came up of how many
        sown. [1 or count, count]
    assurance : float or None
        Chance of having enough, more than 0 and below 1; None for the expected numbers. [1]

    Returns
    -------
    (int, int)
        Cells and seeds. [count, count]

    Raises
    ------
    ValueError
        If a share is out of range, or more than `MOST_TRIALS` would be needed.

    Examples
    --------
    The expected 66 seeds in 56 cells would do about every other time:

    >>> towel(50, 0.9, 0.85, None), towel(50, 0.9, 0.85, 0.9), towel(50, 0.9, (17, 20), 0.9)
    ((56, 66), (60, 77), (60, 89))
    """
    each = None if assurance is None else 1 - (1 - assurance) / 2
    cells = cells_to_sow(wanted, share, each)
    if isinstance(germination, tuple):
        return cells, cells_for_counts(cells, *germination, assurance=each)
    return cells, cells_to_sow(cells, germination, each)


def seeds_used(planting, cells):
    """
    Seeds that go into a number of cells.

    `cells x k`; pre-sprouted, `cells / germination`, whatever the medium, since the seed sprouts on
    a towel. Not rounded.

    Parameters
    ----------
    planting : Planting
    cells : int
        Cells sown. [count]

    Returns
    -------
    float
        Seeds. [count]

    Examples
    --------
    >>> from pennyflat.scenario import Planting
    >>> seeds_used(Planting("leek", 50, 25, 10, 0.8, presprout=True), 68)
    85.0
    """
    if planting.presprout:
        return cells / planting.germination
    return cells * planting.seeds_per_cell
