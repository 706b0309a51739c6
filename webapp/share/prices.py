"""A price list from a file or a spreadsheet, looked at before its prices are taken."""

from reader.words import later
from share.sharing import Merged, merged, with_stores
from work import edits
from work.messages import Refused


class Prices:
    """The list that was read last."""

    def __init__(self):
        self.list = None
        """A `pennyflat.trade.price_list.PriceList`."""

    def read(self, source, document):
        """Read a list; rows that name no shop are from the document's first. None is too long."""
        from pennyflat.trade.price_list import read_price_list  # not at the start: few have a list

        store = next(iter(edits.names(document, "stores")), "")
        try:
            if source is None:
                raise ValueError(later("prices.too_long"))
            self.list = read_price_list(source, store=store)
        except ValueError as error:
            self.list = None
            raise Refused(later("prices.refused", why=error.args[0])) from None

    def taken(self, document):
        """
        A working document with the list's prices; what is not on the shelf yet becomes a new mix.

        Returns
        -------
        sharing.Merged
        """
        rows = {}
        for row in self.list.rows:
            rows.setdefault(row.item, []).append(_package(row.package))
        goods = [{"name": name, "packages": packages} for name, packages in rows.items()]
        feed = document.get("feed")
        fed = [row for row in goods if feed and row["name"].casefold() == feed["name"].casefold()]
        names = {name.casefold() for name in edits.names(document, "ingredients")}
        stirred = [row for row in goods if row["name"].casefold() in names]
        mixes = [row for row in goods if row not in stirred and row not in fed]
        theirs = {"media": mixes, "ingredients": stirred, "feed": fed[0] if fed else None}
        found = merged(document, theirs)
        new = [row for row in mixes if row["name"] in found.unknown]
        added = found.added + sum(len(row["packages"]) for row in new)
        return Merged(with_stores(_with_mixes(found.document, new), {}), found.changed, added)


def _with_mixes(document, rows):
    for row in rows:
        fresh = edits.new_row(document, ("media",), {"media": row["name"]})
        place = ("media", len(document["media"]))
        document = edits.with_row(document, place, fresh | {"packages": row["packages"]})
    return document


def _package(package):
    found = {key: getattr(package, key) for key in ("store", "size", "unit", "price")}
    found |= {key: value for key in ("yields_l", "limit") if (value := getattr(package, key))}
    if package.deal:
        found["deal"] = {"take": package.deal.take, "pay": package.deal.pay}
    return found
