"""The trial bench on the page: counts in one field, pasted tables, results on demand, undo."""

import re
from datetime import date, timedelta

import pytest
from markupsafe import escape

from pennyflat.scenario.document import read, write
from pennyflat.scenario.link import decode, encode
from pennyflat.scenario.records import Counts
from pennyflat.trials.report import trial_report
from pennyflat_display.charts import corners
from pennyflat_display.money import amount, currency_of, each
from reader.words import said
from trials.view import save_trials
from view import Charts, Page
from work.state import Work

USD = currency_of("USD")
SEED_MIX = "Seed starter mix"


@pytest.fixture
def work():
    work = Work()
    work.handle({"do": "trial-example"})
    return work


def typed(work, path, text):
    work.handle({"do": "type", "path": path, "text": text})


def press(work, what, **fields):
    work.handle({"do": f"trial-{what}", **fields})


def plain(html):
    """The text of some HTML, blanks run together."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html)).strip()


def shown(work, name):
    return plain(Page().all(work)[name])


def counts(work, pot):
    return [(row["day"], row["emerged"]) for row in work.document["trials"][pot]["counts"]]


def test_a_count_for_a_pot_that_is_gone_is_passed_over():
    work = Work()
    before = work.document

    work.handle({"do": "type", "path": "bench.count[0]", "text": "3"})

    assert work.document == before


def test_the_bench_starts_empty_and_costs_nothing():
    work = Work()
    page = Page().all(work)

    assert plain(page["bench-today"]) == "No pots yet."
    assert work.bench.report is None and page["bench-shows"] == ""
    assert not any(name.startswith("chart-emergence") for name in Charts().news(work))


def test_a_pot_is_added_in_the_next_mix_with_the_seeds_of_the_last():
    work = Work()
    work.handle({"do": "add", "path": "trials"})
    assert work.focus == "trials[0]"
    typed(work, "trials[0].sown", "7")
    work.handle({"do": "add", "path": "trials"})

    first, second = work.scenario.trials
    assert (first.medium, second.medium) == (SEED_MIX, "Bulk potting mix")
    assert (first.sown, second.sown) == (7, 7)
    assert work.faults == []


def test_todays_count_goes_to_its_day_by_number(work):
    typed(work, "bench.day", "8")
    typed(work, "bench.count[0]", "7")

    assert counts(work, 0) == [(5, 2), (7, 6), (8, 7), (10, 9)]
    typed(work, "bench.count[0]", "8")
    assert (8, 8) in counts(work, 0)
    typed(work, "bench.count[0]", "")
    assert counts(work, 0) == [(5, 2), (7, 6), (10, 9)]


def test_todays_count_goes_to_the_day_counted_from_sowing(work):
    typed(work, "trials[1].sown_on", (date.today() - timedelta(days=21)).isoformat())
    typed(work, "bench.count[1]", "9")
    assert counts(work, 1)[-1] == (21, 9)

    typed(work, "trials[1].sown_on", "2027-03-01")
    typed(work, "bench.on", "2027-03-13")
    typed(work, "bench.count[1]", "8")
    assert (12, 8) in counts(work, 1)
    assert "day 12, of 10 sown; 7 on day 10 before" in shown(work, "bench-today")


def test_without_a_day_nothing_can_be_counted_and_it_is_said(work):
    typed(work, "trials[0].sown_on", "")
    before = counts(work, 0)
    typed(work, "bench.count[0]", "9")

    assert counts(work, 0) == before
    assert "Give the day after sowing above" in shown(work, "bench-today")


def test_a_count_that_cannot_be_is_named_at_its_field_and_the_answer_stays(work):
    report = work.report
    typed(work, "bench.day", "14")
    typed(work, "bench.count[0]", "11")

    assert "11 is more than the 10 sown." in shown(work, "bench-today")
    assert work.report is report
    assert "1 to correct" in shown(work, "pot-0")


def test_half_a_row_holds_up_no_answer(work):
    for table in ("counts", "water", "looks"):
        work.handle({"do": "add", "path": f"trials[0].{table}"})
    typed(work, "trials[0].water[0].minute", "5")
    assert work.faults == []

    typed(work, "trials[0].water[0].ml", "30")
    assert [(row.minute, row.ml) for row in work.scenario.trials[0].water] == [(5, 30)]


def test_weeks_and_names_are_typed_in_one_field(work):
    typed(work, "trials[0].fed_in_weeks", "3; 4,5")
    typed(work, "trials[0].photos", "one.jpg; two, from above.jpg")
    trial = work.scenario.trials[0]
    assert trial.fed_in_weeks == (3, 4.5)
    assert trial.photos == ("one.jpg", "two, from above.jpg")

    typed(work, "trials[0].fed_in_weeks", "3; soon")
    assert "“3; soon” does not fit" in shown(work, "pot-0")


def test_a_pasted_table_adds_pots_names_bad_rows_and_can_be_undone(work):
    typed(work, "bench.pasted", "mix\tsown\tday 6\nSeed starter mix\t5\t4\n\t5\t1\n")
    press(work, "paste")

    assert len(work.document["trials"]) == 4
    said = shown(work, "bench-pasted")
    assert "Pots added: 1." in said and "Row 3 is left out: the mix is missing." in said
    work.handle({"do": "undo"})
    assert len(work.document["trials"]) == 3


def test_renaming_a_mix_or_crop_renames_it_in_its_trials(work):
    typed(work, "media[0].name", "Fine mix")
    typed(work, "sowings[0].crop", "tomatillo")

    assert work.scenario.trials[0].medium == "Fine mix"
    assert {trial.crop for trial in work.scenario.trials} == {"tomatillo"}


def test_trials_are_part_of_the_scenario_and_of_its_link(work):
    assert decode(encode(work.answered)) == work.scenario
    assert len(write(work.scenario)["trials"]) == 3


def test_results_come_on_demand_only_and_are_those_of_the_model(work):
    assert work.bench.report is None
    press(work, "show")
    report = trial_report(read(work.answered))
    assert work.bench.report == report

    crop = report["crops"][0]
    assert said_by_the_page(crop["answer"]["sentence"]) in shown(work, "bench-shows")
    assert " ".join(crop["says"].split()) in shown(work, "bench-table")
    for mix in crop["mixes"]:
        low, high = (f"{end * 100:.0f}" for end in mix["jeffreys_95"])
        assert f"{low}% to {high}%" in shown(work, "bench-table")
        assert f"{mix['half_days']['Coolbear']:.1f}" in shown(work, "bench-table")
    for mix in crop["money"][0]["mixes"]:
        band = f"{each(mix['low'], USD)} to {each(mix['high'], USD)}"
        assert band in shown(work, "bench-money")
    typed(work, "bench.day", "12")
    typed(work, "bench.count[0]", "10")
    assert work.bench.report == report
    assert "For what was entered before" in shown(work, "bench-shows")
    press(work, "show")
    assert "For what was entered before" not in shown(work, "bench-shows")


def said_by_the_page(sentence):
    """The text of a sentence of the model's, escaped as the page has it."""
    return plain(str(escape(said(sentence))))


