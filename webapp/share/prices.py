"""A price list from a file or a spreadsheet, reviewed and ticked before its prices are taken."""

from dataclasses import dataclass

from pennyflat.scenario.package import Package
from pennyflat.units import GRAMS
from reader.words import later
from share.sharing import Merged, merged, with_stores
from work import edits
from work.messages import Refused

MOST_OFFERED = 200
"""Most rows of a list that are shown and can be taken. [count] Ours: no shelf has more."""


@dataclass(frozen=True, slots=True)
class Offered:
    """One row of the list as it would be taken."""

    line: int
    item: str
    """Its name here, or the list's if it is new."""
    package: Package
    """With the yield of the same goods, if the list has none."""
    becomes: str
    """"known", "new", "lacks" for a new mix without a yield, or "feed" for a feed not ours."""
    is_ticked: bool
    notices: tuple
    other_sign: str
    """The sign of another currency."""
    has_known_yield: bool


class Prices:
    """The last list read, and which of its rows are ticked."""

    def __init__(self):
        self.list = None
        """A `pennyflat.trade.price_list.PriceList`."""
        self.ticks = {}
        """The reader's own ticks: line to whether it is ticked."""

    def read(self, source, document):
        """Read a list; rows without a shop get the document's first. None means too long."""
        from pennyflat.trade.price_list import read_price_list  # not at the start: few have a list

        store = next(iter(edits.names(document, "stores")), "")
        self.list, self.ticks = None, {}
        try:
            if source is None:
                raise ValueError(later("prices.too_long"))
            self.list = read_price_list(source, store=store, currency=document["currency"])
        except ValueError as error:
            raise Refused(later("prices.refused", why=error.args[0])) from None

    def tick(self, line, ticked):
        """Tick or untick a row."""
        self.ticks = self.ticks | {line: ticked}

    def tick_other(self):
        """Tick every row whose price has another currency's sign: the numbers are right."""
        rows = self.list.rows if self.list else ()  # pressed when the list was gone
        self.ticks = self.ticks | {row.line: True for row in rows if row.other_sign}

    def offered(self, document):
        """
        The rows to choose from, goods on the shelf first, and the number of other rows.

        A price in another currency is not ticked, nor is a mix without its yield; a feed that is
        not the document's own cannot be ticked.
        """
        owners = _owners(document)
        rows = sorted(self.list.rows, key=lambda row: _key(row.item) not in owners)
        found = [self._offered(row, owners) for row in rows[:MOST_OFFERED]]
        return found, len(rows) - len(found)

    def _offered(self, row, owners):
        from pennyflat.trade.names import is_feed
        from pennyflat.trade.price_list import with_known_yield

        owner = owners.get(_key(row.item))
        package, becomes = row.package, "known"
        if owner is not None:
            package = with_known_yield(package, _with_yields(owner))
        elif is_feed(row.item):
            becomes = "feed"
        else:
            has_volume = package.unit not in GRAMS or package.yields_l is not None
            becomes = "new" if has_volume else "lacks"
        usual = becomes in ("known", "new") and not row.other_sign
        return Offered(
            row.line,
            row.item if owner is None else owner["name"],
            package,
            becomes,
            becomes != "feed" and self.ticks.get(row.line, usual),
            row.notices,
            row.other_sign,
            package.yields_l != row.package.yields_l,
        )

    def taken(self, document):
        """
        A working document with the ticked prices; anything not on the shelf becomes a new mix.

        Returns
        -------
        sharing.Merged
        """
        rows = {}
        for row in self.offered(document)[0]:
            if row.is_ticked:
                rows.setdefault(_key(row.item), (row.item, []))[1].append(_package(row.package))
        goods = [{"name": name, "packages": packages} for name, packages in rows.values()]
        places = {"feed": [], "ingredients": [], "media": []}
        for row in goods:
            places[_table_of(document, row["name"])].append(row)
        theirs = places | {"feed": next(iter(places["feed"]), None)}
        found = merged(document, theirs)
        new = [row for row in places["media"] if row["name"] in found.unknown]
        added = found.added + sum(len(row["packages"]) for row in new)
        return Merged(with_stores(_with_mixes(found.document, new), {}), found.changed, added)


def _key(name):
    from pennyflat.trade.names import name_key

    return name_key(name)


def _owners(document):
    """The shelf by name key: mixes, then ingredients, then the feed."""
    feed = document.get("feed") or {}
    rows = (feed, *reversed(document["ingredients"]), *reversed(document["media"]))
    return {_key(row["name"]): row for row in rows if row.get("name")}


def _table_of(document, name):
    for table in ("media", "ingredients"):
        if any(_key(row["name"]) == _key(name) for row in document[table]):
            return table
    feed = document.get("feed") or {}
    return "feed" if _key(feed.get("name") or "") == _key(name) else "media"


def _with_yields(owner):
    """The packages of an item that give their volume once loosened."""
    for row in owner.get("packages") or ():
        size, yields = row.get("size"), row.get("yields_l")
        if isinstance(size, int | float) and isinstance(yields, int | float) and size > 0:
            yield Package("", size, row.get("unit"), 0.0, yields)


def _with_mixes(document, rows):
    for row in rows:
        fresh = edits.new_row(document, ("media",), row["name"])
        place = ("media", len(document["media"]))
        document = edits.with_row(document, place, fresh | {"packages": row["packages"]})
    return document


def _package(package):
    found = {key: getattr(package, key) for key in ("store", "size", "unit", "price")}
    found |= {key: value for key in ("yields_l", "limit") if (value := getattr(package, key))}
    if package.deal:
        found["deal"] = {"take": package.deal.take, "pay": package.deal.pay}
    return found
