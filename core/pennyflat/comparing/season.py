"""After the season: actual against expected cost of a seedling, the reasons, and next year's plan.

The scenario's `happened` records what really happened. Costs are as used. Each sowing's difference
is split exactly into what its cells took more or less of each thing, and the effect of more or
fewer of them ending ready. The grower's own figures go into next year's plan as measured.
"""

from collections import Counter
from dataclasses import asdict, replace
from math import fsum
from statistics import fmean
from typing import Any

from pennyflat.buying.plan import Plan
from pennyflat.growing.cost import Costs, energy_per_cell, requirement
from pennyflat.growing.medium import medium_price
from pennyflat.growing.sowing import occupied_share, survival
from pennyflat.scenario.checking import Document
from pennyflat.scenario.document import write
from pennyflat.scenario.records import Counts, Scenario
from pennyflat.sentences import Money, phrase, say
from pennyflat.units import DIGITS

FORMAT = "seedling-costs-season/1"

PARTS = {
    "medium": phrase("mix"),
    "feed": phrase("feed"),
    "seed": phrase("seed"),
    "container": phrase("trays"),
    "energy": phrase("light and heat"),
    "labour": phrase("time"),
    "emergence": phrase("cells in which nothing came up"),
    "survival": phrase("seedlings lost after coming up"),
}
"""Possible reasons for a difference."""


def season_form(scenario: Scenario, plan: Plan) -> Document:
    """
    The `happened` of a scenario document, still to be filled in after the season.

    Crops, mixes and the amounts of mix and feed are filled in as planned; what only the grower
    knows is left blank. A sowing without a mix in the `plan` uses the mix chosen for it, else the
    first. `bags` holds what there is of each mix with the plan's bags [L], without blends;
    `feed_had` [g, or mL for a liquid] is left out if the plan does not feed.

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.buying.highs import solve
    >>> from pennyflat.buying.plan import Planner, run
    >>> demo = read(DEMO)
    >>> form = season_form(demo, run(Planner(demo).best(), solve))
    >>> print(form["sowings"][0], form["bags"])
    {'crop': 'tomato', 'medium': 'Seed starter mix', 'cells': 77} [{'medium': ..., 'litres': 17.62}]
    """

    def there_was(item, measure, needed):
        """Amount of an item with the plan's purchases, stock included. [measure]"""
        basket, name = plan.basket, (item, measure)
        for left in basket.left_over:
            needed += left["amount"] if (left["item"], left["measure"]) == name else 0.0
        for lack in basket.unmet:
            needed -= lack["short_by"] if (lack["item"], lack["measure"]) == name else 0.0
        return float(f"{needed:.{DIGITS}g}")

    first, picks = scenario.media[0].name, [pick for pick in plan.picks if pick]
    sowings = [
        {"crop": pick.crop, "medium": pick.medium, "cells": pick.cells}
        if pick
        else {"crop": sowing.crop, "medium": sowing.medium or first}
        for sowing, pick in zip(scenario.sowings, plan.picks, strict=True)
    ]
    form: Document = {"sowings": sowings, "bags": []}
    for name in dict.fromkeys(name for pick in picks for name in pick.litres):
        needed = sum(pick.litres.get(name, 0.0) for pick in picks)
        is_bought = not scenario.medium(name).parts
        litres = {"litres": there_was(name, "L", needed)} if is_bought else {}
        form["bags"].append({"medium": name} | litres)
    fed = sum(pick.feed_amount for pick in picks)
    if scenario.feed and fed:
        form["feed_had"] = there_was(scenario.feed.name, scenario.feed.measure, fed)
    return form


def season(scenario: Scenario) -> dict[str, Any] | None:
    """
    What really happened against what was expected, and the grower's own figures for next year.

    Two sowings of one crop in `happened` match those of the plan in order. core/FORMATS.md has the
    keys. `next_year` is the plan's document with these figures and the leftovers; prices stay, to
    be entered anew, dates are left out. None without `happened`, or while any of its sowings lacks
    the cells or the ready seedlings; KeyError if a mix or crop of it is not in the scenario.

    >>> from pennyflat import DEMO, read
    >>> went = {"crop": "tomato", "medium": "Bulk potting mix", "cells": 77, "up": 60, "ready": 57}
    >>> bag = {"medium": "Bulk potting mix", "litres": 56.6, "left": 50.0}
    >>> report = season(read(DEMO | {"happened": {"sowings": [went], "bags": [bag]}}))
    >>> row = report["sowings"][0]
    >>> row["expected_each"], row["was_each"]
    (0.1682, 0.1956)
    >>> [(".".join(map(str, c["place"])), c["now"]) for c in report["changes"]][0]
    ('media.1.fill_loss', 0.312)
    """
    went = scenario.happened
    if went is None or went.unfinished or not went.sowings:
        return None
    crops = [row.crop for row in went.sowings]
    earlier = (crops[:place].count(crop) for place, crop in enumerate(crops))
    found = [_Went(scenario, *told) for told in zip(went.sowings, earlier, strict=True)]
    used, feed = _used_shares(went, found), _feed_share(scenario, went, found)
    minutes = None if went.minutes is None else went.minutes / _sum(found, "cells")
    changes = [
        {"place": list(place), "was": was, "now": now}
        for place, now in _own_figures(scenario, found, used, feed, minutes)
        if (was := _entered(scenario, place)) != now
    ]
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "sowings": [_row(scenario, one, _was(scenario, one, used, feed, minutes)) for one in found],
        "changes": changes,
        "next_year": _next_year(scenario, changes),
    }


