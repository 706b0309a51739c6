"""Whether two names mean the same goods, and whether a name means a feed."""

import re
import unicodedata

_PLURALS = (("ies", "y"), ("xes", "x"), ("ches", "ch"), ("shes", "sh"), ("ss", "ss"), ("s", ""))
_FEED = re.compile(
    r"\b(feeds?|feeding|fertili[sz]ers?|plant\s?foods?|nutrients?|\d{1,2}-\d{1,2}-\d{1,2})\b"
)
_STARTS = re.compile(r"\b(mix(es)?|compost|soil|medium|blend|substrate)\b")


def name_key(name: str) -> str:
    """
    What names of the same goods share, whatever their capitals, hyphens, spaces and plurals.

    Parameters
    ----------
    name : str

    Returns
    -------
    str

    Examples
    --------
    >>> name_key("Seed-starter Mixes") == name_key("seed starter mix")
    True
    >>> name_key("Grass") == name_key("Gras"), name_key("Mix 1") == name_key("Mix 2")
    (False, False)
    """
    words = re.findall(r"[^\W_]+", unicodedata.normalize("NFKC", name).casefold())
    return "".join(map(_singular, words)) or name.strip()


def is_feed(name: str) -> bool:
    """
    Whether a name means a feed: dissolved in water, not a mix that happens to feed.

    Parameters
    ----------
    name : str

    Returns
    -------
    bool

    Examples
    --------
    >>> [is_feed(name) for name in ("Seaweed feed", "Soluble 20-20-20", "Compost with fertiliser")]
    [True, True, False]
    """
    name = name.casefold()
    return bool(_FEED.search(name)) and not _STARTS.search(name)


def _singular(word):
    if len(word) <= 3:
        return word
    for ending, put in _PLURALS:
        if word.endswith(ending):
            return word.removesuffix(ending) + put
    return word
