"""What the trials of a scenario show, as a report: pots, mixes, differences and money.

Emergence here is that of normal seedlings: those that came up minus the abnormal ones. When several
mixes are compared, chances are joint and Fisher's p-values are also given for all pairs together,
so that the luckiest of many is not oversold.
"""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import asdict
from itertools import combinations

from pennyflat.chances.contest import chances_best, chances_to_beat, posterior
from pennyflat.chances.germination import HALF, curve_band, half_emergence, mean_emergence
from pennyflat.chances.proportion import (
    RANGE_FACTOR,
    compare_replicates,
    fisher_exact,
    jeffreys_interval,
    wilson_interval,
)
from pennyflat.scenario.records import Scenario, expect_scenario
from pennyflat.scenario.trial import (
    Trial,
    charge_seen,
    curve,
    lesson,
    normal_seedlings,
    water_uptake,
)
from pennyflat.trade.bag import hard_to_wet, minutes_to_wet
from pennyflat.trials.answer import answer_of, what_it_shows
from pennyflat.trials.costs import costs_at_stake, mixes_tried
from pennyflat.trials.findings import TrialReport
from pennyflat.trials.growth import growth_of, quality_of
from pennyflat.trials.lessons import days_of, days_said, known_of
from pennyflat.trials.worth import TEST_SEEDS, most_valuable, worth_of_measuring

FORMAT = "seedling-costs-trials/1"
BAND = 0.8
"""Probability inside the bands of curves and costs. [1]"""


def trial_report(scenario: Scenario) -> TrialReport:
    """
    What a scenario's trials show.

    `pots`, one for each trial; `crops`, one for each crop tried, with its `answer`, `mixes`, what
    it `says` about emergence, `pairs`, `replicates` and `money`. core/FORMATS.md has every key.
    JSON values only: a cost without an upper end is None. TypeError if given anything but a
    `Scenario`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> pot = {"crop": "leek", "medium": "Fine mix", "sown": 5}
    >>> counted = pot | {"counts": [{"day": 6, "emerged": 2}, {"day": 9, "emerged": 4}]}
    >>> report = trial_report(read(DEMO | {"trials": [counted]}))
    >>> report["pots"][0]["half_days"], report["crops"][0]["says"]
    ({'Coolbear': 6.75, 'Farooq': 6.0}, 'Fine mix: 4 of 5 came up, so most likely 37 to 98 %...')
    """
    expect_scenario(scenario, "trial_report")
    crops = dict.fromkeys(trial.crop for trial in scenario.trials)
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "pots": [_pot(trial) for trial in scenario.trials],
        "crops": [_crop(scenario, crop) for crop in crops],
    }


def pooled_curve(trials: Iterable[Trial]) -> tuple[tuple[float, int], ...]:
    """
    Day and total emerged in several pots together, on every day any of them was observed.

    Each pot counts as last observed. [days, count]

    >>> from pennyflat.scenario.trial import Count, Trial
    >>> pots = [Trial("Mix", "leek", 5, (Count(6, 2), Count(9, 4))),
    ...         Trial("Mix", "leek", 5, (Count(7, 3),))]
    >>> pooled_curve(pots)
    ((6, 2), (7, 5), (9, 7))
    """
    pots = [curve(trial) for trial in trials]
    days = sorted({day for pot in pots for day, _ in pot})
    return tuple(
        (day, sum(max((total for seen, total in pot if seen <= day), default=0) for pot in pots))
        for day in days
    )


def _pot(trial):
    emerged = trial.counts[-1].emerged if trial.counts else None
    return {
        "medium": trial.medium,
        "crop": trial.crop,
        "label": trial.label,
        "sown": trial.sown,
        "emerged": emerged,
        "normal": None if emerged is None else emerged - trial.abnormal,
        **_speed(curve(trial)),
        "water_ml_per_minute": water_uptake(trial.water),
        "charge": _charge(charge_seen(trial)),
    }


def _speed(seen):
    """Days to half emergence and the mean, of a curve."""
    mean = mean_emergence(seen)
    if mean is None:
        return dict.fromkeys(("half_days", "half_between", "mean_days", "mean_error"))
    after, _, by = half_emergence(seen)
    return {
        "half_days": {name: half_emergence(seen, formula=name)[1] for name in HALF},
        "half_between": [after, by],
        "mean_days": mean[0],
        "mean_error": mean[1],
    }


def _charge(seen):
    return seen and asdict(seen)


