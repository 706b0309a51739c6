"""Whether two names mean the same goods, whether a name means a feed, and which crop it means."""

import re
import unicodedata
from functools import cache

from pennyflat.trade.facts import rows

_PLURALS = (("ies", "y"), ("xes", "x"), ("ches", "ch"), ("shes", "sh"), ("ss", "ss"), ("s", ""))
_CROP_PLURALS = (
    *(("s", ""), ("es", ""), ("ies", "y")),
    *(("n", ""), ("e", ""), ("se", "")),  # German
    *(("ones", "ón"), ("ines", "ín"), ("x", "")),  # Spanish, French
)
"""Plural endings in any language of the table, and the singular endings that replace them; a name
of several words has its plural in the table."""
_FEED = re.compile(
    r"\b(feeds?|feeding|fertili[sz]ers?|plant\s?foods?|nutrients?|\d{1,2}-\d{1,2}-\d{1,2})\b"
)
_STARTS = re.compile(r"\b(mix(es)?|compost|soil|medium|blend|substrate)\b")


def name_key(name: str) -> str:
    """
    What names of the same goods share, whatever their capitals, hyphens, spaces and plurals.

    >>> name_key("Seed-starter Mixes") == name_key("seed starter mix")
    True
    >>> name_key("Pots") == name_key("pot"), name_key("Gas") == name_key("Ga")
    (True, False)
    >>> name_key("Grass") == name_key("Gras"), name_key("Mix 1") == name_key("Mix 2")
    (False, False)
    """
    words = re.findall(r"[^\W_]+", unicodedata.normalize("NFKC", name).casefold())
    singular = (next(_singulars(word, _PLURALS), word) if word[3:] else word for word in words)
    return "".join(singular) or name.strip()


def is_feed(name: str) -> bool:
    """
    Whether a name means a feed: dissolved in water, not a mix that happens to feed.

    >>> [is_feed(name) for name in ("Seaweed feed", "Soluble 20-20-20", "Compost with fertiliser")]
    [True, True, False]
    """
    name = name.casefold()
    return bool(_FEED.search(name)) and not _STARTS.search(name)


def known_crop(name: str) -> str | None:
    """
    The table's crop for a name in any of its languages, or None.

    >>> known_crop("Tomate"), known_crop(" Sweet  pepper "), known_crop("Tom")
    ('tomato', 'pepper', None)
    >>> known_crop("tomatoes"), known_crop("Leeks"), known_crop("Tomaten"), known_crop("Kürbisse")
    ('tomato', 'leek', 'tomato', 'pumpkin')
    """
    named = " ".join(name.split()).casefold()
    singulars = _singulars(named, _CROP_PLURALS)
    return next(filter(None, map(_crops_by_name().get, (named, *singulars))), None)


@cache
def _crops_by_name():
    """The crops of the table by each of their names, in lower case."""
    return {row["name"].casefold(): row["crop"] for row in rows("crop_names")}


def _singulars(name, plurals):
    return (name.removesuffix(end) + put for end, put in plurals if name.endswith(end))
