"""Questions before a bag is bought or opened."""

import re
from html import unescape

import pytest

from pennyflat.buying.highs import solve
from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.trial import Uptake
from pennyflat.trade import facts as tables
from pennyflat.trade.bag import aged, hard_to_wet, minutes_to_wet, promises, side_by_side
from pennyflat.trade.facts import default
from pennyflat.trials.report import trial_report
from pennyflat.units import to_customary
from pennyflat_display import places
from view import Page
from work.shelf import label_of
from work.state import Work

PRACTICE = tables.facts("practice")


@pytest.mark.against("nist-hb44")
@pytest.mark.parametrize(
    ("printed", "price", "litres"),
    [
        # NIST Handbook 44, Appendix C: dry quart 67.200625 in3, cubic foot 1728 in3, of
        # 16.387064 mL
        ("8 quarts", 5.9, 8 * 67.200625 * 16.387064e-3),
        ("1.5 cu ft", 9.0, 1.5 * 1728 * 16.387064e-3),
        ("50 L", 12.0, 50.0),
    ],
)
def test_a_quart_of_two_bags_by_their_labels(printed, price, litres):
    found = side_by_side((printed, price), ("25 litres", 10.9))

    assert found.litres == pytest.approx((litres, 25))
    quarts = [to_customary(price, "price_of_mix") for price in found.per_litre]
    assert quarts == pytest.approx([price / litres * 1.101220942715, 10.9 / 25 * 1.101220942715])


def test_which_bag_is_cheaper_is_said_by_its_place_and_quarts_are_told():
    first = side_by_side(("50 L", 10), ("8 quarts", 5))
    second = side_by_side(("8 quarts", 5), ("50 L", 10))

    # 1 - 0.2 / (5 / 8.80977), by hand
    assert first.says == "The first bag costs 65 % less for the same volume."
    assert second.says == "The second bag costs 65 % less for the same volume."
    assert side_by_side(("10 L", 5), ("20 L", 10)).says.startswith("Both bags cost the same")
    assert "dry quarts" in first.notices[0]


def test_side_by_side_a_bag_costs_what_it_does_on_the_shelf():
    found = side_by_side(("8 quarts", 5.0), ("1,5 cu ft", 9.0), tax=0.2, decimal_mark=",")
    shelf = [("qt_dry", 8, 5.0), ("cu_ft", 1.5, 9.0)]

    assert list(found.per_litre) == [
        label_of({"size": size, "unit": unit, "price": price}, "L", 0.2).price
        for unit, size, price in shelf
    ]


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("5 kg", "is not a volume"),
        ("big", "is not a volume"),
        ("0 L", "is not a size"),
        ("12", "has no unit"),
    ],
)
def test_what_is_no_volume_cannot_be_compared(printed, said):
    with pytest.raises(ValueError, match=f"^“{printed}” {said}"):
        side_by_side((printed, 5), ("50 L", 10))


@pytest.mark.parametrize(
    ("months", "share"), [(0, 1), (6, 1), (15, 0.5), (24, 0), (40, 0), (10.5, 0.75)]
)
def test_age_takes_from_the_charge_by_the_practice_rows(months, share):
    # 6 to 24 months in the table: evenly between, by hand
    charge, *agent = aged(PRACTICE, months, 4)

    assert charge.gaps.get("weeks", 4.0) == pytest.approx(4 * share)
    assert [("spent" in line, "fading" in line) for line in agent] == (
        [] if share == 1 else [(share == 0, share > 0)]
    )
    assert all("common practice" in line for line in (charge, *agent))


def test_that_a_bag_ages_is_common_practice():
    for fades in ("charge_fades", "agent_fades"):
        assert default(PRACTICE, "potting mix", fades).kind == "common practice"


def test_of_a_fresh_bag_only_its_charge_is_told():
    (said,) = aged(PRACTICE, 3, 4)

    assert str(said).startswith("At 3 months its own fertiliser counts as fresh")


@pytest.mark.parametrize(
    ("front", "listed", "said"),
    [
        ("Feeds up to 6 months", "peat, perlite", ["no fertiliser with its analysis"]),
        ("Feeds up to 6 months", "peat, fertilizer 0.21-0.11-0.16", []),
        ("Easy to water", "peat moss, lime", ["no wetting agent"]),
        ("Easy to water", "peat moss, yucca extract", []),
        ("Seed starting mix", "bark, peat", ["does not say sieved"]),
        ("Seed starting mix", "screened bark, peat", []),
        ("Potting mix", "bark", []),
    ],
)
def test_promises_are_held_to_the_list(front, listed, said):
    found = promises(front, listed)

    assert len(found) == len(said)
    assert all(words in line for words, line in zip(said, found, strict=True))


