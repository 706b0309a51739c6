"""Reports as lines of text: the recommendation first, each and in all apart, tables that fit."""

import copy

import pytest

from pennyflat import DEMO, compare, read, shop
from pennyflat.cli.printout import comparison_lines, pool_lines, recommendation_text, shopping_lines
from pennyflat.cli.terminal import folded, table, width
from pennyflat.comparing.report import compared
from pennyflat.sentences import say

SCENARIO = read(DEMO)

RECOMMENDATION = {
    "sentence": say("Buy 1 bag of {mix}.", mix="Seed starter mix"),
    "plan": [
        {"crop": "tomato", "medium": "Seed starter mix", "cells": 77, "seeds": 77, "feedings": 6,
         "each_as_used": 0.2051},
        {"crop": "lettuce", "medium": "Seed starter mix", "cells": 156, "seeds": 156.0,
         "feedings": 0, "each_as_used": 0.0743},
        {"crop": "marigold", "medium": None, "why_not": "It stalls in week 3 of 7."},
    ],
    "to_pay": 16.2, "with_the_rest": 39.97, "per_ready_seedling": 0.1753, "weighed_cost": 39.97,
    "not_counted": ["seed", "time"], "proven": True, "at_least": 39.97,
    "turns": [{"sentence": say("From {n} on the big bag pays.", n=105)}],
}  # fmt: skip
"""As in the reports of `compare` and `shop`."""

SHOPPING = shop(SCENARIO)


@pytest.fixture
def comparison():
    """The demo's comparison with the recommendation above."""
    report = compare(SCENARIO) | {"recommendation": copy.deepcopy(RECOMMENDATION)}
    for row in report["comparisons"]:
        row["in_plan"] = row["medium"] == "Seed starter mix"
        row["not_counted"] = ["seed", "time"]
        row["at_the_till"]["trips"] = 4.5
    return report


def order(name, item):
    """The report on an order of one member."""
    amounts = {"taken": 12.5, "needed": 10.0, "short_by": 0.0, "left_over": 2.5, "measure": "L"}
    member = {"name": name, "pays": 5.0, "alone": 6.0, "besides": 0.5, "saving": 0.5, "goods": 3.0}
    member |= {"trips": 2.0, "items": [{"item": item} | amounts]}
    bag = {"item": item, "size": 12.5, "unit": "L", "count": 12, "paid": 5.0}
    store = {"store": "Lane", "subtotal": 5.0, "trip_cost": 0.0, "items": [bag]}
    said = {"sentence": f"{name} keeps {item}: it costs 0.25 EUR more."}
    report = {"currency": "EUR", "members": [member], "stores": [store], "total": 5.0}
    report |= {"plan": [{"member": name, "crop": item, "medium": item}], "recommendation": {}}
    report |= {"insists": [said], "better_alone": [said], "split": said}
    return report | {"why_not": None, "notices": []}


def test_the_recommendation_comes_first(comparison):
    lines = comparison_lines(SCENARIO, comparison)
    first = recommendation_text(comparison).splitlines()

    assert lines[: len(first) + 2] == [SCENARIO.title, "", *first]
    assert first == [
        "Buy 1 bag of Seed starter mix.",
        "tomato: Seed starter mix, 77 cells, 77 seeds, 6 feedings; 0.205 USD each, as used",
        "lettuce: Seed starter mix, 156 cells, 156 seeds; 0.074 USD each, as used",
        "marigold: nothing bought. It stalls in week 3 of 7.",
        "To pay 16.20 USD in all",
        "With all that is not bought in packages 39.97 USD in all, 0.175 USD each ready seedling",
        "Not counted: seed, time",
        "From 105 on the big bag pays.",
    ]


def test_a_plan_that_is_not_proven_says_so(comparison):
    comparison["recommendation"] |= {"proven": False, "at_least": 38.5}

    assert (
        "It is not proven that no other plan costs less. None comes below 38.50 USD, leftovers off."
        in comparison_lines(SCENARIO, comparison)
    )


def test_leftovers_that_count_are_taken_off(comparison):
    comparison["recommendation"] |= {"weighed_cost": 31.07}

    assert "Less what is left over, as far as it counts: 31.07 USD" in recommendation_text(
        comparison
    )


@pytest.mark.parametrize("key", ["sowings", "media"])
def test_where_there_is_nothing_to_compare_there_is_still_an_answer(key):
    nothing = read(DEMO | {key: []})

    assert comparison_lines(nothing, compare(nothing), 60)[0] == nothing.title
    assert "To pay 0.00 USD in all" in shopping_lines(nothing, shop(nothing), 60)


def test_a_report_whose_plan_is_not_there_yet_is_printed_without():
    report = compared(SCENARIO)

    assert recommendation_text(report) == ""
    assert comparison_lines(SCENARIO, report)[1:3] == ["", "tomato: 60 wanted"]
    assert not any("*" in line for line in comparison_lines(SCENARIO, report))


def test_the_mixes_in_the_plan_are_marked(comparison):
    lines = comparison_lines(SCENARIO, comparison)

    marked = [line for line in lines if line.startswith("* ")]
    assert len(marked) == 6 and all(line.startswith("* Seed starter mix ") for line in marked)
    assert sum(line.startswith("  Bulk potting mix ") for line in lines) == 6
    assert "*: the mix that the plan chooses." in lines


