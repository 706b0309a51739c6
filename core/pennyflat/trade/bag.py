"""Questions before a bag is bought or used: price side by side, age, promises, wetting, salts.

Figures come from the given tables; anything based on common practice alone says so.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pennyflat.scenario.package import Package, amount_in, price_per
from pennyflat.scenario.trial import FIRST_PART, Uptake
from pennyflat.sentences import Said, phrase, say, say_count, unclear
from pennyflat.trade.facts import Fact, about
from pennyflat.trade.label import read_size
from pennyflat.units import LITRES

HARD_TO_WET = 3.0
"""A mix is hard to wet if it takes this many times as long as the fastest one tried. Ours. [1]"""

PROMISES = (
    (
        r"\bfe(?:ed|eds|rtili[sz]ed)\b|plant food|nutrient|\bcharge",
        r"\d[\d.]*\s*-\s*\d[\d.]*\s*-\s*\d",
        phrase(
            "The front promises food, but the list names no fertiliser with its analysis (N-P-K):"
            " count on none."
        ),
    ),
    (
        r"wets? easily|easy to (?:wet|water)|moisture|wetting",
        r"wetting agent|surfactant|yucca",
        phrase(
            "The front promises easy wetting, but the list names no wetting agent: damp it the day"
            " before."
        ),
    ),
    (
        r"\bseed\b|\bfine\b|sieved|screened",
        r"sieved|screened|fine",
        phrase(
            "The front says seed or fine, but the list does not say sieved: feel for sticks, and"
            " sieve it for small cells."
        ),
    ),
)
"""Promises that a list of ingredients can confirm: words on the front that make one, ingredients
that bear it out, and what follows if none does. Ours, no source; English only."""

METHODS = ("1:2", "SME", "PourThru")
"""Ways to measure the electrical conductivity (EC) of a growing medium, in mS/cm, the same as dS/m:
a 1:2 dilution, a saturated media extract, or PourThru. A reading means nothing without its method.
Published bands say what each method calls "normal"; no method is converted into another."""


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Two bags compared by their labels alone."""

    litres: tuple[float, float]
    """[L]"""
    per_litre: tuple[float, float]
    """With tax, like the price of a package on the shelf. [currency per L]"""
    says: str
    notices: tuple[str, ...]
    """Assumptions about the labels, as sentences."""


@dataclass(frozen=True, slots=True)
class Band:
    """A range of readings and its name in one method: a row of the table of EC bands."""

    method: str
    """One of `METHODS`."""
    reading: str
    """"very low" to "extreme"."""
    low: float
    """[mS/cm]"""
    high: float | None
    """None for the topmost band, which starts above its low end. [mS/cm]"""


def side_by_side(
    one: tuple[str, float], other: tuple[str, float], *, tax: float = 0.0, decimal_mark: str = "."
) -> SideBySide:
    """
    Which of two bags costs less for its contents, from the printed size and the price before tax.

    The decimal mark counts for a size whose text alone leaves it open. ValueError, with a sentence,
    if a size cannot be read or is not a volume.

    >>> found = side_by_side(("8 quarts", 5.9), ("2 cu ft", 14.5))
    >>> found.per_litre
    (0.6697, 0.256)
    >>> print(found.says)
    The second bag costs 62 % less for the same volume.
    """
    bags, notices = [], []
    for printed, price in (one, other):
        size = read_size(printed, decimal_mark=decimal_mark)
        if size and not size.number:
            raise unclear("“{printed}” is not a size.", printed=printed)
        if size and not size.unit:
            raise unclear(
                "“{printed}” has no unit; write one beside it, such as L, qt or cu ft.",
                printed=printed,
            )
        if size is None or size.unit not in LITRES:
            raise unclear(
                "“{printed}” is not a volume; a weight cannot be compared until a bucketful is"
                " measured.",
                printed=printed,
            )
        bags.append(Package("", size.number, size.unit, price))
        notices += [size.notice] if size.notice else []
    first, second = (price_per(bag, "L", tax=tax) for bag in bags)
    low, high = sorted((first, second))
    gaps = {"percent": 100 * (1 - low / high) if high else 0.0}
    if high - low <= 1e-9 * high:
        says = phrase("Both bags cost the same for the same volume.")
    elif first == low:
        says = say("The first bag costs {percent:.0f} % less for the same volume.", **gaps)
    else:
        says = say("The second bag costs {percent:.0f} % less for the same volume.", **gaps)
    litres = amount_in(bags[0], "L"), amount_in(bags[1], "L")
    return SideBySide(litres, (first, second), says, tuple(notices))


