"""The almanac on the page: calendar, what is seen, salts, strengths, cautions, the bag, as HTML."""

import csv
import re
from datetime import date
from html import unescape
from pathlib import Path

import pytest

import view
from grow import dates
from pennyflat.buying.highs import solve
from pennyflat.trade import facts as tables
from view import Charts, Page
from work import state

DATA = Path(tables.FOLDER)


CARDS = frozenset({"sights", "salts", "reckoner", "age"})


def Work(**params):
    """A work that solves its plan here: the calendar follows it."""
    return state.Work(solve=solve, **params)


def typed(work, **texts):
    for path, text in texts.items():
        work.handle({"do": "type", "path": path.replace("__", "."), "text": text})


def looked_up(**asked):
    work = Work()
    typed(work, **{f"lookup__{key}": text for key, text in asked.items()})
    return work


def words(html):
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html)))


def shown(work, name):
    return words(opened(work)[name])


def opened(work):
    work.handle({"do": "more"})
    """Every fragment, with all cards of the almanac open."""
    work.opened = CARDS
    return Page().all(work)


@pytest.fixture
def dated():
    work = Work(opened=CARDS)
    typed(work, last_frost="2027-05-15")
    work.handle({"do": "more"})
    return work


# ---- Calendar


def test_without_a_day_nothing_is_dated():
    work = Work()

    assert "Enter a day above" in shown(work, "calendar")
    assert shown(work, "calendar-key") == ""


def test_days_are_counted_back_from_the_last_frost(dated):
    # tomato, 0 to 2 weeks after the last frost in the table: one; six weeks from sowing
    table = shown(dated, "calendar")

    assert "Sat, Apr 10, 2027 tomato sow: sow 77 seeds in 77 cells" in table
    assert "Sat, May 22, 2027 tomato plant out: plant out 60 tomato" in table
    assert "Blank: Sat, May 22, 2027, counted from the last frost." in shown(dated, "dates")


def test_a_day_entered_goes_before_the_last_frost(dated):
    dated.handle({"do": "type", "path": "sowings[0].plant_out", "text": "2027-06-01"})

    assert "Tue, Jun 1, 2027 tomato plant out" in shown(dated, "calendar")
    assert dates.plans_of(dated)[0].plan.steps[-1].on == date(2027, 6, 1)
    assert "you changed this" in shown(dated, "dates")


def test_a_crop_that_no_table_knows_waits_for_its_own_day(dated):
    dated.handle({"do": "type", "path": "sowings[2].crop", "text": "moonflower", "done": True})

    assert "moonflower has no day to plant out yet." in shown(dated, "calendar")
    assert "No days to emergence for" not in shown(dated, "calendar")


def test_emergence_between_two_tested_temperatures_says_by_which_rule(dated):
    dated.handle({"do": "type", "path": "sowings[0].germinate_at_c", "text": "22.5"})

    # tomato: 8 days at 20 °C and 6 at 25 °C in the table of Harrington and Minges; the mean of
    # the rates, 2 / (1/8 + 1/6)
    assert "Up after 6.86 days at 22.5 °C" in shown(dated, "calendar")


def test_emergence_at_a_tested_temperature_is_said_to_be_as_tested(dated):
    typed(dated, **{"sowings[0].germinate_at_c": "20"})

    assert "Up after 8 days at 20 °C, as tested." in shown(dated, "calendar")


def test_where_it_did_not_germinate_no_day_is_given(dated):
    dated.handle({"do": "type", "path": "sowings[0].germinate_at_c", "text": "2"})

    table = shown(dated, "calendar")
    assert "tomato did not germinate at 0 °C, so nothing can be said of 2 °C." in table
    assert dates.plans_of(dated)[0].emergence.days is None
    assert "emerge" not in [step.what for step in dates.plans_of(dated)[0].plan.steps]


def test_feedings_are_listed_in_days_litres_and_grams(dated):
    found = shown(dated, "calendar")

    assert "feed: feed: 1.87 L of solution with 0.936 g of feed" in found


