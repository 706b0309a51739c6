"""Trials in a scenario: kept, checked, linked, reported, printed and read from tables."""

import csv
import io
import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pennyflat.cli.command import main
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import check, read, write
from pennyflat.scenario.export import csv_text
from pennyflat.scenario.link import decode, encode
from pennyflat.scenario.trial import LEAVES, Count, Look, Trial, Uptake
from pennyflat.trials.report import pooled_curve, trial_report
from pennyflat.trials.table import long_rows, read_table
from pennyflat.trials.words import trial_lines, worth_lines

SEED_MIX, BULK, BLEND = "Seed starter mix", "Bulk potting mix", "Home blend"


def pot(medium=SEED_MIX, counts=((5, 2), (9, 4)), sown=5, crop="tomato", **fields):
    counts = [{"day": day, "emerged": emerged} for day, emerged in counts]
    return {"medium": medium, "crop": crop, "sown": sown, "counts": counts, **fields}


FULL = pot(
    abnormal=1,
    water=[{"minute": 2, "ml": 20}, {"minute": 10, "ml": 50}],
    looks=[{"week": 2, "height_mm": 30, "leaves": "green"}, {"week": 4, "leaves": "yellowing"}],
    fed_in_weeks=[5],
    label="left",
    notes="south window",
    photos=["bench-1.jpg"],
    sown_on="2027-03-01",
)
BENCH = [
    FULL,
    pot(BULK, ((5, 1), (10, 9)), 10),
    pot(BULK, ((6, 0), (10, 2)), 10, label="right"),
    pot(BLEND, ((7, 8),), 10),
]


def with_trials(*pots):
    return DEMO | {"trials": list(pots)}


def crop_of(*pots, crop="tomato"):
    report = trial_report(read(with_trials(*pots)))
    return next(found for found in report["crops"] if found["crop"] == crop)


def test_trials_survive_being_written_and_read():
    scenario = read(with_trials(*BENCH))

    assert write(scenario)["trials"][0] == FULL
    assert read(write(scenario)) == scenario
    assert "trials" not in write(read(DEMO))


def test_trials_travel_in_links():
    scenario = read(with_trials(*BENCH))

    assert decode(encode(write(scenario))) == scenario


def test_trials_change_no_cost_until_they_are_taken_over():
    assert compare(read(with_trials(*BENCH))) == compare(read(DEMO))


def test_a_trial_may_be_of_a_mix_and_crop_that_are_not_in_the_scenario():
    assert check(with_trials(pot("Last year's mix", crop="leek"))) == []


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("sown", 0, "trials[1].sown: 0 is too small"),
        ("sown", 3, "trials[1].counts[1].emerged: 4 is more than the 3 sown"),
        ("abnormal", 5, "trials[1].abnormal: 5 is more than the 4 that emerged"),
        ("sown_on", "1 March", "trials[1].sown_on:"),
        ("colour", "red", "trials[1].colour: unknown key"),
        ("looks", [{"week": 3}, {"week": 2}], "trials[1].looks[1].week: 2 does not come after 3"),
    ],
)
def test_what_does_not_fit_is_named_with_its_place(field, value, said):
    (fault,) = check(with_trials(FULL, pot() | {field: value}))

    assert str(fault).startswith(said)


@pytest.mark.against("scipy")
def test_intervals_are_scipys():
    for mix in crop_of(*BENCH)["mixes"]:
        normal, sown = mix["normal"], mix["sown"]
        wilson = stats.binomtest(normal, sown).proportion_ci(0.95, method="wilson")
        jeffreys = stats.beta(normal + 0.5, sown - normal + 0.5).ppf([0.025, 0.975])
        assert mix["wilson_95"] == pytest.approx([wilson.low, wilson.high], abs=1e-9)
        assert mix["jeffreys_95"] == pytest.approx(list(jeffreys), abs=1e-9)


def test_abnormal_seedlings_count_for_emergence_but_not_as_normal():
    (mix,) = crop_of(FULL)["mixes"]

    assert (mix["normal"], mix["sown"]) == (3, 5)
    assert mix["curve"][-1][2] == 4 / 5


