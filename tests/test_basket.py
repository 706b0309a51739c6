"""The cheapest basket against HiGHS, against trying everything, and by what must always hold."""

import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.cover import Need, cheapest_cover, cost_steps
from pennyflat.buying.grid import FINER, Grid
from pennyflat.scenario.package import Deal, Package, amount_in
from pennyflat.scenario.records import Store
from pennyflat.units import LITRES
from tests.milp import least_in_order, least_money
from tests.strategies import STORES, needs, packages, random_needs
from tests.times import TIMES

INSTANCES = 600 * TIMES
"""Random baskets compared with HiGHS. [count]"""

TIED = 120 * TIMES
"""Of these, compared in packages and leftover too. [count]"""


def packages_in(basket):
    return sum(sum(cover.counts) for cover in basket.covers)


def bought_in(basket, needs):
    """Litres and kilograms bought, added together."""
    return sum(
        cover.bought * (1 if need.measure == "L" else 1e-3)
        for need, cover in zip(needs, basket.covers, strict=True)
    )


def test_the_money_is_the_least_that_highs_finds():
    for seed in range(INSTANCES):
        needed, stores, tax = random_needs(random.Random(seed))
        basket = cheapest_basket(needed, stores=stores, tax=tax)

        expected = least_money(needed, stores=stores, tax=tax)
        assert basket.total == pytest.approx(expected, abs=1e-6), f"seed {seed}"


def test_ties_go_to_fewer_packages_then_less_left_over_as_highs_finds():
    for seed in range(TIED):
        needed, stores, tax = random_needs(random.Random(seed), most_packages=6, most_needs=3)
        basket = cheapest_basket(needed, stores=stores, tax=tax)

        money, count, bought = least_in_order(needed, stores=stores, tax=tax)
        assert basket.total == pytest.approx(money, abs=1e-6), f"seed {seed}"
        assert packages_in(basket) == count, f"seed {seed}"
        assert bought_in(basket, needed) == pytest.approx(bought, abs=1e-5), f"seed {seed}"


