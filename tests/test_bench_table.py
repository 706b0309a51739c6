"""The benchmark's table contains the measurements with their ratios, between its marks."""

import pytest

from webapp.build.measure import bench

PAINT, VISIBLE, EDITED = "first contentful paint", "answer visible", "first edit answered"
MEMORY = "first visit: most memory of the page's process [MB]"


def visited(visit, paint, visible, edited, drawn, memory=None):
    """What is told of a visit."""
    named = {PAINT: paint, VISIBLE: visible, EDITED: edited, "charts drawn": drawn}
    found = {f"{visit}: {words} [s]": [figure] for words, figure in named.items()}
    return found | ({MEMORY: [memory]} if memory else {})


COLD = {
    "stock": 3 * [visited("first visit", 400.0, 9e3, 1e4, 10500.0, 800e6)],
    "ours": [
        visited("first visit", 200.0, 210.0, edited, 3500.0, 400e6)
        for edited in (3000.0, 1000.0, 8000.0)
    ],
}
WARM = {
    "stock": visited("second visit", 300.0, 8e3, 8500.0, 9e3),
    "ours": visited("second visit", 150.0, 160.0, 850.0, 1350.0),
}
SLOW = {
    "stock": {f"slow line: {VISIBLE} [s]": [90e3], f"slow line: {EDITED} [s]": [100e3]},
    "ours": {f"slow line: {VISIBLE} [s]": [900.0], f"slow line: {EDITED} [s]": [40e3]},
}


def edits(count):
    took = {12: ([30.0] * 18 + [70.0, 90.0], [50.0, 60.0, 90.0]), 60: ([400.0, 500.0], [700.0])}
    return {
        f"edit to answer, {count} media × {count} sowings{when}, median and p95 [ms]": figures
        for when, figures in zip(("", ", while the plan is solved"), took[count], strict=True)
    }


def plans(name):
    took = {"a plan": (50.0, 70.0, 60.0), "checked to the end": (400.0, 900.0, 700.0)}
    return {f"edit to plan, {name}: {what}, median and most [s]": took[what] for what in took}


@pytest.fixture
def made(tmp_path, monkeypatch):
    """The table that three runs write, with these measurements."""
    sides = {tmp_path / side: side for side in bench.SIDES}
    for folder in sides:
        folder.mkdir()
        (folder / "index.html").write_bytes(bytes(2_000_000))
    (tmp_path / "ours" / bench.front.ALONE).write_bytes(bytes(13_900_000))
    readme = tmp_path / "README.md"
    monkeypatch.setattr(bench, "README", readme)
    monkeypatch.setattr(bench.assemble, "SITE", tmp_path / "ours")
    monkeypatch.setattr(bench.stock, "make", lambda: tmp_path / "stock")
    monkeypatch.setattr(bench, "machine", lambda version: f"A machine, {version}")

    def run(lacking=()):
        left = {side: [*runs] for side, runs in COLD.items()}

        def opened_twice(folder):
            both = left[sides[folder]].pop(0) | WARM[sides[folder]]
            known = {words: figure for words, figure in both.items() if words not in lacking}
            return known, ["index.html"], "1.2"

        monkeypatch.setattr(bench.visits, "opened_twice", opened_twice)
        monkeypatch.setattr(bench.visits, "visited_slowly", lambda folder: SLOW[sides[folder]])
        monkeypatch.setattr(bench.visits, "edited", lambda _, count: edits(count))
        monkeypatch.setattr(bench.visits, "planned", lambda _, name: plans(name))
        readme.write_text(f"{bench.BEGIN}\n{bench.END}\n")
        bench.run(3)
        return readme.read_text()

    return run


def test_each_median_stands_beside_the_stock_one_with_their_ratio(made):
    text = made()

    assert "| first visit: first edit answered [s] | 10.00 | 3.00 | 0.30 | 0.10 of stock |" in text
    assert "| second visit: first edit answered [s] | 8.50 | 0.85 | 0.10 | 0.08 of stock |" in text
    assert "| first visit over the wire, raw [MB] | 2.0 | 2.0 | 1.00 | |" in text
    assert "| first visit over the wire, Brotli 11 [MB] | 0.0 | 0.0 | 1.00 | 7.5 |" in text
    assert "slow line: first edit answered [s] | 100.00 | 40.00 | 0.40 |" in text
    assert "| the page as one file [MB] | | 13.9 | | 14 |" in text
    assert "12 media × 12 sowings, median and p95 [ms] | | 30, 70 | | 50 |" in text
    assert "while the plan is solved, median and p95 [ms] | | 60, 90 | | |" in text
    assert "6 × 10: a plan, median and most [s] | | 0.06, 0.07 | | |" in text
    assert "6 × 10: checked to the end, median and most [s] | | 0.70, 0.90 | | 1 |" in text
    assert "\n\nMedians of 3 runs. A machine, 1.2.\n" in text


def test_every_goal_stands_in_the_table(made):
    text = made()

    assert all(
        f"| {words} |" in text and f"| {goal} |" in text for words, goal in bench.GOALS.items()
    )


def test_memory_is_left_out_where_it_cannot_be_told(made):
    assert "most memory of the page's process [MB] | 800.0 | 400.0 | 0.50 |" in made()
    assert "most memory" not in made(lacking=[MEMORY])


@pytest.mark.parametrize(("share", "expected"), [(0.5, 10), (0.95, 19), (1.0, 20)])
def test_a_percentile_is_one_of_the_values(share, expected):
    # the nearest-rank method
    assert bench.percentile(list(range(1, 21)), share) == expected


def test_the_table_replaces_the_one_before_it_and_nothing_else(tmp_path):
    readme = tmp_path / "README.md"
    readme.write_text(f"before\n{bench.BEGIN}\nold\n{bench.END}\nafter\n")

    bench.put_into(readme, "new")

    assert readme.read_text() == f"before\n{bench.BEGIN}\nnew\n{bench.END}\nafter\n"


def test_a_file_without_the_marks_stays_as_it_is(tmp_path):
    readme = tmp_path / "README.md"
    readme.write_text("before")

    with pytest.raises(ValueError, match=r"README\.md does not have"):
        bench.put_into(readme, "new")
    assert readme.read_text() == "before"
