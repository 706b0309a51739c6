"""What measuring is worth for a sowing, against closed forms and simulation of the cost model."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from pennyflat.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.trials import costs as trial_costs
from pennyflat.trials.costs import (
    FILL_SPREAD,
    MEASURES,
    NOTHING,
    TEST_SEEDS,
    cost_each,
    mixes_tried,
    most_valuable,
    worth_of_measuring,
)

SEED_MIX, BULK, BLEND = "Seed starter mix", "Bulk potting mix", "Home blend"


def pot(medium, emerged, sown, **fields):
    counts = [{"day": 8, "emerged": emerged}]
    return {"medium": medium, "crop": "lettuce", "sown": sown, "counts": counts, **fields}


def ran_out(after, by):
    return [{"week": after, "leaves": "green"}, {"week": by, "leaves": "yellowing"}]


def tried(*pots, **fields):
    """A scenario with these pots, its mixes measured, and its lettuce of one seed a cell."""
    document = DEMO | {"trials": list(pots)} | fields
    media = [mix | {"measured": ["fill_loss", "feeds_for_weeks"]} for mix in document["media"]]
    scenario = read(document | {"media": media})
    lettuce = next(sowing for sowing in scenario.sowings if sowing.crop == "lettuce")
    return scenario, replace(lettuce, seeds_per_cell=1)


def worths(scenario, sowing):
    """The worth of each measurement by mix and measure, that of everything, and the rows."""
    rows, everything = worth_of_measuring(mixes_tried(scenario, sowing), sowing.wanted)
    return {(row["medium"], row["measure"]): row["worth"] for row in rows}, everything, rows


def known_of(scenario, sowing, name):
    """The beta distribution of a mix's emergence: `test_pots.py` holds it to SciPy."""
    return next(mix.known for mix in mixes_tried(scenario, sowing) if mix.medium.name == name)


def mean_inverse(known):
    """E[1/x] of Beta(a, b)."""
    return (known.a + known.b - 1) / (known.a - 1)


def cost_at(scenario, sowing, name, charge=None, fill_loss=None):
    """
    Expected cost of all wanted over emergence alone: with one seed a cell it goes by 1 / emergence.
    """
    medium = scenario.medium(name)
    charge = medium.feeds_for_weeks if charge is None else charge
    fill_loss = medium.fill_loss if fill_loss is None else fill_loss
    inverse = mean_inverse(known_of(scenario, sowing, name))
    at_one = cost_each(scenario, sowing, medium, 1.0, charge, fill_loss)
    return sowing.wanted * at_one * inverse


def cost_over_fillings(scenario, sowing, name, charge=None):
    """The same, over the loss in filling, by scipy's quadrature."""
    loss = scenario.medium(name).fill_loss
    ends = loss - FILL_SPREAD, loss + FILL_SPREAD
    total, _ = quad(lambda f: cost_at(scenario, sowing, name, charge, f), *ends)
    return total / (ends[1] - ends[0])


@pytest.mark.against("scipy")
@pytest.mark.parametrize("counts", [((14, 20), (5, 5)), ((9, 10), (7, 10))])
def test_worth_of_more_seeds_is_the_closed_form(counts):
    scenario, sowing = tried(pot(SEED_MIX, *counts[0]), pot(BULK, *counts[1]))
    known = {name: known_of(scenario, sowing, name) for name in (SEED_MIX, BULK)}
    found, _, _ = worths(scenario, sowing)

    for name, other in ((SEED_MIX, BULK), (BULK, SEED_MIX)):
        mine, rival = known[name], cost_over_fillings(scenario, sowing, other)
        at_one = cost_over_fillings(scenario, sowing, name) / mean_inverse(mine)
        chances = stats.betabinom(TEST_SEEDS, mine.a, mine.b).pmf(range(TEST_SEEDS + 1))
        informed = math.fsum(
            chance * min(rival, at_one * mean_inverse(mine.after(k, TEST_SEEDS)))
            for k, chance in enumerate(chances)
        )
        worth = min(rival, at_one * mean_inverse(mine)) - informed
        # FILLS slices stand for the loss in filling
        assert found[name, "emergence"] == pytest.approx(worth, abs=5e-4)


