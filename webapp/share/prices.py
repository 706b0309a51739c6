"""A price list from a file or a spreadsheet, reviewed and ticked before its prices are taken."""

from collections import namedtuple

from pennyflat.scenario.document import write
from pennyflat.scenario.package import Package
from pennyflat.trade.merging import goods, with_prices, with_stores
from pennyflat.trade.names import is_feed, name_key
from pennyflat.units import GRAMS
from reader.words import later
from work import edits
from work.messages import Refused

MOST_OFFERED = 200
"""Most rows of a list that are shown and can be taken. [count] Ours: no shelf has more."""

Offered = namedtuple("Offered", "listed item package becomes is_ticked")
"""One `PriceRow` of the list as it would be taken: its name here, or the list's if it is new; its
package, with the yield of the same goods if the list has none; and what it becomes: "known", "new",
"lacks" for a new mix without a yield, or "feed" for a feed that is not ours."""


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

        _, owner = owners.get(name_key(row.item), (None, None))
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
        return Offered(row, owner["name"] if owner else row.item, package, becomes, is_ticked)

    def taken(self, document):
        """The document with the ticked prices, `Merged`; what is not on the shelf is a new mix."""
        owners, listed = _owners(document), {}
        for row in self.offered(document)[0]:
            if row.is_ticked:
                found = listed.setdefault(name_key(row.item), {"name": row.item, "packages": []})
                found["packages"].append(write(row.package))
        theirs = {"media": [], "ingredients": []}
        for key, row in listed.items():
            table, _ = owners.get(key, ("media", None))
            if table == "feed":
                theirs["feed"] = row
            else:
                theirs[table].append(row)
        found = with_prices(document, theirs)
        document, added = found.document, found.added
        for row in theirs["media"]:
            if row["name"] in found.unknown:
                new = edits.new_row(document, ("media",), row["name"])
                new |= {"packages": row["packages"]}
                document = edits.with_row(document, ("media", len(document["media"])), new)
                added += len(row["packages"])
        return found._replace(document=with_stores(document, {}), added=added, unknown=())


def _owners(document):
    """The shelf by name key, each row with its table: mixes, then ingredients, then the feed."""
    rows = ((path[0], row) for path, row in reversed(goods(document)) if row.get("name"))
    return {name_key(row["name"]): (table, row) for table, row in rows}


def _with_yields(owner):
    """The packages of an item that give their volume once loosened."""
    for row in owner.get("packages") or ():
        size, yields = row.get("size"), row.get("yields_l")
        if isinstance(size, int | float) and isinstance(yields, int | float) and size > 0:
            yield Package("", size, row.get("unit"), 0.0, yields)
