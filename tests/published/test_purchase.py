"""Buying whole packages, against problems whose answers are known elsewhere."""

import pytest

from pennyflat.buying.cover import Need, cheapest_cover, cost_steps
from pennyflat.scenario.package import Package


def bags(*sizes_and_prices):
    return tuple(Package("Lane", size, "L", price) for size, price in sizes_and_prices)


@pytest.mark.against("change-making")
def test_change_making_takes_two_coins_of_three_for_six():
    # The standard example against the greedy rule, coins 1, 3, 4 and target 6: 3 + 3, where greedy
    # takes 4 + 1 + 1 [encyclopaedia copy at image.absoluteastronomy.com, "Change-making problem"].
    # A coin costs nothing but itself, and the sum must be exact: all cost their own worth.
    cover = cheapest_cover(Need("Change", "L", 6, bags((1, 1), (3, 3), (4, 4))))

    assert (cover.counts, cover.paid) == ((0, 2, 0), 6.0)


@pytest.mark.against("change-making")
def test_change_making_as_fewest_coins():
    # The same, each coin costing one; 6 may be exceeded here, which two coins of 4 do not use.
    cover = cheapest_cover(Need("Change", "L", 6, bags((1, 1), (3, 1), (4, 1))))

    assert (cover.paid, cover.bought) == (2.0, 6.0)


COVERS = [
    # Computed by brute force from the definition, not published: the cheapest per unit alone would
    # cost 27.00, and the bound without whole packages is 19.29.
    (40, [(8, 5.0), (16, 9.0), (28, 13.5)], (0, 1, 1), 22.5),
    # Likewise: buying the largest only would cost 52, and the bound is 31.20.
    (60, [(10, 7), (25, 15), (50, 26)], (1, 0, 1), 33.0),
]


@pytest.mark.parametrize(("amount", "shelf", "counts", "paid"), COVERS)
def test_known_covers(amount, shelf, counts, paid):
    cover = cheapest_cover(Need("Mix", "L", amount, bags(*shelf)))

    assert (cover.counts, cover.paid) == (counts, paid)


ROD_PRICES = [1, 5, 8, 9, 10, 17, 17, 20, 24, 30]
ROD_REVENUES = [1, 5, 8, 10, 13, 17, 18, 22, 25, 30]
# Cormen, Leiserson, Rivest & Stein, Introduction to Algorithms, rod cutting, lengths 1 to 10, from
# memory; the revenues also follow from the prices by brute force.


@pytest.mark.against("clrs")
@pytest.mark.parametrize("length", range(1, 11))
def test_rod_cutting_by_its_complement(length):
    # Cutting sells what covering buys. Price each piece at (a rate above any price) x length less
    # what it sells for: the cheapest exact cover then leaves the most revenue. A cover may exceed
    # the length, so the rate is high enough that a longer one always costs more.
    rate = 100
    pieces = bags(*((n, rate * n - price) for n, price in enumerate(ROD_PRICES, start=1)))

    cover = cheapest_cover(Need("Rod", "L", length, pieces))

    assert cover.bought == length
    assert rate * length - cover.paid == ROD_REVENUES[length - 1]


def test_the_staircase_of_a_known_cover():
    # Computed by hand from 10 at 7, 25 at 15 and 50 at 26.
    steps = cost_steps(60, bags(*COVERS[1][1]), "L")

    assert steps == (
        (0, 0), (10, 7), (20, 14), (25, 15), (30, 21), (35, 22), (50, 26), (60, 33)
    )  # fmt: skip
