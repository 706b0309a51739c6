"""How long plans take natively where mixes are of nearly equal price, the hardest kind.

Run: PYTHONPATH=core:. python tests/bench/bench_plan.py
"""

from time import perf_counter

from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.scenario.document import read
from webapp.build.measure import hard

SIZES = [(3, 3), (6, 10), (12, 12), (60, 60)]
"""Media and sowings. [count]"""

SECONDS = 5.0
"""After which the largest plans are to come with their bound. [s]"""


def main(instances=8):
    """Print one row a size."""
    print("media sowings    start, s   proof, s: median  longest   proven   largest gap")
    for media, sowings in SIZES:
        starts, proofs, proven, gaps = [], [], 0, [0.0]
        for seed in range(instances if media < 60 else 3):
            planner = Planner(read(hard.document(media, sowings, seed)))
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
