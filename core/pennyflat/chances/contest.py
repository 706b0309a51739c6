"""Which of several mixes brings up the most seedlings, and how sure that is.

Knowledge of a mix's emergence is a beta distribution: the Jeffreys prior and the seeds counted.
Mixes are judged jointly: the chances of being the best add up to 1, so that the luckiest of many
small pots does not pass for a proven winner, as it would in pairwise comparisons.

Chances are integrals over `panels` that all mixes share.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from pennyflat.chances.angle import angle, steps_for
from pennyflat.chances.beta import beta_quantile
from pennyflat.chances.panels import panels
from pennyflat.chances.probability import check_count, least_whole
from pennyflat.chances.proportion import JEFFREYS, jeffreys_interval
from pennyflat.sentences import Listed, Said, phrase, say

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

    Examples
    --------
    >>> posterior(17, 20).mean
    0.8333
    """
    check_count(emerged, sown)
    return Posterior(emerged + JEFFREYS, sown - emerged + JEFFREYS)


def chances_best(known: Sequence[Posterior]) -> tuple[float, ...]:
    """
    For each independent mix, the chance that its emergence is the highest of all.

    `P[i best] = integral of f_i(x) times the product of F_j(x) over the other mixes`, each to
    `QUADRATURE_ERROR`. [1]

    Examples
    --------
    Five mixes, five seeds each: the pot with 5 of 5 is far from a sure winner.

    >>> chances_best([posterior(k, 5) for k in (5, 4, 4, 3, 3)])
    (0.724, 0.118, 0.118, 0.02, 0.02)
    """
    if not known:
        return ()
    angles = [angle(mix.a, mix.b) for mix in known]
    chances = [0.0] * len(known)
    start = max(own.low for own in angles)  # the best mix is hardly ever below this
    for _, mixes in panels(angles, start):
        for mix, gained, _ in mixes:
            others = [below for other, _, below in mixes if other != mix]
            chances[mix] += sum(map(math.prod, zip(gained, *others, strict=True)))
    return tuple(chances)


def chances_to_beat(known: Sequence[Posterior]) -> list[list[float]]:
    """
    For each independent mix, the chance that it brings up more than each other.

    Each to `QUADRATURE_ERROR`; 1/2 against itself. [1]

    Examples
    --------
    >>> chances_to_beat([posterior(5, 5), posterior(3, 5)])
    [[0.5, 0.94], [0.06, 0.5]]
    """
    if not known:
        return []
    angles = [angle(mix.a, mix.b) for mix in known]
    beats = [[0.0] * len(known) for _ in known]
    for left, mixes in panels(angles, min(own.low for own in angles)):
        passed = [other for other, own in enumerate(angles) if own.high <= left]
        for mix, gained, _ in mixes:
            for other, _, below in mixes:
                beats[mix][other] += sum(map(mul, gained, below))
            for other in passed:
                beats[mix][other] += sum(gained)
    return beats


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
    leader, *others = sorted(known, key=lambda mix: mix.mean, reverse=True)
    place = known.index(leader)

    def sure(seeds):
        later = [mix.after(seeds * mix.mean, seeds) for mix in known]
        return seeds > most or chances_best(later)[place] >= assurance

    if leader.mean == others[0].mean and not sure(0):
        return None
    needed = least_whole(sure, start=0, at_least=0)
    return None if needed > most else needed


def what_it_shows(trials: dict[str, tuple[int, int]]) -> Said:
    """
    What came up in side-by-side trials, in plain sentences, and how little it proves if weak.

    From the seedlings and seeds by mix. It does not say what to do next; `pennyflat.trials.answer`
    does. The ranges are 95 % Jeffreys intervals; the chances are those of `chances_best`.

    Examples
    --------
    >>> print(what_it_shows({"Fine mix": (5, 5), "Bulk mix": (4, 5)}))
    Fine mix: 5 of 5 came up, so most likely 62 to 100 % of its seeds would. Bulk mix: 4 of 5 ...
    """
    intervals = {name: jeffreys_interval(*count) for name, count in trials.items()}
    widest = max(high - low for low, high in intervals.values())
    sentences = [
        say(
            "{mix}: {emerged} of {sown} came up, so most likely {low:.0f} to {high:.0f} % of its"
            " seeds would.",
            mix=name,
            emerged=trials[name][0],
            sown=trials[name][1],
            low=100 * low,
            high=100 * high,
        )
        for name, (low, high) in intervals.items()
    ]
    sentences.append(next(words for width, words in _KNOWN if widest >= width))
    if len(trials) > 1:
        sentences.append(_who_leads({name: posterior(*count) for name, count in trials.items()}))
    return say("{sentences}", sentences=Listed(tuple(sentences), " "))


_KNOWN = (
    (0.4, phrase("That is next to nothing known: so few seeds fit almost any share.")),
    (0.2, phrase("That is little known: large differences may still be chance.")),
    (
        0.1,
        phrase(
            "That is a fair picture: differences of a few seedlings in a hundred remain chance."
        ),
    ),
    (0.0, phrase("That is well known.")),
)
"""Words for the width of the widest 95 % interval. Ours."""


def _who_leads(known):
    chances = dict(zip(known, chances_best(tuple(known.values())), strict=True))
    leader = max(chances, key=chances.get)
    sure = chances[leader] >= 0.995
    chance = phrase("more than 0.99") if sure else say("{chance:.2f}", chance=chances[leader])
    if len(known) == 2:
        return say("{mix} brings up more with chance {chance}.", mix=leader, chance=chance)
    return say(
        "{mix} brings up the most of the {count} with chance {chance}.",
        mix=leader,
        count=len(known),
        chance=chance,
    )


def weighted_shares(known: Posterior, *, seeds: int = 50) -> list[tuple[float, float]]:
    """
    Shares and weights, adding up to 1, whose sum gives an average over what is known of a mix.

    The averaged quantity may depend on the share as finely as the chance of a count of `seeds`.

    Examples
    --------
    The average of x² for 4 of 5 is a (a + 1) / ((a + b) (a + b + 1)):

    >>> sum(weight * x * x for x, weight in weighted_shares(posterior(4, 5)))
    0.5893
    """
    steps = angle(known.a, known.b).even_steps(steps_for(known.a + known.b + seeds))
    return [(math.sin(t) ** 2, weight) for t, weight in steps]
