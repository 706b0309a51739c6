"""A joint cost is divided by the Shapley value, and paid to the cent within bounds."""

import random
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyflat.buying.plan import run
from pennyflat.club.split import EXACT, MOST_GROUPS, shapley, to_the_cent


def divided(count, cost):
    """The Shapley value of a cost that needs no solver."""

    def work(group):
        yield None
        return cost(group)

    return run(shapley(count, work), None)


def average_addition(count, cost):
    """The definition: what each adds, over every sequence of joining."""
    shares = [0.0] * count
    orders = list(permutations(range(count)))
    for order in orders:
        for place, member in enumerate(order):
            with_it, without = (tuple(sorted(order[: place + more])) for more in (1, 0))
            shares[member] += (cost(with_it) - (cost(without) if without else 0.0)) / len(orders)
    return shares


@pytest.mark.parametrize("seed", range(20))
def test_shares_are_the_average_over_all_sequences(seed):
    rng = random.Random(seed)
    costs = {}

    def cost(group):
        return costs.setdefault(group, rng.uniform(0, 20))

    count = rng.randint(1, 6)
    shares, error = divided(count, cost)

    assert shares == pytest.approx(average_addition(count, cost), abs=1e-9)
    assert error == 0


def runway(lengths):
    """
    What each pays for a runway as long as the longest needs, by the Shapley value.

    Littlechild & Owen 1973, "A simple expression for the Shapley value in a special case",
    Management Science 20: each stretch is divided equally among those who need it.
    """
    order = sorted(range(len(lengths)), key=lengths.__getitem__)
    shares, paid, before = [0.0] * len(lengths), 0.0, 0.0
    for place, member in enumerate(order):
        paid += (lengths[member] - before) / (len(order) - place)
        shares[member], before = paid, lengths[member]
    return shares


LENGTHS = [3.0, 8.0, 1.0, 13.0, 13.0, 5.5, 20.0, 9.0, 2.0, 4.0, 17.0, 6.0, 6.0, 11.0]


def test_a_runway_is_paid_for_stretch_by_stretch():
    lengths = LENGTHS[:EXACT]

    shares, _ = divided(EXACT, lambda group: max(lengths[member] for member in group))

    assert shares == pytest.approx(runway(lengths), abs=1e-9)


def test_with_more_members_shares_are_sampled_within_the_error_stated():
    shares, error = divided(len(LENGTHS), lambda group: max(LENGTHS[member] for member in group))

    assert sum(shares) == pytest.approx(max(LENGTHS))
    assert 0 < error < 1.5
    for share, exact in zip(shares, runway(LENGTHS), strict=True):
        assert abs(share - exact) < 4 * error


def test_orders_that_have_nothing_to_do_with_each_other_are_exact_when_sampled():
    shares, error = divided(12, lambda group: sum(LENGTHS[member] for member in group))

    assert shares == pytest.approx(LENGTHS[:12]) and error == pytest.approx(0, abs=1e-9)


def test_no_more_groups_are_looked_at_than_is_said():
    for count in (EXACT, EXACT + 1, 20, 60):
        seen = []

        def cost(group, seen=seen):
            seen.append(group)
            return float(len(group))

        divided(count, cost)
        assert len(seen) == len(set(seen)) <= MOST_GROUPS


amounts = st.floats(0, 9000)


@settings(max_examples=500)
@given(st.lists(amounts, min_size=1, max_size=6), st.data())
def test_payments_come_to_the_bill_within_bounds(shares, data):
    bill = round(sum(shares))
    bounds = [data.draw(st.none() | st.integers(0, 9000)) for _ in shares]
    if None not in bounds and sum(bounds) < bill:
        bounds[0] = None

    pays = to_the_cent(bill, shares, bounds)

    assert sum(pays) == bill
    for paid, bound in zip(pays, bounds, strict=True):
        assert 0 <= paid <= (bill if bound is None else bound)


@settings(max_examples=300)
@given(st.lists(amounts, min_size=1, max_size=6))
def test_without_bounds_a_payment_is_the_share_rounded(shares):
    bill = round(sum(shares))

    for paid, share in zip(to_the_cent(bill, shares), shares, strict=True):
        assert abs(paid - share) <= 1.01


def test_what_a_bound_takes_off_is_borne_equally():
    assert to_the_cent(30, [20.0, 5.0, 5.0], [12, None, None]) == [12, 9, 9]
    assert to_the_cent(10, [-4.0, 7.0, 7.0]) == [0, 5, 5]
    assert to_the_cent(10, [10.0, 0.0, 0.0], [10, 0, 0]) == [10, 0, 0]
