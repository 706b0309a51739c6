"""What a trial means in money: the cost of a ready seedling as a range, and the cheapest mix.

Three inputs of a mix stay uncertain after a trial: its emergence, by the seeds counted in each pot;
how long its charge lasts, by the observations between which it ran out; and the share of the bag
lost in filling, about which a trial tells nothing. Without a measurement the ranges are wide,
because bands that are too narrow contain the truth less often than they promise. The ranges enter
the cost model as equally likely cases, so that the same trial always gives the same range.
"""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from pennyflat.chances.pots import Pots, what_pots_say
from pennyflat.chances.stakes import DRAWS, between, cases, chances_cheapest, cost_band
from pennyflat.growing.cost import requirement
from pennyflat.scenario.checking import ByName
from pennyflat.scenario.records import Medium, Scenario, Sowing
from pennyflat.scenario.trial import lesson, pots_of
from pennyflat.sentences import say
from pennyflat.trials.findings import CostBand
from pennyflat.trials.growth import Growth, growth_of

FILL_SPREAD = 0.05
"""How far the loss in filling may differ from a measured one, either way: it varies with how firmly
each filling is done. Common practice, no source. [1]"""

FILL_UNMEASURED = 0.15
"""The same without a measurement: 0 to 30 % about the usual 15 %. Growers are told of 0 to 10 % by
settling alone, and of 10 to 20 % in all; ours. [1]"""

CHARGE_UNMEASURED = 0.6
"""How far the charge may differ from the weeks entered without observations, as a share of them,
either way: sources on peat mixes say 1.4 to 6 weeks, 62 % either way of the middle. [1]"""

LEAST = 1e-4
"""Emergence below this counts as this: the number of cells is not worked out for less. Ours. [1]"""


def costs_at_stake(scenario: Scenario, sowing: Sowing) -> list[dict[str, Any]]:
    """
    Cost of a sowing's seedlings in each mix that was tried and counted with its crop.

    In shelf order, each a `CostBand` without `test_worth`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> pot = {"crop": "lettuce", "sown": 10, "counts": [{"day": 8, "emerged": 9}]}
    >>> trials = [pot | {"medium": "Seed starter mix"}, pot | {"medium": "Bulk potting mix"}]
    >>> demo = read(DEMO | {"trials": trials})
    >>> for mix in costs_at_stake(demo, demo.sowings[1]):
    ...     print("{medium} {low:.3f} to {high:.3f} {cheapest_chance:.2f}".format(**mix))
    Seed starter mix 0.054 to 0.091 0.22
    Bulk potting mix 0.045 to 0.074 0.78
    """
    tried = mixes_tried(scenario, sowing)
    expected, one = without_number(scenario, sowing)
    costs = []
    for mix, pots in tried:
        charge, fill = charge_range(scenario, sowing, mix), fill_range(mix)
        inputs = cases(pots.known.quantile, charge, fill)
        costs.append([cost_each(expected, one, mix, *case) for case in inputs])
    rows = []
    for (mix, pots), found, chance in zip(tried, costs, chances_cheapest(costs), strict=True):
        low, middle, high = (None if cost == math.inf else cost for cost in cost_band(found))
        rows.append(
            {
                "medium": mix.name,
                "low": low,
                "middle": middle,
                "high": high,
                "cheapest_chance": chance,
                "not_ready": found.count(math.inf) / DRAWS,
                "pots": pots.pots,
                "correlation": pots.correlation,
                "unmeasured": _unmeasured(scenario, sowing, mix),
            }
        )
    return rows


def _unmeasured(scenario, sowing, medium):
    own = set(medium.measured)
    learnt = lesson(scenario.trials, sowing.crop, medium.name)
    if learnt is not None and learnt.charge is not None:
        own.add("feeds_for_weeks")
    return [name for name in ("fill_loss", "feeds_for_weeks") if name not in own]


def without_number(scenario: Scenario, sowing: Sowing) -> tuple[Scenario, Sowing]:
    """
    The same for one expected seedling, which takes fewest cells and is found fastest.

    The cost as used depends neither on the number wanted nor on the assurance.
    """
    return replace(scenario, assurance=None), replace(sowing, wanted=1)


def mixes_tried(scenario: Scenario, sowing: Sowing) -> list[tuple[Medium, Pots]]:
    """
    The mixes that were tried and counted with a sowing's crop, and what is known about each.

    In shelf order. They get the pace that their heights show; those whose seedlings stayed stunted
    or yellow are excluded.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> pot = {"crop": "lettuce", "medium": "Home blend", "sown": 10}
    >>> demo = read(DEMO | {"trials": [pot | {"counts": [{"day": 8, "emerged": 9}]}]})
    >>> [(mix.name, pots.known.mean) for mix, pots in mixes_tried(demo, demo.sowings[1])]
    [('Home blend', 0.815)]
    """
    grown = growth_in(scenario, sowing.crop)
    found = []
    for mix in scenario.media:
        pots, growth = pots_of(scenario.trials, sowing.crop, mix.name), grown.get(mix.name)
        if not pots or (growth and growth.is_unfit):
            continue
        grown_so = replace(mix, pace=growth.pace) if growth and growth.pace else mix
        found.append((grown_so, what_pots_say(pots)))
    return found


