"""What an uncertain emergence means in money: cost ranges, and which mix is cheapest.

Nothing here is random: uncertain inputs are spread evenly over their distributions, so the same
trial always gives the same band. A cost is a function of the uncertain inputs, in any one unit of
money (per ready seedling, or for the sowing); `math.inf` if a mix is not ready. Mixes are assumed
independent.
"""

import math
from collections import Counter
from collections.abc import Callable, Sequence
from itertools import groupby
from operator import itemgetter

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
        along = sorted(range(DRAWS), key=parts.__getitem__)
        orders.append(sorted(range(DRAWS), key=along.__getitem__))
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
    left, wins = [len(mix) for mix in costs], [0.0] * len(costs)
    for _, tied in groupby(ordered, key=itemgetter(0)):
        equal = Counter(place for _, place in tied)
        left = [count - equal[place] for place, count in enumerate(left)]
        more = [count / len(mix) for count, mix in zip(left, costs, strict=True)]
        shares = {place: count / len(costs[place]) for place, count in equal.items()}
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


def _at(ordered, chance):
    place = min(max(chance * len(ordered) - 0.5, 0.0), len(ordered) - 1.0)
    below = math.floor(place)
    if place == below:
        return ordered[below]
    share = place - below
    return (1 - share) * ordered[below] + share * ordered[below + 1]
