"""What an uncertain emergence means in money: cost ranges, which mix is cheapest, what to measure.

Nothing here is random: uncertain inputs are spread evenly over their distributions, so the same
trial always gives the same band. Costs are in any one unit of money, `math.inf` if a mix is not
ready. Mixes are assumed independent.

Without a measurement, the choice is the one with the least expected cost; with one, it is the least
for each result, weighted by that result's chance. The difference is the value of information; the
cost of the measurement itself is not subtracted. [Raiffa and Schlaifer 1961, Applied Statistical
Decision Theory. For perfect information on one quantity or all: Howard 1966, IEEE Transactions on
Systems Science and Cybernetics 2(1), 22 to 26. For samples: Ades, Lu and Claxton 2004, Medical
Decision Making 24(2), 207 to 227. All three from memory.]
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from operator import itemgetter

from pennyflat.chances.beta import binomial_pmf

DRAWS = 128
"""Equally likely cases per mix. [count]"""

_PRIMES = (2, 3, 5, 7, 11)


def between(low: float, high: float) -> Callable[[float], float]:
    """
    Quantiles of a uniform input, such as a charge that ran out between two observations.

    >>> between(3, 5)(0.25)
    3.5
    """
    return lambda chance: low + (high - low) * chance


def cases(*quantiles: Callable[[float], float]) -> list[tuple[float, ...]]:
    """
    Equally likely cases of up to six independent uncertain inputs, each given by its quantiles.

    Each input takes the middle of each of `DRAWS` equal slices of chance once: the first in order,
    the others in the order of the fractional parts of multiples of the square root of a prime, a
    sequence that fills space evenly. [Richtmyer 1951, Los Alamos report LA-1342, from memory]

    >>> cases(between(0, 1), between(10, 20))[:3]
    [(0.0039, 10.0391), (0.0117, 14.1797), (0.0195, 18.3203)]
    """
    orders: list[Sequence[int]] = [range(DRAWS)]
    for prime in _PRIMES[: len(quantiles) - 1]:
        parts = [case * math.sqrt(prime) % 1 for case in range(DRAWS)]
        ranks = {part: rank for rank, part in enumerate(sorted(parts))}
        orders.append([ranks[part] for part in parts])
    columns = [
        [quantile((place + 0.5) / DRAWS) for place in order]
        for quantile, order in zip(quantiles, orders, strict=True)
    ]
    return list(zip(*columns, strict=True))


def cost_band(costs: Sequence[float]) -> tuple[float, float, float]:
    """
    Low end, median and high end of equally likely costs, with 80 % of the cases inside.

    Each cost, `math.inf` if it is not ready, represents the middle of its slice of chance, with
    interpolation in between. For one uncertain input the ends are off by at most the cost's change
    over one slice, 1 / count.

    >>> cost_band([0.30, 0.22, 0.26, 0.24, 0.28])
    (0.22, 0.26, 0.30)
    """
    ordered = sorted(costs)
    return _at(ordered, 0.1), _at(ordered, 0.5), _at(ordered, 0.9)


def _at(ordered, chance):
    place = min(max(chance * len(ordered) - 0.5, 0.0), len(ordered) - 1.0)
    share, below = math.modf(place)
    if share == 0:
        return ordered[int(below)]  # the next may be infinite
    return (1 - share) * ordered[int(below)] + share * ordered[int(below) + 1]


def chances_cheapest(costs: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """
    For each mix, the chance that it is the cheapest of all, from its cost in equally likely cases.

    They add up to 1 unless all mixes may fail to be ready together, with a cost of `math.inf`.
    Equal costs share the chance. Off by at most mixes / (2 x cases) if each mix has one uncertain
    input and its cost falls steadily with it; otherwise the accuracy grows with the cases.

    >>> chances_cheapest([[0.20, 0.25], [0.22, 0.22], [math.inf, 0.10]])
    (0.25, 0.25, 0.5)
    """
    ordered = sorted(
        (cost, place) for place, mix in enumerate(costs) for cost in mix if cost < math.inf
    )
    more, wins = [1.0] * len(costs), [0.0] * len(costs)
    left = [len(mix) for mix in costs]
    for _, tied in groupby(ordered, key=itemgetter(0)):
        shares = {}
        for mine, count in Counter(place for _, place in tied).items():
            left[mine] -= count
            shares[mine] = count / len(costs[mine])
            more[mine] = left[mine] / len(costs[mine])
        others = math.prod(chance for place, chance in enumerate(more) if place not in shares)
        for mine, share in shares.items():
            rivals = [(more[rival], shares[rival]) for rival in shares if rival != mine]
            wins[mine] += share * others * _chance_of_tie(rivals)
        if not all(left):
            break  # another mix certainly costs no more, so higher costs cannot win
    return tuple(wins)


def _chance_of_tie(rivals):
    """
    Chance of winning against mixes that each cost more with one chance and the same with another.

    Tied mixes are equally likely to win: integral over 0..1 of the product of (more + equal t),
    with the product expanded in powers of t.
    """
    powers = [1.0]
    for more, equal in rivals:
        powers = [
            more * same + equal * lower
            for same, lower in zip([*powers, 0.0], [0.0, *powers], strict=True)
        ]
    return math.fsum(power / (degree + 1) for degree, power in enumerate(powers))


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
    measured = math.fsum(chance * min(rival, cost) for chance, cost in known)
    return _saved(min(rival, _expected(known)), measured)


def _expected(results):
    return math.fsum(chance * cost for chance, cost in results if chance > 0)


def _saved(unmeasured, measured):
    if unmeasured == math.inf:
        raise ValueError("no choice has a finite expected cost, so no saving can be told.")
    return max(0.0, unmeasured - measured)


def sample_results(
    shares: Sequence[tuple[float, float, float]], seeds: int
) -> list[tuple[float, float]]:
    """
    Results of a test that sows more seeds: every possible count.

    Preposterior analysis: after k of n, each share's weight is multiplied by its chance of k. Takes
    shares and weights such as `contest.weighted_shares` gives, with the expected cost at each
    share; gives the chance of each count and the expected cost after it. [1, currency]
    """
    results = []
    for came_up in range(seeds + 1):
        after = [(weight * binomial_pmf(seeds, x, came_up), cost) for x, weight, cost in shares]
        chance = math.fsum(weight for weight, _ in after)
        if chance > 0:
            results.append((chance, _expected(after) / chance))
    return results


def worth_of_all(choices: Sequence[Sequence[tuple[float, float]]]) -> float:
    """
    Value of knowing every choice's cost for certain: no measurement is worth more. [currency]

    For each choice, independent of the others, the chances of its costs, `math.inf` if it is ruled
    out. [1, currency] ValueError if no choice has a finite expected cost.

    >>> worth_of_all([[(0.5, 8), (0.5, 14)], [(1.0, 10)]])
    1.0
    """
    higher = [math.fsum(chance for chance, _ in choice) for choice in choices]
    ordered = sorted(
        (cost, place, chance)
        for place, choice in enumerate(choices)
        for chance, cost in choice
        if cost < math.inf
    )
    least = []  # terms of the expected least: from the lowest up, all others being higher
    for cost, place, chance in ordered:
        own, higher[place] = higher[place], 1.0
        least.append(chance * math.prod(higher) * cost)
        higher[place] = max(0.0, own - chance)
    return _saved(min(map(_expected, choices)), math.fsum(least))
