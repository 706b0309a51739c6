"""What a litre of growing medium costs and what it is mixed from. Volumes are loose, as poured."""

from collections import defaultdict
from math import fsum

from pennyflat.scenario.package import lowest_price
from pennyflat.scenario.records import Medium, Scenario


def recipe_of(medium: Medium) -> dict[tuple[str, str, str], float]:
    """
    What is in one litre of finished blend, by ("part", ingredient, measure). [L or g]

    Of a part `p_i / sum(p) / (1 - shrink)` litres: the mixed pile is smaller than the sum of its
    parts, since fine particles fill the gaps between coarse ones. [Common practice puts `shrink` at
    0.05 to 0.20; no primary source found.] Of an addition its grams. Repeated ones are added up.

    For 36 L of a blend that shrinks by a tenth, 40 L of parts must be bought:

    >>> from pennyflat.scenario.records import Medium, Part
    >>> blend = Medium("Blend", 5, shrink=0.1, parts=(Part("Coir", 3), Part("Perlite", 1)))
    >>> {name: 36 * litres for (_, name, _), litres in recipe_of(blend).items()}
    {'Coir': 30.0, 'Perlite': 10.0}
    """
    whole, left = sum(part.parts for part in medium.parts), 1 - medium.shrink
    found = defaultdict[tuple[str, str, str], float](float)
    for part in medium.parts:
        found["part", part.ingredient, "L"] += part.parts / whole / left
    for addition in medium.additions:
        found["part", addition.ingredient, "g"] += addition.g_per_l
    return found


def medium_price(scenario: Scenario, medium: Medium) -> float:
    """
    Price of one litre of a medium as used, with tax, without deals. [currency/L]

    The lowest plain price among its packages; for a blend, the sum over its ingredients and
    additions of the amount in a litre at the lowest plain price of each.

    >>> from pennyflat import DEMO, read
    >>> demo = read(DEMO)
    >>> medium_price(demo, demo.medium("Bulk potting mix"))
    0.2560
    """
    if medium.packages:
        return lowest_price(medium.packages, "L", tax=scenario.tax)
    return fsum(
        amount * lowest_price(scenario.ingredient(name).packages, measure, tax=scenario.tax)
        for (_, name, measure), amount in recipe_of(medium).items()
    )
