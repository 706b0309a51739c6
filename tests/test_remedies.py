"""What a remedy costs in the scenario: each against a sum worked out by hand from the demo."""

from dataclasses import replace

import pytest

from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.growing.remedies import COSTS, price_of
from pennyflat.scenario.document import read
from pennyflat.scenario.records import PotOn, Tray

POT_ML = 380.7


@pytest.fixture
def demo():
    return read(DEMO)


def price(demo, cost_from, medium="Seed starter mix", **changes):
    sowing = replace(demo.sowings[0], **changes)
    return price_of(demo, sowing, demo.medium(medium), cost_from, pot_ml=POT_ML)


def test_one_feeding(demo):
    # 77 cells x 12 mL at 100 ppm N from 20 % N: 0.5 g/L; 8 oz of 28.349523125 g for 6.40
    expected = 77 * 0.012 * 0.5 * 6.4 / (8 * 28.349523125)

    assert price(demo, "feed").cost == pytest.approx(expected)


def test_sowing_again(demo):
    # 77 cells of 59 mL with 12 % lost; the larger bag is the cheaper by the litre; 40 seeds
    # for 3.20
    mix = 77 * 0.059 / 0.88 * 9.8 / (16 * 1.101220942715)

    assert price(demo, "resow").cost == pytest.approx(mix + 77 * 3.2 / 40)


def test_sowing_again_from_a_towel_counts_the_seeds_used_up(demo):
    # cells / germination of them, although more are laid to be sure of enough
    towel = replace(demo.sowings[0], presprout=True)
    needed = requirement(demo, towel, demo.medium("Seed starter mix"))
    mix = needed.cells * 0.059 / 0.88 * 9.8 / (16 * 1.101220942715)
    used = needed.cells / towel.germination

    assert needed.seeds > used
    assert price(demo, "resow", presprout=True).cost == pytest.approx(mix + used * 3.2 / 40)


def test_potting_on_where_no_pot_is_entered(demo):
    # 77 cells x 0.88 come up; 380.7 mL each, 15 % lost, of the bulk mix at 14.50 for 2 cu ft
    litre = 14.5 / (2 * 28.316846592)
    found = price(demo, "pot on", "Bulk potting mix")

    assert found.cost == pytest.approx(77 * 0.88 * 0.3807 / 0.85 * litre)
    assert found.words.endswith("the pots not counted")


def test_potting_on_into_pots_of_ones_own_pays_their_wear_with_tax(demo):
    # pots at 0.80 for 8, twice used, bought with 10 % tax since they are counted
    pots = Tray("pots", 8, 0.8, 2, have=0, store="Corner shop")
    taxed = replace(demo, tax=0.1, trays=(*demo.trays, pots))
    moved = {"pot_on": PotOn("Bulk potting mix", POT_ML, tray="pots")}
    without = price(taxed, "pot on", pot_on=replace(moved["pot_on"], tray=None))
    found = price(taxed, "pot on", **moved)

    assert found.cost - without.cost == pytest.approx(77 * 0.88 * 0.8 * 1.1 / 8 / 2)


def test_a_week_more_of_light_and_mat(demo):
    # 40 W for 15 h and 20 W for 24 h, seven days, at 0.16, shared by 144 cells
    kwh = (40 * 15 * 7 + 20 * 24 * 7) / 1000

    assert price(demo, "energy").cost == pytest.approx(77 * kwh * 0.16 / 144)


def test_another_mix_is_the_cheapest_of_the_others(demo):
    # By hand, 77 cells of 59 mL. Home blend, 10 % lost and 8 % shrunk: 3 parts of coir at 15.00 for
    # 62 L, 1 of perlite at 5.40 for 8 dry quarts, 1 of castings at 9.50 for 10 L, 3 g/L of meal at
    # 8.60 for 3 lb. Starter mix: 0.5562 a litre, 12 % lost, so dearer.
    quart = 1.101220942715
    mixed = (3 * 15 / 62 + 5.4 / (8 * quart) + 9.5 / 10) / 5 / 0.92 + 3 * 8.6 / (3 * 453.59237)
    bulk = 14.5 / (2 * 28.316846592)

    found = price(demo, "medium", "Bulk potting mix")
    assert found.cost == pytest.approx(77 * 0.059 / 0.9 * mixed)
    assert found.words == "all 77 cells filled with Home blend, the cheapest other mix"
    found = price(demo, "medium", "Home blend")
    assert found.cost == pytest.approx(77 * 0.059 / 0.85 * bulk)
    assert found.words == "all 77 cells filled with Bulk potting mix, the cheapest other mix"


def test_nothing_costs_nothing(demo):
    assert price(demo, "nothing").cost == 0


@pytest.mark.parametrize(
    ("cost_from", "without", "said"),
    [
        ("feed", "feed", "no feed is entered"),
        ("energy", "energy", "light and heat are not counted in these entries"),
    ],
)
def test_what_the_scenario_does_not_have_is_said_and_not_guessed(demo, cost_from, without, said):
    found = price(replace(demo, **{without: None}), cost_from)

    assert (found.cost, found.words) == (None, said)


def test_one_mix_alone_has_no_other(demo):
    alone = replace(demo, media=demo.media[:1])

    assert price(alone, "medium").words == "there is no other mix on the shelf"


def test_a_mix_in_which_nothing_comes_up_has_no_price(demo):
    barren = replace(demo.media[0], emergence={"tomato": 0.0})
    scenario = replace(demo, media=(barren, *demo.media[1:]))

    for cost_from in set(COSTS) - {"nothing"}:
        assert price(scenario, cost_from).cost is None
