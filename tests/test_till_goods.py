"""Seed in packets, trays at home, towels, counts and survival by mix, worked out by hand."""

import math
from dataclasses import replace

import pytest
from scipy.stats import betabinom, binom

from pennyflat.buying.highs import solve
from pennyflat.buying.needs import needs_of, whole_trays
from pennyflat.buying.plan import Planner, run
from pennyflat.comparing.report import compared
from pennyflat.growing.cost import requirement, seed_price, tray_price
from pennyflat.scenario.document import check, write
from pennyflat.scenario.package import Deal, Package
from pennyflat.scenario.records import (
    Counts,
    Medium,
    PotOn,
    Scenario,
    SeedPacket,
    Sowing,
    Store,
    Tray,
)

MIX = Medium("Mix", 9, fill_loss=0.0, packages=(Package("Lane", 10, "L", 5.0),))


def scenario_of(*sowings, media=(MIX,), **more):
    given = {"tax": 0.0, "assurance": 0.9} | more
    return Scenario(
        format="seedling-costs/2", title="", currency="EUR",
        stores=(Store("Lane"), Store("Depot", 3.0)), media=media, ingredients=(),
        sowings=sowings, **given,
    )  # fmt: skip


def leek(**more):
    return Sowing(**{"crop": "leek", "wanted": 50, "cell_ml": 20.0, "weeks": 6, "germination": 0.8}
                  | more)  # fmt: skip


def row_of(scenario):
    return compared(scenario)["comparisons"][0]


def bought(row):
    return {line["item"]: (line["count"], line["paid"]) for line in row["at_the_till"]["packages"]}


# Seed


def test_seed_is_bought_in_packets_and_costs_the_lowest_price_of_one():
    packets = (SeedPacket("Lane", 3.0, 50), SeedPacket("Lane", 4.0, 100))
    row = row_of(scenario_of(leek(seed_packets=packets)))

    # By hand: 68 cells (the fewest with P[Binomial(n, 0.8) >= 50] >= 0.9); 100 seeds at 4.00 cost
    # less than 50 twice; as used 0.04 each.
    assert binom.sf(49, 67, 0.8) < 0.9 <= binom.sf(49, 68, 0.8)
    assert (row["cells"], row["seeds"]) == (68, 68)
    assert bought(row) == {"Mix": (1, 5.0), "seed of leek": (1, 4.0)}
    assert row["as_used"]["seed"] == pytest.approx(0.04 / 0.8)
    assert row["not_counted"] == ["tray", "light and heat", "time"]


def test_packets_by_weight_hold_whole_seeds():
    packet = SeedPacket("Lane", 2.0, grams=0.25, seeds_per_gram=301.0)

    assert (packet.package.size, packet.package.unit) == (75, "seeds")
    assert seed_price(leek(seed_packets=(packet,)), 0.1) == pytest.approx(2.2 / 75)


def test_a_packet_is_given_by_seeds_or_by_weight():
    document = write(scenario_of(leek(seed_packets=(SeedPacket("Lane", 2.0, 50),))))
    (packet,) = document["sowings"][0]["seed_packets"]

    for wrong in ({"seeds": 50, "grams": 1.0, "seeds_per_gram": 9.0}, {}, {"grams": 1.0}):
        changed = {"store": "Lane", "price": 2.0, **wrong}
        sowings = [document["sowings"][0] | {"seed_packets": [changed]}]
        (fault,) = check(document | {"sowings": sowings})
        assert fault.path == "sowings[0].seed_packets[0].seeds"
    assert packet == {"store": "Lane", "price": 2.0, "seeds": 50}


def test_seed_at_home_comes_first_and_what_is_left_of_it_is_told():
    packets = (SeedPacket("Lane", 3.0, 50),)
    some = row_of(scenario_of(leek(seed_packets=packets, seed_stock=20)))
    enough = row_of(scenario_of(leek(seed_packets=packets, seed_stock=80)))

    assert bought(some)["seed of leek"] == (1, 3.0)
    assert "seed of leek" not in bought(enough)
    left = {line["item"]: line for line in enough["at_the_till"]["left_over"]}
    assert (left["seed of leek"]["amount"], left["seed of leek"]["worth"]) == (
        12,
        pytest.approx(0.72),
    )


