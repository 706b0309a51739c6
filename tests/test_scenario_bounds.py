"""Scenarios at the bounds: a sentence, or an answer in reasonable time."""

import copy
import json
import random
import tracemalloc
from dataclasses import replace
from time import process_time

import pytest

from pennyflat.buying.cover import Need, cheapest_cover
from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import shop
from pennyflat.comparing.report import compared
from pennyflat.demo import DEMO
from pennyflat.scenario.checking import MOST_FAULTS
from pennyflat.scenario.document import ScenarioError, check, parse, read
from pennyflat.scenario.package import Deal, Package
from tests.strategies import whole_scenario

CEILING = 60.0
"""Far above what any of these takes, 0.1 to 3 s: it guards against hanging. [s]"""


def changed(*changes):
    document = copy.deepcopy(DEMO)
    for path, value in changes:
        parent = document
        for step in path[:-1]:
            parent = parent[step]
        parent[path[-1]] = value
    return document


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("sowings", 0, "germination"), 1e-6, "write a share of at least 0.001"),
        (("sowings", 0, "survival"), 1e-4, "write a share of at least 0.001"),
        (("sowings", 0, "take"), 1e-4, "write a share of at least 0.001"),
        (("media", 0, "survival"), {"tomato": 0.0}, "is not a share"),
        (("media", 0, "emergence"), {"tomato": 1e-9}, "write a share of at least 0.001"),
        (("sowings", 0, "germination"), {"up": 21, "sown": 20}, "no more can come up"),
        (("sowings", 0, "germination"), {"up": 1, "sown": 10**9}, "too large"),
        (("sowings", 0, "cell_ml"), 1e9, "at most 100000"),
        (("sowings", 0, "cell_ml"), 0.01, "at least 0.1"),
        (("ingredients", 0, "packages", 0, "yields_l"), 1e-6, "0.001 L to 100,000 L"),
        (("media", 0, "packages", 0, "size"), 1e-6, "0.001 L to 100,000 L"),
        (("media", 0, "packages", 0, "size"), 1e-300, "0.001 L to 100,000 L"),
        (("media", 0, "packages", 0, "size"), 1e8, "0.001 L to 100,000 L"),
        (("feed", "packages", 0, "size"), 1e-6, "0.01 g to 10,000,000 g"),
        (("feed", "n_percent"), 1e-320, "at least 0.01"),
        (("sowings", 0, "seed_packets", 0, "seeds"), 10**7 + 1, "too large"),
        (("sowings", 0, "seed_packets", 0, "seeds"), 0, "too small"),
        (("sowings", 0, "seeds_per_cell"), 101, "at most 100"),
    ],
)
def test_what_is_out_of_bounds_is_one_sentence(path, value, said):
    (fault,) = check(changed((path, value)))

    assert said in str(fault)


LIQUID = DEMO["feed"] | {
    "target_ppm_n": None,
    "packages": [{"store": "Corner shop", "size": 500, "unit": "mL", "price": 6.0}],
}


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("feed",), LIQUID | {"ml_per_litre": 0.5}),
        (("media", 2, "parts"), DEMO["media"][2]["parts"][:1]),
        (("media", 0, "emergence"), {"tomato": {"up": 1, "sown": 1}}),
        (
            ("sowings", 0, "seed_packets"),
            [{"store": "Corner shop", "grams": 100, "seeds_per_gram": 0.5, "price": 3.0}],
        ),
    ],
)
def test_little_is_within_bounds(path, value):
    assert [str(fault) for fault in check(changed((path, value)))] == []


@pytest.mark.parametrize("table", ["stores", "media", "ingredients", "sowings", "trays", "trials"])
def test_more_rows_than_ten_thousand_are_one_fault(table):
    row = DEMO.get(table, [{}])[0]
    faults = check(DEMO | {table: [row] * 10_001})

    assert [str(f) for f in faults if f.path == table] == [
        f"{table}: 10001 rows are too many; at most 10000"
    ]
    assert len(faults) <= MOST_FAULTS


def test_hundreds_of_thousands_of_unknown_keys_are_counted_and_not_kept():
    document = DEMO | {f"key {number}": number for number in range(200_000)}
    tracemalloc.start()
    try:
        faults = check(document)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert (len(faults), faults.more) == (MOST_FAULTS, 200_000 - MOST_FAULTS)
    assert peak < 50e6  # twice as many took 694 MB once


def test_of_many_faults_fifty_are_named_and_the_others_counted():
    document = DEMO | {f"key {number}": number for number in range(200)}
    with pytest.raises(ScenarioError) as caught:
        parse(json.dumps(document))

    lines = str(caught.value).splitlines()
    assert len(lines) == MOST_FAULTS + 1 and lines[-1] == "and 150 more"


