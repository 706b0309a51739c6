"""What the trials of a scenario show, as a report: pots, mixes, differences and money.

Emergence here is that of normal seedlings: those that came up minus the abnormal ones. When several
mixes are compared, chances are joint and Fisher's p-values are also given for all pairs together,
so that the luckiest of many is not oversold.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import asdict
from itertools import combinations
from statistics import fmean

from pennyflat.chances.contest import best_of
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
from pennyflat.trials.costs import stakes_of
from pennyflat.trials.findings import TrialReport
from pennyflat.trials.growth import days_of, days_said, growth_of, known_of, quality_of

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
    """
    pots = [curve(trial) for trial in trials]
    days = sorted({day for pot in pots for day, _ in pot})
    return tuple(
        (day, sum(max((total for seen, total in pot if seen <= day), default=0) for pot in pots))
        for day in days
    )


def _pot(trial):
    emerged = trial.counts[-1].emerged if trial.counts else None
    charge = charge_seen(trial)
    return {
        "medium": trial.medium,
        "crop": trial.crop,
        "label": trial.label,
        "sown": trial.sown,
        "emerged": emerged,
        "normal": trial.normal,
        **_speed(curve(trial)),
        "water_ml_per_minute": water_uptake(trial.water),
        "charge": charge and asdict(charge),
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


def _crop(scenario, crop):
    pots = [trial for trial in scenario.trials if trial.crop == crop]
    tried = defaultdict(list)
    for pot in pots:
        tried[pot.medium].append(pot)
    counted = {mix: count for (_, mix), count in normal_seedlings(pots).items()}
    best, growth = best_of(counted), growth_of(pots, crop, scenario.media)
    wet = {
        name: fmean(minutes)
        for name, own in tried.items()
        if (minutes := _of_water(minutes_to_wet, own))
    }
    sowings = [sowing for sowing in scenario.sowings if sowing.crop == crop]
    days = {
        mix.name: days_of(growth[mix.name], sowing, mix)
        for sowing in sowings[:1]
        for mix in scenario.media
        if mix.name in growth
    }
    money = [stakes_of(scenario, sowing) for sowing in sowings]
    unfit = [name for name, found in growth.items() if found.is_unfit]
    return {
        "crop": crop,
        "answer": answer_of(crop, counted, next(iter(money), None), scenario.currency, unfit),
        "mixes": [
            _mix(own, counted.get(name), best.get(name), growth.get(name), days.get(name))
            | {"wet_half_minutes": wet.get(name), "hard_to_wet": hard_to_wet(wet).get(name)}
            for name, own in tried.items()
        ],
        "says": what_it_shows(counted) if counted else None,
        "pairs": list(_pairs(counted)),
        "replicates": [found for own in tried.values() for found in _replicates(own)],
        "money": money,
    }


def _mix(pots, count, best, growth, days):
    """One mix of one crop, its pots together."""
    name, crop = pots[0].medium, pots[0].crop
    counted = [pot for pot in pots if pot.counts]
    seen, sown = pooled_curve(counted), sum(pot.sown for pot in counted)
    rates, learnt = _of_water(water_uptake, pots), lesson(pots, crop, name)
    charge = learnt and learnt.charge
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
        "charge": charge and asdict(charge),
        "growth": growth
        and {key: getattr(growth, key) for key in ("pots", "height_mm", "week", "pace")}
        | {
            "pace_80": None if growth.pace is None else [growth.low, growth.high],
            "stunted": growth.is_stunted,
            "yellow": growth.is_yellow,
            "unfit": growth.is_unfit,
            "quality": quality_of(growth, crop),
            "days": days,
            "says": days and days_said(days, name, crop),
        },
        "lesson": known_of(learnt, growth),
    }


def _of_water(measure, pots):
    """What the readings of water show, of the pots that have them."""
    found = [measure(pot.water) for pot in pots]
    return [value for value in found if value is not None]


def _pairs(counted):
    pairs = list(combinations(counted, 2))
    for one, other in pairs:
        fisher = fisher_exact(*counted[one], *counted[other])
        yield {
            "medium": one,
            "other": other,
            "beats_chance": best_of({name: counted[name] for name in (one, other)})[one],
            "fisher": fisher,
            "fisher_all_pairs": min(1.0, len(pairs) * fisher),  # Bonferroni
        }


def _replicates(pots):
    """Pots of one mix with the same number of seeds, compared with chance."""
    normal = defaultdict(list)
    for pot in pots:
        if (count := pot.normal) is not None:
            normal[pot.sown].append(count)
    for sown, counts in normal.items():
        if len(counts) in RANGE_FACTOR:
            found = compare_replicates(counts, sown)
            yield {"medium": pots[0].medium, "sown": sown, "normal": counts} | asdict(found)
