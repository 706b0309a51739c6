"""A trial in money, against the cost model called directly, closed forms and simulation."""

import random
from dataclasses import replace

import pytest

from pennyflat.demo import DEMO
from pennyflat.growing.cost import requirement
from pennyflat.scenario.document import read
from pennyflat.trials import costs
from pennyflat.trials.costs import FILL_SPREAD, fill_range, mixes_tried
from tests.times import TIMES

SEED_MIX, BULK = "Seed starter mix", "Bulk potting mix"


def pot(medium, emerged, sown, **fields):
    counts = [{"day": 8, "emerged": emerged}]
    return {"medium": medium, "crop": "lettuce", "sown": sown, "counts": counts, **fields}


OWN = ["fill_loss", "feeds_for_weeks"]


def tried(*pots, measured=OWN, **fields):
    media = [mix | {"measured": list(measured)} for mix in DEMO["media"]]
    scenario = read(DEMO | {"trials": list(pots), "media": media} | fields)
    return scenario, next(p for p in scenario.sowings if p.crop == "lettuce")


def costs_at_stake(scenario, sowing):
    return costs.costs_at_stake(mixes_tried(scenario, sowing), {})


def cost_each(scenario, sowing, name, emergence, charge=None, fill_loss=None):
    """As the comparison has it, with the scenario's own assurance."""
    medium = scenario.medium(name)
    medium = replace(
        medium,
        emergence={sowing.crop: emergence},
        feeds_for_weeks=medium.feeds_for_weeks if charge is None else charge,
        fill_loss=medium.fill_loss if fill_loss is None else fill_loss,
    )
    needed = requirement(scenario, sowing, medium)
    return needed.costs.each(needed.expected_ready).total


LOOKS = [{"week": 2, "leaves": "green"}, {"week": 4, "leaves": "yellowing"}]


def simulated(scenario, sowing, counts, charges, *, times=4000):
    """Costs with inputs drawn at random, mix by mix."""
    rng = random.Random(5)
    known = {mix.medium.name: mix.known for mix in mixes_tried(scenario, sowing)}
    found = {}
    for name in counts:
        loss = scenario.medium(name).fill_loss
        found[name] = [
            cost_each(
                scenario,
                sowing,
                name,
                rng.betavariate(known[name].a, known[name].b),
                rng.uniform(*charges[name]) if name in charges else None,
                rng.uniform(loss - FILL_SPREAD, loss + FILL_SPREAD),
            )
            for _ in range(times)
        ]
    return found


def test_ranges_and_chances_are_those_of_a_simulation():
    counts = {SEED_MIX: (18, 20), BULK: (14, 20)}
    scenario, sowing = tried(pot(SEED_MIX, 18, 20, looks=LOOKS), pot(BULK, 14, 20))
    drawn = simulated(scenario, sowing, counts, {SEED_MIX: (2, 4)})

    for mix in costs_at_stake(scenario, sowing):
        name = mix["medium"]
        ordered = sorted(drawn[name])
        for end, chance in (("low", 0.1), ("middle", 0.5), ("high", 0.9)):
            assert mix[end] == pytest.approx(ordered[int(chance * len(ordered))], rel=0.03)
        others = [drawn[other] for other in drawn if other != name]
        wins = sum(cost < other for cost, other in zip(drawn[name], *others, strict=True))
        # four standard errors of the simulation, and the method's own
        assert mix["cheapest_chance"] == pytest.approx(wins / len(ordered), abs=0.035)


def test_where_nobody_measured_the_band_is_wider_and_says_which():
    looked = pot(SEED_MIX, 18, 20, looks=LOOKS)
    (narrow,) = costs_at_stake(*tried(looked))
    (wide,) = costs_at_stake(*tried(looked, measured=()))
    (widest,) = costs_at_stake(*tried(pot(SEED_MIX, 18, 20), measured=()))

    assert (narrow["unmeasured"], wide["unmeasured"]) == ([], ["fill_loss"])
    assert widest["unmeasured"] == ["fill_loss", "feeds_for_weeks"]
    assert wide["high"] - wide["low"] > narrow["high"] - narrow["low"]


def test_several_pots_that_agree_narrow_the_band_and_pots_apart_widen_it():
    def width(*counts):
        (found,) = costs_at_stake(*tried(*(pot(SEED_MIX, *count) for count in counts)))
        return found["high"] / found["low"], found["pots"], found["correlation"]

    one, alike = width((85, 100)), width(*[(21, 25), (22, 25)] * 2)
    apart = width(*[(25, 25), (17, 25)] * 2)

    assert (one[1], alike[1], apart[1]) == (1, 4, 4)
    assert alike[0] < apart[0] < one[0]
    assert alike[2] < one[2] < apart[2]