def test_time_to_be_half_wet_is_read_between_looks():
    # half of 80 is 40: at minute 10 by the straight line from (5, 20) to (15, 60)
    assert minutes_to_wet([Uptake(5, 20), Uptake(15, 60), Uptake(60, 80)]) == 10
    assert minutes_to_wet([Uptake(0, 0), Uptake(8, 80)]) == 4
    assert minutes_to_wet([Uptake(6, 1)]) == 3  # a little is something
    assert minutes_to_wet([]) is None and minutes_to_wet([Uptake(4, 0)]) is None


def test_only_a_mix_that_takes_three_times_as_long_is_hard_to_wet():
    assert list(hard_to_wet({"A": 4.0, "B": 11.9, "C": 12.0})) == ["C"]
    assert hard_to_wet({"A": 90.0}) == {} == hard_to_wet({})


def test_the_trial_report_names_what_is_hard_to_wet():
    def pot(mix, minute):
        water = [{"minute": minute, "ml": 40}, {"minute": 4 * minute, "ml": 80}]
        return {"medium": mix, "crop": "tomato", "sown": 5, "water": water}

    trials = [pot("Seed starter mix", 3), pot("Bulk potting mix", 30)]
    (crop,) = trial_report(read(DEMO | {"trials": trials}))["crops"]
    fresh, old = crop["mixes"]

    assert (fresh["wet_half_minutes"], old["wet_half_minutes"]) == (3, 30)
    assert fresh["hard_to_wet"] is None
    assert old["hard_to_wet"].startswith("Bulk potting mix takes 30 minutes to be half wet")


def test_labels_have_rows_that_say_what_to_look_for():
    subjects = {row["subject"] for row in tables.rows("bag_checks")}

    assert {"fertiliser named", "wetting agent named", "sieved or not"} <= subjects


# ---- On the page


def asked(card, **typed):
    """What a card says once these were typed, as plain words."""
    work = Work(solve=solve)
    work.handle({"do": "more"})
    work.handle({"do": "open", "text": card})
    for key, words in typed.items():
        work.handle({"do": "type", "path": f"lookup.{key}", "text": words})
    shown = Page().all(work)
    words = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", shown[card]))
    return unescape(words), work, shown


BAGS = {"size_a": "16 quarts", "price_a": "9.80", "size_b": "2 cu ft", "price_b": "14.50"}


@pytest.mark.parametrize("units", [places.METRIC, places.US])
def test_two_bags_are_compared_at_the_price_that_the_shelf_says(units, plain_again):
    """The example's 16 quarts at 9.80: one answer, in whichever units they are read."""
    places.measure_in(units)
    said, work, shown = asked("two", **BAGS)

    assert work.document["media"][0]["packages"][1]["price"] == 9.8
    assert "The second bag costs 54 % less for the same volume." in said
    price = re.search(r"First bag: [\d.]+ [^,]+, (.+?)\. Second bag", said)[1]
    assert price in shown["mix-0-packages"]
    assert ("a litre" if units == places.METRIC else "a dry quart") in price


def test_two_bags_wait_for_both_and_refuse_a_weight():
    assert "First bag: 1" not in asked("two", **BAGS | {"price_b": ""})[0]
    assert "“5 kg” is not a volume" in asked("two", **BAGS | {"size_b": "5 kg"})[0]
    assert "“cheap”" in asked("two", **BAGS | {"price_b": "cheap"})[0]


def test_a_label_is_held_to_its_list_on_the_page():
    front = {"front": "Feeds for 3 months"}

    assert "names no fertiliser" in asked("label", **front, listed="peat, lime")[0]
    assert "No promise of food" in asked("label", **front, listed="peat, 0.1-0.05-0.05")[0]
    assert "fertiliser" not in asked("label", **front)[0]


def test_age_is_told_of_the_mix_chosen_and_marked_as_common_practice():
    # the middle of 6 and 24 months: half of the example's 6 weeks
    said, *_ = asked("age", bag="Bulk potting mix", months="15")

    assert "feed for 3.0 weeks, not 6.0 (common practice)" in said
    assert "whole up to 6 months and as gone after 24 (common practice, no source)" in said


@pytest.mark.parametrize(
    ("wet", "other", "said"),
    [
        ("30", "4", "Seed starter mix takes 30 minutes to be half wet, the other mix 4"),
        ("4", "30", "the other mix takes 30 minutes to be half wet, Seed starter mix 4"),
        ("8", "4", "Neither is hard to wet"),
    ],
)
def test_a_mix_that_is_hard_to_wet_is_told_on_the_page(wet, other, said):
    assert said in asked("age", bag="Seed starter mix", wet=wet, other_wet=other)[0]