def test_who_is_cheapest_and_which_test_to_make_are_said_first(work):
    press(work, "show")
    money = work.bench.report["crops"][0]["money"][0]
    best = max(money["mixes"], key=lambda mix: mix["cheapest_chance"])
    first = shown(work, "bench-shows")

    chance = f"{best['cheapest_chance'] * 100:.0f}"
    assert first.startswith(f"{best['medium']} most likely makes the cheapest ready tomato")
    assert f"(chance {chance} %)" in first
    assert f"20 more seeds in {money['test_first']} before you choose" in first
    said = shown(work, "bench-money")
    assert f"20 more seeds in {money['test_first']}." in said
    assert amount(money["everything_worth"], USD) in said
    for test in money["tests"]:
        assert (amount(test["worth"], USD) if test["worth"] is not None else "–") in said


@pytest.mark.parametrize(
    ("money", "said"),
    [
        ({"first": {"medium": "Fine mix", "measure": "charge", "worth": 1.5}}, "until its oldest"),
        ({"first": {"medium": "Fine mix", "measure": "fill", "worth": 1.5}}, "Fill a tray"),
        ({"first": None}, "No single measurement of any mix would save anything."),
        ({"first": None, "everything_worth": None}, "cannot be told"),
    ],
)
def test_each_answer_to_what_to_measure_next_has_its_sentence(work, money, said):
    press(work, "show")
    work.bench.shown()["money"][0] |= money

    assert said in shown(work, "bench-money")


def test_a_trial_goes_into_its_mix_with_one_press_and_comes_out_with_undo(work):
    press(work, "show")
    before = work.document
    press(work, "lesson", crop="tomato", medium="Bulk potting mix")

    medium = work.scenario.medium("Bulk potting mix")
    assert medium.emergence["tomato"] == Counts(6, 10)
    assert medium.feeds_for_weeks == 3  # between the looks of weeks 2 and 4
    assert "What the trial shows is in the plan now." in shown(work, "undo")
    work.handle({"do": "undo"})
    assert read(before) == work.scenario and work.document == before


def test_growth_is_said_in_days_and_goes_into_the_plan_with_the_rest(work):
    press(work, "show")
    before = work.document
    lesson = work.bench.shown()["mixes"][2]["lesson"]
    offered = shown(work, "bench-uses")
    assert "tomato in Home blend comes to size 3 days later, likely between" in offered
    assert "Came up: 8 of 10 Feeds for at least 4 weeks Growing time 1.08" in offered
    press(work, "lesson", crop="tomato", medium="Home blend")

    medium = work.scenario.medium("Home blend")
    assert medium.pace == lesson["pace"] and medium.measured == ("pace",)
    assert medium.emergence["tomato"] == Counts(8, 10)
    press(work, "show")
    assert "tomato in Home blend comes to size on time." in shown(work, "bench-uses")
    work.handle({"do": "undo"})
    assert work.document == before


