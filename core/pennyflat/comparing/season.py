"""After the season: actual against expected cost of a seedling, the reasons, and next year's plan.

The scenario's `happened` records what really happened. Costs are as used. Each sowing's difference
is split exactly into what its cells took more or less of each thing, and the effect of more or
fewer of them ending ready. The grower's own figures go into next year's plan as measured.
"""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property
from typing import Any

from pennyflat.growing.cost import Costs, energy_per_cell, requirement
from pennyflat.growing.medium import medium_price
from pennyflat.growing.sowing import occupied_share, survival
from pennyflat.scenario.checking import Document
from pennyflat.scenario.document import write
from pennyflat.scenario.records import Counts, Scenario
from pennyflat.sentences import Money, phrase, say

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


def season(scenario: Scenario) -> dict[str, Any] | None:
    """
    What really happened against what was expected, and the grower's own figures for next year.

    Two sowings of one crop in `happened` match those of the plan in order. core/FORMATS.md has the
    keys. None without `happened`, or while any of its sowings lacks the cells or the ready
    seedlings.

    Raises
    ------
    KeyError
        If a mix or crop that happened is not in the scenario.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
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
    found = [_Went(scenario, *numbered) for numbered in _numbered(went.sowings)]
    used = _used_shares(went, found)
    feed = _feed_share(scenario, went, found)
    rows = [_row(scenario, one, _was(scenario, one, found, used, feed)) for one in found]
    changes = [one for one in _changes(scenario, found, used, feed) if one["was"] != one["now"]]
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "sowings": rows,
        "changes": changes,
        "next_year": next_year(scenario, changes),
    }


def next_year(scenario: Scenario, changes: Iterable[dict[str, Any]]) -> Document:
    """
    The document of next year's plan: last year's with the grower's own figures and leftovers.

    Prices stay, to be entered anew; dates and what happened are left out.
    """
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


class _Went:
    """One sowing as it went, with what was expected of its filled cells."""

    def __init__(self, scenario, row, number):
        self.row = row
        places = [n for n, sowing in enumerate(scenario.sowings) if sowing.crop == row.crop]
        if not places:
            raise KeyError(row.crop)
        self.place = places[min(number, len(places) - 1)]
        self.sowing = scenario.sowings[self.place]
        self.medium = scenario.medium(row.medium)
        self.needed = requirement(scenario, self.sowing, self.medium)

    @property
    def expected(self):
        """Expected costs of a cell. [currency]"""
        return self.needed.costs.each(self.needed.cells) if self.needed.cells else Costs()

    @cached_property
    def litres(self):
        """Expected litres for filled cells, by mix; for pots, of seedlings that came up. [L]"""
        needed, row = self.needed, self.row
        found = {self.medium.name: row.cells * needed.litres_per_cell}
        occupied = occupied_share(self.sowing, self.medium)
        potted = row.cells * occupied if row.up is None else row.up
        for name, litres in needed.litres.items():
            in_cells = needed.cells * needed.litres_per_cell if name == self.medium.name else 0.0
            if in_cells < litres:
                a_pot = (litres - in_cells) / (needed.cells * occupied)
                found[name] = found.get(name, 0.0) + potted * a_pot
        return found


def _numbered(rows):
    """Each row with the number of earlier rows of its crop, which finds its sowing."""
    seen = Counter[str]()
    for row in rows:
        yield row, seen[row.crop]
        seen[row.crop] += 1


def _used_shares(went, found):
    """Litres used relative to those expected for what was filled, by mix; measured ones only."""
    expected, used, untold = Counter[str](), Counter[str](), set()
    for one in found:
        expected.update(one.litres)
    for bag in went.bags:
        if bag.litres is None or bag.left is None:
            untold.add(bag.medium)
        else:
            used[bag.medium] += bag.litres - bag.left
    return {
        name: litres / expected[name]
        for name, litres in used.items()
        if litres > 0 and expected[name] and name not in untold
    }


def _feed_share(scenario, went, found):
    """Feed given relative to that expected for the filled cells; None if not measured."""
    if went.feed_had is None or went.feed_left is None or scenario.feed is None:
        return None
    expected = math.fsum(
        one.needed.feed_amount / one.needed.cells * one.row.cells
        for one in found
        if one.needed.cells
    )
    return (went.feed_had - went.feed_left) / expected if expected else None


def _was(scenario, one, found, used, feed):
    """Actual costs of a cell; expected ones where nothing was measured."""
    costs, cells = one.expected, one.row.cells
    medium = math.fsum(
        litres * used.get(name, 1.0) * medium_price(scenario, scenario.medium(name))
        for name, litres in one.litres.items()
    )
    costs = replace(costs, medium=medium / cells)
    if feed is not None:
        costs = replace(costs, feed=costs.feed * feed)
    weeks = one.row.weeks
    if weeks is not None and scenario.energy is not None:
        costs = replace(costs, energy=energy_per_cell(scenario.energy, weeks))
    minutes, labour = scenario.happened.minutes, scenario.labour
    if minutes is not None and labour is not None:
        all_cells = sum(other.row.cells for other in found)
        costs = replace(costs, labour=minutes / all_cells / 60 * labour.wage)
    return costs


def _row(scenario, one, was):
    row, needed = one.row, one.needed
    share, ready = row.ready / row.cells, needed.ready and needed.ready_share
    why = _why(one, was, share, ready) if share and ready else None
    expected_each = one.expected.total / ready if ready else None
    was_each = was.total / share if share else None
    return {
        "crop": row.crop,
        "medium": row.medium,
        "cells": row.cells,
        "ready": row.ready,
        "expected_ready": row.cells * ready if ready else 0.0,
        "expected_each": expected_each,
        "was_each": was_each,
        "why": why or [],
        "says": _untold(row) if why is None else _says(scenario, row, expected_each, was_each, why),
    }


def _why(one, was, share, ready):
    """Reasons for the difference per ready seedling; they add up to it. [currency]"""
    expected = one.expected
    found = {
        name: (getattr(was, name) - getattr(expected, name)) / share
        for name in ("medium", "feed", "seed", "container", "energy", "labour")
    }
    survives = survival(one.sowing, one.medium)
    occupied = ready / survives
    up = one.row.up / one.row.cells if one.row.up else occupied * share / ready
    lasted = share / up
    found["emergence"] = expected.total * (1 / up - 1 / occupied) / survives
    found["survival"] = expected.total * (1 / lasted - 1 / survives) / up
    order = sorted(found, key=lambda name: -abs(found[name]))
    return [{"what": name, "each": found[name]} for name in order if abs(found[name]) > 1e-12]


def _says(scenario, row, expected, was, why):
    gaps = {
        "crop": row.crop,
        "medium": row.medium,
        "was": Money(was, scenario.currency),
        "expected": Money(expected, scenario.currency),
    }
    if not why:
        return say("{crop} in {medium} cost {was} a ready seedling, as expected.", **gaps)
    first = next((one for one in why if one["each"] * (was - expected) > 0), why[0])
    gaps |= {"what": PARTS[first["what"]], "most": Money(abs(first["each"]), scenario.currency)}
    if first["each"] > 0:
        return say(
            "{crop} in {medium} cost {was} a ready seedling where {expected} were expected;"
            " most of it lies in {what}: {most} more.",
            **gaps,
        )
    return say(
        "{crop} in {medium} cost {was} a ready seedling where {expected} were expected;"
        " most of it lies in {what}: {most} less.",
        **gaps,
    )


def _untold(row):
    if not row.ready:
        return say("No seedling of {crop} in {medium} was ready.", crop=row.crop, medium=row.medium)
    return say(
        "{crop} in {medium} was not expected to be ready, so nothing can be compared.",
        crop=row.crop,
        medium=row.medium,
    )


def _changes(scenario, found, used, feed):
    """The grower's own figures, mix by mix, then feed and time."""
    went = scenario.happened
    for place, medium in enumerate(scenario.media):
        own = [one for one in found if one.medium.name == medium.name]
        yield from _changes_of(place, medium, own, used.get(medium.name))
        bags = [bag for bag in went.bags if bag.medium == medium.name]
        if bags and not medium.parts and all(bag.left is not None for bag in bags):
            left = math.fsum(bag.left for bag in bags) if medium.keeps_seasons else 0.0
            yield _change(medium.stock, round(left, 2), "media", place, "stock")
    for place, sowing in enumerate(scenario.sowings):
        own = [one for one in found if one.place == place and one.row.up is not None]
        if sowing.presprout and any(one.row.up for one in own):
            yield _change(sowing.take, _share(own, "up", "cells"), "sowings", place, "take")
    if feed is not None and feed > 0:
        now = round(scenario.feed.ml_per_cell * feed, 2)
        yield _change(scenario.feed.ml_per_cell, now, "feed", "ml_per_cell")
    if went.feed_left is not None and scenario.feed is not None:
        yield _change(scenario.feed.stock, round(went.feed_left, 2), "feed", "stock")
    minutes, labour = went.minutes, scenario.labour
    if minutes is not None and labour is not None:
        now = round(minutes / sum(one.row.cells for one in found), 3)
        yield _change(labour.minutes_per_cell, now, "labour", "minutes_per_cell")