def _next_year(scenario, changes):
    document = write(replace(scenario, happened=None, last_frost=None))
    for change in changes:
        row = document
        *steps, last = change["place"]
        for step in steps:
            row = row.setdefault(step, {}) if isinstance(row, dict) else row[step]
        row[last] = change["now"]
    for sowing in document["sowings"]:
        sowing.pop("plant_out", None)
    return document


def _entered(scenario, place):
    """What was entered at a place, as in a document."""
    value = scenario
    for step in place:
        if isinstance(value, dict):
            value = value.get(step)
        else:
            value = value[step] if isinstance(step, int) else getattr(value, step)
    if isinstance(value, Counts):
        return asdict(value)
    return list(value) if isinstance(value, tuple) else value


class _Went:
    """One sowing as it went, with what was expected of its filled cells."""

    def __init__(self, scenario, row, earlier):
        places = [place for place, one in enumerate(scenario.sowings) if one.crop == row.crop]
        if not places:
            raise KeyError(row.crop)
        self.row = row
        self.place = places[min(earlier, len(places) - 1)]
        """Place of its sowing, by the number of `earlier` rows of its crop."""
        self.sowing = scenario.sowings[self.place]
        self.medium = scenario.medium(row.medium)
        self.needed = needed = requirement(scenario, self.sowing, self.medium)
        self.expected = needed.costs.each(needed.cells) if needed.cells else Costs()
        """Expected costs of a cell. [currency]"""
        self.litres = Counter({row.medium: row.cells * needed.litres_per_cell})
        """Expected litres for filled cells, by mix; for pots, of seedlings that came up. [L]"""
        occupied = occupied_share(self.sowing, self.medium)
        potted = row.cells * occupied if row.up is None else row.up
        for name, litres in needed.litres.items():
            in_cells = needed.cells * needed.litres_per_cell if name == row.medium else 0.0
            if in_cells < litres:
                self.litres[name] += potted * (litres - in_cells) / (needed.cells * occupied)


def _used_shares(went, found):
    """Litres used relative to those expected for what was filled, by mix; measured ones only."""
    expected, used = Counter(), Counter()
    for one in found:
        expected.update(one.litres)
    untold = {bag.medium for bag in went.bags if bag.litres is None or bag.left is None}
    for bag in went.bags:
        if bag.medium not in untold:
            used[bag.medium] += bag.litres - bag.left
    return {
        name: litres / expected[name]
        for name, litres in used.items()
        if litres > 0 and expected[name]
    }


def _feed_share(scenario, went, found):
    """Feed given relative to that expected for the filled cells; None if not measured."""
    if went.feed_had is None or went.feed_left is None or scenario.feed is None:
        return None
    needs = [(one.needed, one.row.cells) for one in found if one.needed.cells]
    expected = fsum(needed.feed_amount / needed.cells * cells for needed, cells in needs)
    return (went.feed_had - went.feed_left) / expected if expected else None


def _was(scenario, one, used, feed, minutes):
    """Actual costs of a cell; expected ones where nothing was measured."""
    medium = fsum(
        litres * used.get(name, 1.0) * medium_price(scenario, scenario.medium(name))
        for name, litres in one.litres.items()
    )
    told = {"medium": medium / one.row.cells}
    if feed is not None:
        told["feed"] = one.expected.feed * feed
    if one.row.weeks is not None and scenario.energy is not None:
        told["energy"] = energy_per_cell(scenario.energy, one.row.weeks)
    if minutes is not None and scenario.labour is not None:
        told["labour"] = minutes / 60 * scenario.labour.wage
    return replace(one.expected, **told)


def _row(scenario, one, was):
    row, needed = one.row, one.needed
    share, ready = row.ready / row.cells, needed.ready and needed.ready_share
    why = _why(one, was, share, ready) if share and ready else None
    expected_each = one.expected.total / ready if ready else None
    was_each = was.total / share if share else None
    return {name: getattr(row, name) for name in ("crop", "medium", "cells", "ready")} | {
        "expected_ready": row.cells * ready if ready else 0.0,
        "expected_each": expected_each,
        "was_each": was_each,
        "why": why or [],
        "says": _says(scenario.currency, row, expected_each, was_each, why),
    }


