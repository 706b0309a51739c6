"""Days, shapes and names from the tables in a scenario: read, checked, and never needed."""

import copy
import math
from datetime import date

import pytest

from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import check, read, write
from pennyflat.scenario.records import Shape


@pytest.fixture
def document():
    return copy.deepcopy(DEMO)


def only_line(document):
    (fault,) = check(document)
    return str(fault)


def noted(document):
    document["last_frost"] = "2027-05-15"
    document["media"][0]["kind"] = "lean seed mix"
    document["sowings"][0] |= {
        "container": "72-cell tray",
        "shape": {"form": "square frustum", "top_cm": 4, "bottom_cm": 2.5, "depth_cm": 5.5},
        "plant_out": "2027-05-20",
        "germinate_at_c": 24,
    }
    return document


def test_a_file_without_the_notes_means_the_same_as_before(document):
    without = read(document)

    assert write(without)["sowings"][0].keys() == DEMO["sowings"][0].keys() - {"seeds_per_cell"}
    assert without.last_frost is None
    assert without.sowings[0].plant_out is None


def test_notes_survive_being_written_and_read(document):
    scenario = read(noted(document))

    assert scenario.last_frost == date(2027, 5, 15)
    assert write(scenario)["sowings"][0]["plant_out"] == "2027-05-20"
    assert read(write(scenario)) == scenario


def test_notes_change_no_cost(document):
    before = compare(read(document))

    assert compare(read(noted(document))) == before


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("20 May", "is not a date; write year, month and day as in 2027-05-20"),
        ("2027-5-20", "is not a date; write year, month and day as in 2027-05-20"),
        (20270520, "is not a date; write year, month and day as in 2027-05-20"),
        ("2027-02-29", "is not a day of the calendar"),
        ("1815-06-18", "is too far away; write a day from 1900 to 2200"),
    ],
)
def test_a_day_that_will_not_do(document, value, said):
    document["sowings"][1]["plant_out"] = value

    assert only_line(document).startswith("sowings[1].plant_out: ")
    assert only_line(document).endswith(said)


def test_a_last_frost_that_will_not_do_is_named_at_the_top(document):
    document["last_frost"] = "soon"

    assert only_line(document).startswith('last_frost: "soon" is not a date')


def test_a_shape_that_will_not_do(document):
    document["sowings"][0]["shape"] = {"form": "ball", "top_cm": 0}

    lines = [str(fault) for fault in check(document)]

    assert lines == [
        'sowings[0].shape.form: "ball" is not one of cylinder, cone frustum, square frustum, cube',
        "sowings[0].shape.top_cm: 0 is too small; write a number more than 0",
    ]


VOLUMES = [
    # by hand: pi/4 x 4^2 x 5
    (Shape("cylinder", 4, depth_cm=5), math.pi / 4 * 16 * 5),
    # by hand: pi/12 x 8 x (9^2 + 9 x 6.5 + 6.5^2), the round pot of 9 cm of data/containers.csv
    (Shape("cone frustum", 9, 6.5, 8), 380.7),
    # by hand: 5/3 x (3.8^2 + 3.8 x 2.5 + 2.5^2)
    (Shape("square frustum", 3.8, 2.5, 5), 50.3167),
    # by hand: filled to 0.8 of 5 cm, where the side is 2.5 + 0.8 x 1.3 = 3.54 cm
    (Shape("square frustum", 3.8, 2.5, 5, 0.8), 4 / 3 * (3.54**2 + 3.54 * 2.5 + 2.5**2)),
    # by hand: 2 inches cubed is 8 cubic inches of 16.387064 mL
    (Shape("cube", 5.08), 8 * 16.387064),
    (Shape("cube", 5.08, fill_height=0.5), 4 * 16.387064),
]


@pytest.mark.parametrize(("shape", "volume_ml"), VOLUMES)
def test_a_measured_shape_has_the_volume_of_geometry(shape, volume_ml):
    assert shape.volume_ml == pytest.approx(volume_ml, abs=0.05)
