"""A joint bill is paid to the cent, by weight, with nobody paying more than alone."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyflat.split import split_bill

own_bills = st.none() | st.integers(0, 40) | st.integers(0, 9000)
weights = st.sampled_from([0.0, 1.0, 2.5]) | st.floats(1e-6, 1e6)
members = st.lists(st.tuples(own_bills, weights), min_size=1, max_size=6)


def by_hand(pairs):
    return {"own_bills": [own for own, _ in pairs], "weights": [weight for _, weight in pairs]}


@settings(max_examples=1500)
@given(st.integers(0, 20_000), members)
def test_payments_come_to_the_bill_and_spare_everybody_where_they_can(bill, pairs):
    found = split_bill(bill, **by_hand(pairs))

    assert sum(found.pays) == bill
    own = [own for own, _ in pairs]
    assert found.none_worse_off == (None in own or sum(own) >= bill)
    for (own, _), pays in zip(pairs, found.pays, strict=True):
        if found.none_worse_off:
            assert 0 <= pays <= (bill if own is None else own)
        else:
            assert pays >= own


@settings(max_examples=500)
@given(st.integers(0, 20_000), members)
def test_whoever_pays_less_than_alone_pays_by_one_rate(bill, pairs):
    found = split_bill(bill, **by_hand(pairs))
    if not found.none_worse_off:
        return

    # The definition: one rate, and each pays rate x weight or, if that is less, the own bill. A
    # payment is rounded by less than 1, so it bounds the rate from both sides.
    at_least, at_most = Fraction(0), Fraction(10**30)
    for (own, weight), pays in zip(pairs, found.pays, strict=True):
        if not weight:
            continue
        if pays < (bill if own is None else own):
            at_most = min(at_most, (pays + 1) / Fraction(weight))
        at_least = max(at_least, (pays - 1) / Fraction(weight))
    assert at_least <= at_most


@settings(max_examples=300)
@given(st.integers(0, 20_000), members, st.randoms())
def test_the_order_of_members_moves_no_more_than_equals(bill, pairs, rng):
    shuffled = list(pairs)
    rng.shuffle(shuffled)

    def paid(pairs):
        """Own bill as far as it matters, weight and payment of each, sorted."""
        pays = split_bill(bill, **by_hand(pairs)).pays
        return sorted(
            (bill if own is None else min(own, bill), weight, pay)
            for (own, weight), pay in zip(pairs, pays, strict=True)
        )

    assert paid(shuffled) == paid(pairs)


@pytest.mark.parametrize(
    ("bill", "own", "weights", "pays"),
    [
        # By hand. Nobody capped: 10 by 3 : 1 : 1.
        (1000, [900, 900, 900], [3.0, 1.0, 1.0], (600, 200, 200)),
        # The first has 600 for 150; the rest, 850, is shared evenly.
        (1000, [150, 900, 900], [3.0, 1.0, 1.0], (150, 425, 425)),
        # Capping the first lifts the second over its own bill too.
        (1000, [150, 400, 900], [3.0, 1.0, 1.0], (150, 400, 450)),
        # Three even shares of 100 leave a cent.
        (100, [90, 90, 90], [1.0, 1.0, 1.0], (34, 33, 33)),
        # Only trips: nothing taken has a price, so the own bills are the weights.
        (300, [300, 150], [0.0, 0.0], (200, 100)),
        # What has no price pays only what the others cannot.
        (300, [100, 250], [5.0, 0.0], (100, 200)),
        # Together dearer than apart: own bill, and the 60 over it by 2 : 1.
        (360, [100, 200], [2.0, 1.0], (140, 220)),
        # Who could not have it alone has no cap.
        (300, [100, None], [2.0, 1.0], (100, 200)),
        (0, [0], [0.0], (0,)),
    ],
)
def test_known_splits(bill, own, weights, pays):
    assert split_bill(bill, own_bills=own, weights=weights).pays == pays


def test_no_other_payments_are_closer_to_the_weights():
    """
    Of all whole payments that spare everybody, none lowers the highest rate paid.

    The rule makes pays / weight as equal as the own bills let; here every split is tried.
    """
    for own in product([0, 1, 3, 7], repeat=3):
        for bill in range(sum(own) + 1):
            weights = [1.0, 2.0, 4.0]
            pays = split_bill(bill, own_bills=own, weights=weights).pays
            best = min(
                max(pay / weight for pay, weight in zip(other, weights, strict=True))
                for other in product(*(range(most + 1) for most in own))
                if sum(other) == bill
            )
            worst = max(pay / weight for pay, weight in zip(pays, weights, strict=True))
            assert worst < best + 1  # whole cents: less than one cent per least weight
