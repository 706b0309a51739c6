"""The numbers of the pictures against the model's own, for any sowing and mix."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat import DEMO, read
from pennyflat.comparing.picture import TrayCells, bags, to_draw, tray_cells
from pennyflat.comparing.report import at_the_till
from pennyflat.growing.cost import requirement

NUMBERS = st.tuples(
    st.integers(1, 3000), st.floats(0.05, 1), st.integers(1, 5), st.floats(0.2, 1)
)  # fmt: skip


def sowing_in(numbers, medium="Bulk potting mix", **changes):
    wanted, germination, seeds, survival = numbers
    row = {"crop": "leek", "wanted": wanted, "germination": germination, "cell_ml": 30, "weeks": 5}
    row |= {"seeds_per_cell": seeds, "survival": survival} | changes
    scenario = read({**DEMO, "sowings": [row]})
    [sowing] = scenario.sowings
    return scenario, sowing, scenario.medium(medium)


@given(NUMBERS)
def test_cells_add_up_and_lie_within_one_of_what_is_expected(numbers):
    scenario, sowing, medium = sowing_in(numbers)
    needed = requirement(scenario, sowing, medium)
    cells = tray_cells(sowing, medium, needed)

    assert cells.ready + cells.lost + cells.empty == cells.cells == needed.cells
    assert abs(cells.ready - needed.expected_ready) < 1
    assert cells.thinned >= 0


def test_two_seeds_a_cell_leave_few_cells_empty_and_some_seedlings_to_thin():
    # by hand: 100 cells of 2 seeds at 0.8: 4 empty; 160 seedlings up in 96 cells, so 64 too many
    scenario, sowing, medium = sowing_in((96, 0.8, 2, 1.0))
    needed = requirement(scenario, sowing, medium)
    cells = tray_cells(sowing, medium, needed)

    assert cells.empty == pytest.approx(0.04 * needed.cells, abs=1)
    assert cells.thinned == pytest.approx(0.64 * needed.cells)


def test_where_the_mix_stalls_no_cell_ends_ready():
    numbers = (60, 0.9, 1, 1.0)
    scenario, sowing, medium = sowing_in(numbers, "Seed starter mix", remedy="none")
    cells = tray_cells(sowing, medium, requirement(scenario, sowing, medium))

    assert cells.ready == 0 and cells.lost > 0
    assert bags(scenario, requirement(scenario, sowing, medium)) == ()


@given(NUMBERS, st.sampled_from(["Seed starter mix", "Bulk potting mix"]))
def test_litres_of_the_bags_are_those_needed_and_those_in_cells_fill_them(numbers, name):
    scenario, sowing, medium = sowing_in(numbers, name)
    needed = requirement(scenario, sowing, medium)
    found = bags(scenario, needed)

    for bag in found:
        assert bag.in_cells + bag.lost + bag.left_over == pytest.approx(bag.litres)
    assert sum(bag.in_cells for bag in found) == pytest.approx(needed.cells * 0.030)
    assert sum(bag.in_cells + bag.lost for bag in found) == pytest.approx(needed.litres[name])


def test_a_blend_is_drawn_as_the_bags_of_its_ingredients():
    scenario, sowing, medium = sowing_in((60, 0.9, 1, 1.0), "Home blend")
    needed = requirement(scenario, sowing, medium)
    found = bags(scenario, needed)

    assert {bag.item for bag in found} == {"Coir block", "Perlite", "Worm castings"}
    # what shrinks is lost before it fills a cell, so cells hold what the blend needs
    assert sum(bag.in_cells for bag in found) == pytest.approx(needed.cells * 0.030)


def test_the_bags_drawn_are_those_at_the_till_trips_and_all():
    # 2 cu ft at the farm counter is the cheaper by itself, but not with a trip of 30.00
    scenario, _, _ = sowing_in((500, 0.9, 1, 1.0))
    starter = scenario.medium("Seed starter mix")
    far = replace(scenario.medium("Bulk potting mix").packages[0], price=9.0)
    mix = replace(starter, packages=(*starter.packages, far))
    for trip_cost, litres in ((0.0, {56.63}), (30.0, {8.81, 17.62})):
        stores = (scenario.stores[0], replace(scenario.stores[1], trip_cost=trip_cost))
        changed = replace(scenario, media=(mix,), stores=stores)
        needed = requirement(changed, changed.sowings[0], mix)
        till, _ = at_the_till(changed, needed)
        count = sum(line["count"] for line in till["packages"] if line["item"] == mix.name)

        found = bags(changed, needed)
        assert {round(bag.litres, 2) for bag in found} == litres and len(found) == count


def test_the_pictures_of_the_example():
    demo = read(DEMO)
    tomato, bulk = demo.sowings[0], demo.medium("Bulk potting mix")
    cells, [bag] = to_draw(demo, tomato)["Bulk potting mix"]

    assert cells == TrayCells(cells=77, ready=64, lost=4, empty=9, thinned=0.0)
    assert cells == tray_cells(tomato, bulk, requirement(demo, tomato, bulk))
    # 2 cu ft are 56.63 L; 77 cells of 59 mL are 85 % of what is taken out
    parts = (bag.litres, bag.in_cells, bag.lost, bag.left_over)
    assert parts == pytest.approx((56.634, 4.543, 0.802, 51.289), abs=0.001)