def test_each_and_in_all_stand_in_tables_of_their_own(comparison):
    lines = comparison_lines(SCENARIO, comparison)
    each = lines.index("USD each, as used")
    in_all = lines.index("USD in all, at the till, for 60")

    assert lines[each + 1].split() == ["medium", "total", "mix", "feed", "seed", "tray", "power"]
    assert lines[in_all + 1].split()[1:] == ["cells", "seeds", "L", "mix", "pay", "trips", "left"]
    row = comparison["comparisons"][0]
    assert lines[each + 2].split()[-6:-5] == [f"{row['as_used']['total']:.3f}"]
    worth = sum(left["worth"] for left in row["at_the_till"]["left_over"])
    assert lines[in_all + 2].split()[-3:] == [
        f"{row['at_the_till']['paid']:.2f}", "4.50", f"{worth:.2f}"
    ]  # fmt: skip


def test_what_is_not_counted_stands_below_every_sum(comparison):
    comparison["comparisons"][0]["not_counted"] = ["feed", "seed", "time"]
    lines = comparison_lines(SCENARIO, comparison)

    assert lines.count("Not counted: seed, time") == 3  # the plan's, lettuce's and marigold's
    assert "Not counted with Seed starter mix: feed, seed, time" in lines
    assert "Not counted with Bulk potting mix, Home blend: seed, time" in lines

    lines = shopping_lines(SCENARIO, SHOPPING | {"recommendation": RECOMMENDATION})
    assert lines.count("Not counted: seed, time") == 2
    sums = [i for i, line in enumerate(lines) if line.startswith("With all")]
    assert [lines[i + 1] for i in sums] == ["Not counted: seed, time"] * 2
    assert pool_lines(order("Ann", "Mix") | {"recommendation": {"not_counted": ["tray"]}}).count(
        "Not counted: tray"
    ) == 2  # fmt: skip


def long_names(text):
    """The demo's document with names of 120 signs."""
    renamed = DEMO | {"media": [], "sowings": []}
    for medium in DEMO["media"]:
        renamed["media"].append(medium | {"name": f"{medium['name']} {text}"[:120]})
    for sowing in DEMO["sowings"]:
        renamed["sowings"].append(sowing | {"crop": f"{sowing['crop']} {text}"[:120]})
    return read(renamed)


@pytest.mark.parametrize(
    "name", ["with bark and clay, from the large bag " * 4, "x" * 200, "細かい種まき用土" * 20, ""]
)
def test_no_line_is_wider_than_the_terminal(name):
    scenario = long_names(name)
    report, bill = compare(scenario), shop(scenario)

    for columns in (60, 61, 72, 80, 100, 133):
        for lines in (
            comparison_lines(scenario, report, columns),
            shopping_lines(scenario, bill, columns),
            pool_lines(order("Ann " + name, "Mix " + name), columns),
        ):
            assert max(map(width, lines)) <= columns


def test_figures_that_do_not_fit_go_into_a_table_of_their_own():
    heads = ["mix", *(f"figure {number}" for number in range(8))]
    rows = [["Fine mix", *(f"{number}.25" for number in range(8))]]
    lines = table(heads, rows, 60)

    assert [line.split()[0] for line in lines] == ["mix", "Fine", "mix", "Fine"]
    assert sum(line.count(".25") for line in lines) == 8
    assert max(map(width, lines)) <= 60
    assert table(heads, rows) == table(heads, rows, 1000)
    assert len(table(heads, rows)) == 2


def test_a_name_keeps_twelve_columns_beside_figures():
    one = table(["mix", *["f" * 10] * 4], [["Seed starter mix", *"1234"]], 60)
    two = table(["m" * 20, "n" * 20, *["f" * 10] * 3], [["mix", "crop", *"123"]], 60, names=2)

    # 12 and four times 2 + 10 are 60; two names are 12 + 2 + 12, and two figures fit beside them
    assert one[:2] == [
        "mix" + 9 * " " + 4 * ("  " + "f" * 10),
        "Seed starter" + "".join(f"{figure:>12}" for figure in "1234"),
    ]
    assert two[0] == "m" * 12 + "  " + "n" * 12 + 2 * ("  " + "f" * 10)


def test_a_long_name_goes_on_below_its_figures():
    name = "a mix whose name is longer than the line has any room for beside its figures"
    lines = table(["mix", "each"], [[name, "0.25"], ["Bark", "2.00"]], 60)

    assert lines[1].endswith("0.25") and width(lines[1]) == 60
    assert lines[2].startswith("    ")
    assert " ".join([lines[1][:54].strip(), lines[2].strip()]) == name
    assert lines[3].startswith("Bark ") and lines[3].endswith(" 2.00")


def test_lines_are_folded_between_words():
    sentence = "For tomato, Bulk potting mix costs least as used. " * 4
    lines = folded([sentence.strip()], 60)

    assert " ".join(lines) == sentence.strip()
    assert all(40 < width(line) <= 60 for line in lines[:-1])
    assert folded([sentence]) == [sentence]
    assert folded(["x" * 130], 20) == ["x" * 60, "x" * 60, "x" * 10]


def test_a_thousand_grams_left_over_are_written_out():
    left = {"item": "Feed", "measure": "g", "worth": 9.0}
    report = SHOPPING | {"left_over": [left | {"amount": 1000.4}, left | {"amount": 2.345}]}

    lines = shopping_lines(SCENARIO, report)
    assert "Left over: 1000 g of Feed, worth 9.00 USD" in lines
    assert "Left over: 2.35 g of Feed, worth 9.00 USD" in lines
