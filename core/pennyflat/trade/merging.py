"""Prices and packages of another document, or of a price list, taken into one's own document.

Documents are those of a scenario, also unfinished ones; what is read of them is names, packages
and shops. Goods are the same if their names are, by `name_key`, and packages if shop, size and unit
are.
"""

from typing import NamedTuple

from pennyflat.scenario.checking import Document
from pennyflat.trade.names import name_key

TABLES = ("media", "ingredients")
"""Tables of what is sold in packages, besides the feed."""

Place = tuple[str | int, ...]
"""Path of a row in a document."""


class Merged(NamedTuple):
    """A document with another's prices."""

    document: Document
    changed: int
    """Packages whose price or deal changed. [count]"""
    added: int
    """Packages that were not listed before. [count]"""
    unknown: tuple[str, ...]
    """Names of goods that the document does not have, which are left out."""


def goods(document: Document) -> list[tuple[Place, Document]]:
    """
    Mixes, ingredients and the feed of a document or of any part of one, as (place, row).

    >>> [place for place, row in goods({"media": [{}], "feed": {"name": "Feed"}})]
    [('media', 0), ('feed',)]
    """
    found: list[tuple[Place, Document]] = [
        ((table, i), row) for table in TABLES for i, row in enumerate(document.get(table, ()))
    ]
    feed = document.get("feed")
    return [*found, (("feed",), feed)] if feed else found


def with_prices(mine: Document, theirs: Document) -> Merged:
    """
    A document, `mine`, with the packages and prices of everything with the same name in both.

    A package that is the same gets the price and deal of `theirs`, a document or any part of one in
    the same currency; a new one is added, with its shop. Nothing is removed.

    >>> mix = {"name": "Fine mix", "packages": [{"store": "A", "size": 8, "unit": "L", "price": 5}]}
    >>> dear = {"name": "fine mixes", "packages": [mix["packages"][0] | {"price": 6}]}
    >>> found = with_prices({"media": [mix], "stores": [{"name": "A"}]}, {"media": [dear]})
    >>> found.document["media"][0]["packages"][0]["price"], found.changed, found.added
    (6, 1, 0)
    """
    rows = dict(goods(mine))
    places = {(place[0], name_key(str(row.get("name")))): place for place, row in rows.items()}
    changes, unknown = list[str](), list[str]()
    for (table, *_), row in goods(theirs):
        place = places.get((table, name_key(row["name"])))
        own = place and rows[place].get("packages")
        if place and own and "packages" in row:
            packages, changed = _with_packages(own, row["packages"])
            rows[place] = rows[place] | {"packages": packages}
            changes += changed
        elif "packages" in row:
            unknown.append(row["name"])
    document = mine | {
        table: [row for place, row in rows.items() if place[0] == table]
        for table in TABLES
        if table in mine
    }
    if ("feed",) in rows:
        document["feed"] = rows["feed",]
    added = changes.count("added")
    return Merged(with_stores(document, theirs), len(changes) - added, added, tuple(unknown))


def _with_packages(own, theirs):
    """Packages with another's prices and packages, and what was done: "changed", "added"."""
    found, changes = list(own), []
    for package in theirs:
        at = next((i for i, one in enumerate(found) if _label(one) == _label(package)), None)
        if at is None:
            found.append(package)
            changes.append("added")
        elif any(found[at].get(key) != package.get(key) for key in ("price", "deal")):
            kept = {key: value for key, value in found[at].items() if key != "deal"}
            found[at] = kept | {key: package[key] for key in ("price", "deal") if key in package}
            changes.append("changed")
    return found, changes


def _label(package):
    return tuple(package.get(key) for key in ("store", "size", "unit"))


def with_stores(document: Document, theirs: Document) -> Document:
    """A document with every shop that its packages name, at the trip costs of `theirs`."""
    known = {store["name"]: store for store in theirs.get("stores", ())}
    packages = [package for _, row in goods(document) for package in row.get("packages", ())]
    named = dict.fromkeys(package.get("store") for package in packages)
    listed = [store["name"] for store in document["stores"]]
    rows = [known.get(name, {"name": name}) for name in named if name and name not in listed]
    return document | {"stores": [*document["stores"], *rows]} if rows else document
