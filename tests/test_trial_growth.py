"""Growth in a trial: how fast each mix gets a crop to size, how surely, and how well."""

import math

import pytest
from scipy import stats

from pennyflat.buying.shopping import shop
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.records import Medium
from pennyflat.scenario.trial import Look, Trial
from pennyflat.trials.growth import (
    BETWEEN_POTS,
    days_said,
    growth_of,
    quality_of,
    t_point,
    taken_over,
)
from pennyflat.trials.report import trial_report
from pennyflat.trials.words import trial_lines


def pot(mix, *heights, leaves=None, fed=()):
    looks = tuple(
        Look(week, mm, leaves if mm == heights[-1] else None)
        for week, mm in enumerate(heights, start=2)
    )
    return Trial(mix, "leek", 5, looks=looks, fed_in_weeks=fed)


def by_week(mix, days_late):
    """Heights of 20 mm a week from sowing, each delayed by some days."""
    return pot(mix, *(20 * (week - days_late / 7) for week in range(2, 7)))


@pytest.mark.against("scipy")
@pytest.mark.parametrize("freedom", [1, 2, 3, 6, 30, 1000])
def test_points_of_students_t_are_scipys(freedom):
    assert t_point(freedom) == pytest.approx(stats.t.ppf(0.9, freedom), rel=1e-12)


def test_a_mix_a_week_later_takes_so_much_longer():
    # By hand: 84 mm, 70 % of 120 at week 6, after 4.2 weeks; half the heights after 8.4 but for the
    # looks that end at week 6. With two thirds, after 6.3; so looks to week 8.
    fast = pot("Fast", *(20 * week for week in range(2, 9)))
    slow = pot("Slow", *(40 / 3 * week for week in range(2, 11)))
    found = growth_of([fast, slow], "leek")

    ratio = found["Slow"].pace / found["Fast"].pace
    assert ratio == pytest.approx(1.5)
    assert found["Slow"].pace * found["Fast"].pace == pytest.approx(1)
    assert found["Fast"].low < found["Fast"].pace < found["Fast"].high


def test_a_height_on_the_day_of_sowing_is_no_growth():
    fast, planted = pot("Fast", 40, 60, 80), Trial("Slow", "leek", 5, looks=(Look(0, 5.0),))

    assert growth_of([fast, planted], "leek") == growth_of([fast], "leek")
    assert growth_of([planted], "leek") == {}


def test_where_nothing_grew_no_pace_is_told():
    found = growth_of([pot("Fast", 0.0), pot("Slow", 0.0)], "leek")

    assert [(one.height_mm, one.pace) for one in found.values()] == [(0, None), (0, None)]


def test_paces_entered_set_what_one_is():
    fast = pot("Fast", *(20 * week for week in range(2, 9)))
    slow = pot("Slow", *(40 / 3 * week for week in range(2, 11)))
    found = growth_of([fast, slow], "leek", [Medium("Fast", 3), Medium("Slow", 3, pace=1.5)])

    assert (found["Fast"].pace, found["Slow"].pace) == pytest.approx((1.0, 1.5))


def test_pots_tell_how_sure_a_pace_is():
    """The pooled scatter of the logarithms and Student's t, by hand and SciPy."""
    late = {"Fast": (0, 2, 1), "Slow": (9, 12, 6)}
    pots = [by_week(mix, days) for mix, all_days in late.items() for days in all_days]
    found = growth_of(pots, "leek")
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
    found = growth_of([fast, slow], "leek")
    wide = math.log(found["Slow"].high / found["Slow"].pace)

    # half of each mix's variance: (1 - 1/2)^2 + (1/2)^2 of two
    assert wide > 1.28155 * BETWEEN_POTS * math.sqrt(0.5)


@pytest.mark.parametrize(("mm", "is_stunted"), [(37, False), (35, True)])
def test_a_mix_is_compared_with_the_height_of_another_between_two_looks(mm, is_stunted):
    # By hand: 20 mm in week 2 and 100 in week 6 are 60 in week 4, and 0.6 of that is 36.
    tall = Trial("Tall", "leek", 5, looks=(Look(2, 20.0), Look(6, 100.0)))
    found = growth_of([tall, pot("Short", 10, 20, mm)], "leek")

    assert found["Short"].is_stunted == is_stunted


def test_a_mix_that_never_got_to_size_takes_at_least_so_long_and_is_stunted():
    found = growth_of([pot("Fine", 20, 40, 60, 80, 100), pot("Lean", 8, 16, 24, 32, 40)], "leek")
    lean = found["Lean"]

    assert lean.high is None and lean.pace == lean.low == pytest.approx(6 / 4.5)
    assert lean.is_stunted
    assert "stunted, 40 mm in week 6" in quality_of(lean, "leek")
    assert quality_of(found["Fine"], "leek") is None


def test_yellow_seedlings_are_named_and_feeding_ends_what_the_mix_shows():
    yellow = growth_of([pot("Lean", 20, 40, 60, leaves="yellowing"), by_week("Fine", 0)], "leek")
    fed = growth_of([pot("Lean", 20, 40, 200, fed=(3,)), by_week("Fine", 0)], "leek")

    assert yellow["Lean"].is_yellow and "yellowed" in quality_of(yellow["Lean"], "leek")
    assert fed["Lean"].week == 3 and fed["Lean"].height_mm == 40


