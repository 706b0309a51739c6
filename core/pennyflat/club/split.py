"""Who pays how much of a joint bill: the Shapley value, kept within bounds and to the cent.

Members join an order one after another; each pays what their joining adds to its cost, on average
over all sequences in which they can join. It is the only rule that divides the whole cost, treats
equals equally, charges nothing to a member who adds no cost, and adds up over separate orders.
[Shapley 1953, "A value for n-person games", Contributions to the Theory of Games II, Annals of
Mathematics Studies 28] Beyond `EXACT` members it is the average over some sequences and their
reverses, with its standard error. [Castro, Gómez & Tejada 2009, "Polynomial calculation of the
Shapley value based on sampling", Computers & Operations Research 36; both from memory. Reversed
sequences as antithetic variates are our choice.]

The cost of a group may take a solver, so generators ask for it as in `plan`.
"""

from collections.abc import Callable, Sequence
from hashlib import sha256
from itertools import combinations
from math import comb, floor, fsum, inf, sqrt
from statistics import fmean, stdev

from pennyflat.buying.milp import Work

EXACT = 8
"""Most members for which every group is evaluated. [count] Ours: 256 groups."""

MOST_GROUPS = 512
"""Groups evaluated if there are more members, at least two pairs of sequences. [count] Ours."""

SPLITS = ("shapley", "equal")
"""Rules by which a club can divide its saving."""


def known_split(name: str) -> str:
    """The name of a rule; a `ValueError` if there is no such rule."""
    if name not in SPLITS:
        raise ValueError(f"split must be one of {SPLITS!r}, not {name!r}.")
    return name


def shapley(
    count: int, cost: Callable[[tuple[int, ...]], Work[float]]
) -> Work[tuple[list[float], float]]:
    """
    What each of `count` members adds to the cost on average, as work that needs solutions.

    `cost` takes a group, a tuple of members' numbers, and returns work that gives its cost; each
    group is requested once. Returns the shares, which add up to the cost of all together, and their
    largest standard error, 0 if all groups were evaluated. [currency]

    One bag is enough for three; alone the first needs half a bag at half the price:

    >>> from pennyflat.buying.plan import run
    >>> def cost(group):
    ...     yield None
    ...     return 0.0 if not group else 6.0 if group == (0,) else 12.0
    >>> run(shapley(3, cost), None)
    ([2.0, 5.0, 5.0], 0.0)
    """
    known = {(): 0.0}

    def known_cost(group):
        group = tuple(sorted(group))
        if group not in known:
            known[group] = yield from cost(group)
        return known[group]

    if count <= EXACT:
        for size in range(1, count + 1):
            for group in combinations(range(count), size):
                yield from known_cost(group)
        return [_average_addition(member, count, known) for member in range(count)], 0.0
    pairs = []
    for number in range(max(2, MOST_GROUPS // (2 * count))):
        sequence = sorted(range(count), key=lambda m: sha256(f"{number} {m}".encode()).digest())
        added = [0.0] * count
        for one_way in (sequence, sequence[::-1]):
            before = 0.0
            for place, member in enumerate(one_way):
                after = yield from known_cost(one_way[: place + 1])
                added[member] += (after - before) / 2
                before = after
        pairs.append(added)
    columns = list(zip(*pairs, strict=True))
    return list(map(fmean, columns)), max(map(stdev, columns)) / sqrt(len(pairs))


def _average_addition(member, count, known):
    others = [other for other in range(count) if other != member]
    return fsum(
        (known[tuple(sorted((*group, member)))] - known[group]) / comb(count - 1, size) / count
        for size in range(count)
        for group in combinations(others, size)
    )


def to_the_cent(
    bill: int, shares: Sequence[float], most: Sequence[int | None] | None = None
) -> list[int]:
    """
    Whole payments near given shares that add up to a bill.

    Each is between 0 and the member's bound in `most`, None for no bound; the bounds are enough for
    the bill. The others share equally what such a bound removes or adds. Rounding is by largest
    remainder. All in minor units, at least 0; the shares add up to the bill, approximately.

    >>> to_the_cent(10, [6.4, 2.8, 0.8], [5, None, 3])
    [5, 4, 1]
    """
    bounds = [inf if bound is None else bound for bound in most or [None] * len(shares)]

    def moved(by):
        return [
            min(max(share + by, 0.0), bound) for share, bound in zip(shares, bounds, strict=True)
        ]

    reach = bill + max(map(abs, shares)) + 1
    low, high = -reach, reach
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if fsum(moved(middle)) < bill else (low, middle)
    exact = moved(high)
    pays = [floor(share + 1e-6) for share in exact]
    by_remainder = sorted(range(len(pays)), key=lambda i: (pays[i] - exact[i], i))
    room = [i for i in by_remainder if pays[i] < bounds[i]]
    for i in room[: bill - sum(pays)]:
        pays[i] += 1
    return pays