def charge(package, count):
    """Least money for exactly this many, by trying every number of deals, before tax."""
    deals = range(count // package.deal.take + 1) if package.deal else [0]
    return min(
        (number * package.deal.pay if number else 0)
        + (count - number * (package.deal.take if number else 0)) * package.price
        for number in deals
    )


def by_trying_everything(needed, stores):
    """(money, packages, bought) of the best purchase of one need, over every set of counts."""
    trips = {store.name: store.trip_cost for store in stores}
    supply = sum(
        float("inf") if p.limit is None else p.limit * amount_in(p, "L") for p in needed.packages
    )
    wanted = min(max(0, needed.amount - needed.stock), supply) - 1e-9 * (needed.amount + 1)
    ranges = []
    for package in needed.packages:
        enough = int(max(wanted, 0) // amount_in(package, "L")) + 5
        ranges.append(range((enough if package.limit is None else package.limit) + 1))
    found = []
    for counts in product(*ranges):
        lines = list(zip(counts, needed.packages, strict=True))
        bought = sum(n * amount_in(p, "L") for n, p in lines)
        if bought >= wanted:
            money = sum(charge(p, n) for n, p in lines)
            money += sum(trips[name] for name in {p.store for n, p in lines if n})
            found.append((round(money, 6), sum(counts), round(bought, 6)))
    return min(found)


@settings(max_examples=150)
@given(needs(most_packages=3, most_litres=20))
def test_trying_everything_finds_nothing_better(needed):
    small = replace(
        needed, packages=tuple(replace(p, size=max(p.size, 3)) for p in needed.packages)
    )
    basket = cheapest_basket([small], stores=STORES)

    found = (basket.total, packages_in(basket), basket.covers[0].bought)
    assert found == pytest.approx(by_trying_everything(small, STORES), abs=2e-6)


@given(st.lists(needs(), min_size=1, max_size=4), st.sampled_from([0.0, 0.19]))
def test_every_need_is_covered_by_whole_packages_within_limits(needed, tax):
    basket = cheapest_basket(needed, stores=STORES, tax=tax)

    for need, cover in zip(needed, basket.covers, strict=True):
        bought = sum(
            n * amount_in(p, "L") for n, p in zip(cover.counts, need.packages, strict=True)
        )
        assert all(isinstance(count, int) and count >= 0 for count in cover.counts)
        for count, package in zip(cover.counts, need.packages, strict=True):
            assert package.limit is None or count <= package.limit
        assert bought == pytest.approx(cover.bought)
        covered = need.stock + bought + cover.short_by
        assert covered >= need.amount * (1 - 2e-9)
        assert cover.left_over == pytest.approx(max(0, need.stock + bought - need.amount))
        if cover.short_by:
            assert cover.counts == tuple(p.limit for p in need.packages)


@given(st.lists(needs(), min_size=1, max_size=4))
def test_buying_together_never_costs_more_than_each_need_alone(needed):
    together = cheapest_basket(needed, stores=STORES).total

    alone = sum(cheapest_basket([need], stores=STORES).total for need in needed)
    assert together <= alone + 1e-9


@given(st.lists(needs(), min_size=1, max_size=3), packages())
def test_a_further_package_never_raises_the_cost(needed, further):
    before = cheapest_basket(needed, stores=STORES)
    more = [replace(needed[0], packages=(*needed[0].packages, further)), *needed[1:]]
    after = cheapest_basket(more, stores=STORES)

    if not before.unmet:
        assert after.total <= before.total + 1e-9


@given(st.lists(needs(), min_size=1, max_size=3), st.sampled_from([0.0, 0.5, 0.99]))
def test_a_lower_price_never_raises_the_cost(needed, part):
    before = cheapest_basket(needed, stores=STORES)
    first = needed[0].packages[0]
    cheaper = replace(first, price=first.price * part)
    less = [replace(needed[0], packages=(cheaper, *needed[0].packages[1:])), *needed[1:]]

    assert cheapest_basket(less, stores=STORES).total <= before.total + 1e-9


FOUR_AS_MUCH_AS_ONE = (
    Package("Lane", 28, "qt_dry", 0.05),
    Package("Lane", 7, "qt_dry", 0.01, limit=4),
)
"""Four of the small ones hold as much as the large one, except for rounding."""


@given(needs(), st.sampled_from([0.0, 0.07]))
@example(Need("Mix", "L", 38.0, FOUR_AS_MUCH_AS_ONE), 0.0)
def test_the_staircase_is_the_cover_of_every_amount(needed, tax):
    steps = cost_steps(needed.amount, needed.packages, "L", tax)

    amounts, paid = zip(*steps, strict=True)
    assert list(amounts) == sorted(set(amounts)) and list(paid) == sorted(set(paid))
    for share in (0.1, 0.5, 0.9, 1.0):
        part = replace(needed, amount=needed.amount * share, stock=0.0)
        cover = cheapest_cover(part, tax=tax)
        reached = [money for amount, money in steps if amount >= part.amount * (1 - 1e-9)]
        if cover.short_by:
            assert not reached
        else:
            assert cover.paid == pytest.approx(reached[0], abs=1e-9)


def test_more_packages_by_a_deal_may_cost_less_than_the_fewest():
    bag = Package("Lane", 10, "L", 5.0, deal=Deal(3, 8.0))

    cover = cheapest_cover(Need("Mix", "L", 20, (bag,)))

    assert (cover.counts, cover.paid, cover.left_over) == ((3,), 8.0, 10.0)


def test_a_deal_counts_against_the_limit():
    bag = Package("Lane", 10, "L", 5.0, deal=Deal(3, 8.0), limit=4)

    cover = cheapest_cover(Need("Mix", "L", 55, (bag,)))

    assert (cover.counts, cover.paid, cover.short_by) == ((4,), 13.0, 15.0)


def test_decimal_prices_tie_although_their_binary_sums_do_not():
    three = Package("Lane", 10, "L", 0.1)
    one = Package("Lane", 30, "L", 0.3)
    assert 3 * three.price > one.price

    cover = cheapest_cover(Need("Mix", "L", 30, (three, one)), tax=0.07)

    assert cover.counts == (0, 1), "fewer packages at the same money"


@pytest.mark.parametrize(("size", "unit"), [(10, "L"), (10 / LITRES["qt_dry"], "qt_dry")])
def test_the_fewer_packages_whose_rest_is_worth_what_it_cost(size, unit):
    one = Package("Lane", 25, "L", 7.55)
    two = Package("Lane", size, unit, 3.02)

    basket = cheapest_basket([Need("Mix", "L", 16.7, (two, one))], left_over_counts=1.0)

    assert basket.covers[0].counts == (0, 1), "as much money a litre, in fewer packages"


def test_of_the_same_package_at_two_stores_the_order_of_the_rows_chooses_none():
    bags = [Package(name, 20, "L", 5.0) for name in ("Lane", "Depot")]

    for order in (bags, bags[::-1]):
        basket = cheapest_basket([Need("Mix", "L", 30, tuple(order))])
        assert list(basket.trips) == ["Depot"]


def test_at_the_same_money_and_count_less_is_left_over():
    bags = tuple(Package("Lane", size, "L", 5.0) for size in (30, 22, 25))

    assert cheapest_cover(Need("Mix", "L", 21, bags)).counts == (0, 1, 0)


@pytest.mark.parametrize("size", [20, 0.1, 1 / 3, 1e-6, 12345.678])
def test_a_need_of_exactly_one_package_takes_one(size):
    bag = Package("Lane", size, "L", 5.0)

    for amount in (size, size * (1 + 1e-12), 7 * size / 7):
        assert cheapest_cover(Need("Mix", "L", amount, (bag,))).counts == (1,)
    assert cheapest_cover(Need("Mix", "L", size * 1.00001, (bag,))).counts == (2,)


def test_stock_comes_first_and_is_free():
    bag = Package("Lane", 10, "L", 5.0)

    assert cheapest_cover(Need("Mix", "L", 12, (bag,), stock=12.0)).counts == (0,)
    assert cheapest_cover(Need("Mix", "L", 12, (bag,), stock=2.0)).counts == (1,)


def test_trips_are_paid_once_untaxed_and_only_where_something_is_bought():
    stores = [Store("Lane", 1.0), Store("Depot", 2.0), Store("Yard", 50.0)]
    mix = Need("Mix", "L", 20, (Package("Depot", 10, "L", 5.0), Package("Yard", 20, "L", 1.0)))
    grit = Need("Grit", "L", 5, (Package("Depot", 5, "L", 3.0),))

    basket = cheapest_basket([mix, grit], stores=stores, tax=0.1, budget=10.0)

    assert list(basket.trips) == ["Depot"]
    assert basket.packages_paid == pytest.approx(14.3)
    assert (basket.trips_paid, basket.total) == (2.0, pytest.approx(16.3))
    assert basket.over_budget_by == pytest.approx(6.3)


def test_what_limits_leave_unmet_is_named_and_the_rest_is_bought():
    mix = Need("Mix", "L", 50, (Package("Lane", 10, "L", 5.0, limit=2),))
    grit = Need("Grit", "L", 4, (Package("Lane", 5, "L", 3.0),))

    basket = cheapest_basket([mix, grit])

    assert basket.unmet == [{"item": "Mix", "short_by": 30.0, "measure": "L"}]
    assert basket.total == 13.0
    assert [tuple(left.values()) for left in basket.left_over] == [("Grit", 1.0, "L", 0.6)]


def test_nothing_needed_costs_nothing():
    assert cheapest_basket([]).total == 0
    assert cheapest_basket([Need("Mix", "L", 0, ())]).covers[0].counts == ()
    assert cheapest_basket([Need("Mix", "L", 5, ())]).unmet[0]["short_by"] == 5


def test_a_price_of_hundreds_of_decimals_is_credited_like_any_other():
    need = Need("Mix", "L", 20, (Package("A", 10, "L", 1e-300), Package("A", 20, "L", 2e9)))
    grid = Grid([need], left_over_counts=0.5)

    fine = 10**300 * FINER
    assert [grid.credit(package, need) for package in need.packages] == [
        pytest.approx(share * fine, rel=1e-12)
        for share in (Fraction(1, 2) / 10**300, Fraction(1) / 10**300)
    ]
