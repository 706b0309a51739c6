"""How many cells and seeds to sow so that enough seedlings are ready.

g is the chance that one seed gives a normal seedling, k the seeds in a cell (thinned to the
strongest), s the share of thinned seedlings that reach transplanting. A counted g is not known
exactly: it has the distribution Beta(up + 1/2, sown - up + 1/2) [Jeffreys], and "enough" takes that
into account. Cells are assumed independent; a poor seed lot or damping-off breaks that assumption,
and then the numbers of cells are too low.
"""

from dataclasses import dataclass

from pennyflat.chances.probability import MOST_TRIALS, Known, fewest_trials, mean_ready_share
from pennyflat.scenario.records import Counts, Medium, Sowing


@dataclass(frozen=True, slots=True)
class Sown:
    """What is sown for the number wanted."""

    cells: int
    seeds: int
    """Laid out or sown in cells, bought whole. [count]"""
    seeds_as_used: float
    """Seeds that the cost as used is based on, not rounded. [count]"""


def seed_chance(sowing: Sowing, medium: Medium) -> float | Counts:
    """
    Chance g that one seed gives a normal seedling in a medium, or its counts. [1]

    The crop's `germination`, unless the medium's `emergence` names the crop.
    """
    return medium.emergence.get(sowing.crop, sowing.germination)


def survival(sowing: Sowing, medium: Medium) -> float:
    """
    Share s of thinned seedlings that reach transplanting in a medium. [1]

    The sowing's `survival`, unless the medium's names the crop.
    """
    return medium.survival.get(sowing.crop, sowing.survival)


def expected_share(chance: float | Counts) -> float:
    """
    A share itself or, if it was counted, the mean of its Jeffreys distribution. [1]

    >>> expected_share(0.85), expected_share(Counts(17, 20))
    (0.85, 0.8333)
    """
    if isinstance(chance, Counts):
        return (chance.up + 0.5) / (chance.sown + 1)
    return chance


def occupied_share(sowing: Sowing, medium: Medium) -> float:
    """
    Chance e that a cell holds a seedling after thinning, averaged over g if it was counted. [1]

    `e = 1 - (1 - g)^k`; for pre-sprouted seed, set one to a cell, the sowing's `take`. [The empty
    share (1 - g)^k: Landis, Tinus and Barnett, The Container Tree Nursery Manual, vol. 6, from
    memory; it is the binomial chance that none of k comes up.]

    >>> from pennyflat.scenario.records import Medium, Sowing
    >>> leek = Sowing("leek", 50, 25, 10, 0.8, seeds_per_cell=2)
    >>> occupied_share(leek, Medium("Fine mix", 3))
    0.96
    """
    if sowing.presprout:
        return sowing.take
    g, k = seed_chance(sowing, medium), sowing.seeds_per_cell
    if isinstance(g, Counts):
        return mean_ready_share(g.up, g.sown, k, 1.0)
    return 1 - (1 - g) ** k


def ready_share(sowing: Sowing, medium: Medium) -> float:
    """
    Chance that a cell ends with a transplant-ready seedling: `u = e x s`. [1]

    >>> from pennyflat.scenario.records import Medium, Sowing
    >>> leek = Sowing("leek", 50, 25, 10, 0.8, seeds_per_cell=2, survival=0.95)
    >>> ready_share(leek, Medium("Fine mix", 3))
    0.912
    """
    return occupied_share(sowing, medium) * survival(sowing, medium)


def sown(
    sowing: Sowing, medium: Medium, assurance: float | None, *, wanted: int | None = None
) -> Sown:
    """
    Cells and seeds for the number wanted, by default the sowing's, to the given assurance.

    Without an assurance they are the expected numbers. Seeds are cells x k. For pre-sprouted seed
    two things must go well, so each is held to `1 - (1 - assurance) / 2`: enough of the seeds on
    the towel sprout for every cell, and enough cells end ready; the cost as used then counts
    cells / germination seeds. ValueError if no cell can end ready, or more than `MOST_TRIALS` are
    needed.

    >>> from pennyflat.scenario.records import Medium, Sowing
    >>> leek, mix = Sowing("leek", 50, 25, 10, Counts(17, 20)), Medium("Fine mix", 3)
    >>> sown(leek, mix, 0.9).cells
    70
    """
    wanted = sowing.wanted if wanted is None else wanted
    s, per_cell = survival(sowing, medium), sowing.seeds_per_cell
    if sowing.presprout:
        assurance = None if assurance is None else 1 - (1 - assurance) / 2
        cells = fewest_trials(sowing.take * s, wanted, assurance)
    else:
        cells = fewest_trials(ready_by(seed_chance(sowing, medium), per_cell, s), wanted, assurance)
    if cells > MOST_TRIALS:
        raise ValueError(f"cells must be at most {MOST_TRIALS:,}, not {cells:,}.")
    if not sowing.presprout:
        return Sown(cells, cells * per_cell, cells * per_cell)
    seeds = fewest_trials(ready_by(sowing.germination), cells, assurance)
    return Sown(cells, seeds, cells / expected_share(sowing.germination))


def ready_by(chance: float | Counts, seeds_per_cell: int = 1, survives: float = 1.0) -> Known:
    """What is known of a cell's chance to end ready, by the chance or counts of one seed. [1]"""
    if isinstance(chance, Counts):
        return chance.up, chance.sown, seeds_per_cell, survives
    return (1 - (1 - chance) ** seeds_per_cell) * survives