def test_a_date_that_is_none_is_named_at_its_field():
    work = Work()
    typed(work, last_frost="2027-02-30")

    assert [fault.path for fault in work.faults] == ["last_frost"]
    assert "not a day of the calendar" in shown(work, "dates")


def test_the_timeline_shows_what_the_table_says(dated):
    shown = Charts().news(dated)
    parts = ("bars", "harden", "names", "marks")
    bars, harden, names, marks = (shown[f"chart-calendar {part}"]["data"] for part in parts)
    plans = dates.plans_of(dated)

    assert names["name"] == ["tomato", "lettuce", "marigold"]
    assert [date.fromordinal(day) for day in bars["from"]] == [p.plan.steps[0].on for p in plans]
    assert [date.fromordinal(day) for day in bars["to"]] == [p.plan.steps[-1].on for p in plans]
    assert harden["to"] == bars["to"]
    feedings = sum(len(plan.plan.feedings) for plan in plans)
    assert marks["marker"].count("diamond") == feedings > 0
    assert len(set(marks["marker"])) > 2


# ---- What is seen


def observations():
    return list(dict.fromkeys(row["subject"] for row in tables.rows("symptoms")))


@pytest.mark.parametrize("key", observations())
def test_each_sight_has_causes_with_source_doubt_remedy_and_cost(key):
    found = shown(looked_up(sight=key), "sights")
    rows = [row for row in tables.rows("symptoms") if row["subject"] == key]

    for row in rows:
        assert row["doubt"] in found
        assert row["remedy"][1:] in found
        assert tables.sources()[row["source_id"]]["title"].casefold() in found.casefold()
    assert "no source found" not in found
    assert found.count("What to do:") == len(rows)
    costs = len(re.findall(r"here, by what you use up: |Costs nothing: |Cost not known: ", found))
    assert costs == len(rows)


def test_a_cost_is_that_of_the_sowing_looked_at():
    work = looked_up(sight="yellow-oldest")
    work.handle({"do": "show", "row": 1})

    assert "Costs are for all of your lettuce in" in shown(work, "sights")


def test_without_an_answer_the_causes_are_there_and_the_cost_waits():
    work = looked_up(sight="collapse")
    work.handle({"do": "empty"})

    assert "What it costs appears once there is an answer." in shown(work, "sights")


def test_a_sight_that_is_not_in_the_table_is_passed_over():
    assert "What to do:" not in shown(looked_up(sight="ghosts"), "sights")


# ---- Salts


@pytest.mark.parametrize(
    ("method", "ec", "called"),
    [("1:2", "2", "very high"), ("SME", "2.6", "normal"), ("PourThru", "2", "low")],
)
def test_a_reading_is_called_by_its_own_method(method, ec, called):
    found = shown(looked_up(method=method, ec=ec), "salts")

    assert f"this reading is called {called}." in found


def test_a_reading_on_the_border_is_called_both():
    found = shown(looked_up(method="PourThru", ec="6.55"), "salts")

    assert "lies between high and very high." in found


def test_a_reading_that_is_none_is_named_at_its_field():
    found = shown(looked_up(ec="salty"), "salts")

    assert "“salty” is not a number." in found
    assert "this reading" not in found


def test_a_published_threshold_is_shown_with_its_slope_and_what_it_is_not_for():
    found = shown(Work(), "salts")

    assert "Threshold: 2.5 dS/m" in found and "9.9 % per dS/m" in found
    assert found.count("mS/cm") == 1  # what it is equal to
    assert "not for seed in a potting mix" in found


def test_no_published_threshold_says_so():
    work = Work()
    work.handle({"do": "show", "row": 2})

    assert "There is no published threshold for marigold." in shown(work, "salts")


def test_three_ways_to_start_are_priced_here():
    work = looked_up(rich="Bulk potting mix")
    work.handle({"do": "show", "row": 1})
    found = shown(work, "salts")

    # SciPy: the least n with binom.sf(119, n, u) >= 0.9, u = 0.58 x 0.95, 0.95 x 0.95, 0.85 x 0.95;
    # on the towel >= 0.95, since the seed must do well there too
    for way, cells in (("straight into", 235), ("sprouted on a towel", 140), ("first, then", 156)):
        assert re.search(rf"{way}[^$]*? {cells} \$", found), way


