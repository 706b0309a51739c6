"""After the season: what a seedling cost beside what was expected, why, and next year's plan.

What really happened stands in the scenario (`happened`). Costs are as used. The difference of each
sowing is told apart exactly: what its cells took more or less of each thing, and that more or fewer
of them ended ready. One's own figures go into next year's plan as what they are: measured.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from pennyflat.growing.cost import Costs, energy_per_cell, requirement
from pennyflat.growing.medium import medium_price
from pennyflat.growing.sowing import survival
from pennyflat.scenario.checking import Document
from pennyflat.scenario.document import write
from pennyflat.scenario.records import Counts, Scenario
from pennyflat.sentences import Money, phrase, say

FORMAT = "seedling-costs-season/1"

PARTS = {
    "medium": phrase("growing medium"),
    "feed": phrase("feed"),
    "seed": phrase("seed"),
    "container": phrase("trays"),
    "energy": phrase("light and heat"),
    "labour": phrase("time"),
    "emergence": phrase("cells in which nothing came up"),
    "survival": phrase("seedlings lost after coming up"),
}
"""What a difference is put down to."""


@dataclass(frozen=True, slots=True)
class Change:
    """One of one's own figures, for next year's plan."""

    place: tuple
    """Where it stands in the document, as keys and positions."""
    was: object
    now: object


def season(scenario: Scenario) -> dict[str, Any] | None:
    """
    What really happened beside what was expected, and one's own figures for next year.

    Parameters
    ----------
    scenario : Scenario
        With `happened`.

    Returns
    -------
    dict
        `sowings`, one for each that happened: `crop`, `medium`, `cells`, `ready`, `expected_ready`,
        `was_each` and `expected_each` as used (None where nothing was ready or expected), `why`,
        [{`what`, `each`}] that add up to the difference, and `says`; `changes`, [{`place`, `was`,
        `now`}]; `next_year`, the scenario document with them. None without `happened`.

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
    if went is None:
        return None
    found = [_Went(scenario, row) for row in went.sowings]
    used = _litres_used(went)
    feed = _feed_share(scenario, went, found)
    rows = [_row(scenario, one, _was(scenario, one, found, used, feed)) for one in found]
    changes = tuple(_changes(scenario, found, used, feed))
    return {
        "format": FORMAT,
        "currency": scenario.currency,
        "sowings": rows,
        "changes": [{"place": list(c.place), "was": c.was, "now": c.now} for c in changes],
        "next_year": next_year(scenario, changes),
    }


def next_year(scenario: Scenario, changes: Iterable[Change]) -> Document:
    """
    The document of next year's plan: last year's with one's own figures and what is left in store.

    Prices stay as they were, to be entered anew; days and what happened are left out.

    Parameters
    ----------
    scenario : Scenario
    changes : iterable of Change

    Returns
    -------
    dict

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> change = Change(("media", 0, "fill_loss"), 0.12, 0.2)
    >>> next_year(read(DEMO), [change])["media"][0]["fill_loss"]
    0.2
    """
    document = write(replace(scenario, happened=None, last_frost=None))
    for change in changes:
        row = document
        for step in change.place[:-1]:
            row = row.setdefault(step, {}) if isinstance(row, dict) else row[step]
        row[change.place[-1]] = change.now
    for sowing in document["sowings"]:
        sowing.pop("plant_out", None)
    return document


class _Went:
    """One sowing as it went, with what was expected of it in the cells filled."""

    def __init__(self, scenario, row):
        self.row = row
        places = [n for n, sowing in enumerate(scenario.sowings) if sowing.crop == row.crop]
        if not places:
            raise KeyError(row.crop)
        self.place = places[0]
        self.sowing = scenario.sowings[self.place]
        self.medium = scenario.medium(row.medium)
        self.needed = requirement(scenario, self.sowing, self.medium)

    @property
    def filled(self):
        """Volume of the cells filled. [L]"""
        return self.row.cells * self.sowing.cell_ml / 1000

    @property
    def expected(self):
        """Costs expected of a cell. [currency]"""
        return self.needed.costs.each(self.needed.cells) if self.needed.cells else Costs()


