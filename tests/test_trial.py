"""Trials as written down: their document, curves, weeks of charge, water; and the seeds' speed."""

import csv
import io
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.chances.germination import (
    curve_band,
    half_emergence,
    mean_emergence,
)
from pennyflat.chances.proportion import jeffreys_interval
from pennyflat.scenario.checking import Faults, record
from pennyflat.scenario.trial import (
    ChargeSeen,
    Count,
    Look,
    Trial,
    Uptake,
    charge_seen,
    curve,
    lesson,
    normal_seedlings,
    pots_of,
    water_uptake,
)
from pennyflat.trials.table import long_rows

POT = {
    "medium": "Fine sowing mix",
    "crop": "tomato",
    "sown": 5,
    "counts": [{"day": 5, "emerged": 2}, {"day": 9, "emerged": 4}],
    "abnormal": 1,
    "water": [{"minute": 2, "ml": 20}, {"minute": 10, "ml": 50}],
    "looks": [
        {"week": 2, "height_mm": 30, "leaves": "green"},
        {"week": 4, "leaves": "yellowing"},
    ],
    "fed_in_weeks": [5],
    "label": "left",
    "photos": ["bench-1.jpg"],
}


def pot(*, emerged=(), **fields):
    counts = tuple(Count(day, total) for day, total in emerged)
    return Trial(**{"medium": "Fine mix", "crop": "leek", "sown": 20, "counts": counts, **fields})


def test_a_pot_is_read_from_its_document():
    faults = Faults()
    trial = record(Trial)(POT, "trials[0]", faults)

    assert faults == [] == list(trial.faults_at("trials[0]"))
    assert curve(trial) == ((5, 2), (9, 4))
    assert trial.water == (Uptake(2, 20), Uptake(10, 50))
    assert trial.looks[1] == Look(4, None, "yellowing")


def test_only_mix_crop_and_seeds_are_required():
    faults = Faults()
    short = {name: POT[name] for name in ("medium", "crop", "sown")}

    assert record(Trial)(short, "trials[0]", faults) == pot(
        medium="Fine sowing mix", crop="tomato", sown=5
    )
    assert faults == []


def test_faults_of_a_pot_are_named_all_at_once():
    odd = pot(
        emerged=((6, 4), (6, 3), (9, 21)),
        abnormal=22,
        water=(Uptake(5, 20), Uptake(5, 30)),
        looks=(Look(3), Look(2)),
    )

    assert [str(fault) for fault in odd.faults_at("trials[2]")] == [
        "trials[2].counts[1].day: 6 does not come after 6; write the rows in order, each day once",
        "trials[2].water[1].minute: 5 does not come after 5; write the rows in order, each minute"
        " once",
        "trials[2].looks[1].week: 2 does not come after 3; write the rows in order, each week once",
        "trials[2].counts[1].emerged: 3 is fewer than the 4 before; count those since lost too",
        "trials[2].counts[2].emerged: 21 is more than the 20 sown",
        "trials[2].abnormal: 22 is more than the 21 that emerged",
    ]


def test_pots_of_one_mix_are_added_and_uncounted_ones_left_out():
    pots = (
        pot(emerged=((6, 12), (14, 18)), abnormal=3),
        pot(emerged=((9, 17),)),
        pot(),
        pot(emerged=((9, 0),), medium="Bulk mix"),
    )

    assert normal_seedlings(pots) == {("leek", "Fine mix"): (32, 40), ("leek", "Bulk mix"): (0, 20)}
    assert pots_of(pots, "leek", "Fine mix") == ((15, 20), (17, 20))


@pytest.mark.parametrize(
    ("looks", "fed", "expected"),
    [
        ((), (), None),
        ((Look(2, 30, "green"), Look(4, None, "yellowing")), (), ChargeSeen(2, 4, "yellowing")),
        ((Look(1, None, "yellowing"),), (), ChargeSeen(0.0, 1, "yellowing")),
        ((Look(2, 30), Look(3, 60), Look(4, 68), Look(5, 75)), (), ChargeSeen(4, 5, "stall")),
        # a shrunken or slow plant from the start is no stall: nothing faster came before
        ((Look(2, 30), Look(3, 31), Look(4, 40)), (), ChargeSeen(4, None, None)),
        ((Look(2, 31), Look(3, 30)), (), ChargeSeen(3, None, None)),
        # measuring alone parts heights by 2 mm, or 5 % of a taller plant
        ((Look(2, 29), Look(3, 31), Look(4, 30)), (), ChargeSeen(4, None, None)),
        ((Look(2, 26), Look(3, 31), Look(4, 30)), (), ChargeSeen(3, 4, "stall")),
        ((Look(4, 300), Look(5, 312), Look(6, 311)), (), ChargeSeen(6, None, None)),
        ((Look(4, 300), Look(5, 320), Look(6, 319)), (), ChargeSeen(5, 6, "stall")),
        # nor is one low reading that the next ones take back, but they must go on low
        ((Look(2, 20), Look(3, 31), Look(4, 30), Look(5, 41)), (), ChargeSeen(5, None, None)),
        ((Look(2, 20), Look(3, 31), Look(4, 30), Look(5, 32)), (), ChargeSeen(3, 4, "stall")),
        # a week without a height does not hide the stall; gains are per week
        ((Look(1, 10), Look(2, 40), Look(3), Look(5, 55)), (), ChargeSeen(3, 5, "stall")),
        # once fed, yellowing says nothing of the mix
        ((Look(2, 30, "green"), Look(6, None, "yellowing")), (3, 5), ChargeSeen(2, None, None)),
        ((Look(4, 30, "green"),), (3,), None),
    ],
)
def test_weeks_between_which_the_charge_ran_out(looks, fed, expected):
    assert charge_seen(pot(looks=looks, fed_in_weeks=fed)) == expected


