"""The shopping list on the page: what `pennyflat.shop` says, ticks that stay, prices typed in."""

import re
from datetime import date

import pytest

from pennyflat.buying.highs import solve
from pennyflat.buying.shopping import shop
from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.bag_sizes import big_bag, next_year
from pennyflat.demo import DEMO
from pennyflat.growing.lean_mixes import remedies_compared
from pennyflat.scenario.document import read
from pennyflat_display.money import amount, currency_of, each
from reader.words import text
from share.handout import handout
from view import Charts, Page
from work import errand
from work.errand import QUESTIONS
from work.state import Work

USD = currency_of("USD")


@pytest.fixture
def work():
    work = Work(solve=solve)
    work.handle({"do": "more"})
    return work


def typed(work, path, text):
    work.handle({"do": "type", "path": path, "text": text})
    work.handle({"do": "more"})


def tick(work, line, count=None):
    message = {"do": "tick", "line": line.key, "count": count or line.count, "text": "yes"}
    work.handle(message)


def plain(html):
    """The text of some HTML, blanks run together."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html)).strip()


def shown(work):
    """Fragment id to text."""
    return {name: plain(html) for name, html in Page().all(work).items()}


def test_the_list_is_that_of_the_model_shop_by_shop(work):
    bill = shop(read(work.answered))
    page = Page().all(work)

    for store in bill["stores"]:
        assert store["store"] in page["errand-list"]
        for item in store["items"]:
            line = f"{item['count']} × {item['item']}"
            assert line in plain(page["errand-list"])
            assert amount(item["paid"], USD) in page["errand-list"]
    assert page["errand-list"].count('class="line"') == sum(len(s["items"]) for s in bill["stores"])
    assert f"To pay {amount(bill['total'], USD)}" in plain(page["errand-sums"])
    assert amount(bill["with_the_rest"], USD) in page["errand-sums"]
    for left in bill["left_over"]:
        assert f"worth {amount(left['worth'], USD)}" in page["errand-sums"]
    for row in bill["plan"]:
        assert f"{row['crop']} {row['medium']}" in plain(page["verdicts"])


def test_trips_are_listed_where_they_are_paid(work):
    for i in range(3):
        typed(work, f"sowings[{i}].medium", "Bulk potting mix")

    page = shown(work)
    assert "the trip $2.00" in page["errand-list"]
    assert "Trips $2.00" in page["errand-sums"]
    assert page["verdicts"].count("Your own choice.") == 3


def test_a_price_typed_at_its_line_is_that_of_the_package_and_changes_the_total(work):
    field = re.search(
        r'Seed starter mix, 16 qt.*?data-path="([^"]+)"', Page().all(work)["errand-list"], re.S
    )
    before = work.errand.bill["total"]

    typed(work, field[1], "9,30")

    assert field[1] == "media[0].packages[1].price"
    assert work.document["media"][0]["packages"][1]["price"] == 9.3
    assert work.errand.bill["total"] == pytest.approx(before - 0.5)
    assert f"To pay {amount(before - 0.5, USD)}" in shown(work)["errand-sums"]


def test_where_there_is_tax_the_price_to_type_is_said_to_be_without(work):
    typed(work, "tax", "19")

    said = shown(work)["errand-list"]
    assert f"{amount(work.errand.bill['stores'][0]['items'][0]['paid'], USD)} New price" in said
    assert "New price without tax ($)" in said and 'value="9.80"' in Page().all(work)["errand-list"]


def test_a_wrong_price_is_marked_at_its_line_and_the_list_stays(work):
    bill = work.errand.bill

    typed(work, "media[0].packages[1].price", "lots")

    html = Page().all(work)["errand-list"]
    assert 'value="lots"' in html and 'aria-invalid="true"' in html
    assert "“lots” is not a number" in html
    assert work.errand.bill is bill
    assert "last complete entries" in shown(work)["errand-standing"]


def test_ticks_stay_after_an_edit_and_go_when_the_count_changes(work):
    first, second, *others = errand.lines(work.errand.bill)
    tick(work, first)
    tick(work, second)
    assert f"2 of {2 + len(others)} in the cart" in shown(work)["errand-list"]

    typed(work, "media[0].packages[1].price", "9.7")
    typed(work, "sowings[0].wanted", "61")
    assert Page().all(work)["errand-list"].count(" checked") == 2

    typed(work, "sowings[1].wanted", "900")
    counts = {line.key: line.count for line in errand.lines(work.errand.bill)}
    assert counts.get(first.key) != first.count
    assert work.errand.ticks == {second.key: 1}


def test_a_tick_can_be_taken_back(work):
    line = errand.lines(work.errand.bill)[0]
    tick(work, line)
    work.handle({"do": "tick", "line": line.key, "count": 1, "text": ""})

    assert work.errand.ticks == {}


def test_ticks_made_before_the_first_list_count_once_it_is_there(work):
    line = errand.lines(work.errand.bill)[0]
    early = Work(solve=solve)
    tick(early, line)
    early.handle({"do": "tick", "line": "something else", "count": 3, "text": "yes"})
    early.handle({"do": "more"})

    assert early.errand.ticks == {line.key: line.count}


def test_by_how_much_the_budget_is_missed_is_said(work):
    assert "Within the budget of $60.00." in shown(work)["errand-sums"]

    typed(work, "budget", "12")

    over = work.errand.bill["over_budget_by"]
    assert over == pytest.approx(work.errand.bill["total"] - 12)
    assert f"Over the budget of $12.00 by {amount(over, USD)}." in shown(work)["errand-sums"]
    typed(work, "budget", "")
    assert "budget" not in shown(work)["errand-sums"]


def test_what_limits_leave_short_is_said(work):
    for i in range(3):
        typed(work, f"sowings[{i}].medium", "Bulk potting mix")
    typed(work, "sowings[0].wanted", "2000")
    typed(work, "media[1].packages[0].limit", "1")

    (lack,) = work.errand.bill["unmet"]
    assert lack["item"] == "Bulk potting mix"
    said = shown(work)["errand-sums"]
    assert f"Bulk potting mix: {lack['short_by']:.0f} L cannot be had" in said


def test_a_crop_that_nothing_gets_ready_is_not_planned_and_says_why(work):
    typed(work, "sowings[0].remedy", "none")
    typed(work, "sowings[0].weeks", "12")

    row = work.errand.bill["plan"][0]
    assert row["medium"] is None
    assert row["why_not"] in shown(work)["verdicts"]


def test_where_nothing_gets_ready_there_is_no_list_no_sum_and_nothing_is_said_to_be_at_home(work):
    for i in range(len(work.document["sowings"])):
        typed(work, f"sowings[{i}].remedy", "none")
        typed(work, f"sowings[{i}].weeks", "12")

    said = shown(work)
    assert plain(said["advice"]).endswith(
        "Every mix runs out of feed: there is nothing to buy yet."
    )
    assert [said[name] for name in ("errand-list", "errand-sums", "turns")] == ["", "", ""]
    sheet = plain(handout(work, (None, "", None), date(2027, 2, 1)))
    assert "Every mix runs out of feed" in sheet
    assert "at home" not in sheet and "To pay" not in sheet
    typed(work, "sowings[0].wanted", "")
    said = shown(work)
    assert [said[name] for name in ("errand-list", "errand-sums")] == ["", ""]


def test_a_mix_in_which_nothing_comes_up_is_not_said_to_run_out_of_feed():
    medium = DEMO["media"][0] | {"emergence": {"tomato": 0}}
    one = DEMO | {"media": [medium], "ingredients": [], "sowings": DEMO["sowings"][:1]}
    work = Work(document=one, solve=solve)
    work.catch_up()

    said = shown(work)
    assert "No mix here brings a crop to transplanting" in said["bar"]
    assert "No seed of tomato comes up in Seed starter mix" in said["verdicts"]
    assert "runs out" not in said["bar"] + said["advice"] + said["verdicts"]


def test_where_the_mix_chosen_stalls_the_headline_says_so_and_not_that_all_do():
    sowing = DEMO["sowings"][0] | {"remedy": "none", "medium": "Seed starter mix"}
    work = Work(document=DEMO | {"sowings": [sowing]}, solve=solve)
    work.catch_up()

    said = work.errand.bill["recommendation"]["sentence"]
    assert said == "The mix chosen brings no crop to transplanting: choose another."
    assert work.report["verdicts"][0]["cheapest"]


def test_a_currency_without_coins_has_none_in_sentences_either(work):
    typed(work, "currency", "JPY")

    turns = shown(work)["turns"]
    assert "¥" in turns and not re.search(r"¥[0-9,]+\.[0-9]{2}", turns)


def test_the_list_is_worked_out_only_when_asked_and_only_when_something_changed():
    work, page = Work(solve=solve), Page()
    assert work.errand.bill is None and work.more
    assert "errand-list" not in page.all(work)

    work.handle({"do": "more"})
    assert not work.more and "errand-list" in page.changed(work)
    work.handle({"do": "type", "path": "title", "text": "Another name"})
    assert work.errand.left(work.scenario) != "plan"
    work.handle({"do": "type", "path": "media[0].packages[1].price", "text": "9.9"})
    assert work.more
    assert "Working out" in plain(page.changed(work)["errand-standing"])


def test_an_empty_start_has_no_list_and_forgets_the_ticks(work):
    tick(work, errand.lines(work.errand.bill)[0])
    work.handle({"do": "empty"})

    assert not work.more and work.errand.ticks == {}
    assert not [name for name, said in shown(work).items() if name.startswith("errand") and said]


def test_two_packages_with_the_same_label_keep_their_own_price_fields(work):
    work.handle({"do": "add", "path": "media[0].packages"})
    row = work.document["media"][0]["packages"][0]
    for key in ("size", "unit", "price", "store"):
        typed(work, f"media[0].packages[2].{key}", str(row[key]))
    for i in (0, 2):
        typed(work, f"media[0].packages[{i}].price", "3")
        typed(work, f"media[0].packages[{i}].limit", "1")

    keys = [line.key for line in errand.lines(work.errand.bill)]
    paths = re.findall(r'data-path="([^"]+)"', Page().all(work)["errand-list"])
    assert len(set(keys)) == len(keys) and len(set(paths)) == len(paths) == len(keys)


def test_seed_sold_by_weight_has_a_price_field_too(work):
    packet = "sowings[0].seed_packets[0]"
    for key, value in (("seeds", ""), ("grams", "1"), ("seeds_per_gram", "800")):
        typed(work, f"{packet}.{key}", value)

    assert f'data-path="{packet}.price"' in Page().all(work)["errand-list"]


def test_a_tray_is_listed_by_its_name_alone(work):
    typed(work, "trays[0].name", "72-cell tray")
    typed(work, "trays[0].have", "0")
    typed(work, "trays[0].store", "Corner shop")

    said = shown(work)
    assert re.search(r"\d × 72-cell tray \$", said["errand-list"])
    assert "New price ($) : 72-cell tray" in said["errand-list"]
    assert not re.search("tray,? tray", " ".join(said.values()))


def test_html_in_names_is_shown_as_text_in_the_list(work):
    typed(work, "media[0].name", '<img src=x onerror="alert(1)">')
    typed(work, "stores[0].name", "<script>")

    html = "".join(Page().all(work).values())
    assert "<img" not in html and "<script" not in html


def asked(work, *names):
    for name in names:
        work.handle({"do": "ask", "question": name, "text": "yes"})


def test_a_question_is_answered_when_opened_and_forgotten_when_shut(work):
    assert "Being worked out" in shown(work)["ask-bags"]

    asked(work, "bags")
    assert not work.more
    assert "3 × 16 qt (dry) at Corner shop $0.492" in shown(work)["ask-bags"]
    work.handle({"do": "ask", "question": "bags", "text": ""})
    assert work.errand.answers == {}
    work.handle({"do": "ask", "question": "no such question", "text": "yes"})
    assert work.errand.opened == []


def test_open_questions_follow_edits_and_the_crop_looked_at(work):
    asked(work, "matters")
    assert "tomato" in shown(work)["ask-matters"]

    work.handle({"do": "show", "row": 1})
    assert work.more
    work.handle({"do": "more"})
    assert "lettuce" in shown(work)["ask-matters"] and "tomato" not in shown(work)["ask-matters"]
    assert "Worked out for lettuce." in shown(work)["ask-crop"]

    before = shown(work)["ask-matters"]
    typed(work, "energy.tariff", "0.5")
    assert shown(work)["ask-matters"] != before and not work.more


def test_a_question_opened_before_there_is_a_list_waits_for_it():
    work = Work(solve=solve)
    asked(work, "bags", "matters")
    assert work.more and work.errand.answers == {}

    work.handle({"do": "more"})
    assert set(work.errand.answers) == {"bags", "matters"}


def test_the_break_even_and_the_leftover_are_those_of_the_model(work):
    asked(work, "bags")
    said = shown(work)["ask-bags"]
    demo = work.scenario
    found = big_bag(demo, demo.sowings[0], demo.medium("Seed starter mix"))

    first, last = found.wins[0]
    assert f"comes to less at the till from {first} to {last} seedlings." in said
    assert "$26.00 now instead of $5.90" in said and "it does not pay." in said
    typed(work, "media[0].next_year_share", "100")
    typed(work, "media[0].keeps_seasons", "6")
    year = next_year(work.scenario, work.scenario.media[0], litres_of(work, "Seed starter mix"))
    verb = "it pays" if year.pays else "it does not pay"
    totals = "{1} in all, against {0}".format(*(amount(m, USD) for m in year.over_the_years))
    assert f"Over 7 seasons {verb}: {totals}" in shown(work)["ask-bags"]


def litres_of(work, medium):
    rows = work.report["comparisons"]
    return next(row["medium_litres"] for row in rows if row["medium"] == medium)


def test_what_matters_is_told_in_a_table_and_drawn_as_it_is(work):
    asked(work, "matters")
    shown_there = Charts().news(work)
    demo = work.scenario
    planned = demo.medium(work.errand.bill["plan"][0]["medium"])
    found = what_matters(demo, demo.sowings[0], planned)

    said = shown(work)["ask-matters"]
    places = [said.index(text(f"matters.{s.name}") + ":") for s in found.swings]
    assert places == sorted(places)
    low, high = (shown_there[f"chart-swings {side}"]["data"] for side in ("low", "high"))
    assert low["to"][0] == pytest.approx(found.swings[0].each_low)
    assert high["from"][0] == pytest.approx(found.swings[0].each_high)
    for swing in found.swings:
        assert each(swing.each_low, USD) in said and each(swing.each_high, USD) in said
        assert swing.basis in said


def test_an_assumption_that_would_stall_the_seedlings_is_drawn_as_words(work):
    typed(work, "sowings[0].remedy", "none")
    typed(work, "sowings[0].weeks", "6")
    asked(work, "matters")

    notes = Charts().news(work)["chart-swings stalls"]["data"]["note"]
    assert "not ready at 7 weeks" in notes
    assert "at 7 weeks no seedling is ready." in shown(work)["ask-matters"]


def test_remedies_are_those_of_the_model(work):
    asked(work, "remedies")
    demo = work.scenario
    compared = remedies_compared(demo, demo.sowings[0], demo.media[0])

    page = shown(work)
    for remedy in compared.remedies:
        assert (remedy.why_not or each(remedy.each, USD)) in page["ask-remedies"]


@pytest.mark.parametrize("path, typed_text", [
    ("sowings[0].germination", "1"), ("sowings[0].weeks", "40"),
    ("feed.packages[0].limit", "1"),
    ("media[0].packages[0].price", "0"), ("sowings[0].wanted", "1"), ("tax", "19"),
    ("media[1].packages[0].limit", "0"), ("assurance", "expected"), ("currency", "JPY"),
])  # fmt: skip
def test_every_question_has_an_answer_for_odd_entries(work, path, typed_text):
    asked(work, *QUESTIONS)
    typed(work, "sowings[0].remedy", "none" if path.endswith("weeks") else "feed")
    typed(work, path, typed_text)

    assert work.is_current and not work.more
    for name in QUESTIONS:
        assert len(shown(work)[f"ask-{name}"]) > 20, name


def test_what_is_only_missing_is_not_called_wrong(work):
    work.handle({"do": "add", "path": "sowings"})
    assert "Fill in the needed fields" in shown(work)["bar"]

    typed(work, "sowings[3].wanted", "many")
    assert "Some entries need correcting" in shown(work)["bar"]


def test_what_only_some_crops_lack_is_not_counted_for_these(work):
    typed(work, "sowings[1].tray", "")

    assert "Not counted: time and tray (lettuce)." in shown(work)["advice"]