def _crop(scenario, crop):
    pots = [trial for trial in scenario.trials if trial.crop == crop]
    counted = {mix: count for (_, mix), count in normal_seedlings(pots).items()}
    known = {mix: posterior(*count) for mix, count in counted.items()}
    best = dict(zip(known, chances_best(tuple(known.values())), strict=True))
    media = dict.fromkeys(trial.medium for trial in pots)
    wet = _minutes_to_wet(pots)
    growth = growth_of(scenario.trials, crop, scenario.media)
    sowings = [sowing for sowing in scenario.sowings if sowing.crop == crop]
    money = [_money(scenario, sowing) for sowing in sowings]
    unfit = [name for name, found in growth.items() if found.is_unfit]
    return {
        "crop": crop,
        "answer": answer_of(crop, counted, next(iter(money), None), scenario.currency, unfit),
        "mixes": [
            _mix(
                [pot for pot in pots if pot.medium == name],
                counted.get(name),
                best.get(name),
                growth.get(name),
                _days(scenario, growth.get(name), sowings),
            )
            | {"wet_half_minutes": wet.get(name), "hard_to_wet": hard_to_wet(wet).get(name)}
            for name in media
        ],
        "says": what_it_shows(counted) if counted else None,
        "pairs": _pairs(counted, known),
        "replicates": [found for name in media for found in _replicates(name, pots)],
        "money": money,
    }


def _days(scenario, growth, sowings):
    """How much later than planned the crop comes to size; None if it is not planned."""
    shelf = {mix.name: mix for mix in scenario.media}
    if growth is None or growth.is_unfit or not sowings or growth.medium not in shelf:
        return None
    return days_of(growth, sowings[0], shelf[growth.medium])


def _mix(pots, count, best, growth, days):
    """One mix of one crop, its pots together."""
    name, crop = pots[0].medium, pots[0].crop
    counted = [pot for pot in pots if pot.counts]
    seen, sown = pooled_curve(counted), sum(pot.sown for pot in counted)
    rates = [rate for rate in (water_uptake(pot.water) for pot in pots) if rate is not None]
    learnt = lesson(pots, crop, name)
    return {
        "medium": name,
        "pots": len(pots),
        "normal": count and count[0],
        "sown": count and count[1],
        "share": count and count[0] / count[1],
        "wilson_95": count and list(wilson_interval(*count)),
        "jeffreys_95": count and list(jeffreys_interval(*count)),
        "best_chance": best,
        "curve": [list(row) for row in curve_band(seen, sown, level=BAND)] if counted else [],
        **_speed(seen),
        "water_ml_per_minute": [min(rates), max(rates)] if rates else None,
        "charge": _charge(learnt and learnt.charge),
        "growth": growth and _growth(growth, crop, days),
        "lesson": known_of(learnt, growth),
    }


def _minutes_to_wet(pots):
    """Mean minutes to half wet, by mix, of the pots of one crop."""
    found = defaultdict(list)
    for pot in pots:
        minutes = minutes_to_wet(pot.water)
        if minutes is not None:
            found[pot.medium].append(minutes)
    return {mix: math.fsum(own) / len(own) for mix, own in found.items()}


def _growth(found, crop, days):
    return {
        "pots": found.pots,
        "height_mm": found.height_mm,
        "week": found.week,
        "pace": found.pace,
        "pace_80": None if found.pace is None else [found.low, found.high],
        "stunted": found.is_stunted,
        "yellow": found.is_yellow,
        "unfit": found.is_unfit,
        "quality": quality_of(found, crop),
        "days": days,
        "says": days and days_said(days, found.medium, crop),
    }


def _pairs(counted, known):
    pairs = list(combinations(enumerate(counted.items()), 2))
    beats = chances_to_beat(tuple(known.values()))
    found = []
    for (row, (one, count)), (column, (other, other_count)) in pairs:
        fisher = fisher_exact(*count, *other_count)
        found.append(
            {
                "medium": one,
                "other": other,
                "beats_chance": beats[row][column],
                "fisher": fisher,
                "fisher_all_pairs": min(1.0, len(pairs) * fisher),  # Bonferroni
            }
        )
    return found


def _replicates(name, pots):
    """Pots of one mix with the same number of seeds, compared with chance."""
    own = [pot for pot in pots if pot.medium == name and pot.counts]
    for sown in dict.fromkeys(pot.sown for pot in own):
        counts = [pot.counts[-1].emerged - pot.abnormal for pot in own if pot.sown == sown]
        if len(counts) not in RANGE_FACTOR:
            continue
        found = compare_replicates(counts, sown)
        own_row = {"medium": name, "sown": sown, "normal": counts}
        yield own_row | asdict(found) | {"in_doubt": found.in_doubt}


def _money(scenario, sowing):
    tried = mixes_tried(scenario, sowing)
    tests, everything = worth_of_measuring(tried, sowing.wanted)
    seeds = {test["medium"]: test for test in tests if test["measure"] == "emergence"}
    first = most_valuable(seeds.values())
    return {
        "wanted": sowing.wanted,
        "mixes": [
            mix | {"test_worth": seeds[mix["medium"]]["worth"]} for mix in costs_at_stake(tried)
        ],
        "test_seeds": TEST_SEEDS,
        "test_first": first and first["medium"],
        "tests": tests,
        "first": most_valuable(tests),
        "everything_worth": everything,
        "untested": [mix.name for mix in scenario.media if mix.name not in seeds],
    }