@pytest.mark.against("scipy")
def test_pairs_have_fishers_test_and_all_pairs_together_are_not_oversold():
    pairs = crop_of(*BENCH)["pairs"]

    assert len(pairs) == 3
    for pair in pairs:
        counts = {SEED_MIX: (3, 5), BULK: (11, 20), BLEND: (8, 10)}
        one, other = counts[pair["medium"]], counts[pair["other"]]
        table = [[one[0], one[1] - one[0]], [other[0], other[1] - other[0]]]
        assert pair["fisher"] == pytest.approx(stats.fisher_exact(table).pvalue, abs=1e-10)
        assert pair["fisher_all_pairs"] == pytest.approx(min(1, 3 * pair["fisher"]))


def test_chances_of_being_the_best_are_joint():
    mixes = crop_of(*BENCH)["mixes"]

    assert sum(mix["best_chance"] for mix in mixes) == pytest.approx(1, abs=1e-7)


def test_five_seeds_a_pot_are_said_to_be_next_to_nothing():
    assert "That is next to nothing known" in crop_of(pot(), pot(BULK))["says"]


def test_the_money_says_what_to_measure_first():
    watched = [{"week": 2, "leaves": "green"}, {"week": 4, "leaves": "yellowing"}]
    (money,) = crop_of(*BENCH[1:], pot(counts=((9, 4),), looks=watched))["money"]
    tests = {(test["medium"], test["measure"]): test["worth"] for test in money["tests"]}

    assert len(tests) == 9
    assert money["first"]["worth"] == max(worth or 0 for worth in tests.values())
    assert money["everything_worth"] > money["first"]["worth"] > 0
    seeds = {mix["medium"]: mix["test_worth"] for mix in money["mixes"]}
    assert {name: tests[name, "emergence"] for name in seeds} == seeds
    assert money["test_first"] == max(seeds, key=seeds.get)
    assert None not in tests.values()
    assert {mix["medium"]: mix["unmeasured"] for mix in money["mixes"]} == {
        SEED_MIX: ["fill_loss"],
        BULK: ["fill_loss", "feeds_for_weeks"],
        BLEND: ["fill_loss", "feeds_for_weeks"],
    }


@pytest.mark.parametrize(
    ("measure", "said"),
    [
        ("emergence", "The one test to make next: 20 more seeds in Fine mix."),
        ("charge", "The one thing to measure next: how long Fine mix feeds."),
        ("fill", "The one thing to measure next: the loss in filling with Fine mix."),
    ],
)
def test_each_measurement_has_its_sentence(measure, said):
    first = {"medium": "Fine mix", "measure": measure, "worth": 0.4}
    money = {"wanted": 60, "test_seeds": 20, "first": first, "everything_worth": 1.5}

    next_one, everything = worth_lines(money, "EUR")
    assert next_one.startswith(said) and "worth 0.40 EUR" in next_one
    assert everything == "Knowing everything for certain would be worth 1.50 EUR."
    (choose,) = worth_lines(money | {"first": None}, "EUR")
    assert choose == "No single measurement of any mix would save anything."
    (untold,) = worth_lines(money | {"first": None, "everything_worth": None}, "EUR")
    assert "cannot be told" in untold


def test_replicates_that_differ_more_than_chance_are_in_doubt():
    apart = crop_of(pot(BULK, ((9, 10),), 10), pot(BULK, ((9, 1),), 10))
    alike = crop_of(pot(BULK, ((9, 8),), 10), pot(BULK, ((9, 6),), 10))

    assert apart["replicates"][0]["in_doubt"] and not alike["replicates"][0]["in_doubt"]
    said = trial_lines({"currency": "EUR", "crops": [apart]})
    assert any("10, 1 of 10 in its pots is more than chance" in line for line in said)


def test_pots_looked_at_on_different_days_are_pooled_as_last_seen():
    scenario = read(with_trials(*BENCH))

    assert pooled_curve(scenario.trials[1:3]) == ((5, 1), (6, 1), (10, 11))


def test_a_lesson_hands_over_what_was_counted_and_not_its_ratio():
    """A scenario takes such a count wherever it takes a share."""
    lessons = {mix["medium"]: mix["lesson"] for mix in crop_of(*BENCH)["mixes"]}

    assert lessons[SEED_MIX]["emergence"] == {"up": 3, "sown": 5}  # one of the 4 was abnormal
    assert lessons[BULK]["emergence"] == {"up": 11, "sown": 20}  # of two pots


