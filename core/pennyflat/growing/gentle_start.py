"""What it costs to start tender seed gently for a rich mix: three ways, side by side.

Composts and castings carry salts, and seed may come up later and thinner in them. [Tomato in trays
with 10 to 30 % vermicompost: delayed and reduced emergence at every rate; abstract of a trial,
Directory of Open Access Journals.] The seed can go straight in, be sprouted on a damp towel first,
or start in a lean mix and be potted on into the rich one. Which is cheapest depends on the grower's
own germination and prices.
"""

from dataclasses import replace

from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.cost import Requirement, requirement
from pennyflat.scenario.records import Medium, PotOn, Scenario, Sowing


def gentle_starts(
    scenario: Scenario, sowing: Sowing, rich: Medium, lean: Medium
) -> dict[str, Requirement]:
    """
    What one sowing that ends up in a rich mix takes, by the way to start it.

    The ways are "straight in", "pre-sprouted" and "lean mix first"; the last only if the plants
    reach the rich mix before transplanting. They are potted on as the sowing says, else into its
    own cell and tray when the lean mix runs out. Both media are the scenario's; ValueError if they
    are the same.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> lettuce = demo.sowings[1]
    >>> starts = gentle_starts(demo, lettuce, demo.medium("Bulk potting mix"),
    ...                        demo.medium("Seed starter mix"))
    >>> {way: needed.cells for way, needed in starts.items()}
    {'straight in': 235, 'pre-sprouted': 140, 'lean mix first': 156}
    """
    if rich.name == lean.name:
        raise ValueError(f"rich and lean must be two media, not {rich.name!r} twice.")
    own = sowing.pot_on or PotOn(rich.name, sowing.cell_ml, sowing.tray)
    straight = replace(sowing, presprout=False)
    found = {
        "straight in": requirement(scenario, straight, rich),
        "pre-sprouted": requirement(scenario, replace(sowing, presprout=True), rich),
    }
    moved = replace(straight, remedy="pot_on", pot_on=replace(own, medium=rich.name))
    if aftercare(scenario, moved, lean).move:
        found["lean mix first"] = requirement(scenario, moved, lean)
    return found