def with_price(name, factor, **fields):
    """The demo with a mix's packages at another price."""
    media = [
        medium
        | {"packages": [own | {"price": own["price"] * factor} for own in medium["packages"]]}
        if medium["name"] == name
        else medium
        for medium in DEMO["media"]
    ]
    return {"media": media, **fields}


def near_in_price():
    """Two mixes of nearly the same expected cost, so that filling may turn the choice."""
    pots = pot(SEED_MIX, 19, 20), pot(BULK, 17, 20)
    scenario, sowing = tried(*pots)
    costs = [cost_over_fillings(scenario, sowing, name) for name in (SEED_MIX, BULK)]
    free, sowing = tried(*pots, **with_price(BULK, 1e-9))
    least = cost_over_fillings(free, sowing, BULK)
    return tried(*pots, **with_price(BULK, (costs[0] - least) / (costs[1] - least)))


@pytest.mark.against("scipy")
def test_worth_of_knowing_the_filling_is_that_of_integrating_over_it():
    scenario, sowing = near_in_price()
    found, _, _ = worths(scenario, sowing)

    for name, other in ((SEED_MIX, BULK), (BULK, SEED_MIX)):
        rival = cost_over_fillings(scenario, sowing, other)
        loss = scenario.medium(name).fill_loss
        ends = loss - FILL_SPREAD, loss + FILL_SPREAD
        saved, _ = quad(
            lambda f, name=name, rival=rival: max(
                0.0, rival - cost_at(scenario, sowing, name, fill_loss=f)
            ),
            *ends,
            limit=200,
        )
        unmeasured = max(0.0, rival - cost_over_fillings(scenario, sowing, name))
        worth = saved / (ends[1] - ends[0]) - unmeasured
        assert found[name, "fill"] > NOTHING
        # the mixes cost nearly the same, so 2 in 10,000 of the cost is a few per cent of this
        assert found[name, "fill"] == pytest.approx(worth, abs=2e-4 * rival)


def test_worth_of_watching_a_charge_that_may_be_too_short():
    """Unfed, lettuce of 4 weeks is ready if the charge lasts as long: so likely, so much saved."""
    pots = pot(BULK, 9, 10, looks=ran_out(2, 6)), pot(BLEND, 9, 10)
    scenario, sowing = tried(*pots, feed=None)
    ready, rival = (
        cost_over_fillings(scenario, sowing, BULK, charge=6),
        cost_over_fillings(scenario, sowing, BLEND),
    )
    found, _, rows = worths(scenario, sowing)

    assert found[BULK, "charge"] == pytest.approx((rival - ready) / 2, rel=2e-4)
    assert found[BULK, "charge"] > NOTHING
    assert most_valuable(rows) == rows[1]
    assert found[BULK, "emergence"] == found[BULK, "fill"] == 0


def simulated(scenario, sowing, name, other, settle, *, outer=2000, inner=20):
    """
    Two-level simulation of the worth of settling one quantity of a mix, and its standard error.

    The same inner draws serve every value of the quantity, and the unmeasured choice.
    """
    rng = random.Random(11)
    trials = {trial.medium: trial for trial in scenario.trials}

    def drawn(mix):
        trial, medium = trials[mix], scenario.medium(mix)
        known = known_of(scenario, sowing, mix)
        weeks = [look.week for look in trial.looks] or [medium.feeds_for_weeks] * 2
        return [
            rng.betavariate(known.a, known.b),
            rng.uniform(*weeks),
            rng.uniform(medium.fill_loss - FILL_SPREAD, medium.fill_loss + FILL_SPREAD),
        ]

    def cost(mix, inputs):
        return sowing.wanted * cost_each(scenario, sowing, scenario.medium(mix), *inputs)

    own = [drawn(name) for _ in range(inner)]
    place = MEASURES.index(settle)
    costs = []
    for _ in range(outer):
        value = drawn(name)[place]
        cases = [[*inputs[:place], value, *inputs[place + 1 :]] for inputs in own]
        costs.append(math.fsum(cost(name, inputs) for inputs in cases) / inner)
    rival = math.fsum(cost(other, drawn(other)) for _ in range(50 * inner)) / (50 * inner)
    expected = math.fsum(costs) / outer
    savings = [min(rival, expected) - min(rival, found) for found in costs]
    worth = math.fsum(savings) / outer
    return worth, math.sqrt(math.fsum((saving - worth) ** 2 for saving in savings)) / outer


