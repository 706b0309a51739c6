"""Which medium costs least as used for a sowing, by how much, and why.

*As used* is per transplant-ready seedling, for a grower who uses up everything bought. `plan` says
what to buy for all sowings together.
"""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, TypedDict

from pennyflat.growing.cost import Costs, Requirement
from pennyflat.scenario.records import Sowing
from pennyflat.sentences import Money, phrase, say

DECIDERS = {
    "medium": phrase("its mix costs less"),
    "feed": phrase("it needs less feed"),
    "seed": phrase("its seed costs less"),
    "container": phrase("its containers cost less"),
    "energy": phrase("it needs less light and heat"),
    "labour": phrase("it needs less work"),
    "emergence": phrase("more of its seeds come up"),
}
"""What can decide between two media, with the wording as a reason in a sentence."""

SAME = 1e-9
"""Difference in money below which two costs count as the same. [currency]"""


class Verdict(TypedDict):
    """Which medium costs least as used for one sowing."""

    crop: str
    wanted: int
    cheapest: str | None
    each: float | None
    runner_up: str | None
    saves: float | None
    decided_by: str | None
    sentence: str


def verdict(sowing: Sowing, requirements: Sequence[Requirement], currency: str) -> Verdict:
    """
    Which medium costs least as used for one sowing, by how much, and why.

    The `requirements` are of this sowing in each of the scenario's media; `currency` is a code. The
    keys are those of `verdicts` in core/FORMATS.md.

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.comparing.report import compared
    >>> found = compared(read(DEMO))["verdicts"][0]
    >>> found["cheapest"], found["decided_by"]
    ('Bulk potting mix', 'medium')
    """
    ready = [(one.each.total, one) for one in requirements if one.each]
    ready.sort(key=lambda found: found[0])
    rows: list[Any] = [*ready, (None, None), (None, None)]
    (each, best), (other, second) = rows[:2]
    saved = effects(best, second) if second else {}
    found: Verdict = {
        "crop": sowing.crop,
        "wanted": sowing.wanted,
        "cheapest": best and best.medium,
        "each": each,
        "runner_up": second and second.medium,
        "saves": second and other - each,
        "decided_by": max(saved, key=saved.__getitem__, default=None),
        "sentence": "",
    }
    found["sentence"] = _sentence(found, currency)
    return found


def effects(first: Requirement, second: Requirement) -> dict[str, float]:
    """
    What makes one medium cheaper than another per ready seedling, part by part.

    A cost per ready seedling is a cost per cell divided by the share of cells that end ready. The
    difference of two such quotients is split into the part due to each cost per cell, at the mean
    of both shares, and the part due to the shares, at the mean of both costs; the parts add up to
    the whole. [The midpoint split of a difference of products: Kitagawa 1955, J. Am. Stat. Assoc.
    50, 1168-1194, from memory.]

    Returns by key of `DECIDERS` what it saves in the first medium, both being ready; negative if it
    costs more. [currency]

    >>> from pennyflat import DEMO, read
    >>> from pennyflat.growing.cost import requirement
    >>> demo = read(DEMO)
    >>> lettuce = demo.sowings[1]
    >>> lean, rich = (requirement(demo, lettuce, medium) for medium in demo.media[:2])
    >>> {part: round(saves, 4) for part, saves in effects(lean, rich).items() if saves}
    {'medium': -0.0126, 'feed': -0.0005, 'emergence': 0.0263}
    """
    mean_cells = (1 / first.ready_share + 1 / second.ready_share) / 2
    more_cells = 1 / second.ready_share - 1 / first.ready_share
    one, other = first.costs.each(first.cells), second.costs.each(second.cells)
    saved = {
        field.name: (getattr(other, field.name) - getattr(one, field.name)) * mean_cells
        for field in fields(Costs)
    }
    return saved | {"emergence": more_cells * (one.total + other.total) / 2}


def _sentence(found, currency):
    """The verdict in one plain sentence."""
    gaps = {"crop": found["crop"], "cheapest": found["cheapest"], "other": found["runner_up"]}
    if found["cheapest"] is None:
        return say("For {crop}, every mix runs out of feed before transplanting.", **gaps)
    gaps["each"] = Money(found["each"], currency)
    if found["runner_up"] is None:
        return say(
            "For {crop}, only {cheapest} brings seedlings to transplanting, at {each} per ready"
            " seedling.",
            **gaps,
        )
    if found["saves"] < SAME:
        return say(
            "For {crop}, {cheapest} and {other} cost the same as used, {each} per ready seedling.",
            **gaps,
        )
    return say(
        "For {crop}, {cheapest} costs least as used at {each} per ready seedling, {saves} less than"
        " {other}, mainly because {reason}.",
        **gaps,
        saves=Money(found["saves"], currency),
        reason=DECIDERS[found["decided_by"]],
    )
