"""How long the cheapest basket takes, against scipy.optimize.milp (HiGHS) on the same needs.

Run: PYTHONPATH=core:. python tests/bench/bench_basket.py
"""

import random
from statistics import median
from time import perf_counter

from pennyflat.buying.basket import cheapest_basket
from pennyflat.buying.cover import Need
from pennyflat.scenario.package import Deal, Package
from pennyflat.scenario.records import Store
from tests.milp import least_money

SIZES = [5, 8, 10, 12, 15, 20, 25, 28.3, 30, 40, 45, 50, 56.6, 60, 70, 75, 80]


def shelves(rng, *, packages=200, stores=8, needs=12):
    """Needs and stores: prices per litre fall with size, and differ from store to store."""
    places = [Store(f"Store {i}", rng.choice([0, 2, 3.5, 4.5, 6])) for i in range(stores)]
    return [
        Need(
            f"Item {i}",
            "L",
            round(rng.uniform(5, 400), 3),
            tuple(
                _package(rng, rng.choice(places).name)
                for _ in range(packages // needs + (i < packages % needs))
            ),
            stock=rng.choice([0.0, 0.0, 7.5]),
        )
        for i in range(needs)
    ], places


def _package(rng, store):
    size = rng.choice(SIZES)
    price = round(1 + 0.55 * size**0.85 * rng.uniform(0.7, 1.3), 2)
    take = rng.choice([2, 3, 4])
    return Package(
        store=store,
        size=size,
        unit=rng.choice(["L", "L", "L", "qt_dry"]),
        price=price,
        deal=Deal(take, round(take * price * rng.uniform(0.75, 0.98), 2))
        if rng.random() < 0.3
        else None,
        limit=rng.randint(1, 6) if rng.random() < 0.25 else None,
    )


def main(instances=20):
    """Print one row a case and the ratios over all of them."""
    print("200 packages, 8 stores, 12 needs, deals, limits, stock, tax 19 %")
    print(f"{'case':>4} {'ours, ms':>10} {'HiGHS, ms':>10} {'ours/HiGHS':>11}")
    ratios, times = [], []
    for case in range(instances):
        needs, stores = shelves(random.Random(case))
        start = perf_counter()
        basket = cheapest_basket(needs, stores=stores, tax=0.19)
        ours = perf_counter() - start
        start = perf_counter()
        theirs_money = least_money(needs, stores=stores, tax=0.19)
        theirs = perf_counter() - start
        if abs(basket.total - theirs_money) > 1e-6:
            raise AssertionError(f"case {case}: {basket.total} against {theirs_money} by HiGHS")
        times.append(ours * 1000)
        ratios.append(ours / theirs)
        print(f"{case:>4} {ours * 1000:>10.1f} {theirs * 1000:>10.1f} {ratios[-1]:>11.3f}")
    print(f"ours: median {median(times):.1f} ms, longest {max(times):.1f} ms")
    print(f"ours/HiGHS: median {median(ratios):.3f}, largest {max(ratios):.3f}")


if __name__ == "__main__":
    main()