def test_the_unmeasured_loss_in_filling_spans_what_growers_find():
    scenario, _ = tried(measured=())
    loss = fill_range(replace(scenario.medium(BULK), fill_loss=0.15))

    assert (loss(0), loss(1)) == pytest.approx((0, 0.3))


PROMISED = dict.fromkeys((0, 0.05, 0.15), (0.75, 0.90))
HELD = {
    # (pots, seeds in each): share of the truths in the band, by correlation
    (1, 10): {0: (0.88, 0.94), 0.05: (0.82, 0.89), 0.15: (0.75, 0.81)},
    (1, 20): {0: (0.93, 0.98), 0.05: (0.84, 0.91), 0.15: (0.75, 0.81)},
    (1, 100): {0: (0.98, 1.00), 0.05: (0.86, 0.94), 0.15: (0.74, 0.80)},
    (3, 10): PROMISED,
    (3, 30): PROMISED,
    (10, 10): PROMISED,
}
"""With three pots or more the band keeps its promise. With one it cannot, see `test_pots`: it holds
75 % at least, and more the more alike pots are."""


@pytest.mark.parametrize("correlation", [0, 0.05, 0.15])
@pytest.mark.parametrize(("pots", "sown"), HELD)
def test_the_band_holds_the_truth_about_as_often_as_it_says(pots, sown, correlation):
    """
    Truths are drawn apart from what is handed in: 2,000 trials of one pot, 300 of several.

    The mix's own share from 50 to 97 %, each pot's about it with this correlation, filling from 0
    to 27 %, the charge from 1.4 to 6 weeks; handed in are the counts, 15 % and 3.7 weeks.
    """
    rng = random.Random(int(1000 * correlation) + 3)
    media = [DEMO["media"][0] | {"fill_loss": 0.15, "feeds_for_weeks": 3.7}]
    band_of_counts, inside, runs = {}, 0, TIMES * (2000 if pots == 1 else 300)
    for _ in range(runs):
        share = rng.uniform(0.5, 0.97)
        counts = []
        for _ in range(pots):
            own = share
            if correlation:
                size = 1 / correlation - 1
                own = rng.betavariate(share * size, (1 - share) * size)
            counts.append(sum(rng.random() < own for _ in range(sown)))
        counts = tuple(sorted(counts))
        if counts not in band_of_counts:
            found = tried(*(pot(SEED_MIX, up, sown) for up in counts), media=media)
            (band_of_counts[counts],) = costs_at_stake(*found)
        band = band_of_counts[counts]
        truth = cost_each(*found, SEED_MIX, share, rng.uniform(1.4, 6), rng.uniform(0, 0.27))
        inside += band["low"] <= truth <= band["high"]

    low, high = HELD[pots, sown][correlation]
    assert low <= inside / runs <= high


def test_mixes_without_a_counted_trial_of_the_crop_are_left_out():
    scenario, sowing = tried(pot(BULK, 3, 5), pot(SEED_MIX, 3, 5) | {"crop": "tomato"})

    assert [mix["medium"] for mix in costs_at_stake(scenario, sowing)] == [BULK]


def test_a_mix_that_runs_out_too_early_unfed_is_not_ready_in_such_cases():
    lean = pot(SEED_MIX, 9, 10, looks=LOOKS)
    scenario, sowing = tried(lean, pot(BULK, 9, 10), feed=None)
    weeks = sowing.weeks * scenario.medium(SEED_MIX).pace
    stalls = min(max((weeks - 2) / 2, 0), 1)  # share of 2 to 4 weeks that is too short
    found = {mix["medium"]: mix for mix in costs_at_stake(scenario, sowing)}

    assert found[SEED_MIX]["not_ready"] == pytest.approx(stalls, abs=0.01)
    assert found[SEED_MIX]["high"] is None


def test_a_charge_that_did_not_run_out_is_at_least_as_long_as_was_seen():
    green = [{"week": 9, "leaves": "green"}]
    scenario, sowing = tried(pot(SEED_MIX, 9, 10, looks=green))
    (found,) = costs_at_stake(scenario, sowing)

    assert found["low"] < cost_each(scenario, sowing, SEED_MIX, 0.86, charge=9) < found["high"]
    assert found["low"] < cost_each(scenario, sowing, SEED_MIX, 0.95, charge=9)
