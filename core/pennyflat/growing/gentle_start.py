"""What it costs to start tender seed gently for a rich mix: three ways, side by side.

Composts and castings carry salts, and seed may come up later and thinner in them. [Tomato in trays
with 10 to 30 % vermicompost: delayed and reduced emergence at every rate; abstract of a trial,
Directory of Open Access Journals.] The seed can go straight in, be sprouted on a damp towel first,
or start in a lean mix and be potted on into the rich one. Which is cheapest depends on the grower's
own germination and prices.
"""

from dataclasses import dataclass, replace

from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.scenario.records import Medium, PotOn, Scenario, Sowing


@dataclass(frozen=True, slots=True)
class Start:
    """One way to start, and the cost of a transplant-ready seedling that way."""

    way: str
    """"straight in", "pre-sprouted" or "lean mix first"."""
    needed: Requirement
    each: float | None
    """As used, for one seedling expected ready; None if none is. [currency]"""


def gentle_starts(
    scenario: Scenario, sowing: Sowing, rich: Medium, lean: Medium
) -> tuple[Start, ...]:
    """
    Three ways to start one sowing that ends up in a rich mix.

    Parameters
    ----------
    scenario : Scenario
    sowing : Sowing
        Its `pot_on` is used if it has one, else its own cell and tray, when the lean mix runs out;
        its `take` is the share of sprouted seeds that take.
    rich, lean : Medium
        Two of the scenario's. Emergence in the rich one is its own figure for the crop.

    Returns
    -------
    tuple of Start
        Straight in, pre-sprouted, lean mix first; the last only if the plants reach the rich mix
        before transplanting.

    Raises
    ------
    ValueError
        If both media are the same.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> lettuce = demo.sowings[1]
    >>> starts = gentle_starts(demo, lettuce, demo.medium("Bulk potting mix"),
    ...                        demo.medium("Seed starter mix"))
    >>> [(start.way, start.needed.cells) for start in starts]
    [('straight in', 235), ('pre-sprouted', 140), ('lean mix first', 156)]
    """
    if rich.name == lean.name:
        raise ValueError(f"rich and lean must be two media, not {rich.name!r} twice.")
    own = sowing.pot_on or PotOn(rich.name, sowing.cell_ml, sowing.tray)
    move = replace(own, medium=rich.name)
    ways = [
        ("straight in", replace(sowing, presprout=False), rich),
        ("pre-sprouted", replace(sowing, presprout=True), rich),
    ]
    moved = replace(sowing, presprout=False, remedy="pot_on", pot_on=move)
    if aftercare(scenario, moved, lean).moves:
        ways.append(("lean mix first", moved, lean))
    return tuple(
        Start(way, needed, needed.each.total if needed.each else None)
        for way, changed, medium in ways
        for needed in [requirement(scenario, changed, medium)]
    )
