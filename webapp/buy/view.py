"""The shopping list on the page: what to buy where, what it costs, and which mix for what.

The figures come from the shopping report (see `errand.Errand`); the price fields beside them belong
to the scenario being edited, so that a price seen in the shop can be typed in on its line.
"""

from buy.advice import is_any_ready
from page.fields import Fields, id_of
from page.markup import render
from pennyflat.buying.needs import seed_name
from pennyflat.scenario.package import SEEDS, TRAYS
from pennyflat_display.money import amount
from reader import measures
from reader.measures import size_said
from reader.words import text
from work import edits, errand
from work.entry import path_of

FRAGMENTS = ("errand-standing", "errand-list", "errand-sums")


def parts(work):
    """The fragments of the shopping list: id to (function, what it shows)."""
    bill = work.errand.bill
    if work.report is None or (bill and work.is_current and not is_any_ready(bill)):
        return dict.fromkeys(FRAGMENTS, (str,))
    state = "" if work.is_current else "stale"
    if bill is None or not work.errand.is_for(work.scenario):
        state = "working"
    found = {"errand-standing": (render, "errand-standing.html", {"state": state})}
    if bill is None:
        return found
    currency, scenario = work.errand.currency, work.errand.scenario
    stores, is_taxed = tuple(bill["stores"]), bool(scenario.tax)
    found["errand-list"] = (_list, stores, _rows(work), is_taxed, currency, work.currency)
    return found | {"errand-sums": (_sums, bill, scenario.budget, currency)}


def _rows(work):
    """The lines of the list, each with its tick and, if still entered, its package's place."""
    found, places = [], _packages_in(work.document)
    for line in errand.lines(work.errand.bill):
        row = {"line": line, "is_ticked": work.errand.ticks.get(line.key) == line.count}
        if same := places.get((line.item, line.store, line.size, line.unit)):
            place = same.pop(0)
            path = path_of((*place, "price"))
            faults = tuple(fault for fault in work.faults if fault.path == path)
            package = edits.at(work.document, place)
            row |= {"place": place, "path": path, "faults": faults, "package": package}
        found.append(row)
    return tuple(found)


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
            add(place, seed_name(row["crop"]), packet, size=packet.get("seeds"), unit=SEEDS)
    for i, tray in enumerate(document.get("trays", ())):
        add(("trays", i), tray["name"], tray, size=1, unit=TRAYS)
    return found


def _deal(package, count):
    """Packages taken together and the money for them, where there are enough of them."""
    deal = package.get("deal")
    take, pay = edits.at(deal, ("take",)), edits.at(deal, ("pay",))
    if not isinstance(take, int) or not isinstance(pay, int | float) or take > count:
        return None
    return take, pay


def _list(stores, rows, is_taxed, currency, typed_in):
    key = "errand.new_price_untaxed" if is_taxed else "errand.new_price"
    label = text(key, symbol=currency.symbol)
    shops = []
    for store in stores:
        own = [row for row in rows if row["line"].store == store["store"]]
        done = sum(row["is_ticked"] for row in own)
        shops.append(
            {
                "id": id_of(store["store"]),
                "name": store["store"],
                "in_cart": text("errand.in_cart", done=done, of=len(own)),
                "subtotal": amount(store["subtotal"], currency),
                "trip": amount(store["trip_cost"], currency) if store["trip_cost"] else "",
                "rows": [_line(row, currency, typed_in) for row in own],
            }
        )
    return render("errand-list.html", shops=shops, label=label)


def _line(row, currency, typed_in):
    line, price, deal = row["line"], None, ""
    if "place" in row:
        package = row["package"]
        fields = Fields(row["place"], package, row["faults"], typed_in)
        price = fields.field(row["path"])
        if found := _deal(package, line.count):
            deal = text("errand.deal", take=found[0], pay=amount(found[1], currency))
    return {
        "id": price.id if price else id_of(line.key),
        "key": line.key,
        "count": line.count,
        "item": line.item,
        "size": size_said(line.size, line.unit, currency),
        "paid": amount(line.paid, currency),
        "deal": deal,
        "is_ticked": row["is_ticked"],
        "price": price,
    }


def _sums(bill, budget, currency):
    over, rest, spent = bill["over_budget_by"], bill["with_the_rest"], ""
    if budget is not None:
        gaps = {"budget": amount(budget, currency), "over": amount(over, currency)}
        spent = text("errand.over" if over else "errand.within", **gaps)
    return render(
        "errand-sums.html",
        total=amount(bill["total"], currency),
        packages=amount(bill["packages_paid"], currency),
        trips=amount(bill["trips_paid"], currency) if bill["trips_paid"] else "",
        with_the_rest=amount(rest, currency) if rest != bill["total"] else "",
        budget=spent,
        is_over=bool(over),
        unmet=[
            text("errand.unmet", item=lack["item"], short=_goods(lack, "short_by", currency))
            for lack in bill["unmet"]
        ],
        left_over=[
            {
                "item": left["item"],
                "amount": _goods(left, "amount", currency),
                "worth": text("errand.worth", worth=amount(left["worth"], currency)),
            }
            for left in bill["left_over"]
        ],
    )


def _goods(row, key, currency):
    return measures.goods(row[key], row["measure"], currency)