def test_one_mix_alone_has_no_pace():
    found = growth_of([by_week("Fine", 0)], "leek")["Fine"]

    assert (found.pace, found.low, found.high) == (None, None, None)
    assert growth_of([Trial("Fine", "leek", 5)], "leek") == {}


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
    assert lesson["measured"] == ["pace"]  # of feeding, only the least is known
    said = " ".join(trial_lines(report))
    # six weeks of 7 days times 0.1547
    assert "tomato in Bulk potting mix comes to size 6 days later, likely between" in said
    assert "one pot cannot show how pots differ" in said


def test_heights_without_a_count_hand_over_pace_and_weeks_but_no_emergence():
    looks = [{"week": w, "height_mm": 20 * w} for w in range(2, 7)]
    trials = [
        {"crop": "tomato", "sown": 10, "medium": mix, "looks": looks}
        for mix in ("Seed starter mix", "Bulk potting mix")
    ]
    (crop,) = trial_report(read(DEMO | {"trials": trials}))["crops"]

    assert [mix["growth"]["pace"] for mix in crop["mixes"]] == [1.0, 1.0]
    lessons = [mix["lesson"] for mix in crop["mixes"]]
    assert [found["emergence"] for found in lessons] == [None, None]
    assert [found["pace"] for found in lessons] == [1.0, 1.0]
    assert crop["answer"] is None


def plants(mix, heights, *, sown=10, up=9, **fields):
    """A pot of tomatoes in a document, with a height in each week from the second."""
    looks = [{"week": week, "height_mm": mm} for week, mm in enumerate(heights, start=2)]
    counts = [{"day": 8, "emerged": up}]
    return {
        "medium": mix, "crop": "tomato", "sown": sown, "counts": counts, "looks": looks
    } | fields  # fmt: skip


STEADY = [20 * week for week in range(2, 9)]
SLOW = [15 * week for week in range(2, 9)]
SMALL = [8 * week for week in range(2, 9)]


def tried(*pots, **changes):
    (crop,) = trial_report(read(DEMO | {"trials": list(pots)} | changes))["crops"]
    return crop, {mix["medium"]: mix for mix in crop["mixes"]}


def with_lesson(document, mix, known):
    media = [
        taken_over(row, "tomato", known) if row["name"] == mix else row for row in document["media"]
    ]
    return document | {"media": media}


def test_what_is_taken_over_is_what_the_plan_then_has():
    """Shown again, the trial says that the crop comes to size when the plan has it."""
    pots = [plants("Seed starter mix", STEADY), plants("Bulk potting mix", SLOW)]
    _, before = tried(*pots)
    assert before["Bulk potting mix"]["growth"]["days"]["later"] > 5
    document = with_lesson(DEMO, "Bulk potting mix", before["Bulk potting mix"]["lesson"])
    crop, after = tried(*pots, media=document["media"])

    assert after["Bulk potting mix"]["growth"]["says"] == (
        "Against your plan, tomato in Bulk potting mix comes to size on time."
    )
    first = before["Seed starter mix"]["growth"]["days"]
    assert after["Seed starter mix"]["growth"]["days"]["later"] == pytest.approx(
        first["later"], abs=7 * 6 * 0.005  # the pace is taken over to two decimals
    )  # fmt: skip
    bands = [mix["middle"] for mix in crop["money"][0]["mixes"]]
    assert bands == pytest.approx(
        [mix["middle"] for mix in tried(*pots)[0]["money"][0]["mixes"]], rel=0.02
    )


def test_weeks_and_pace_that_are_least_leave_what_is_longer():
    least = {
        "emergence": None, "feeds_for_weeks": 4.0, "is_at_least": True,
        "pace": 1.2, "pace_is_at_least": True, "unfit": False, "measured": [],
    }  # fmt: skip
    row = {"name": "Mix", "feeds_for_weeks": 5, "pace": 1.5}

    assert taken_over(row, "leek", least) == row
    assert taken_over(row, "leek", least | {"is_at_least": False, "pace_is_at_least": False}) == {
        "name": "Mix", "feeds_for_weeks": 4, "pace": 1.2
    }  # fmt: skip
    assert taken_over({"name": "Mix"}, "leek", least)["pace"] == 1.2