def aged(facts: Sequence[Fact], months: float, feeds_for_weeks: float) -> tuple[Said, ...]:
    """
    What is left of a bag's starter charge and wetting agent after some months in store, at least 0.

    `feeds_for_weeks` is how long it feeds when fresh. Both are complete up to the lower end of the
    months in the facts about practice, gone at the upper end, and decline linearly between: common
    practice, no measurement.

    >>> from pennyflat.trade.facts import facts
    >>> print(aged(facts("practice"), 15, 4)[0])
    After 15 months its own fertiliser is taken to feed for 2.0 weeks, not 4.0 (common practice).
    """
    fades = (about(facts, "potting mix", name)[0] for name in ("charge_fades", "agent_fades"))
    charge, agent = (_left(fact, months) for fact in fades)
    gaps = {"months": months, "weeks": feeds_for_weeks * charge, "fresh": feeds_for_weeks}
    if charge < 1:
        of_charge = say(
            "After {months:g} months its own fertiliser is taken to feed for {weeks:.1f} weeks, not"
            " {fresh:.1f} (common practice).",
            **gaps,
        )
    else:
        of_charge = say_count(
            months,
            "At 1 month its own fertiliser counts as fresh (common practice).",
            "At {months:g} months its own fertiliser counts as fresh (common practice).",
            months=months,
        )
    if agent == 1:
        return (of_charge,)
    if agent == 0:
        of_agent = phrase(
            "The wetting agent counts as spent: damp the mix the day before, with warm water"
            " (common practice)."
        )
    else:
        of_agent = phrase(
            "The wetting agent is fading: try a cupful before you fill (common practice)."
        )
    return of_charge, of_agent


def _left(fact, months):
    """Share that is left: all up to the low end, nothing from the high end on."""
    return min(1.0, max(0.0, (fact.high - months) / (fact.high - fact.low)))


def promises(front: str, listed: str) -> tuple[Said, ...]:
    """
    What the front of a bag promises that its list of ingredients does not confirm.

    >>> print(*promises("Wets easily", "Peat, perlite, lime, fertilizer"))
    The front promises easy wetting, but the list names no wetting agent: damp it the day before.
    >>> promises("Seed mix with plant food", "Fine peat, fertilizer 0.1-0.05-0.05")
    ()
    """
    return tuple(
        sentence
        for says, bears_out, sentence in PROMISES
        if re.search(says, front, re.I) and not re.search(bears_out, listed, re.I)
    )


def minutes_to_wet(readings: Sequence[Uptake]) -> float | None:
    """
    Minutes until a dry pot standing in water has taken up half its capacity, the last reading.

    Interpolates linearly from nothing at minute 0; None without a reading above 0.

    >>> from pennyflat.scenario.trial import Uptake
    >>> minutes_to_wet((Uptake(2, 20), Uptake(4, 38), Uptake(10, 60), Uptake(30, 76)))
    4.0
    """
    points = [(0.0, 0.0), *((one.minute, one.ml) for one in readings if one.minute > 0)]
    half = FIRST_PART * points[-1][1]
    for (before, less), (after, more) in pairwise(points):
        if more >= half > 0:
            return before + (half - less) / (more - less) * (after - before)
    return None


def hard_to_wet(minutes: dict[str, float]) -> dict[str, Said]:
    """
    A sentence for each mix that takes `HARD_TO_WET` times as long to be half wet as the fastest.

    >>> print(hard_to_wet({"Fresh": 4.0, "Old": 30.0, "Third": 6.0})["Old"])
    Old takes 30 minutes to be half wet, Fresh 4: damp it the day before, with warm water.
    """
    fastest = min(minutes, key=lambda mix: minutes[mix], default="")
    return {
        mix: say(
            "{mix} takes {minutes:.0f} minutes to be half wet, {fastest} {least:.0f}: damp it the"
            " day before, with warm water.",
            mix=mix,
            minutes=taken,
            fastest=fastest,
            least=minutes[fastest],
        )
        for mix, taken in minutes.items()
        if taken >= HARD_TO_WET * minutes[fastest] and mix != fastest
    }


def readings(bands: Iterable[Band], ec: float) -> tuple[str, ...]:
    """
    What one method, given by its bands, calls a reading of at least 0 mS/cm.

    One name; two, the lower first, if the reading is on the border of two bands or in a gap between
    them in the table.

    >>> table = [Band("SME", "low", 0.8, 2.0), Band("SME", "normal", 2.0, 3.5)]
    >>> readings(table, 2.6), readings(table, 2.0)
    (('normal',), ('low', 'normal'))
    """
    ladder = sorted(bands, key=lambda band: band.low)
    inside = [b for b in ladder if (b.low < ec if b.high is None else b.low <= ec <= b.high)]
    if not inside:
        inside = [b for b in ladder if b.low < ec][-1:] + [b for b in ladder if b.low > ec][:1]
    return tuple(band.reading for band in inside)