# ---- Strength


def test_a_label_and_a_strength_come_to_a_dose_by_the_litre_and_the_gallon():
    # 20-10-20 at 100 ppm N is 0.5 g/L; tests/published/test_nutrients.py has the checks
    found = shown(looked_up(feed="water-soluble 20-10-20", ppm_n="100"), "reckoner")

    assert "the strength 0.5 1.89 6.68 100 21.8 83 50 100" in found


def test_a_dose_comes_to_a_strength_and_back():
    found = shown(looked_up(n="15", dose="1", ppm_n="150"), "reckoner")

    assert "the dose 1 3.79 13.4 150" in found
    assert "the strength 1 3.79 13.4 150" in found


def test_a_label_of_more_than_a_hundred_per_cent_is_refused():
    found = shown(looked_up(n="60", p2o5="60", dose="1"), "reckoner")

    assert "at most 100 % together" in found
    assert "the dose" not in found


def test_without_nitrogen_a_strength_in_nitrogen_has_no_dose():
    assert "the strength" not in shown(looked_up(feed="seaweed extract", ppm_n="100"), "reckoner")


def test_a_dry_amendment_feeds_for_a_range_with_its_assumption():
    # 4 g/L with 8 % N in 59 mL is 18.88 mg, of which 0.56 to 0.66; 2 x 12 mL x 100 ppm is 2.4 mg
    # a week
    found = shown(looked_up(addition_g="4", addition_n="8"), "reckoner")

    assert "4.4 to 5.2 weeks in cells of 59 mL." in found
    assert "If 56% to 66% of its nitrogen is released" in found
    assert "HortTechnology 16(1): 39-42 (abstract)" in found


# ---- Cautions and the bag


def rows_of(table):
    with open(DATA / f"{table}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def page():
    return words(view.render_page())


@pytest.mark.parametrize("row", rows_of("cautions"), ids=lambda row: row["advice"][:30])
def test_each_caution_is_on_the_page_with_who_says_so(page, row):
    if row["action"] == "lights and mats near water":
        assert row["advice"] in page  # the demo counts energy
    at = page.index(row["advice"])

    title = tables.sources()[row["source_id"]]["title"]
    assert title.casefold() in page[at : at + 900].casefold()


def test_cautions_stand_where_the_action_is():
    html = view.render_page()
    shelf = html[html.index('id="shelf"') : html.index('id="feeding"')]
    feed = html[html.index('id="feeding"') : html.index('id="rest-part"')]

    assert "scissors" in shelf and "scissors" not in feed
    assert "labelled container" in feed and "labelled container" not in shelf
    assert "ground-fault" in Page().all(Work())["rest"]


@pytest.mark.parametrize("row", rows_of("bag_checks"), ids=lambda row: row["subject"])
def test_each_check_of_the_bag_is_on_the_page(page, row):
    assert row["look_for"] in page and row["why"] in page


def test_every_id_is_unique_with_all_that_can_be_open():
    work = looked_up(sight="no-emergence", rich="Bulk potting mix", ec="2", ppm_n="100", dose="1")
    typed(work, last_frost="2027-05-15")
    work.handle({"do": "type", "path": "sowings[0].container", "text": "own shape"})
    ids = re.findall(r'\bid="([^"]+)"', "".join(opened(work).values()))

    assert len(ids) == len(set(ids))


def test_looking_things_up_changes_no_answer():
    work = looked_up(sight="algae", ec="3", n="20")

    assert work.report == Work().report
    assert "lookup" not in work.answered


def test_a_card_is_worked_out_from_its_first_opening_on():
    work = Work()
    assert not CARDS & set(Page().all(work))

    work.handle({"do": "open", "text": "salts"})

    fragments = Page().all(work)
    assert "salts" in fragments and "sights" not in fragments


def test_the_page_is_made_with_every_card_filled():
    assert set(view.initial_fragments()) >= CARDS | {"dates", "calendar-key"}