def test_two_sowings_of_a_crop_share_packets():
    packets = (SeedPacket("Lane", 3.0, 200),)
    early, late = leek(seed_packets=packets), leek(seed_packets=packets, wanted=60)
    scenario = scenario_of(early, late)
    needs = needs_of(scenario, [requirement(scenario, s, MIX) for s in scenario.sowings])

    (seed,) = (need for need in needs if need.measure == "seeds")
    assert seed.amount == sum(requirement(scenario, s, MIX).seeds for s in scenario.sowings)
    assert run(Planner(scenario).best(), solve).basket.total == 5.0 + 3.0


def test_a_deal_on_packets_and_the_trip_for_them_count():
    packets = (SeedPacket("Lane", 3.0, 30), SeedPacket("Depot", 2.0, 30, deal=Deal(3, 2.5)))
    row = row_of(scenario_of(leek(seed_packets=packets)))

    # By hand: 68 seeds are three packets: 9.00 at the Lane, 2.50 and the trip of 3.00 at the depot.
    assert bought(row)["seed of leek"] == (3, 2.5)
    assert (row["at_the_till"]["paid"], row["at_the_till"]["trips"]) == (5.0 + 2.5 + 3.0, 3.0)


def test_packets_that_cannot_be_had_are_told_in_pieces():
    row = row_of(scenario_of(leek(seed_packets=(SeedPacket("Lane", 3.0, 50, limit=1),))))

    assert row["ready"] and row["at_the_till"] is None
    assert "seed of leek: the limits leave 18 too few" in row["why_not"]


# What the lowest price leaves out


def test_what_cannot_be_had_sets_no_price():
    bags = (Package("Lane", 10, "L", 5.0), Package("Lane", 50, "L", 1.0, limit=0))
    packets = (SeedPacket("Lane", 3.0, 50), SeedPacket("Lane", 0.1, 500, limit=0))
    mix = replace(MIX, packages=bags)
    row = row_of(scenario_of(leek(seed_packets=packets), media=(mix,)))

    assert row["price_per_litre"] == pytest.approx(0.5)
    assert row["as_used"]["seed"] == pytest.approx(0.06 / 0.8)
    worth = {line["item"]: line["worth"] for line in row["at_the_till"]["left_over"]}
    assert worth["Mix"] == pytest.approx((10 - 1.36) * 0.5)


# Trays


def test_trays_are_worn_where_they_are_at_home_and_bought_where_they_are_counted():
    worn = Tray("72 cells", 72, 3.6, 4)
    some = replace(worn, have=0, store="Lane")
    sowing = leek(tray="72 cells", wanted=60)

    row = row_of(scenario_of(sowing, trays=(worn,), tax=0.1))
    counted = row_of(scenario_of(sowing, trays=(some,), tax=0.1))

    # By hand: 81 cells (P[Binomial(81, 0.8) >= 60] >= 0.9) take two trays of 72.
    assert row["cells"] == 81
    assert "72 cells" not in bought(row)
    assert row["as_used"]["container"] == pytest.approx(3.6 / 72 / 4 / 0.8)
    assert bought(counted)["72 cells"] == (2, pytest.approx(7.92))
    assert counted["as_used"]["container"] == pytest.approx(3.96 / 72 / 4 / 0.8)
    left = {line["item"]: line for line in counted["at_the_till"]["left_over"]}
    assert left["72 cells"] == {
        "item": "72 cells", "amount": 2, "measure": "trays", "worth": pytest.approx(7.92 * 3 / 4),
    }  # fmt: skip


@pytest.mark.parametrize(("have", "buys"), [(0, 2), (1, 1), (2, 0), (5, 0)])
def test_trays_at_home_come_first(have, buys):
    tray = Tray("72 cells", 72, 3.6, 4, have=have, store="Lane")
    scenario = scenario_of(leek(tray="72 cells", wanted=60), trays=(tray,))
    best = run(Planner(scenario).best(), solve)

    lines = best.basket.lines
    assert sum(line.count for line in lines if line.item == "72 cells") == buys


