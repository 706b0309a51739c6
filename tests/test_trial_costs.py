"""A trial in money, against the cost model called directly, closed forms and simulation."""

import math
import random
from dataclasses import replace

import pytest

from pennyflat.growing.cost import requirement
from pennyflat.scenario.demo import DEMO
from pennyflat.scenario.document import read
from pennyflat.trials.costs import FILL_SPREAD, costs_at_stake

SEED_MIX, BULK = "Seed starter mix", "Bulk potting mix"


def pot(medium, emerged, sown, **fields):
    counts = [{"day": 8, "emerged": emerged}]
    return {"medium": medium, "crop": "lettuce", "sown": sown, "counts": counts, **fields}


def tried(*pots, **fields):
    scenario = read(DEMO | {"trials": list(pots)} | fields)
    return scenario, next(p for p in scenario.sowings if p.crop == "lettuce")


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
    found = {}
    for name, (emerged, sown) in counts.items():
        loss = scenario.medium(name).fill_loss
        found[name] = [
            cost_each(
                scenario,
                sowing,
                name,
                rng.betavariate(emerged + 0.5, sown - emerged + 0.5),
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
        ordered = sorted(drawn[mix.medium])
        for end, chance in ((mix.low, 0.1), (mix.middle, 0.5), (mix.high, 0.9)):
            assert end == pytest.approx(ordered[int(chance * len(ordered))], rel=0.02)
        others = [drawn[name] for name in drawn if name != mix.medium]
        wins = sum(cost < other for cost, other in zip(drawn[mix.medium], *others, strict=True))
        # four standard errors of the simulation, and the method's own
        assert mix.cheapest_chance == pytest.approx(wins / len(ordered), abs=0.035)


def test_mixes_without_a_counted_trial_of_the_crop_are_left_out():
    scenario, sowing = tried(pot(BULK, 3, 5), pot(SEED_MIX, 3, 5) | {"crop": "tomato"})

    assert [mix.medium for mix in costs_at_stake(scenario, sowing)] == [BULK]


def test_a_mix_that_runs_out_too_early_unfed_is_not_ready_in_such_cases():
    lean = pot(SEED_MIX, 9, 10, looks=LOOKS)
    scenario, sowing = tried(lean, pot(BULK, 9, 10), feed=None)
    weeks = sowing.weeks * scenario.medium(SEED_MIX).pace
    stalls = min(max((weeks - 2) / 2, 0), 1)  # share of 2 to 4 weeks that is too short
    found = {mix.medium: mix for mix in costs_at_stake(scenario, sowing)}

    assert found[SEED_MIX].not_ready == pytest.approx(stalls, abs=0.01)
    assert found[SEED_MIX].high == math.inf


def test_a_charge_that_did_not_run_out_is_at_least_as_long_as_was_seen():
    green = [{"week": 9, "leaves": "green"}]
    scenario, sowing = tried(pot(SEED_MIX, 9, 10, looks=green))
    (found,) = costs_at_stake(scenario, sowing)

    assert found.low < cost_each(scenario, sowing, SEED_MIX, 0.88, charge=9) < found.high
    assert found.middle < cost_each(scenario, sowing, SEED_MIX, 0.88)
