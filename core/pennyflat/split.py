"""Who pays how much of a joint bill.

Each pays in proportion to a weight, but nobody more than their own bill would be: with weights w
and own bills c, member i pays min(c_i, rate x w_i), and the rate is the one at which the payments
come to the joint bill. As a rule for sharing what is smaller than the claims on it, this is the
constrained equal awards rule with weights. [Thomson 2003, "Axiomatic and game-theoretic analysis of
bankruptcy and taxation problems: a survey", Mathematical Social Sciences 45; with weights Moulin
2000, "Priority rules and other asymmetric rationing methods", Econometrica 68; both from memory. To
take the as-used cost for the weight is our choice.] It keeps each member from being worse off; it
does not promise that no few of them could do better still by themselves.

Money is counted in whole minor units of the currency (cents). All reckoning is exact.
"""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Split:
    """Payments that come to the bill exactly."""

    pays: tuple[int, ...]
    """In the order of the members. [minor units]"""
    none_worse_off: bool
    """Whether nobody pays more than their own bill."""


def split_bill(bill, *, own_bills, weights):
    """
    Payments in proportion to weights, none above the own bill.

    Where the own bills together are less than the joint one, no split can spare everybody: each
    then pays the own bill, and what is over it in proportion to the weights.

    Parameters
    ----------
    bill : int
        To be paid together, at least 0. [minor units]
    own_bills : sequence of int or None
        What each would pay alone, at least 0; None where that has no limit. [minor units]
    weights : sequence of float
        At least 0. [any one unit]

    Returns
    -------
    Split
        Rounded by largest remainder, which raises no payment above a whole own bill.

    Examples
    --------
    By weight alone the first would pay 20 of 30, but has them for 12; the others share the rest:

    >>> split_bill(30, own_bills=[12, 15, 15], weights=[40.0, 10.0, 10.0])
    Split(pays=(12, 9, 9), none_worse_off=True)
    """
    weights = [Fraction(weight) for weight in weights]
    if None not in own_bills and sum(own_bills) < bill:
        shares = _in_proportion(bill - sum(own_bills), weights)
        shares = [own + more for own, more in zip(own_bills, shares, strict=True)]
        return Split(_rounded(bill, shares, weights, own_bills), none_worse_off=False)
    caps = [bill if own is None else min(own, bill) for own in own_bills]
    shares = _capped(bill, caps, weights)
    return Split(_rounded(bill, shares, weights, caps), none_worse_off=True)


def _capped(bill, caps, weights):
    """min(cap, rate x weight), coming to a bill that the caps can pay; exact."""
    shares = [Fraction(0)] * len(caps)
    free, left = set(range(len(caps))), Fraction(bill)
    while free:
        whole = sum(weights[i] for i in free)
        if not whole:
            # Nobody left takes anything that has a price, so what is left is trips.
            for i, share in zip(free, _in_proportion(left, [caps[i] for i in free]), strict=True):
                shares[i] = share
            break
        full = {i for i in free if left * weights[i] >= caps[i] * whole}
        for i in full or free:
            shares[i] = Fraction(caps[i]) if full else left * weights[i] / whole
        left -= sum(shares[i] for i in full)
        free = free - full if full else set()
    return shares


def _in_proportion(amount, weights):
    whole = sum(weights)
    if not whole:
        return [Fraction(amount, len(weights)) for _ in weights]
    return [Fraction(amount) * weight / whole for weight in weights]


def _rounded(bill, shares, weights, caps):
    """
    Whole payments that come to the bill, each a share rounded down or up. [largest remainder]

    Ties go to the larger weight, then the larger own bill, then the first.
    """
    pays = [int(share) for share in shares]
    order = sorted(range(len(shares)), key=lambda i: (pays[i] - shares[i], -weights[i], -caps[i]))
    for i in order[: bill - sum(pays)]:
        pays[i] += 1
    return tuple(pays)