def test_plants_potted_on_stand_in_whole_trays_too():
    tray = Tray("15 pots", 15, 2.0, 1, have=0, store="Lane")
    move = PotOn("Mix", 300.0, "15 pots", 3.0)
    lean = replace(MIX, name="Lean", feeds_for_weeks=3)
    scenario = scenario_of(
        leek(remedy="pot_on", pot_on=move, medium="Lean"), media=(MIX, lean), trays=(tray,)
    )
    best = run(Planner(scenario).best(), solve)

    # By hand: 68 cells x 0.8 = 54.4 plants in pots of 15: four trays, used up at one use.
    (cover,) = (line for line in best.basket.lines if line.item == "15 pots")
    assert (cover.count, cover.paid) == (4, 8.0)
    assert "15 pots" not in [left["item"] for left in best.basket.left_over]


def test_a_tray_that_is_just_full_is_one_whatever_the_rounding():
    tray = Tray("72 cells", 72, 3.6, 4)

    assert whole_trays(72.0000000001, tray) == whole_trays(0.1 * 3 * 240, tray) == 1
    assert whole_trays(72.001, tray) == 2
    assert tray_price(tray, tax=0.5) == tray_price(tray)


# How many


def test_a_count_in_place_of_a_share_sows_more():
    row = row_of(scenario_of(leek(germination=Counts(17, 20))))
    bare = row_of(scenario_of(leek(germination=0.85)))

    chance = [betabinom.sf(49, n, 17.5, 3.5) for n in (69, 70)]
    assert chance[0] < 0.9 <= chance[1]
    assert binom.sf(49, 62, 0.85) < 0.9 <= binom.sf(49, 63, 0.85)
    assert (row["cells"], bare["cells"]) == (70, 63)
    assert row["ready_share"] == pytest.approx(17.5 / 21)


def test_a_count_by_the_mix_comes_before_the_crops_own():
    counted = replace(MIX, emergence={"leek": Counts(9, 10)}, survival={"leek": 0.9})
    row = row_of(scenario_of(leek(survival=0.7), media=(counted,)))

    assert row["ready_share"] == pytest.approx(9.5 / 11 * 0.9)


def test_survival_by_the_mix_comes_before_the_crops_own():
    damp = replace(MIX, name="Damp", survival={"leek": 0.6})
    rows = compared(scenario_of(leek(survival=0.95), media=(MIX, damp)))["comparisons"]

    assert [row["ready_share"] for row in rows] == pytest.approx([0.8 * 0.95, 0.8 * 0.6])
    assert rows[1]["cells"] > rows[0]["cells"]


def test_on_a_towel_both_what_sprouts_and_what_takes_are_held_to_half_the_risk():
    row = row_of(scenario_of(leek(presprout=True, take=0.95, survival=0.9, seed_price=0.1)))

    # By hand: a' = 1 - 0.1 / 2 = 0.95, for the cells with u = 0.855 and for the seeds laid.
    n, m = row["cells"], row["seeds"]
    assert binom.sf(49, n - 1, 0.855) < 0.95 <= binom.sf(49, n, 0.855)
    assert binom.sf(n - 1, m - 1, 0.8) < 0.95 <= binom.sf(n - 1, m, 0.8)
    assert row["as_used"]["seed"] == pytest.approx(0.1 * n / 0.8 / (n * 0.855))


def test_on_a_towel_the_expected_numbers_are_rounded_up():
    row = row_of(scenario_of(leek(presprout=True, survival=0.9), assurance=None))

    assert row["cells"] == math.ceil(50 / 0.855) == 59
    assert row["seeds"] == math.ceil(59 / 0.8) == 74


def test_on_a_towel_the_medium_does_not_matter_but_to_what_survives():
    poor = replace(MIX, emergence={"leek": 0.3})
    rows = compared(scenario_of(leek(presprout=True), media=(MIX, replace(poor, name="Poor"))))

    one, other = rows["comparisons"]
    assert (one["cells"], one["seeds"]) == (other["cells"], other["seeds"])


def test_a_counted_seed_on_a_towel_is_laid_by_its_count():
    row = row_of(scenario_of(leek(presprout=True, germination=Counts(17, 20))))

    n, m = row["cells"], row["seeds"]
    assert betabinom.sf(n - 1, m - 1, 17.5, 3.5) < 0.95 <= betabinom.sf(n - 1, m, 17.5, 3.5)