def test_a_lesson_takes_all_counts_and_the_hungriest_pot():
    pots = (
        pot(emerged=((9, 18),), looks=(Look(4, None, "green"), Look(5, None, "yellowing"))),
        pot(emerged=((9, 16),), looks=(Look(3, None, "green"), Look(4, None, "yellowing"))),
        pot(emerged=((9, 1),), crop="kale"),
    )
    found = lesson(pots, "leek", "Fine mix")

    assert (found.up, found.sown) == (34, 40)
    assert found.charge == ChargeSeen(3, 4, "yellowing")
    assert lesson(pots[:1], "leek", "Bulk mix") is None
    assert lesson((pot(emerged=((9, 18),)),), "leek", "Fine mix").charge is None


def test_water_uptake_is_the_slope_of_the_first_half():
    steady = tuple(Uptake(minute, 7.5 * minute) for minute in range(1, 11))
    slowing = (*steady[:4], Uptake(60, 50), Uptake(90, 52))

    assert water_uptake(steady) == pytest.approx(7.5)
    assert water_uptake(slowing) == pytest.approx(7.5)
    assert water_uptake((Uptake(0, 0), Uptake(5, 0))) == 0
    assert water_uptake((Uptake(0, 0),)) is None
    assert water_uptake(()) is None


def test_rows_for_a_spreadsheet_hold_everything_once():
    trial = record(Trial)(POT, "", Faults())
    text = io.StringIO()
    csv.writer(text).writerows(long_rows([trial, trial]))
    rows = list(csv.DictReader(io.StringIO(text.getvalue())))

    assert {row["pot"] for row in rows} == {"1", "2"}
    assert [(row["observed"], row["when"], row["value"]) for row in rows[: len(rows) // 2]] == [
        ("sown [seeds]", "", "5"),
        ("emerged by day [seedlings]", "5.0", "2"),
        ("emerged by day [seedlings]", "9.0", "4"),
        ("abnormal [seedlings]", "", "1"),
        ("water by minute [mL]", "2.0", "20.0"),
        ("water by minute [mL]", "10.0", "50.0"),
        ("height in week [mm]", "2.0", "30.0"),
        ("oldest leaves in week", "2.0", "green"),
        ("oldest leaves in week", "4.0", "yellowing"),
        ("fed in week", "5.0", ""),
        ("photo", "", "bench-1.jpg"),
        ("label", "", "left"),
    ]


def test_one_late_look_puts_half_between_sowing_and_that_day():
    """h = (9 + 1) / 2 of 9 on day 12, on the line from 0 on day 0: 5 x 12 / 9, by hand."""
    assert half_emergence(((12, 9),)) == pytest.approx((0, 60 / 9, 12))


def test_half_reached_on_a_look_is_that_day():
    assert half_emergence(((3, 2), (5, 5), (8, 9))) == (3, 5, 5)


def test_nothing_up_has_no_day():
    assert half_emergence(((3, 0),)) is None
    assert half_emergence(()) is None
    assert mean_emergence(((3, 0),)) is None


def test_one_seedling_has_a_mean_and_no_scatter():
    assert mean_emergence(((3, 0), (5, 1))) == (5, None)


@given(st.lists(st.integers(0, 9), min_size=1, max_size=30).filter(sum))
def test_half_and_mean_lie_where_seedlings_came(counts):
    """The mean is that of a list with one day for each seedling."""
    days = [day for day, count in enumerate(counts, start=1) for _ in range(count)]
    found = tuple(enumerate(accumulate(counts), start=1))

    assert mean_emergence(found)[0] == pytest.approx(sum(days) / len(days))
    for formula in ("Coolbear", "Farooq"):
        after, half, by = half_emergence(found, formula=formula)
        assert after < half <= by
        assert min(days) - 1 <= after < by <= max(days)


def test_band_of_a_curve_is_the_interval_of_each_day():
    band = curve_band(((5, 2), (9, 4)), 5, level=0.95)

    assert band[0] == (0, 0, 0, 0)
    assert band[2] == (9, jeffreys_interval(4, 5)[0], 0.8, jeffreys_interval(4, 5)[1])
