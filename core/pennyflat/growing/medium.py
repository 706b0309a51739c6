"""What a litre of growing medium costs and what it is mixed from. Volumes are loose, as poured."""

from pennyflat.scenario.package import lowest_price
from pennyflat.scenario.records import Medium, Scenario


def parts_per_litre(medium: Medium) -> dict[str, float]:
    """
    Litres of each ingredient in one litre of finished blend; repeated ones are added up. [L/L]

    `p_i / sum(p) / (1 - shrink)`: the mixed pile is smaller than the sum of its parts, since fine
    particles fill the gaps between coarse ones. [Common practice puts `shrink` at 0.05 to 0.20;
    no primary source found.]

    For 36 L of a blend that shrinks by a tenth, 40 L of parts must be bought:

    >>> from pennyflat.scenario.records import Medium, Part
    >>> blend = Medium("Blend", 5, shrink=0.1, parts=(Part("Coir", 3), Part("Perlite", 1)))
    >>> {name: 36 * litres for name, litres in parts_per_litre(blend).items()}
    {'Coir': 30.0, 'Perlite': 10.0}
    """
    whole, left = sum(part.parts for part in medium.parts), 1 - medium.shrink
    return _together((part.ingredient, part.parts / whole / left) for part in medium.parts)


def additions_per_litre(medium: Medium) -> dict[str, float]:
    """Grams of each dry addition in one litre of finished blend; repeated ones added up. [g/L]"""
    return _together((addition.ingredient, addition.g_per_l) for addition in medium.additions)


def _together(amounts):
    """Amounts by ingredient, those of the same one added up."""
    found = {}
    for ingredient, amount in amounts:
        found[ingredient] = found.get(ingredient, 0.0) + amount
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

    def price(amounts, measure):
        return sum(
            amount * lowest_price(scenario.ingredient(name).packages, measure, tax=scenario.tax)
            for name, amount in amounts.items()
        )

    return price(parts_per_litre(medium), "L") + price(additions_per_litre(medium), "g")