def _why(one, was, share, ready):
    """Reasons for the difference per ready seedling; they add up to it. [currency]"""
    expected = asdict(one.expected)
    found = {name: (getattr(was, name) - cost) / share for name, cost in expected.items()}
    survives = survival(one.sowing, one.medium)
    occupied = ready / survives
    up = one.row.up / one.row.cells if one.row.up else occupied * share / ready
    lasted = share / up
    found["emergence"] = one.expected.total * (1 / up - 1 / occupied) / survives
    found["survival"] = one.expected.total * (1 / lasted - 1 / survives) / up
    order = sorted(found, key=lambda name: -abs(found[name]))
    return [{"what": name, "each": found[name]} for name in order if abs(found[name]) > 1e-12]


def _says(currency, row, expected, was, why):
    """How a sowing went, in a sentence; `why` is None if nothing can be compared."""
    gaps = {"crop": row.crop, "medium": row.medium}
    if not row.ready:
        return say("No seedling of {crop} in {medium} was ready.", **gaps)
    if why is None:
        return say(
            "{crop} in {medium}: not expected to be ready, so nothing can be compared.", **gaps
        )
    gaps |= {"was": Money(was, currency), "expected": Money(expected, currency)}
    if not why:
        return say("{crop} in {medium} cost {was} a ready seedling, as expected.", **gaps)
    first = next((one for one in why if one["each"] * (was - expected) > 0), why[0])
    gaps |= {"what": PARTS[first["what"]], "most": Money(abs(first["each"]), currency)}
    return say(
        "{crop} in {medium} cost {was} a ready seedling instead of the expected {expected};"
        " most of it lies in {what}: {most} more."
        if first["each"] > 0
        else "{crop} in {medium} cost {was} a ready seedling instead of the expected {expected};"
        " most of it lies in {what}: {most} less.",
        **gaps,
    )


def _own_figures(scenario, found, used, feed, minutes):
    """The grower's own figures with their places in the document: of mixes, sowings, feed, time."""
    went = scenario.happened
    for place, medium in enumerate(scenario.media):
        own = [one for one in found if one.medium.name == medium.name]
        for steps, now in _figures_of_mix(medium, own, used.get(medium.name)):
            yield ("media", place, *steps), now
        bags = [bag for bag in went.bags if bag.medium == medium.name]
        if bags and not medium.parts and all(bag.left is not None for bag in bags):
            left = fsum(bag.left for bag in bags) if medium.keeps_seasons else 0.0
            yield ("media", place, "stock"), round(left, 2)
    for place, sowing in enumerate(scenario.sowings):
        own = [one for one in found if one.place == place and one.row.up is not None]
        if sowing.presprout and any(one.row.up for one in own):
            yield ("sowings", place, "take"), _share(own, "up", "cells")
    if feed is not None and feed > 0:
        yield ("feed", "ml_per_cell"), round(scenario.feed.ml_per_cell * feed, 2)
    if went.feed_left is not None and scenario.feed is not None:
        yield ("feed", "stock"), round(went.feed_left, 2)
    if minutes is not None and scenario.labour is not None:
        yield ("labour", "minutes_per_cell"), round(minutes, 3)


def _figures_of_mix(medium, own, used):
    """The grower's own figures of a mix with their places in it."""
    measured = set(medium.measured)
    loss = 1 - (1 - medium.fill_loss) / used if used else None
    if loss is not None and 0 <= loss < 1:
        measured.add("fill_loss")
        yield ("fill_loss",), round(loss, 3)
    weeks = [one.row.weeks / one.sowing.weeks for one in own if one.row.weeks is not None]
    if weeks:
        measured.add("pace")
        yield ("pace",), round(fmean(weeks), 2)
    for crop in dict.fromkeys(one.row.crop for one in own):
        counted = [one for one in own if one.row.crop == crop and one.row.up is not None]
        sown = [one for one in counted if not one.sowing.presprout]
        if sown:
            yield ("emergence", crop), _emergence(sown)
        if any(one.row.ready for one in counted):
            yield ("survival", crop), _share(counted, "ready", "up")
    if measured != set(medium.measured):
        yield ("measured",), sorted(measured)


def _sum(own, count):
    return sum(getattr(one.row, count) for one in own)


def _share(own, part, whole):
    return round(_sum(own, part) / _sum(own, whole), 4)


def _emergence(own):
    """Counts if each cell holds one seed; otherwise the share of seeds, from that of the cells."""
    if all(one.sowing.seeds_per_cell == 1 for one in own):
        return {"up": _sum(own, "up"), "sown": _sum(own, "cells")}
    shares = 0.0
    for one in own:
        cells = min((one.row.up + 0.5) / (one.row.cells + 1), 1 - 1e-9)
        shares += one.row.cells * (1 - (1 - cells) ** (1 / one.sowing.seeds_per_cell))
    return round(shares / _sum(own, "cells"), 4)