def test_worth_of_settling_a_quantity_is_that_of_a_two_level_simulation():
    """Feed so dear that the weeks of a charge count; three seeds a cell, so no closed form."""
    dear = [package | {"price": package["price"] * 6} for package in DEMO["feed"]["packages"]]
    feed = DEMO["feed"] | {"ml_per_cell": 200, "packages": dear}
    pots = pot(SEED_MIX, 17, 20, looks=ran_out(1, 7)), pot(BULK, 13, 20)
    scenario, sowing = tried(*pots, feed=feed)
    sowing = replace(sowing, seeds_per_cell=3, weeks=8)
    found, _, _ = worths(scenario, sowing)

    worth, error = simulated(scenario, sowing, SEED_MIX, BULK, "charge")

    assert found[SEED_MIX, "charge"] == pytest.approx(worth, abs=4 * error)
    assert 4 * error < worth / 2


def test_finer_slices_change_nothing(monkeypatch):
    dear = [package | {"price": package["price"] * 6} for package in DEMO["feed"]["packages"]]
    feed = DEMO["feed"] | {"ml_per_cell": 200, "packages": dear}
    pots = pot(SEED_MIX, 17, 20, looks=ran_out(1.3, 6.1)), pot(BULK, 16, 20, looks=ran_out(2, 5.7))
    scenario, sowing = tried(*pots, feed=feed)
    coarse, everything, _ = worths(scenario, sowing)
    monkeypatch.setattr(trial_costs, "PLACES", 10**8)
    monkeypatch.setattr(trial_costs, "FILLS", 64)
    fine, fine_everything, _ = worths(scenario, sowing)

    assert everything == pytest.approx(fine_everything, abs=1e-4)
    assert coarse == pytest.approx(fine, abs=1e-4)
    assert coarse[SEED_MIX, "charge"] > NOTHING


counts = st.integers(2, 25).flatmap(lambda sown: st.tuples(st.integers(1, sown), st.just(sown)))


@settings(max_examples=25)
@given(st.tuples(counts, counts, counts), st.booleans(), st.floats(0.5, 2))
def test_nothing_is_worth_less_than_nothing_or_more_than_everything(numbers, fed, factor):
    looks = ran_out(2, 5), ran_out(3, 6), []
    pots = [
        pot(name, *count, looks=own)
        for name, count, own in zip((SEED_MIX, BULK, BLEND), numbers, looks, strict=True)
    ]
    fields = {} if fed else {"feed": None}
    found, everything, rows = worths(*tried(*pots, **with_price(BULK, factor, **fields)))
    first = most_valuable(rows)

    for worth in found.values():
        assert worth is None or 0 <= worth <= everything + 1e-6
    assert found[BLEND, "charge"] is None
    assert first is None or first["worth"] == max(worth or 0 for worth in found.values())


def test_what_cannot_change_the_choice_is_worth_nothing():
    alike = [(47, 50), (48, 50)] * 4
    pots = [pot(SEED_MIX, *count, looks=ran_out(2, 3)) for count in alike]
    pots += [pot(BULK, *count) for count in alike]
    found, everything, rows = worths(*tried(*pots, **with_price(SEED_MIX, 10)))
    others = [worth for (_, measure), worth in found.items() if measure != "charge"]

    assert others == pytest.approx([0] * 4)
    assert [found[SEED_MIX, "charge"], everything] == pytest.approx([0, 0])
    assert most_valuable(rows) is None


def test_what_cannot_be_told_is_none():
    one_mix = worths(*tried(pot(SEED_MIX, 9, 10)))
    none_up, _, _ = worths(*tried(pot(SEED_MIX, 9, 10), pot(BULK, 0, 10), pot(BLEND, 8, 10)))
    may_stall = pot(SEED_MIX, 9, 10, looks=ran_out(2, 6)), pot(BULK, 9, 10, looks=ran_out(2, 6))
    none_sure = worths(*tried(*may_stall, feed=None))

    for found, everything, rows in (one_mix, none_sure):
        assert set(found.values()) == {None} and everything is None
        assert most_valuable(rows) is None
    assert {none_up[BULK, measure] for measure in MEASURES} == {None}
    assert none_up[BLEND, "emergence"] > 0
