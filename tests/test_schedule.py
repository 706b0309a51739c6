from dataclasses import replace
from datetime import date

import pytest

from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.growing.schedule import STEPS, after_weeks, calendar, calendars, whole_days
from pennyflat.scenario.document import read
from pennyflat.scenario.records import PotOn

DEMO = read(DEMO)
LEAN = DEMO.medium("Seed starter mix")
RICH = DEMO.medium("Bulk potting mix")
TOMATO = replace(DEMO.sowings[0], weeks=6, seeds_per_cell=2, remedy="feed")
OUT = date(2027, 5, 20)


def days(plan):
    return {step.what: step.on for step in plan.steps}


def on(plan, what):
    return days(plan)[what]


@pytest.mark.parametrize(("weeks", "days"), [(2.5, 18), (3.5, 25), (4.5, 32), (6, 42), (0.5, 4)])
def test_half_a_day_counts_as_one_wherever_weeks_become_days(weeks, days):
    # 2.5 weeks are 17.5 days: the sowing, the charge and the move of that length end on one day
    age = replace(TOMATO, weeks=weeks + 1)
    lean = replace(LEAN, feeds_for_weeks=weeks)
    scenario = replace(DEMO, media=(lean, RICH))
    sown = calendar(scenario, replace(TOMATO, weeks=weeks), lean, OUT).steps[0].on
    fed = calendar(scenario, age, lean, OUT)
    moved = calendar(
        scenario, replace(age, remedy="pot_on", pot_on=PotOn(RICH.name, 200)), lean, OUT
    )
    stalled = calendar(scenario, replace(age, remedy="none"), lean, OUT)

    assert whole_days(weeks * 7) == -whole_days(-weeks * 7) == days
    assert (OUT - sown).days == days
    assert (after_weeks(OUT, weeks) - OUT).days == (OUT - after_weeks(OUT, -weeks)).days == days
    assert (fed.feedings[0].on - fed.steps[0].on).days == days
    assert (on(moved, "pot on") - on(moved, "sow")).days == days
    assert (on(stalled, "stall") - on(stalled, "sow")).days == days


def test_what_a_float_makes_of_half_a_day_is_half_a_day():
    assert whole_days(17.4999999999) == whole_days(17.5) == 18
    assert whole_days(17.4999) == 17


def test_nothing_comes_after_planting_out():
    # a week from sowing to planting out; the mat is set for 14 days, the seed takes 10
    warm = replace(DEMO, energy=replace(DEMO.energy, mat_days=14))
    quick = replace(TOMATO, weeks=1)
    plan = calendar(warm, quick, RICH, OUT, emergence_days=10)

    assert on(plan, "mat off") == OUT
    assert {"emerge", "thin"} & set(days(plan)) == set()
    assert plan.steps[-1].what == "plant out"
    up = calendar(warm, quick, RICH, OUT, emergence_days=5)
    assert (OUT - on(up, "emerge")).days == 2
    assert "thin" not in days(up)


def test_late_potting_on_is_fed_before_it_in_the_cells_and_after_it_in_the_pots():
    # by hand: sown 8 April; 2 weeks of charge, fed in weeks 2 and 3, moved in week 4 into a mix
    # that feeds for 1 week, fed in week 5; one feeding a week
    short = replace(RICH, feeds_for_weeks=1)
    lean = replace(LEAN, feeds_for_weeks=2)
    scenario = replace(DEMO, media=(lean, short), feed=replace(DEMO.feed, per_week=1))
    late = replace(TOMATO, remedy="pot_on", pot_on=PotOn(short.name, 200, at_week=4))
    plan = calendar(scenario, late, lean, OUT)
    needed = requirement(scenario, late, lean)

    assert on(plan, "pot on") == date(2027, 5, 6)
    assert [feeding.on for feeding in plan.feedings] == [
        date(2027, 4, 22), date(2027, 4, 29), date(2027, 5, 13)
    ]  # fmt: skip
    assert plan.feedings[0].solution_l > plan.feedings[-1].solution_l
    assert sum(f.solution_l for f in plan.feedings) == pytest.approx(needed.solution_litres)
    assert sum(f.concentrate for f in plan.feedings) == pytest.approx(needed.feed_amount)


def test_a_move_that_would_come_after_planting_out_is_none():
    late = replace(TOMATO, remedy="pot_on", pot_on=PotOn(RICH.name, 200, at_week=8))

    assert "pot on" not in days(calendar(DEMO, late, LEAN, OUT))


@pytest.mark.parametrize("weeks", [0.3, 1, 2.5, 3.5, 6, 9.7])
@pytest.mark.parametrize("emergence_days", [0.2, 3, 7, 21, 60])
@pytest.mark.parametrize("remedy", ["feed", "none"])
def test_steps_stand_in_the_order_of_their_days_and_of_the_work(weeks, emergence_days, remedy):
    sowing = replace(TOMATO, weeks=weeks, remedy=remedy)
    for medium in DEMO.media:
        for per_week in (0.5, 2, 7):
            scenario = replace(DEMO, feed=replace(DEMO.feed, per_week=per_week))
            plan = calendar(scenario, sowing, medium, OUT, emergence_days=emergence_days)
            told = [(step.on, STEPS.index(step.what)) for step in plan.steps]

            assert told == sorted(told)
            assert plan.steps[0].what == "sow"
            assert plan.steps[-1].what in ("plant out", "stall")
            assert all(on <= OUT for on in (*[s.on for s in plan.steps],
                                            *[f.on for f in plan.feedings]))  # fmt: skip


def test_a_mix_without_a_charge_of_its_own_stalls_on_the_day_of_sowing_and_is_still_sown():
    bare = replace(LEAN, feeds_for_weeks=0)
    plan = calendar(DEMO, replace(TOMATO, remedy="none"), bare, OUT)

    assert [step.what for step in plan.steps] == ["sow", "stall"]


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


def test_nothing_is_fed_before_it_is_up_and_no_feeding_is_lost():
    # by hand: sown 8 April, up 14 days later; 12 feedings from then to 20 May
    bare = replace(LEAN, feeds_for_weeks=0)
    plan = calendar(DEMO, TOMATO, bare, OUT, emergence_days=14)
    needed = requirement(DEMO, TOMATO, bare)

    assert on(plan, "feed") == on(plan, "emerge") == date(2027, 4, 22)
    assert len({feeding.on for feeding in plan.feedings}) == needed.feedings == 12
    assert sum(f.solution_l for f in plan.feedings) == pytest.approx(needed.solution_litres)
    assert plan.feedings[-1].on < OUT


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
    assert after_weeks(date(2027, 5, 15), 2) == date(2027, 5, 29)
    assert after_weeks(date(2027, 1, 5), -2) == date(2026, 12, 22)
    assert after_weeks(date(2028, 2, 27), 1) == date(2028, 3, 5)  # over a 29 February


def test_sentences_on_emergence_name_a_crop_as_the_grower_does():
    scenario = replace(DEMO, sowings=(replace(DEMO.sowings[2], crop="Basilikum"),))
    (found,) = calendars(scenario, (None,))

    assert found.emergence.why_not == "Basilikum is not in the table of days to emergence."