def _litres_used(went):
    """Litres used out of the bags, by mix."""
    used = {}
    for bag in went.bags:
        used[bag.medium] = used.get(bag.medium, 0.0) + bag.litres - bag.left
    return used


def _feed_share(scenario, went, found):
    """What was fed over what was expected for the cells filled; None where nobody measured."""
    if went.feed_used is None or scenario.feed is None:
        return None
    expected = math.fsum(
        one.needed.feed_amount / one.needed.cells * one.row.cells
        for one in found
        if one.needed.cells
    )
    return went.feed_used / expected if expected else None


def _was(scenario, one, found, used, feed):
    """Costs of a cell as they were; what nobody measured as it was expected."""
    costs, cells = one.expected, one.row.cells
    name = one.medium.name
    if used.get(name):
        filled = math.fsum(other.filled for other in found if other.medium.name == name)
        litres = used[name] * one.filled / filled
        costs = replace(costs, medium=litres / cells * medium_price(scenario, one.medium))
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
    told = bool(share and ready)
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
        "why": _why(one, was, share, ready) if told else [],
        "says": _says(scenario, row, expected_each, was_each, _why(one, was, share, ready))
        if told
        else _untold(row),
    }


def _why(one, was, share, ready):
    """What the difference of a ready seedling is put down to; adds up to it. [currency]"""
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
    first = why[0]
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
    """One's own figures, mix by mix, then feed and time."""
    for place, medium in enumerate(scenario.media):
        own = [one for one in found if one.medium.name == medium.name]
        if own:
            yield from _changes_of(place, medium, own, used.get(medium.name), scenario)
    if feed is not None and feed > 0:
        now = round(scenario.feed.ml_per_cell * feed, 2)
        yield Change(("feed", "ml_per_cell"), scenario.feed.ml_per_cell, now)
    minutes, labour = scenario.happened.minutes, scenario.labour
    if minutes is not None and labour is not None:
        now = round(minutes / sum(one.row.cells for one in found), 3)
        yield Change(("labour", "minutes_per_cell"), labour.minutes_per_cell, now)


def _changes_of(place, medium, own, used, scenario):
    measured = set(medium.measured)
    if used:
        loss = 1 - math.fsum(one.filled for one in own) / used
        if 0 <= loss < 1:
            measured.add("fill_loss")
            yield Change(("media", place, "fill_loss"), medium.fill_loss, round(loss, 3))
    weeks = [one.row.weeks / one.sowing.weeks for one in own if one.row.weeks is not None]
    if weeks:
        measured.add("pace")
        now = round(math.fsum(weeks) / len(weeks), 2)
        yield Change(("media", place, "pace"), medium.pace, now)
    for one in own:
        row, crop = one.row, one.row.crop
        if row.up is None:
            continue
        was = medium.emergence.get(crop)
        yield Change(("media", place, "emergence", crop), _plain(was), _emergence(one))
        if row.up and row.ready:
            was = medium.survival.get(crop)
            yield Change(("media", place, "survival", crop), was, round(row.ready / row.up, 4))
    if tuple(sorted(measured)) != tuple(sorted(medium.measured)):
        yield Change(("media", place, "measured"), list(medium.measured), sorted(measured))
    left = math.fsum(b.left for b in scenario.happened.bags if b.medium == medium.name)
    if left and not medium.parts and medium.keeps_seasons:
        yield Change(("media", place, "stock"), medium.stock, round(left, 2))


def _emergence(one):
    """Counts, where a cell holds one seed; else the share of a seed by that of the cells."""
    row, seeds = one.row, one.sowing.seeds_per_cell
    if seeds == 1 and not one.sowing.presprout:
        return {"up": row.up, "sown": row.cells}
    cells = min((row.up + 0.5) / (row.cells + 1), 1 - 1e-9)
    return round(1 - (1 - cells) ** (1 / seeds), 4)


def _plain(emergence):
    if isinstance(emergence, Counts):
        return {"up": emergence.up, "sown": emergence.sown}
    return emergence
