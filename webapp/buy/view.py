"""The shopping list on the page: what to buy where, what it costs, and which mix for what.

The figures come from the shopping report (see `errand.Errand`); the price fields beside them belong
to the scenario being edited, so that a price seen in the shop can be typed in on its line.
"""

from buy.advice import is_any_ready
from page.fields import Fields, fault_link, id_of
from page.markup import render
from page.worth import worth_said
from pennyflat.buying.needs import seed_name
from pennyflat.scenario.checking import Fault
from pennyflat.scenario.package import SEEDS, TRAYS
from pennyflat.scenario.records import SeedPacket
from reader import measures
from reader.words import text
from work import edits, errand
from work.entry import path_of

FRAGMENTS = ("errand-standing", "errand-list", "errand-sums")


def parts(work):
    """The fragments of the shopping list: id to (function, what it shows)."""
    bill = work.errand.bill
    if work.report is None or (bill and not is_any_ready(bill)):
        return dict.fromkeys(FRAGMENTS, (str,))
    state = "" if work.is_current else "stale"
    if bill is None or not work.errand.is_for(work.scenario):
        state = "working"
    found = {"errand-standing": (render, "errand-standing.html", {"state": state})}
    if bill is None:
        return found
    currency, scenario = work.errand.currency, work.errand.scenario
    key = "errand.new_price_untaxed" if scenario.tax else "errand.new_price"
    rows = _rows(work)
    items = {
        "unlisted": _unlisted(work, rows),
        "shops": [(id_of(store["store"]), store) for store in bill["stores"]],
        "rows": rows,
        "label": text(key, symbol=currency.symbol),
        "currency": currency,
    }
    sums = {"bill": bill, "budget": scenario.budget, "currency": currency}
    return found | {
        "errand-list": (render, "errand-list.html", items),
        "errand-sums": (render, "errand-sums.html", sums),
    }


def _rows(work):
    """The lines of the list, each with its tick and, if still entered, its package's price."""
    found, places, currency = [], _packages_in(work.document), work.errand.currency
    for line in errand.lines(work.errand.bill):
        row = {"line": line, "id": id_of(line.key), "price": None, "deal": None}
        row["is_ticked"] = work.errand.ticks.get(line.key) == line.count
        row["size"] = measures.size_said(line.size, line.unit, currency)
        if same := places.get((line.item, line.store, line.size, line.unit)):
            place = same.pop(0)
            package = edits.at(work.document, place)
            fields = Fields(place, package, work.faults, work.currency)
            price = fields.field(path_of((*place, "price")))
            row |= {"id": price.id, "price": price, "deal": _deal(package, line.count)}
        found.append(row)
    return found


def _unlisted(work, rows):
    """What the package typed last is worth, and where its price is, if no line has it; or None."""
    worth, place = worth_said(work), work.errand.weighed
    path = worth and path_of((*place[:-1], "packages", place[-1], "price"))
    if not worth or any(row["price"] and row["price"].path == path for row in rows):
        return None
    return fault_link(work.document, Fault(path, None, "")) | {"worth": worth}


def _packages_in(document):
    """The paths of all packages that a list can name, by their (item, store, size, unit)."""
    found = {}

    def add(place, item, package, **sold_as):
        size, unit = (sold_as.get(key, package.get(key)) for key in ("size", "unit"))
        found.setdefault((item, package.get("store"), size, unit), []).append(place)

    for table in ("media", "ingredients"):
        for i, row in enumerate(document[table]):
            for j, package in enumerate(row.get("packages", ())):
                add((table, i, "packages", j), row["name"], package)
    feed = document.get("feed") or {}
    for j, package in enumerate(feed.get("packages", ())):
        add(("feed", "packages", j), feed.get("name"), package)
    for i, row in enumerate(document["sowings"]):
        for j, packet in enumerate(row.get("seed_packets", ())):
            place = ("sowings", i, "seed_packets", j)
            add(place, seed_name(row["crop"]), packet, size=_seeds_in(packet), unit=SEEDS)
    for i, tray in enumerate(document.get("trays", ())):
        add(("trays", i), tray["name"], tray, size=1, unit=TRAYS)
    return found


def _seeds_in(packet):
    """Seeds in a packet, by number or by weight; None while its fields cannot be read."""
    given = {key: packet.get(key) for key in ("seeds", "grams", "seeds_per_gram")}
    try:
        return SeedPacket("", 0.0, **given).package.size
    except (TypeError, ValueError, OverflowError):
        return None


def _deal(package, count):
    """Packages taken together and the money for them, where there are enough of them."""
    deal = package.get("deal")
    take, pay = edits.at(deal, ("take",)), edits.at(deal, ("pay",))
    if not isinstance(take, int) or not isinstance(pay, int | float) or take > count:
        return None
    return take, pay
