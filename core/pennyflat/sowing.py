"""How many cells and seeds to sow so that enough seedlings are ready.

g is the chance that one seed gives a normal seedling, k the seeds in a cell (thinned to the one
strongest), s the share of thinned seedlings that reach transplanting. Cells are taken to be
independent; a poor seed lot or damping-off breaks that, and the counts are then too hopeful.
"""

import math

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