def _change(was, now, *place):
    """One of the grower's own figures; its place in the document is keys and positions."""
    return {"place": list(place), "was": was, "now": now}


def _changes_of(place, medium, own, used):
    """The grower's own figures of a mix."""
    measured = set(medium.measured)
    if used:
        loss = 1 - (1 - medium.fill_loss) / used
        if 0 <= loss < 1:
            measured.add("fill_loss")
            yield _change(medium.fill_loss, round(loss, 3), "media", place, "fill_loss")
    weeks = [one.row.weeks / one.sowing.weeks for one in own if one.row.weeks is not None]
    if weeks:
        measured.add("pace")
        now = round(math.fsum(weeks) / len(weeks), 2)
        yield _change(medium.pace, now, "media", place, "pace")
    for crop in dict.fromkeys(one.row.crop for one in own):
        counted = [one for one in own if one.row.crop == crop and one.row.up is not None]
        sown = [one for one in counted if not one.sowing.presprout]
        if sown:
            was = _plain(medium.emergence.get(crop))
            yield _change(was, _emergence(sown), "media", place, "emergence", crop)
        if any(one.row.ready for one in counted):
            was, now = medium.survival.get(crop), _share(counted, "ready", "up")
            yield _change(was, now, "media", place, "survival", crop)
    if tuple(sorted(measured)) != tuple(sorted(medium.measured)):
        yield _change(list(medium.measured), sorted(measured), "media", place, "measured")


def _share(own, part, whole):
    """Ratio of two counts over several rows. [1]"""
    parts, wholes = (sum(getattr(one.row, name) for one in own) for name in (part, whole))
    return round(parts / wholes, 4)


def _emergence(own):
    """Counts if each cell holds one seed; otherwise the share of seeds, from that of the cells."""
    up, cells = (sum(getattr(one.row, name) for one in own) for name in ("up", "cells"))
    if all(one.sowing.seeds_per_cell == 1 for one in own):
        return {"up": up, "sown": cells}
    shares = [one.row.cells * _seed_share(one) for one in own]
    return round(math.fsum(shares) / cells, 4)


def _seed_share(one):
    """Share of seeds from the share of cells in which something came up. [1]"""
    cells = min((one.row.up + 0.5) / (one.row.cells + 1), 1 - 1e-9)
    return 1 - (1 - cells) ** (1 / one.sowing.seeds_per_cell)


def _plain(emergence):
    if isinstance(emergence, Counts):
        return {"up": emergence.up, "sown": emergence.sown}
    return emergence