def three_bags(limit):
    return [
        {"store": "Corner shop", "size": size, "unit": "L", "price": price, "limit": limit}
        for size, price in ((10, 5.2), (25, 10.9), (7.3, 3.3))
    ]


MANY = ("sowings", 0, "wanted")
BAGS = ("media", 0, "packages")
TINY = [
    {"store": "Corner shop", "size": 1, "unit": "mL", "price": 0.01},
    {"store": "Corner shop", "size": 1.7, "unit": "mL", "price": 0.015,
     "deal": {"take": 3, "pay": 0.04}},
]  # fmt: skip
ODD = [
    {"store": "Corner shop", "size": 7.123456789, "unit": "L", "price": 5.123456789},
    {"store": "Corner shop", "size": 3.987654321, "unit": "qt_dry", "price": 3.1415926},
    {"store": "Corner shop", "size": 11.1111111, "unit": "lb", "price": 5.5, "yields_l": 9.8765},
]
ROWS = [DEMO["sowings"][number % 3] | {"wanted": 20 + number} for number in range(193)]


@pytest.mark.parametrize(
    "changes",
    [
        [(("sowings", 0, "germination"), 0.001)],
        [(("sowings", 0, "germination"), {"up": 0, "sown": 10})],
        [(("ingredients", 0, "packages", 0, "yields_l"), 0.001)],
        [(BAGS, three_bags(500)), (MANY, 20_000)],
        [(BAGS, three_bags(5_000)), (MANY, 20_000)],
        [(BAGS, three_bags(1_000_000)), (MANY, 1_000_000)],
        [(("sowings", 0, "cell_ml"), 100_000)],
        [(("sowings", 0, "cell_ml"), 100_000), (MANY, 1_000_000)],
        [(BAGS, TINY)],
        [(BAGS, TINY), (("sowings", 0, "cell_ml"), 100_000), (MANY, 1_000_000)],
        [(BAGS, ODD), (MANY, 20_000)],
        [(("sowings",), ROWS)],
    ],
    ids=lambda changes: ", ".join(".".join(map(str, path)) for path, _ in changes),
)
def test_what_is_within_bounds_is_answered(changes):
    scenario = read(changed(*changes))
    begun = process_time()
    report, bill = compared(scenario), shop(scenario)

    assert process_time() - begun < CEILING
    assert bill["proven"]
    assert len(report["comparisons"]) == 3 * len(scenario.sowings)


def test_more_cells_than_ten_million_are_a_sentence():
    document = changed(
        (("sowings", 0, "germination"), 0.001),
        (("sowings", 0, "survival"), 0.001),
        (("sowings", 0, "wanted"), 100),
    )
    row = compared(read(document))["comparisons"][0]

    assert not row["ready"]
    assert "100 ready seedlings of tomato" in row["why_not"]
    assert "more than 10,000,000 cells" in row["why_not"]


@pytest.mark.parametrize("limit", [500, 5_000, 1_000_000])
def test_limits_of_thousands_are_tried_in_bundles(limit):
    """Nearly equal price a litre, the hardest kind."""
    bags = (
        Package("Lane", 9.7, "L", 9.71, limit=limit),
        Package("Lane", 24.3, "L", 24.31, limit=limit),
        Package("Lane", 40.1, "L", 40.1, deal=Deal(3, 119.9), limit=limit),
        Package("Lane", 7.3, "L", 7.31, limit=limit),
    )
    begun = process_time()
    tracemalloc.start()
    try:
        cover = cheapest_cover(Need("Mix", "L", 20_000, bags))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert process_time() - begun < CEILING
    assert peak < 100e6
    assert cover.bought >= 20_000 and all(count <= limit for count in cover.counts)


def sixty_by_sixty():
    return whole_scenario(random.Random(1), media=60, sowings=60, stores=6, wanted=500)


def test_sixty_by_sixty_are_compared():
    scenario = sixty_by_sixty()
    begun = process_time()
    report = compared(scenario)

    assert process_time() - begun < CEILING  # about 2 s
    assert len(report["comparisons"]) == 3600


def test_sixty_by_sixty_take_little_memory():
    scenario = replace(sixty_by_sixty(), title="measured apart")
    tracemalloc.start()
    try:
        compared(scenario)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert peak < 1e9


def test_sixty_by_sixty_start_from_a_plan_without_search():
    planner = Planner(sixty_by_sixty())
    begun = process_time()
    start = planner.start()

    assert process_time() - begun < CEILING  # about 0.5 s
    best = run(planner.best(seconds=5), solve)
    assert best.at_least <= best.weighed_cost <= start.weighed_cost