def test_a_pot_nobody_counted_shows_its_water_and_weeks_all_the_same():
    uncounted = {key: FULL[key] for key in FULL.keys() - {"counts", "abnormal"}}
    (mix,) = crop_of(uncounted)["mixes"]

    assert mix["normal"] is None and mix["lesson"]["emergence"] is None
    assert mix["lesson"]["feeds_for_weeks"] == 3
    assert mix["charge"] == {"after": 2, "by": 4, "sign": "yellowing"}
    assert mix["water_ml_per_minute"][0] > 0


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "bench.json"
    path.write_text(json.dumps(with_trials(*BENCH)), encoding="utf-8")
    return str(path)


def test_the_command_line_says_it_in_sentences(capsys, file):
    assert main(["trials", file]) == 0
    shown = " ".join(capsys.readouterr().out.split())

    for said in (
        "cheapest ready tomato of the 3 mixes tried (chance",
        "brings up the most of the 3 (chance",
        "Coolbear's (1984)",
        "ran out between week 2 and week 4: the oldest leaves yellowed.",
        "luck alone parts equal mixes so far",
        "Fisher's exact test",
        "(80 %); cheapest of those tried with chance",
    ):
        assert said in shown


def test_one_pair_of_mixes_is_not_called_one_of_several(capsys, tmp_path):
    path = tmp_path / "bench.json"
    for trials, several in ((BENCH[:2], False), (BENCH, True)):
        path.write_text(json.dumps(with_trials(*trials)), encoding="utf-8")
        assert main(["trials", str(path)]) == 0
        assert (" pairs " in " ".join(capsys.readouterr().out.split())) == several


def test_the_command_line_gives_the_report_as_json(capsys, file):
    assert main(["trials", file, "--json"]) == 0

    assert json.loads(capsys.readouterr().out) == trial_report(read(with_trials(*BENCH)))


def test_the_csv_holds_all_that_was_written_down_and_no_formula(capsys, tmp_path):
    path = tmp_path / "bench.json"
    path.write_text(json.dumps(with_trials(FULL | {"notes": "=1+1"})), encoding="utf-8")
    assert main(["trials", str(path), "--csv"]) == 0
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))

    assert ["1", "tomato", SEED_MIX, "emerged by day [seedlings]", "9", "4"] in rows
    assert ["1", "tomato", SEED_MIX, "sown on", "", "2027-03-01"] in rows
    assert rows[-1][-1] == "'=1+1"


def test_a_scenario_without_trials_says_so(capsys, tmp_path):
    path = tmp_path / "none.json"
    path.write_text(json.dumps(DEMO), encoding="utf-8")

    assert main(["trials", str(path)]) == 0
    assert "No trials are written down" in capsys.readouterr().out


WIDE = """Substrate\tPlant\tSeeds sown\tRep\tDay 5\tDay 9\tRemarks
Fine mix\tleek\t10\tA\t3\t8\twarm
Fine mix\tleek\t10\tB\t\t7\t
"""
LONG = """mix;crop;seeds;pot;day;emerged
Fine mix;leek;10;A;9;8
Fine mix;leek;10;A;5;3
Fine mix;leek;10;B;9;7
"""


@pytest.mark.parametrize("table", [WIDE, LONG, LONG.replace(";", ","), "\ufeff" + WIDE])
def test_a_table_is_read_with_a_column_or_a_row_for_each_count(table):
    found = read_table(table)
    one, other = found.trials

    assert found.problems == ()
    assert one["counts"] == [{"day": 5, "emerged": 3}, {"day": 9, "emerged": 8}]
    assert other["counts"] == [{"day": 9, "emerged": 7}]
    assert (one["medium"], one["crop"], one["sown"], one["label"]) == ("Fine mix", "leek", 10, "A")
    assert check(with_trials(*found.trials)) == []


words = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12
).filter(lambda word: word == word.strip() and not word.startswith("'"))
amounts = st.integers(1, 99999).map(lambda tenths: tenths / 10)


