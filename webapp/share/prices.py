"""A price list from a file or a spreadsheet, reviewed and ticked before its prices are taken."""

from dataclasses import dataclass

from pennyflat.scenario.document import write
from pennyflat.scenario.package import Package
from pennyflat.trade.names import is_feed, name_key
from pennyflat.units import GRAMS
from reader.words import later
from share.sharing import Merged, merged, with_stores
from work import edits
from work.messages import Refused

NEW = "media", None
"""Table and row of goods that are not on the shelf."""

MOST_OFFERED = 200
"""Most rows of a list that are shown and can be taken. [count] Ours: no shelf has more."""


@dataclass(frozen=True, slots=True)
class Offered:
    """One row of the list as it would be taken."""

    listed: object
    """The `PriceRow` as listed."""
    item: str
    """Its name here, or the list's if it is new."""
    package: Package
    """With the yield of the same goods, if the list has none."""
    becomes: str
    """"known", "new", "lacks" for a new mix without a yield, or "feed" for a feed not ours."""
    is_ticked: bool


class Prices:
    """The last list read, and which of its rows are ticked."""

    def __init__(self):
        self.list = None
        """A `pennyflat.trade.price_list.PriceList`."""
        self.ticks = {}
        """The reader's own ticks: line to whether it is ticked."""

    def on_prices(self, work, message):
        """Read a list; rows without a shop get the document's first."""
        from pennyflat.trade.price_list import read_price_list  # not at the start: few have a list

        store = next(iter(edits.names(work.document, "stores")), "")
        currency = work.document["currency"]
        self.list, self.ticks = None, {}
        try:
            if message.text is None:
                raise ValueError(later("prices.too_long"))
            self.list = read_price_list(message.text, store=store, currency=currency)
        except ValueError as error:
            raise Refused(later("prices.refused", why=error.args[0])) from None

    def on_prices_tick(self, work, message):
        self.ticks = self.ticks | {message.line: bool(message.text)}

    def on_prices_mean(self, work, message):
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
        rows = sorted(self.list.rows, key=lambda row: name_key(row.item) not in owners)
        found = [self._offered(row, owners) for row in rows[:MOST_OFFERED]]
        return found, len(rows) - len(found)

    def _offered(self, row, owners):
        from pennyflat.trade.price_list import with_known_yield

        _, owner = owners.get(name_key(row.item), NEW)
        package, becomes = row.package, "known"
        if owner is not None:
            package = with_known_yield(package, _with_yields(owner))
        elif is_feed(row.item):
            becomes = "feed"
        else:
            has_volume = package.unit not in GRAMS or package.yields_l is not None
            becomes = "new" if has_volume else "lacks"
        usual = becomes in ("known", "new") and not row.other_sign
        is_ticked = becomes != "feed" and self.ticks.get(row.line, usual)
        name = row.item if owner is None else owner["name"]
        return Offered(row, name, package, becomes, is_ticked)

    def taken(self, document):
        """The document with the ticked prices, `Merged`; what is not on the shelf is a new mix."""
        owners, goods = _owners(document), {}
        for row in self.offered(document)[0]:
            if row.is_ticked:
                found = goods.setdefault(name_key(row.item), {"name": row.item, "packages": []})
                found["packages"].append(write(row.package))
        theirs = {"media": [], "ingredients": [], "feed": None}
        for key, row in goods.items():
            table, _ = owners.get(key, NEW)
            if table == "feed":
                theirs["feed"] = row
            else:
                theirs[table].append(row)
        found = merged(document, theirs)
        new = [row for row in theirs["media"] if row["name"] in found.unknown]
        added = found.added + sum(len(row["packages"]) for row in new)
        return Merged(with_stores(_with_mixes(found.document, new), {}), found.changed, added)


def _owners(document):
    """The shelf by name key, each row with its table: mixes, then ingredients, then the feed."""
    rows = [("feed", document.get("feed") or {})]
    rows += [
        (table, row) for table in ("ingredients", "media") for row in reversed(document[table])
    ]
    return {name_key(row["name"]): (table, row) for table, row in rows if row.get("name")}


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
