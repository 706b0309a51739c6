"""The value, in money, of knowing more before choosing.

Without a measurement, the choice is the one with the least expected cost; with one, it is the least
for each result, weighted by that result's chance. The difference is the value of information: of
sample information if the result comes from a sample, of partial perfect information if the
measurement settles one quantity, of perfect information if everything is settled. The cost of the
measurement itself is not subtracted.

[Raiffa and Schlaifer 1961, Applied Statistical Decision Theory. Howard 1966, IEEE
Transactions on Systems Science and Cybernetics 2(1), 22 to 26, for perfect information on one
quantity or all. Ades, Lu and Claxton 2004, Medical Decision Making 24(2), 207 to 227, for samples.
All three from memory.]
"""

import math
from collections.abc import Iterable, Sequence

from pennyflat.chances.beta import binomial_pmf


def worth_of_result(results: Iterable[tuple[float, float]], rival: float) -> float:
    """
    Value of knowing the result of one measurement of one choice before choosing.

    `min(r, sum p m) - sum p min(r, m)` over the results, each with its chance p, where m is the
    choice's expected cost once that result is known, `math.inf` if that rules it out, and r, the
    rival, the least expected cost of the others, `math.inf` if there is none. [currency] 0 if no
    result changes the choice; ValueError if no choice has a finite expected cost.

    It costs 8 or 14 with equal chance, and the alternative costs 10:

    >>> worth_of_result([(0.5, 8), (0.5, 14)], rival=10)
    1.0
    """
    known = [(chance, cost) for chance, cost in results if chance > 0]
    expected = math.fsum(chance * cost for chance, cost in known)
    unmeasured = min(rival, expected)
    if unmeasured == math.inf:
        raise ValueError("no choice has a finite expected cost, so no saving can be told.")
    measured = math.fsum(chance * min(rival, cost) for chance, cost in known)
    return max(0.0, unmeasured - measured)


def sample_results(
    shares: Sequence[tuple[float, float, float]], seeds: int
) -> list[tuple[float, float]]:
    """
    Results of a test that sows more seeds: every possible count.

    Preposterior analysis: after k of n, each share's weight is multiplied by its chance of k. Takes
    shares and weights such as `contest.weighted_shares` gives, with the expected cost at each
    share; gives the chance of each count and the expected cost after it. [1, currency]

    >>> sample_results([(0.4, 0.5, 25.0), (0.8, 0.5, 12.5)], seeds=1)
    [(0.4, 21.875), (0.6, 16.667)]
    """
    results = []
    for came_up in range(seeds + 1):
        after = [(weight * binomial_pmf(seeds, x, came_up), cost) for x, weight, cost in shares]
        chance = math.fsum(weight for weight, _ in after)
        if chance > 0:
            cost = math.fsum(weight * cost for weight, cost in after if weight > 0)
            results.append((chance, cost / chance))
    return results


def worth_of_all(choices: Sequence[Sequence[tuple[float, float]]]) -> float:
    """
    Value of knowing every choice's cost for certain: no measurement is worth more. [currency]

    For each choice, independent of the others, the chances of its costs, `math.inf` if it is ruled
    out. [1, currency] ValueError if no choice has a finite expected cost.

    >>> worth_of_all([[(0.5, 8), (0.5, 14)], [(1.0, 10)]])
    1.0
    """
    least = min(
        math.fsum(chance * cost for chance, cost in choice if chance > 0) for choice in choices
    )
    if least == math.inf:
        raise ValueError("no choice has a finite expected cost, so no saving can be told.")
    return max(0.0, least - _expected_least(choices))


def _expected_least(choices):
    """Expected least of independent costs: summed from the lowest up, all others being higher."""
    higher = [math.fsum(chance for chance, _ in choice) for choice in choices]
    ordered = sorted(
        (cost, place, chance)
        for place, choice in enumerate(choices)
        for chance, cost in choice
        if cost < math.inf
    )
    terms = []
    for cost, place, chance in ordered:
        own, higher[place] = higher[place], 1.0
        terms.append(chance * math.prod(higher) * cost)
        higher[place] = max(0.0, own - chance)
    return math.fsum(terms)
