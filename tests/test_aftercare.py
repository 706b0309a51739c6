"""When the charge runs out: potting on early, late and never, by figures worked out by hand."""

import random
from dataclasses import replace
from datetime import date

import pytest

from pennyflat.chances.probability import MOST_TRIALS
from pennyflat.comparing.report import compared
from pennyflat.growing.cost import aftercare, requirement
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.growing.schedule import calendar
from pennyflat.scenario.package import Package
from pennyflat.scenario.records import Feed, Medium, PotOn, Scenario, Sowing, Store, Tray
from tests.strategies import whole_scenario

FEED = Feed("Feed", 2, 20.0, (Package("Lane", 100, "g", 5.0),), g_per_litre=1.0)
LEAN = Medium("Lean", 3, fill_loss=0.0, packages=(Package("Lane", 10, "L", 5.0),))
RICH = Medium("Rich", 4, fill_loss=0.0, packages=(Package("Lane", 10, "L", 8.0),))


def scenario_of(at_week, *, feed=FEED, remedy="pot_on", weeks=10.0):
    """Ten plants in twenty cells of 100 mL, moved into pots of 500 mL."""
    sowing = Sowing(
        "leek", 10, 100.0, weeks, 0.5, remedy=remedy, pot_on=PotOn("Rich", 500.0, "pots", at_week)
    )
    return Scenario(
        format="seedling-costs/2", title="", currency="EUR", stores=(Store("Lane"),),
        media=(LEAN, RICH), ingredients=(), sowings=(sowing,), trays=(Tray("pots", 10, 4.0, 2),),
        assurance=None, feed=feed,
    )  # fmt: skip


def taken(scenario):
    return requirement(scenario, scenario.sowings[0], scenario.media[0])


def test_moved_when_the_charge_runs_out():
    needed = taken(scenario_of(None))

    # By hand: week 3 and Rich's 4 leave 3 weeks, two feedings in each, of 10 plants at 20 mL.
    assert (needed.ready, needed.cells, needed.feedings) == (True, 20, 6)
    assert needed.solution_litres == pytest.approx(10 * 6 * 0.02)
    assert needed.feed_amount == pytest.approx(1.2)
    assert needed.litres == pytest.approx({"Lean": 2.0, "Rich": 5.0})
    assert needed.trays == {"pots": 10.0}
    assert needed.costs.container == pytest.approx(10 * 4.0 / 10 / 2)


def test_moved_late_the_weeks_between_are_fed_in_the_small_cells():
    needed = taken(scenario_of(5.0))

    # By hand: weeks 3 to 5 in 20 cells, 4 feedings; Rich feeds to week 9; 2 feedings of 10 plants.
    assert needed.feedings == 6
    assert needed.solution_litres == pytest.approx((20 * 4 + 10 * 2) * 0.02)
    assert needed.costs.feed == pytest.approx(2.0 * 5.0 / 100)
    assert needed.litres == pytest.approx({"Lean": 2.0, "Rich": 5.0})


def test_moved_early_the_bigger_pot_feeds_from_then_on():
    needed = taken(scenario_of(2.0))

    # By hand: Rich feeds from week 2 to 6; the 4 weeks to 10 take 8 feedings of 10 plants.
    assert needed.feedings == 8
    assert needed.solution_litres == pytest.approx(10 * 8 * 0.02)


@pytest.mark.parametrize("at_week", [10.0, 12.0])
def test_a_move_not_before_transplanting_never_happens(at_week):
    needed = taken(scenario_of(at_week))
    fed = taken(scenario_of(None, remedy="feed"))

    # By hand: 7 hungry weeks, 14 feedings of 20 cells.
    assert needed.feedings == 14
    assert needed.solution_litres == pytest.approx(20 * 14 * 0.02)
    assert needed.litres == {"Lean": 2.0} and needed.trays == {}
    assert needed.costs == fed.costs


@pytest.mark.parametrize(
    ("at_week", "stalls"), [(None, 7), (2.0, 6), (3.0, 7), (5.0, 3), (10.0, 3), (12.0, 3)]
)
def test_without_a_feed_it_stalls_when_nothing_feeds_it(at_week, stalls):
    scenario = scenario_of(at_week, feed=None)
    needed = taken(scenario)

    assert (needed.ready, needed.stalls_in_week) == (False, stalls)
    assert f"week {stalls} of 10" in needed.why_not
    assert compared(scenario)["comparisons"][0]["stalls_in_week"] == stalls


def test_without_a_feed_it_is_ready_where_both_charges_reach():
    needed = taken(scenario_of(None, feed=None, weeks=7.0))

    assert needed.ready and needed.feedings == 0


def test_a_charge_that_lasts_owes_nothing():
    scenario = scenario_of(1.0, feed=None, weeks=3.0)

    assert taken(scenario).ready
    assert taken(scenario).litres == {"Lean": 2.0}
    assert not aftercare(scenario, scenario.sowings[0], LEAN).move


def test_slow_mixes_are_hungry_for_longer():
    scenario = scenario_of(None, remedy="feed")
    slow = replace(LEAN, pace=1.3)

    # By hand: 13 weeks less 3.
    assert requirement(scenario, scenario.sowings[0], slow).feedings == 20


@pytest.mark.parametrize("seed", range(40))
def test_every_question_agrees_on_what_is_ready(seed):
    scenario = whole_scenario(random.Random(seed), media=3, sowings=3)
    scenario = replace(scenario, feed=None) if seed % 2 else scenario
    rows = iter(compared(scenario)["comparisons"])
    for sowing in scenario.sowings:
        for medium in scenario.media:
            row = next(rows)
            after = aftercare(scenario, sowing, medium)
            assert row["ready"] == (after.why_not is None)
            assert row["stalls_in_week"] == after.stalls_in_week
            assert row["feedings"] == sum(fed.times for fed in after.feedings)
            days = calendar(scenario, sowing, medium, date(2027, 5, 15))
            what = [step.what for step in days.steps]
            assert ("stall" in what) == (after.stalls_in_week is not None)
            assert "pot on" not in what or after.move
            assert "pot on" in what or not (after.move and row["ready"])
            assert len(days.feedings) == row["feedings"]
            told = remedies_compared(scenario, sowing, medium)
            own = [remedy for remedy in told.remedies if remedy.by == sowing.remedy] if told else []
            for remedy in own:
                if after.move or sowing.remedy == "feed":
                    assert (remedy.each is not None) == row["ready"]
                    assert remedy.each is None or remedy.each == row["as_used"]["total"]


def test_none_is_expected_ready_where_the_charge_runs_out():
    needed = taken(scenario_of(None, feed=None, remedy="none"))

    assert not needed.ready and needed.expected_ready == 0


def test_of_more_than_can_be_sown_no_share_is_ready():
    scenario = scenario_of(None)
    many = replace(scenario.sowings[0], wanted=MOST_TRIALS)
    needed = requirement(scenario, many, LEAN)

    assert needed.why_not.endswith("would take more than 10,000,000 cells.")
    assert (needed.ready, needed.ready_share) == (False, 0)
