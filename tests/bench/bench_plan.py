"""How long the joint choice of mixes takes, and how often it is proven within the limit.

Run: PYTHONPATH=core:. python tests/bench/bench_plan.py
"""

import random
from time import perf_counter

from pennyflat.plan import best_plan
from tests.strategies import random_scenario

CASES = [(3, 4, 2), (5, 6, 3), (8, 8, 3), (12, 12, 3)]
"""Media, sowings, stores. [count]"""


def main(instances=12):
    """Print one row a size: all media are of like price, which is the hardest case."""
    print("media sowings stores    proven  median, s  longest, s")
    for media, sowings, stores in CASES:
        times, proven, gaps = [], 0, [0.0]
        for seed in range(instances):
            scenario = random_scenario(
                random.Random(seed), media=media, sowings=sowings, stores=stores
            )
            start = perf_counter()
            best = best_plan(scenario)
            times.append(perf_counter() - start)
            proven += best.proven
            if not best.proven:
                gaps.append(1 - best.at_least / best.plan.with_the_rest)
        times.sort()
        print(
            f"{media:>5} {sowings:>9} {stores:>6} {proven:>4} of {instances:<2}"
            f" {times[len(times) // 2]:>10.2f} {times[-1]:>11.2f}"
            f"   largest gap where not proven {max(gaps):.1%}"
        )


if __name__ == "__main__":
    main()