def growth_in(scenario: Scenario, crop: str) -> dict[str, Growth]:
    """How each mix of a scenario's trials grew a crop, relative to the paces on its shelf."""
    paces = {mix.name: mix.pace for mix in scenario.media}
    measured = {mix.name for mix in scenario.media if "pace" in mix.measured}
    return growth_of(scenario.trials, crop, paces, measured)


def charge_range(scenario: Scenario, sowing: Sowing, medium: Medium) -> Callable[[float], float]:
    """
    Quantiles of how long the charge of a mix lasts, as far as trials of the crop tell. [weeks]

    Uniform between the two observations between which it ran out. If it was not seen to run out:
    exactly the weeks entered if they were measured in an earlier season, else those weeks with
    `CHARGE_UNMEASURED` either way; never less than it was seen to last.
    """
    learnt = lesson(scenario.trials, sowing.crop, medium.name)
    seen = learnt.charge if learnt else None
    if seen is not None and seen.by is not None:
        return between(seen.after, seen.by)
    weeks, is_own = medium.feeds_for_weeks, "feeds_for_weeks" in medium.measured
    spread = 0.0 if is_own else CHARGE_UNMEASURED * weeks
    at_least = 0.0 if seen is None else seen.after
    return between(max(at_least, weeks - spread), max(at_least, weeks + spread))


def fill_range(medium: Medium) -> Callable[[float], float]:
    """
    Quantiles of the share of the bag that may be lost in filling, around the value entered. [1]

    `FILL_SPREAD` either way if it was measured, `FILL_UNMEASURED` if not.

    >>> loss = fill_range(Medium("Fine mix", feeds_for_weeks=3, fill_loss=0.15))
    >>> loss(0), loss(1)
    (0.0, 0.3)
    """
    loss = medium.fill_loss
    spread = FILL_SPREAD if "fill_loss" in medium.measured else FILL_UNMEASURED
    return between(max(0.0, loss - spread), min((1 + loss) / 2, loss + spread))


def cost_each(
    scenario: Scenario,
    sowing: Sowing,
    medium: Medium,
    emergence: float,
    charge: float,
    fill_loss: float,
) -> float:
    """
    Cost of a ready seedling as used, with some properties of a mix other than entered. [currency]

    `math.inf` if it is not ready. The charge is the time it feeds in weeks.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> cost_each(demo, demo.sowings[0], demo.medium("Seed starter mix"), 0.9, 3, 0.15)
    0.2
    """
    mix = replace(
        medium,
        emergence=ByName(medium.emergence | {sowing.crop: max(emergence, LEAST)}),
        feeds_for_weeks=charge,
        fill_loss=fill_loss,
    )
    needed = requirement(scenario, sowing, mix)
    return needed.each.total if needed.each else math.inf


def band_of(mix: CostBand) -> list[str]:
    """
    Why the band of a mix's cost is as wide as it is, as sentences.

    >>> for line in band_of({"medium": "Mix", "pots": 1, "correlation": 0.1,
    ...                      "unmeasured": ["fill_loss"]}):
    ...     print(line)
    Mix: one pot cannot show how pots differ, and no band from one pot holds 80 % both where...
    Mix: the band is wide because nobody measured the loss in filling.
    """
    gaps = {"mix": mix["medium"]}
    if mix["pots"] == 1:
        lines: list[str] = [
            say(
                "{mix}: one pot cannot show how pots differ, and no band from one pot holds 80 %"
                " both where they do and where they are alike. This one holds 75 % at least, up to"
                " a correlation of 0.15 between seeds of a pot, and up to 99 % where pots are"
                " alike; from three pots on it holds 75 to 90 %.",
                **gaps,
            )
        ]
    else:
        lines = [
            say(
                "{mix}: the differences between its {pots} pots are counted (correlation"
                " {correlation:.2f}).",
                pots=mix["pots"],
                correlation=mix["correlation"],
                **gaps,
            )
        ]
    if mix["unmeasured"] == ["fill_loss"]:
        lines.append(
            say("{mix}: the band is wide because nobody measured the loss in filling.", **gaps)
        )
    elif mix["unmeasured"] == ["feeds_for_weeks"]:
        lines.append(
            say("{mix}: the band is wide because nobody measured how long it feeds.", **gaps)
        )
    elif mix["unmeasured"]:
        lines.append(
            say(
                "{mix}: the band is wide because nobody measured the loss in filling or how long it"
                " feeds.",
                **gaps,
            )
        )
    return lines
