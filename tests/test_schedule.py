from dataclasses import replace
from datetime import date

import pytest

from pennyflat.cost import requirement
from pennyflat.demo import DEMO
from pennyflat.scenario import PotOn, read
from pennyflat.schedule import STEPS, calendar, plant_out_on

DEMO = read(DEMO)
LEAN = DEMO.medium("Seed starter mix")
RICH = DEMO.medium("Bulk potting mix")
TOMATO = replace(DEMO.sowings[0], weeks=6, seeds_per_cell=2, remedy="feed")
OUT = date(2027, 5, 20)


def days(plan):
    return {step.what: step.on for step in plan.steps}


def test_dates_count_back_from_transplanting():
    # by hand: 6 weeks before 20 May is 8 April; up after 6 days, thinned 7 later; the charge of
    # 3 weeks ends on 29 April; hardening off takes 7 days
    plan = calendar(DEMO, TOMATO, replace(LEAN, feeds_for_weeks=3), OUT, emergence_days=5.5)

    assert days(plan) == {
        "sow": date(2027, 4, 8),
        "emerge": date(2027, 4, 14),
        "mat off": date(2027, 4, 15),
        "thin": date(2027, 4, 21),
        "feed": date(2027, 4, 29),
        "harden off": date(2027, 5, 13),
        "plant out": OUT,
    }
    assert set(days(plan)) <= set(STEPS)


def test_feedings_add_up_to_what_is_bought_and_fall_in_the_hungry_weeks():
    plan = calendar(DEMO, TOMATO, LEAN, OUT)
    needed = requirement(DEMO, TOMATO, LEAN)

    assert len(plan.feedings) == needed.feedings == 6
    assert sum(f.solution_l for f in plan.feedings) == pytest.approx(needed.solution_litres)
    assert sum(f.concentrate for f in plan.feedings) == pytest.approx(needed.feed_amount)
    assert all(date(2027, 4, 29) <= feeding.on < OUT for feeding in plan.feedings)
    assert len({feeding.on for feeding in plan.feedings}) == 6


def test_weekly_feedings_fall_on_the_same_weekday():
    weekly = replace(DEMO, feed=replace(DEMO.feed, per_week=1))
    plan = calendar(weekly, TOMATO, LEAN, OUT)

    assert [feeding.on.day for feeding in plan.feedings] == [29, 6, 13]


def test_a_slower_medium_is_sown_earlier():
    slow = replace(LEAN, pace=1.5)

    assert days(calendar(DEMO, TOMATO, slow, OUT))["sow"] == date(2027, 3, 18)


def test_potting_on_comes_when_the_charge_ends_and_feeding_when_the_next_one_does():
    # by hand: sown 8 April; 3 weeks of charge, then 2 weeks of the next medium's
    short = replace(RICH, feeds_for_weeks=2)
    scenario = replace(DEMO, media=(LEAN, short))
    moved = replace(TOMATO, remedy="pot_on", pot_on=PotOn(short.name, 200))
    plan = calendar(scenario, moved, LEAN, OUT)

    assert days(plan)["pot on"] == date(2027, 4, 29)
    assert plan.feedings[0].on == date(2027, 5, 13)


def test_a_medium_that_feeds_long_enough_needs_neither_feed_nor_move():
    moved = replace(TOMATO, remedy="pot_on", pot_on=PotOn(LEAN.name, 200))
    plan = calendar(DEMO, moved, RICH, OUT)

    assert plan.feedings == ()
    assert {"feed", "pot on"} & set(days(plan)) == set()


def test_a_sowing_that_stalls_ends_on_that_day_with_the_reason():
    plan = calendar(DEMO, replace(TOMATO, remedy="none"), LEAN, OUT)

    assert plan.steps[-1].what == "stall"
    assert plan.steps[-1].on == date(2027, 4, 29)
    assert plan.why_not.startswith("It stalls in week 3")


def test_a_crop_that_does_not_come_up_has_no_dates():
    barren = replace(LEAN, emergence={"tomato": 0.0})
    plan = calendar(DEMO, TOMATO, barren, OUT)

    assert (plan.steps, plan.feedings) == ((), ())
    assert "No seed of tomato" in plan.why_not


def test_pre_sprouted_seed_is_neither_thinned_nor_sown_straight():
    plan = calendar(DEMO, replace(TOMATO, presprout=True), LEAN, OUT, emergence_days=6)

    assert "thin" not in days(plan)
    assert "damp towel" in plan.steps[0].words


def test_one_seed_a_cell_is_not_thinned_and_unknown_emergence_is_left_out():
    single = replace(TOMATO, seeds_per_cell=1)

    assert "thin" not in days(calendar(DEMO, single, LEAN, OUT, emergence_days=6))
    assert "emerge" not in days(calendar(DEMO, TOMATO, LEAN, OUT))


def test_planting_out_is_counted_from_the_last_frost():
    assert plant_out_on(date(2027, 5, 15), 2) == date(2027, 5, 29)
    assert plant_out_on(date(2027, 1, 5), -2) == date(2026, 12, 22)
    assert plant_out_on(date(2028, 2, 27), 1) == date(2028, 3, 5)  # over a 29 February


@pytest.mark.parametrize(
    "wrong", [{"emergence_days": 0}, {"thin_after_days": -1}, {"harden_days": -1}]
)
def test_days_out_of_range_are_refused(wrong):
    with pytest.raises(ValueError, match=f"{next(iter(wrong))} must be"):
        calendar(DEMO, TOMATO, LEAN, OUT, **wrong)