def test_stunted_seedlings_are_named_and_the_mix_is_never_ready_until_undone(work):
    for row, mm in enumerate((30, 20)):
        typed(work, f"trials[2].looks[{row}].height_mm", str(mm))
    press(work, "show")
    poor = "Home blend: tomato stayed stunted, 20 mm in week 4; it is not ready just because"
    assert poor in shown(work, "bench-shows")
    assert "Never ready in it" in shown(work, "bench-uses")
    press(work, "lesson", crop="tomato", medium="Home blend")

    assert work.scenario.medium("Home blend").unfit_for == ("tomato",)
    rows = [r for r in work.report["comparisons"] if (r["crop"], r["medium"]) == (
        "tomato", "Home blend")]  # fmt: skip
    assert [row["ready"] for row in rows] == [False]
    typed(work, "sowings[0].crop", "tomatillo")
    assert work.scenario.medium("Home blend").unfit_for == ("tomatillo",)
    typed(work, "media[2].unfit_for", "")
    assert work.scenario.medium("Home blend").unfit_for == ()


def test_a_charge_known_to_last_longer_is_not_cut_short(work):
    typed(work, "media[0].feeds_for_weeks", "8")
    press(work, "show")
    press(work, "lesson", crop="tomato", medium=SEED_MIX)

    assert work.scenario.medium(SEED_MIX).feeds_for_weeks == 8


def test_before_there_is_any_answer_it_says_what_is_missing(work):
    work.handle({"do": "empty"})
    press(work, "show")

    assert work.bench.report is None
    assert "Fill in what is marked above first" in shown(work, "bench-shows")
    assert "emerged" not in save_trials(work)["text"]


def test_charts_show_the_curves_and_ranges_of_the_report(work):
    press(work, "show")
    shown = Charts().news(work)
    crop = work.bench.report["crops"][0]

    lines = [shown[f"chart-emergence {place}"]["data"] for place in range(6)]
    for data, mix in zip(lines, crop["mixes"], strict=False):
        assert data["share"][-1] == mix["curve"][-1][2]
        assert data["high"][-1] == mix["curve"][-1][3]
    assert [len(data["day"]) for data in lines[3:]] == [0, 0, 0]
    bars = shown["chart-stakes bars"]["data"]
    assert bars["low"] == [mix["low"] for mix in crop["money"][0]["mixes"]]


def test_steps_hold_until_the_next_look():
    found = corners([[0, 0, 0, 0], [5, 0.1, 0.2, 0.3]], 6)

    assert [day for day, *_ in found] == [0, 5, 5, 6]
    assert [share for _, _, share, _ in found] == [0, 0, 0.2, 0.2]


def test_the_table_of_the_curves_is_their_text_alternative(work):
    press(work, "show")
    said = shown(work, "bench-more")

    for mix in work.bench.report["crops"][0]["mixes"]:
        _, low, share, high = mix["curve"][-1]
        assert f"{share * 100:.0f}% {low * 100:.0f}% to {high * 100:.0f}%" in said


def test_the_crop_whose_trials_are_shown_can_be_chosen(work):
    work.handle({"do": "copy", "path": "trials[0]"})
    typed(work, "trials[1].crop", "leek")
    press(work, "show")
    assert "share up by day" in shown(work, "bench-curves-title")
    typed(work, "bench.crop", "leek")

    assert shown(work, "bench-curves-title").startswith("leek")
    assert "This crop is not among those you raise." in shown(work, "bench-uses")
    assert shown(work, "bench-picture-title").startswith("leek: how much of the seed")
    bars = Charts().news(work)["chart-stakes bars"]["data"]
    assert bars["middle"] == [0.9]


def test_the_trials_can_be_kept_as_csv(work):
    typed(work, "trials[0].notes", "=HYPERLINK(1)")
    file = save_trials(work)

    assert file["name"].endswith("-trials.csv") and file["text"].startswith("\ufeff")
    assert '"\'=HYPERLINK(1)"' in file["text"]
    assert '"emerged by day [seedlings]","10","9"' in file["text"]


def test_the_csv_can_be_pasted_back(work):
    before = work.scenario.trials
    typed(work, "bench.pasted", save_trials(work)["text"])
    press(work, "paste")

    assert "Pots added: 3." in shown(work, "bench-pasted")
    assert work.scenario.trials == before * 2


def test_what_comes_from_a_table_is_escaped(work):
    typed(work, "bench.pasted", "mix,crop,sown,day 6\n<b>Mix</b>,<i>leek</i>,5,4\n")
    press(work, "paste")
    press(work, "show")
    typed(work, "bench.crop", "<i>leek</i>")

    assert not any("<b>Mix" in html or "<i>leek" in html for html in Page().all(work).values())
