"""Questions before a bag is bought or opened."""

import pytest

from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.scenario.trial import Uptake
from pennyflat.trade.bag import aged, hard_to_wet, minutes_to_wet, promises, side_by_side
from pennyflat.trials.report import trial_report
from reader import tables

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
    found = side_by_side((printed, price), ("25 litres", 10.9), "EUR")

    assert found.litres == pytest.approx((litres, 25))
    assert found.per_quart[0] == pytest.approx(price / litres * 1.101220942715)
    assert found.per_quart[1] == pytest.approx(10.9 / 25 * 1.101220942715)


def test_which_bag_is_cheaper_is_said_by_its_place_and_quarts_are_told():
    first = side_by_side(("50 L", 10), ("8 quarts", 5), "EUR")
    second = side_by_side(("8 quarts", 5), ("50 L", 10), "EUR")
    equal = side_by_side(("10 L", 5), ("20 L", 10), "EUR")

    assert first.says.startswith("The first bag is cheaper by the quart: 0.220 EUR against 0.625")
    assert first.says.endswith(", 65 % less.")  # 1 - 0.2202 / 0.625, by hand
    assert second.says.startswith("The second bag is cheaper")
    assert equal.says == "Both bags cost 0.551 EUR a quart."
    assert "dry quarts" in first.notices[0]


@pytest.mark.parametrize("printed", ["5 kg", "big", "0 L", "12"])
def test_what_is_no_volume_cannot_be_compared(printed):
    with pytest.raises(ValueError, match="is no volume"):
        side_by_side((printed, 5), ("50 L", 10), "EUR")


@pytest.mark.parametrize(
    ("months", "share"), [(0, 1), (6, 1), (15, 0.5), (24, 0), (40, 0), (10.5, 0.75)]
)
def test_age_takes_from_the_charge_by_the_practice_rows(months, share):
    # 6 to 24 months in the table: evenly between, by hand
    found = aged(PRACTICE, months, 4)

    assert found.charge_share == found.agent_share == pytest.approx(share)
    assert found.feeds_for_weeks == pytest.approx(4 * share)
    assert all("common practice" in line for line in found.says)
    assert {fact.kind for fact in found.facts} == {"common practice"}


def test_age_must_be_one_and_needs_its_rows():
    with pytest.raises(ValueError, match="months must be at least 0"):
        aged(PRACTICE, -1, 4)
    with pytest.raises(ValueError, match="facts must have the months"):
        aged([], 1, 4)


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
