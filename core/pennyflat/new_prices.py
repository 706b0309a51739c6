"""Prices from elsewhere, a price list or another's scenario, put into a scenario document.

Only what is on the shelf already takes them: a package of the same item, shop and size gets the new
price, deal, limit and yield; another size or shop becomes one more package. Everything else in the
document stays, and every change is reported so that it can be looked at before it is kept.
"""

import json
from dataclasses import dataclass

from pennyflat.package import Package, measures_of
from pennyflat.scenario import Store, write

_TERMS = ("price", "yields_l", "deal", "limit")


@dataclass(frozen=True, slots=True)
class Offer:
    """A package of one item, with its price."""

    item: str
    package: Package


@dataclass(frozen=True, slots=True)
class Change:
    """What an offer changes on the shelf."""

    path: str
    """Of the package in the new document, as in `media[0].packages[1]`."""
    item: str
    before: dict | None
    """The package as it stood in the document; None where it is new."""
    after: dict


@dataclass(frozen=True, slots=True)
class Update:
    """A document with new prices, and what became of each offer."""

    document: dict
    changes: tuple[Change, ...]
    same: tuple[Offer, ...]
    """On the shelf already, just so."""
    not_on_shelf: tuple[Offer, ...]
    """Of items that the document does not buy."""
    unfit: tuple[Offer, ...]
    """That cannot be counted in the measure in which the item is used."""


def offers_of(scenario):
    """
    Every package on a scenario's shelf.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    list of Offer

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario import read
    >>> offers_of(read(DEMO))[2].item
    'Bulk potting mix'
    """
    rows = [*scenario.media, *scenario.ingredients, *([scenario.feed] if scenario.feed else [])]
    return [Offer(row.name, package) for row in rows for package in row.packages]


def with_offers(document, offers, *, stores=()):
    """
    A scenario document with new prices on its shelf.

    Parameters
    ----------
    document : dict
        A sound scenario document; it is not changed.
    offers : iterable of Offer
        A later one goes over an earlier one.
    stores : iterable of Store
        With the `trip_cost` of shops that the document may lack; other new shops cost no trip.
        [currency]

    Returns
    -------
    Update

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> bag = Package("Farm counter", 2, "cu_ft", 15.2)
    >>> update = with_offers(DEMO, [Offer("Bulk potting mix", bag), Offer("Grit", bag)])
    >>> for change in update.changes:
    ...     print(change.path, change.before["price"], change.after["price"])
    media[1].packages[0] 14.5 15.2
    >>> [offer.item for offer in update.not_on_shelf]
    ['Grit']
    """
    new = json.loads(json.dumps(document))
    shelf = _shelf(new)
    trip_costs = {store.name: store.trip_cost for store in stores}
    changes, same, not_on_shelf, unfit = [], [], [], []
    for offer in offers:
        place = shelf.get(offer.item)
        if place is None:
            not_on_shelf.append(offer)
        elif place.measure and place.measure not in measures_of(offer.package):
            unfit.append(offer)
        else:
            change = place.take(offer)
            (changes if change else same).append(change or offer)
            _add_store(new, offer.package.store, trip_costs)
    return Update(new, tuple(changes), tuple(same), tuple(not_on_shelf), tuple(unfit))


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an item's packages stand in a document, and the measure they are counted in."""

    path: str
    packages: list
    measure: str | None

    def take(self, offer):
        """Put an offer there; the change, or None where nothing does."""
        after = write(offer.package)
        for index, before in enumerate(self.packages):
            if all(before[key] == after[key] for key in ("store", "size", "unit")):
                if all(before.get(term) == after.get(term) for term in _TERMS):
                    return None
                self.packages[index] = after
                return Change(f"{self.path}[{index}]", offer.item, before, after)
        self.packages.append(after)
        return Change(f"{self.path}[{len(self.packages) - 1}]", offer.item, None, after)


def _shelf(document):
    """Place of each item that is bought, by name."""
    weighed = {row["ingredient"] for m in document["media"] for row in m.get("additions", ())}
    poured = {row["ingredient"] for m in document["media"] for row in m.get("parts", ())}
    found = {}
    feed = document.get("feed")
    if feed:
        measure = "g" if feed.get("ml_per_litre") is None else "mL"
        found[feed["name"]] = _Place("feed.packages", feed["packages"], measure)
    for index, row in enumerate(document["ingredients"]):
        name = row["name"]
        measure = "g" if name in weighed else "L" if name in poured else None
        found[name] = _Place(f"ingredients[{index}].packages", row["packages"], measure)
    for index, row in enumerate(document["media"]):
        if row.get("packages"):
            found[row["name"]] = _Place(f"media[{index}].packages", row["packages"], "L")
    return found


def _add_store(document, name, trip_costs):
    if all(store["name"] != name for store in document["stores"]):
        document["stores"].append(write(Store(name, trip_costs.get(name, 0.0))))
