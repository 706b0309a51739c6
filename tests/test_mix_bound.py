"""The bound of the joint choice of mixes stays below what every choice costs."""

import random
from dataclasses import replace
from itertools import product

import pytest

from pennyflat.cover import Shelf
from pennyflat.grid import Grid
from pennyflat.mix_bound import Dual, Stairs
from pennyflat.piecemeal import to_the_end
from tests.strategies import random_needs

ITEMS = 3


def a_problem(rng):
    """Stairs of some items, what is had of them, and the choices of some plantings."""
    shelves = [random_needs(rng, most_packages=4, most_needs=1)[0][0] for _ in range(ITEMS)]
    needs = [replace(shelf, amount=60.0, stock=0.0) for shelf in shelves]
    grid = Grid(needs, tax=rng.choice([0.0, 0.19]))
    shelves = [Shelf(need, grid) for need in needs]
    stairs = [Stairs(shelf, shelf.wanted(60.0), -1) for shelf in shelves]
    had = [shelf.wanted(rng.choice([0.0, 3.0, 12.5])) for shelf in shelves]
    had = [
        start - rng.choice([0, 0, shelf.steps * 4])
        for start, shelf in zip(had, shelves, strict=True)
    ]
    euro = grid.weighed(grid.money_steps, 0, 0)
    rows = {
        row: [
            (
                pick,
                rng.randint(0, 5) * euro,
                [
                    (item, int(rng.uniform(0.5, 9) * shelves[item].steps))
                    for item in rng.sample(range(len(needs)), rng.randint(0, len(needs)))
                ],
            )
            for pick in range(rng.randint(1, 3))
        ]
        for row in range(rng.randint(1, 4))
    }
    return stairs, had, rows


def least(stairs, had, rows, opened, closed):
    """Over every choice; None if closed items allow none."""
    costs = []
    for chosen in product(*rows.values()):
        amounts = list(had)
        for _, _, take in chosen:
            for item, steps in take:
                amounts[item] += steps
        if any(amounts[item] > 0 for item in closed):
            continue
        paid = [stair.cost(amount) for stair, amount in zip(stairs, amounts, strict=True)]
        for item in opened:
            paid[item] = max(paid[item], stairs[item].first)
        costs.append(sum(paid) + sum(rest for _, rest, _ in chosen))
    return min(costs, default=None)


@pytest.mark.parametrize("seed", range(400))
def test_no_prices_lift_the_bound_above_the_least_cost(seed):
    rng = random.Random(seed)
    stairs, had, rows = a_problem(rng)
    items = range(len(stairs))
    opened = {item for item in items if rng.random() < 0.3}
    closed = {
        item for item in items if item not in opened and had[item] <= 0 and rng.random() < 0.2
    }
    best = least(stairs, had, rows, opened, closed)
    if best is None:
        return
    dual = Dual(stairs, had, opened, closed, rows)

    safe = dual.at(dual.safe_prices())
    assert safe.value <= best
    for _ in range(5):
        factor = rng.choice([0.3, 1, 1.5, 5])
        prices = [
            {place: int(price * factor * rng.uniform(0, 2)) + rng.randint(0, 10) ** 12
             for place, price in row.items()}
            for row in safe.prices
        ]  # fmt: skip
        assert dual.at(prices).value <= best
    climbed = to_the_end(dual.climb(safe, best, 40))
    assert safe.value <= climbed.value <= best


def test_climbing_lifts_some_bounds():
    lifted = 0
    for seed in range(60):
        stairs, had, rows = a_problem(random.Random(seed))
        dual = Dual(stairs, had, set(), set(), rows)
        safe = dual.at(dual.safe_prices())
        climbed = to_the_end(dual.climb(safe, least(stairs, had, rows, (), ()), 40))
        lifted += climbed.value > safe.value
    assert lifted > 5
