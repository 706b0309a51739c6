"""Growth in a trial: how fast each mix gets a crop to size, how surely, and how well."""

import math

import pytest
from scipy import stats

from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.trial import Look, Trial
from pennyflat.trials.growth import BETWEEN_POTS, growth_of, quality_of, t_point
from pennyflat.trials.report import trial_report
from pennyflat.trials.words import trial_lines


def pot(mix, *heights, leaves=None, fed=()):
    looks = tuple(
        Look(week, mm, leaves if mm == heights[-1] else None)
        for week, mm in enumerate(heights, start=2)
    )
    return Trial(mix, "leek", 5, looks=looks, fed_in_weeks=fed)


def by_week(mix, days_late):
    """Heights of 20 mm a week from sowing, each so many days later."""
    return pot(mix, *(20 * (week - days_late / 7) for week in range(2, 7)))


@pytest.mark.against("scipy")
@pytest.mark.parametrize(
    ("freedom", "error"), [(1, 1e-9), (2, 1e-9), (3, 4e-3), (6, 2e-4), (30, 1e-6)]
)
def test_points_of_students_t_are_scipys(freedom, error):
    assert t_point(freedom) == pytest.approx(stats.t.ppf(0.9, freedom), rel=error)


def test_a_mix_a_week_later_takes_so_much_longer():
    # By hand: 84 mm, 70 % of 120 at week 6, after 4.2 weeks; half the heights after 8.4 but for the
    # looks that end at week 6. With two thirds, after 6.3; so looks to week 8.
    fast = pot("Fast", *(20 * week for week in range(2, 9)))
    slow = pot("Slow", *(40 / 3 * week for week in range(2, 11)))
    found = growth_of([fast, slow], "leek", {})

    ratio = found["Slow"].pace / found["Fast"].pace
    assert ratio == pytest.approx(1.5)
    assert found["Slow"].pace * found["Fast"].pace == pytest.approx(1)
    assert found["Fast"].low < found["Fast"].pace < found["Fast"].high


def test_paces_entered_set_what_one_is():
    fast = pot("Fast", *(20 * week for week in range(2, 9)))
    slow = pot("Slow", *(40 / 3 * week for week in range(2, 11)))
    found = growth_of([fast, slow], "leek", {"Fast": 1.0, "Slow": 1.5})

    assert (found["Fast"].pace, found["Slow"].pace) == pytest.approx((1.0, 1.5))


def test_pots_tell_how_sure_a_pace_is():
    """The pooled scatter of the logarithms and Student's t, by hand and SciPy."""
    late = {"Fast": (0, 2, 1), "Slow": (9, 12, 6)}
    pots = [by_week(mix, days) for mix, all_days in late.items() for days in all_days]
    found = growth_of(pots, "leek", {})
    tallest = 20 * (6 - 1 / 7)
    logs = {m: [math.log(0.7 * tallest / 20 + d / 7) for d in days] for m, days in late.items()}
    # heights start from 0 at sowing and are on the line from the first look on
    squares = sum((x - sum(v) / 3) ** 2 for v in logs.values() for x in v)
    sd = math.sqrt(squares / 4)
    error = math.sqrt(sd**2 / 3 + sd**2 * 2 / 3 / 4 - 2 * sd**2 / 3 / 2)
    base = sum(sum(v) / 3 for v in logs.values()) / 2
    log = sum(logs["Slow"]) / 3 - base

    slow = found["Slow"]
    assert slow.pace == pytest.approx(math.exp(log), rel=1e-9)
    if sd > 0.05 * 1.0:
        expected = math.exp(log + stats.t.ppf(0.9, 4) * error)
        assert slow.high == pytest.approx(expected, rel=5e-3)
    assert slow.low < slow.pace < slow.high


def test_one_pot_each_takes_a_usual_difference():
    fast, slow = by_week("Fast", 0), by_week("Slow", 4)
    found = growth_of([fast, slow], "leek", {})
    wide = math.log(found["Slow"].high / found["Slow"].pace)

    # half of each mix's variance: (1 - 1/2)^2 + (1/2)^2 of two
    assert wide > 1.28155 * BETWEEN_POTS * math.sqrt(0.5)


def test_a_mix_that_never_got_to_size_takes_at_least_so_long_and_is_stunted():
    found = growth_of(
        [pot("Fine", 20, 40, 60, 80, 100), pot("Lean", 8, 16, 24, 32, 40)], "leek", {}
    )
    lean = found["Lean"]

    assert lean.high is None and lean.pace == lean.low == pytest.approx(6 / 4.5)
    assert lean.is_stunted and not lean.is_sound
    assert "stunted, 40 mm in week 6" in quality_of(lean, "leek")
    assert quality_of(found["Fine"], "leek") is None


def test_yellow_seedlings_are_named_and_feeding_ends_what_the_mix_shows():
    yellow = growth_of(
        [pot("Lean", 20, 40, 60, leaves="yellowing"), by_week("Fine", 0)], "leek", {}
    )
    fed = growth_of([pot("Lean", 20, 40, 200, fed=(3,)), by_week("Fine", 0)], "leek", {})

    assert yellow["Lean"].is_yellow and "yellowed" in quality_of(yellow["Lean"], "leek")
    assert fed["Lean"].week == 3 and fed["Lean"].height_mm == 40


def test_one_mix_alone_has_no_pace():
    found = growth_of([by_week("Fine", 0)], "leek", {})["Fine"]

    assert (found.pace, found.low, found.high) == (None, None, None)
    assert growth_of([Trial("Fine", "leek", 5)], "leek", {}) == {}


def test_the_report_hands_over_pace_weeks_and_emergence():
    looks = [{"week": w, "height_mm": 20 * w} for w in range(2, 7)]
    slow = [{"week": w, "height_mm": 15 * w, "leaves": "green"} for w in range(2, 9)]
    one = {"crop": "tomato", "sown": 10, "counts": [{"day": 8, "emerged": 9}]}
    trials = [
        one | {"medium": "Seed starter mix", "looks": looks},
        one | {"medium": "Bulk potting mix", "looks": slow},
    ]
    report = trial_report(read(DEMO | {"trials": trials}))
    mixes = {mix["medium"]: mix for mix in report["crops"][0]["mixes"]}
    lesson = mixes["Bulk potting mix"]["lesson"]

    # 70 % of 120 mm: 4.2 weeks against 5.6
    assert lesson["pace"] == pytest.approx(math.sqrt(5.6 / 4.2), abs=0.005)
    assert lesson["emergence"] == {"up": 9, "sown": 10}
    assert lesson["feeds_for_weeks"] == 8 and lesson["is_at_least"]
    assert lesson["measured"] == ["feeds_for_weeks", "pace"]
    said = " ".join(trial_lines(report))
    assert "Bulk potting mix takes 1.15 times as long to size as the mixes tried do" in said
    assert "one pot cannot show how pots differ" in said


def test_heights_without_a_count_are_shown_but_hand_nothing_over():
    looks = [{"week": w, "height_mm": 20 * w} for w in range(2, 7)]
    trials = [
        {"crop": "tomato", "sown": 10, "medium": mix, "looks": looks}
        for mix in ("Seed starter mix", "Bulk potting mix")
    ]
    (crop,) = trial_report(read(DEMO | {"trials": trials}))["crops"]

    assert [mix["growth"]["pace"] for mix in crop["mixes"]] == [1.0, 1.0]
    assert [mix["lesson"] for mix in crop["mixes"]] == [None, None]