def test_a_stunted_mix_is_no_answer_and_once_taken_over_never_ready():
    pots = [
        plants("Seed starter mix", STEADY),
        plants("Bulk potting mix", SLOW),
        plants("Home blend", SMALL, up=10),
    ]
    crop, mixes = tried(*pots)
    poor = mixes["Home blend"]

    assert poor["growth"]["unfit"] and poor["growth"]["days"] is None
    assert (
        "stayed stunted, 64 mm in week 8; it is not ready just because"
        in (poor["growth"]["quality"])
    )
    assert crop["answer"]["leader"] != "Home blend"
    assert "the 2 mixes tried that grew it well" in crop["answer"]["sentence"]
    assert [mix["medium"] for mix in crop["money"][0]["mixes"]] == [
        "Seed starter mix", "Bulk potting mix"
    ]  # fmt: skip
    document = with_lesson(DEMO, "Home blend", poor["lesson"])
    scenario = read(document)
    assert scenario.medium("Home blend").unfit_for == ("tomato",)
    assert scenario.medium("Home blend").pace == 1.0
    rows = {(r["crop"], r["medium"]): r for r in compare(scenario)["comparisons"]}
    assert not rows["tomato", "Home blend"]["ready"]
    assert "stayed stunted or yellow in a trial" in rows["tomato", "Home blend"]["why_not"]
    assert rows["lettuce", "Home blend"]["ready"]
    only = with_lesson(DEMO | {"media": [DEMO["media"][2]]}, "Home blend", poor["lesson"])
    (plan, *_) = shop(read(only))["recommendation"]["plan"]
    assert plan["medium"] is None and "stunted or yellow" in plan["why_not"]


def test_a_mix_that_ran_out_of_feed_is_fed_and_not_called_unfit():
    hungry = [16, 24, 32, 33, 33, 33, 33]
    crop, mixes = tried(plants("Seed starter mix", STEADY), plants("Home blend", hungry))
    lean = mixes["Home blend"]

    assert lean["growth"]["stunted"] and not lean["growth"]["unfit"]
    assert lean["lesson"]["pace"] is None and lean["lesson"]["feeds_for_weeks"] == 4.5
    assert "it gets ready only if it is fed" in lean["growth"]["quality"]
    assert "the 2 mixes tried (" in crop["answer"]["sentence"]


def test_yellow_though_fed_is_unfit():
    looks = [{"week": 2, "height_mm": 40}, {"week": 6, "height_mm": 120, "leaves": "yellowing"}]
    pots = [plants("Seed starter mix", STEADY), plants("Home blend", [], fed_in_weeks=[3])]
    pots[1]["looks"] = looks
    _, mixes = tried(*pots)

    assert mixes["Home blend"]["growth"]["unfit"] and mixes["Home blend"]["lesson"]["unfit"]
    assert "was yellow although it was fed" in mixes["Home blend"]["growth"]["quality"]


def test_no_sound_mix_is_no_answer():
    small = plants("Home blend", [], fed_in_weeks=[3])
    small["looks"] = [{"week": 2, "height_mm": 40}, {"week": 6, "leaves": "yellowing"}]
    crop, _ = tried(small)

    assert crop["answer"]["leader"] is None
    assert crop["answer"]["sentence"].startswith("No mix tried grew sound tomato")


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ((6.2, 2.9, 9.1), "6 days later, likely between 3 days later and 9 days later."),
        ((1.0, -1.4, 3.0), "1 day later, likely between 1 day sooner and 3 days later."),
        ((-2.0, -5.2, 0.1), "2 days sooner, likely between 5 days sooner and on time."),
        ((0.2, 0.1, 0.3), "comes to size on time."),
        ((3.1, 3.1, None), "had not come to size at the last look: against your plan, at the"
         " earliest 3 days later."),
    ],
)  # fmt: skip
def test_days_are_said_in_plain_words(days, said):
    later, low, high = days
    found = days_said({"later": later, "low": low, "high": high}, "Bulk", "kale")

    assert found.endswith(said)


def leaves(mix, *seen, **fields):
    """A pot with observations of leaves only, every second week."""
    looks = [{"week": 2 * place, "leaves": colour} for place, colour in enumerate(seen, start=1)]
    return plants(mix, [], **fields) | {"looks": looks}


def test_leaves_alone_tell_a_mix_that_is_yellow_though_fed():
    """Heights or not, it is not ready: no part of the answer, out of the money, named, unfit."""
    pots = [leaves("Seed starter mix", "green", "green"), leaves("Bulk potting mix", "green")]
    poor = leaves("Home blend", "green", "yellowing", "yellowing", up=10, fed_in_weeks=[4])
    crop, mixes = tried(*pots, poor)
    growth = mixes["Home blend"]["growth"]

    assert growth["unfit"] and growth["height_mm"] is None
    assert "was yellow although it was fed" in growth["quality"]
    assert crop["answer"]["leader"] != "Home blend"
    assert "Home blend" not in [mix["medium"] for mix in crop["money"][0]["mixes"]]
    assert mixes["Seed starter mix"]["growth"] is None
    taken = with_lesson(DEMO, "Home blend", mixes["Home blend"]["lesson"])
    assert read(taken).medium("Home blend").unfit_for == ("tomato",)


def test_leaves_alone_tell_a_mix_that_has_run_out():
    """Yellow before any feeding: ready only if it is fed."""
    _, mixes = tried(leaves("Home blend", "green", "yellowing"), plants("Bulk potting mix", STEADY))
    poor = mixes["Home blend"]

    assert "it gets ready only if it is fed" in poor["growth"]["quality"]
    assert not poor["growth"]["unfit"] and not poor["lesson"]["unfit"]
    assert poor["lesson"]["feeds_for_weeks"] == 3
    assert mixes["Bulk potting mix"]["growth"]["pace"] is None
