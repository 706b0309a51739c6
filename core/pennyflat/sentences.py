"""Sentences that remember how they were made, so that they can be said in another language.

The core speaks English. Its sentences are `Said`: English strings that also know their template and
what fills its gaps. A page in another language looks the template up in a catalogue, translates
each gap, and fills in the translated template:

>>> sentence = say("{crop} stalls in week {week:g}.", crop="Kale", week=3.0)
>>> sentence
'Kale stalls in week 3.'
>>> spoken = {"{crop} stalls in week {week:g}.": "En la semana {week:g} se detiene {crop}."}
>>> spoken[sentence.template].format(**sentence.gaps)
'En la semana 3 se detiene Kale.'

A template is a whole sentence, or a clause that is complete by itself, and a literal in the call of
`say`, `say_count` or `phrase`, or a choice of literals, `"…" if … else "…"` or `{key: "…"}[…]`: a
search of the source finds it there for the catalogue. A gap takes a name as the grower wrote it, a
number, an `Amount` with its unit, an amount of `Money`, a `Listed` series, or a `Said`. Adding,
joining or formatting a `Said` by hand gives a plain string without its template.

An error that people meet carries a `Said`, as `unclear` makes it, and `str(error)` is that `Said`.
"""

from dataclasses import dataclass
from typing import Any, Self

GLUE = {
    "and": (", ", " and "),
    "or": (", ", " or "),
    ",": (", ", ", "),
    ";": ("; ", "; "),
    "+": (" + ", " + "),
    " ": (" ", " "),
    "\n": ("\n", "\n"),
}
"""Ways to join a series: the text between its things, and the text before the last."""


class Said(str):
    """An English text, its `template`, and what fills the `gaps`, by name."""

    __slots__ = ("gaps", "template")

    template: str
    gaps: dict[str, Any]

    def __new__(cls, template: str, gaps: dict[str, Any]) -> Self:
        said = super().__new__(cls, template.format_map(gaps))
        said.template = template
        said.gaps = gaps
        return said

    def __reduce__(self) -> Any:
        return Said, (self.template, self.gaps)

    def __str__(self) -> str:
        return self


@dataclass(frozen=True, slots=True)
class Money:
    """
    An amount of money in a sentence, followed by the code, with thousandths below 1.

    >>> print(Money(0.19624, "USD"), Money(14.5, "EUR"), Money(0.534, "EUR", in_all=True))
    0.196 USD 14.50 EUR 0.53 EUR
    """

    amount: float
    """[currency]"""
    currency: str
    """Code. [ISO 4217]"""
    in_all: bool = False
    """Whether it is a total, which has no thousandths, rather than the price of one thing."""

    @property
    def decimals(self) -> int:
        """Decimals to show. [count]"""
        return 3 if abs(self.amount) < 1 and not self.in_all else 2

    def __str__(self) -> str:
        return f"{self.amount:.{self.decimals}f} {self.currency}"


UNITS = {
    "mix": "L",
    "solution": "L",
    "cell": "mL",
    "liquid": "mL",
    "weight": "g",
    "temperature": "°C",
    "height": "mm",
}
"""The unit of an amount, by its quantity; `pennyflat.units.CUSTOMARY` has the same keys."""

GOODS = {"L": "mix", "g": "weight", "mL": "liquid"}
"""The quantity of goods by their measure."""


@dataclass(frozen=True, slots=True)
class Amount:
    """
    An amount in a sentence, with its unit; its gap takes a number format.

    >>> f"{Amount(2.345, 'solution'):.3g}", f"{Amount(21.0, 'temperature'):g}"
    ('2.35 L', '21 °C')
    """

    value: float
    """In the unit of `UNITS`."""
    quantity: str
    """A key of `UNITS`."""

    def __format__(self, spec: str) -> str:
        return f"{self.value:{spec}} {UNITS[self.quantity]}"


@dataclass(frozen=True, slots=True)
class Listed:
    """
    A series of things in a sentence; each may be a `Said`, too.

    >>> print(Listed(("leek", "kale", say("{n} pots", n=4)), "and"))
    leek, kale and 4 pots
    """

    items: tuple
    glue: str
    """A key of `GLUE`."""

    def __str__(self) -> str:
        between, last = GLUE[self.glue]
        *before, final = map(str, self.items or ("",))
        return f"{between.join(before)}{last}{final}" if before else final


def say(template: str, /, **gaps: Any) -> Said:
    """
    A sentence that can also be said in another language.

    `template` is a literal in English, or a choice of some, with named gaps, `{week:g}`, as in
    `str.format`; each of them is filled from `gaps`: str, int, float, Said, Amount, Money or
    Listed. KeyError if one is not.

    >>> why = say("nothing follows in week {week:g}", week=3)
    >>> say("{crop} costs {each}; {why}.", crop="Kale", each=Money(2, "EUR"), why=why)
    'Kale costs 2.00 EUR; nothing follows in week 3.'
    """
    return Said(template, gaps)


def say_count(count: float, one: str, many: str, /, **gaps: Any) -> Said:
    """The sentence for one thing, or for another number; literals and gaps as for `say`."""
    return Said(one if count == 1 else many, gaps)


def unclear(template: str, /, **gaps: Any) -> ValueError:
    """A ValueError for people, to raise, with a sentence as of `say`."""
    return ValueError(Said(template, gaps))


def phrase(template: str, /) -> Said:
    """A word or phrase without gaps or braces, a literal: the name of a part, a column's head."""
    return Said(template, {})