@st.composite
def pots(draw):
    """A sound trial with anything that may be written down of one."""

    def rows(*columns):
        first = draw(st.lists(columns[0], max_size=4, unique=True))
        return [(at, *(draw(column) for column in columns[1:])) for at in sorted(first)]

    sown = draw(st.integers(1, 500))
    emerged = sorted(draw(st.lists(st.integers(0, sown), max_size=4)))
    days = range(1, 5)
    return Trial(
        medium=draw(words),
        crop=draw(words),
        sown=sown,
        counts=tuple(Count(day, up) for day, up in zip(days, emerged, strict=False)),
        abnormal=draw(st.integers(0, max(emerged, default=0))),
        water=tuple(Uptake(*row) for row in rows(amounts, amounts)),
        looks=tuple(
            Look(*row)
            for row in rows(
                st.integers(0, 500).map(float),
                st.none() | amounts,
                st.none() | st.sampled_from(LEAVES),
            )
        ),
        fed_in_weeks=tuple(draw(st.lists(st.integers(0, 500).map(float), max_size=3))),
        label=draw(st.just("") | words),
        notes=draw(st.just("") | words),
        photos=tuple(draw(st.lists(words, max_size=3))),
        sown_on=draw(st.none() | st.dates(date(2000, 1, 1), date(2099, 12, 31))),
    )


@pytest.mark.parametrize("decimal_mark", [".", ","])
@given(st.lists(pots(), min_size=1, max_size=4))
def test_the_csv_of_trials_is_read_back_whole(decimal_mark, trials):
    found = read_table(csv_text(long_rows(trials), decimal_mark=decimal_mark))

    assert found.problems == ()
    assert read(with_trials(*found.trials)).trials == tuple(trials)


def test_two_files_pasted_one_after_the_other_are_two_pots():
    file = csv_text(long_rows(read(with_trials(FULL, pot(BULK))).trials))
    found = read_table(file + file.partition("\r\n")[2])

    assert [trial["medium"] for trial in found.trials] == [SEED_MIX, BULK] * 2
    assert found.trials[2] | {"notes": ""} == found.trials[0] | {"notes": ""}


def test_bad_rows_of_a_long_table_are_named_and_the_good_ones_kept():
    rows = [
        "pot,crop,medium,observed,when,value",
        "1,leek,Fine mix,sown [seeds],,5",
        "1,leek,Fine mix,emerged by day [seedlings],soon,4",
        "1,leek,Fine mix,eaten by slugs,3,1",
        "1,leek,Fine mix,height in week [mm],2,tall",
        "2,leek,,sown [seeds],,5",
        "3,leek,Fine mix,emerged by day [seedlings],6,4",
    ]
    found = read_table("\n".join(rows))

    assert found.trials == ({"medium": "Fine mix", "crop": "leek", "sown": 5},)
    assert found.problems == (
        'Row 3 is left out: "soon" under when is not a number.',
        'Row 4 is left out: "eaten by slugs" under observed is not known.',
        'Row 5 is left out: "tall" under value is not a number.',
        "Row 6 is left out: the mix is missing.",
        "The pot of row 7 is left out: sown: missing; it is required.",
    )


def test_a_table_too_long_to_be_typed_is_not_read_in_half():
    found = read_table("mix,crop,sown,day 5\n" + "A,leek,5,4\n" * 20_000)

    assert found.trials == () and "paste it in parts" in found.problems[0]


def test_bad_rows_are_named_and_the_good_ones_kept():
    found = read_table("mix,sown,day 5\nA,10,4\nB,ten,3\nC,5,9\n,5,1\nD,,2\n", crop="leek")

    assert [trial["medium"] for trial in found.trials] == ["A"]
    assert found.problems == (
        'Row 3 is left out: "ten" under sown is not a number.',
        "Row 5 is left out: the mix is missing.",
        "Row 6 is left out: the number of seeds sown is missing.",
        "The pot of row 4 is left out: counts[0].emerged: 9 is more than the 5 sown.",
    )


@pytest.mark.parametrize("text", ["", "\n\n", "hello", "1,2,3\n4,5,6", '"', "\0\0", "mix\nA"])
def test_what_is_no_table_is_said_and_nothing_raised(text):
    found = read_table(text)

    assert found.trials == () and len(found.problems) == 1
