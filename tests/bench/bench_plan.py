"""How long plans take natively where mixes are of nearly equal price, the hardest kind.

Run: PYTHONPATH=core:. python tests/bench/bench_plan.py
"""

import random
from dataclasses import replace
from time import perf_counter

from pennyflat.highs import solve
from pennyflat.package import Package
from pennyflat.plan import Planner, run
from pennyflat.scenario import Feed, Medium, Store
from tests.strategies import random_scenario

SIZES = [(3, 3), (6, 10), (12, 12), (60, 60)]
"""Media and sowings. [count]"""

SECONDS = 5.0
"""After which the largest plans are to come with their bound. [s]"""


def hard(rng, media, sowings):
    """Mixes in three bags each, priced within 5 % of one curve, at shops with trips."""
    found = random_scenario(rng, media=media, sowings=sowings, stores=3, limits=False)
    stores = tuple(Store(f"Store {i}", trip) for i, trip in enumerate((0.0, 3.5, 6.0)))

    def package(size):
        price = round((1 + 0.4 * size**0.85) * rng.uniform(0.95, 1.05), 2)
        return Package(rng.choice(stores).name, size, "L", price)

    mixes = tuple(
        Medium(
            f"Mix {i}",
            rng.choice([3, 5, 6, 8]),
            fill_loss=0.12,
            packages=tuple(package(rng.choice(sizes)) for sizes in ((8, 10), (20, 25), (50, 70))),
        )
        for i in range(media)
    )
    feed = Feed(
        "Feed", 1, 15.0, (Package("Store 0", 1, "kg", 7.0),), n_percent=20.0, target_ppm_n=100.0
    )
    return replace(
        found,
        stores=stores,
        media=mixes,
        sowings=tuple(
            replace(sowing, remedy="feed", pot_on=None, medium=None, tray=None)
            for sowing in found.sowings
        ),
        feed=feed,
        trays=(),
    )


def main(instances=8):
    """Print one row a size."""
    print("media sowings    start, s   proof, s: median  longest   proven   largest gap")
    for media, sowings in SIZES:
        starts, proofs, proven, gaps = [], [], 0, [0.0]
        for seed in range(instances if media < 60 else 3):
            planner = Planner(hard(random.Random(seed), media, sowings))
            begun = perf_counter()
            planner.start()
            starts.append(perf_counter() - begun)
            best = run(planner.best(seconds=SECONDS), solve)
            proofs.append(perf_counter() - begun)
            proven += best.proven
            gaps.append(1 - best.at_least / best.weighed_cost)
        proofs.sort()
        print(
            f"{media:>5} {sowings:>7} {max(starts):>11.3f} {proofs[len(proofs) // 2]:>18.2f}"
            f" {proofs[-1]:>8.2f} {proven:>4} of {len(proofs)} {max(gaps):>11.2%}"
        )


if __name__ == "__main__":
    main()
