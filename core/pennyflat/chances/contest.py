"""Which of several mixes brings up the most seedlings, and how sure that is.

Knowledge of a mix's emergence is a beta distribution: the Jeffreys prior and the seeds counted.
Mixes are judged jointly: the chances of being the best add up to 1, so that the luckiest of many
small pots does not pass for a proven winner, as it would in pairwise comparisons.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pennyflat.chances.angle import angle, panels, steps_for
from pennyflat.chances.beta import beta_quantile
from pennyflat.chances.probability import check_count, least_whole
from pennyflat.chances.proportion import JEFFREYS

QUADRATURE_ERROR = 1e-8
"""Largest error of a chance computed here; tested up to 10,000 seeds a mix. [1]"""


@dataclass(frozen=True, slots=True)
class Posterior:
    """Knowledge of the chance that one seed comes up: a Beta(a, b) distribution."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        """Chance that the next seed comes up. [1]"""
        return self.a / (self.a + self.b)

    def quantile(self, q: float) -> float:
        """The share that it lies below with chance q. [1]"""
        return beta_quantile(self.a, self.b, q)

    def after(self, emerged: float, sown: float) -> "Posterior":
        """The posterior after more counted seeds; their numbers need not be whole."""
        return Posterior(self.a + emerged, self.b + sown - emerged)


def posterior(emerged: int, sown: int) -> Posterior:
    """
    Knowledge of a mix after so many of the seeds sown emerged, from Jeffreys' prior.

    >>> posterior(17, 20).mean
    0.8333
    """
    check_count(emerged, sown)
    return Posterior(JEFFREYS, JEFFREYS).after(emerged, sown)


def chances_best(known: Sequence[Posterior]) -> tuple[float, ...]:
    """
    For each independent mix, the chance that its emergence is the highest of all.

    `P[i best] = integral of f_i(x) times the product of F_j(x) over the other mixes`, each to
    `QUADRATURE_ERROR`. [1]

    Five mixes, five seeds each: the pot with 5 of 5 is far from a sure winner.

    >>> chances_best([posterior(k, 5) for k in (5, 4, 4, 3, 3)])
    (0.724, 0.118, 0.118, 0.02, 0.02)
    """
    chances = [0.0] * len(known)
    for _, mixes in panels([angle(mix.a, mix.b) for mix in known]):
        for mix, gained, _ in mixes:
            others = [below for other, _, below in mixes if other != mix]
            chances[mix] += sum(map(math.prod, zip(gained, *others, strict=True)))
    return tuple(chances)


def best_of(counts: Mapping[str, tuple[int, int]]) -> dict[str, float]:
    """
    `chances_best` by name, from the seedlings and seeds counted of each mix. [1]

    >>> best_of({"Fine mix": (5, 5), "Bulk mix": (4, 5)})
    {'Fine mix': 0.8..., 'Bulk mix': 0.1...}
    """
    chances = chances_best([posterior(*count) for count in counts.values()])
    return dict(zip(counts, chances, strict=True))


def seeds_to_be_sure(
    known: Sequence[Posterior], *, assurance: float = 0.9, most: int = 100_000
) -> int | None:
    """
    How many more seeds each mix needs until the leader is the best with the given assurance.

    0 if it is already sure enough; None if `most` are not enough, as with equal shares. Assumes
    that further seeds come up in exactly the expected shares. A real sowing scatters, so it is as
    likely to need more as fewer.

    Examples
    --------
    >>> seeds_to_be_sure((posterior(5, 5), posterior(4, 5)))
    7
    >>> seeds_to_be_sure((posterior(4, 5), posterior(4, 5))) is None
    True
    """
    means = [mix.mean for mix in known]
    leader = means.index(max(means))

    def sure(seeds):
        later = [mix.after(seeds * mix.mean, seeds) for mix in known]
        return seeds > most or chances_best(later)[leader] >= assurance

    if means.count(max(means)) > 1 and not sure(0):
        return None
    needed = least_whole(sure, start=0, at_least=0)
    return None if needed > most else needed


def weighted_shares(known: Posterior, *, seeds: int = 50) -> list[tuple[float, float]]:
    """
    Shares and weights, adding up to 1, whose sum gives an average over what is known of a mix.

    The averaged quantity may depend on the share as finely as the chance of a count of `seeds`.
    """
    steps = angle(known.a, known.b).even_steps(steps_for(known.a + known.b + seeds))
    return [(math.sin(t) ** 2, weight) for t, weight in steps]
