"""The desk on the page: kept plans, links, files, price lists, and a club's order.

Formatting only; see desk.py for what they do, and handout.py for what goes to the printer. What few
visitors use is imported when it is asked for, so that the page starts without it.
"""

from datetime import date, datetime

from markupsafe import Markup

from page.markup import render
from reader import places
from reader.measures import goods, size_said
from reader.money import amount, currency_of, number
from reader.words import counted, field_name, in_a_row, later, text
from share import sharing
from work.files import csv_file, file_name
from work.messages import Refused

MOST_ROWS = 50
"""Rows of a price list that are shown before it is taken. [count]"""

MOST_KEPT_ASIDE = 20


def parts(work, desk):
    """The desk's fragments: id to (function, what it shows)."""
    keeping = desk.keeping
    title = work.document.get("title")
    looked_at = title if desk.looking else None
    unreadable = sum(plan.kept is None for plan in keeping.plans.values())
    return {
        "notice": (
            _notice,
            desk.notice,
            desk.offer,
            looked_at,
            keeping.theirs,
            keeping.trouble,
            unreadable,
        ),
        "plans-gist": (_gist, keeping.plans.get(keeping.id)),
        "plans": (_plans, keeping.listed(), keeping.id, keeping.past),
        "sent": (_share, desk.link, work.answered, work.is_current, work.currency),
        "prices": (_prices, desk.prices.list, work.document, work.currency),
        "order": (_order, desk.order.members, desk.order.refused, *desk.order.report()),
        "sheet": (_sheet, work, desk, desk.sheet, *_sheet_is_of(work, desk)),
    }


def _notice(said, offer, looked_at, theirs, trouble, unreadable):
    return render(
        "notice.html",
        said=said,
        offer=offer and _offer(offer),
        looked_at=looked_at,
        theirs=theirs and theirs.title,
        trouble=text(f"trouble.{trouble}") if trouble else "",
        unreadable=unreadable and counted("keep.unreadable_some", unreadable),
    )


def _offer(offer):
    document = offer.document
    gist = text(
        "offer.gist",
        crops=counted("offer.crops", len(document["sowings"])),
        mixes=counted("offer.mixes", len(document["media"])),
    )
    return text(f"offer_from.{offer.source}", title=document["title"], gist=gist)


def _at(seconds):
    """When, in the words of this device's clock."""
    try:
        return places.moment(datetime.fromtimestamp(seconds))
    except (ValueError, OverflowError, OSError):
        return "?"


def _gist(plan):
    if plan is None:
        return render("line.html", text=text("keep.gist_none"))
    return render("line.html", text=text("keep.gist", title=plan.title, at=_at(plan.at)))


def _plans(plans, in_hand, past):
    return render(
        "plans.html",
        plans=[
            {
                "id": plan.id,
                "title": plan.title,
                "at": _at(plan.at) if plan.kept else "",
                "can_open": plan.kept is not None and plan.id != in_hand,
                "in_hand": plan.id == in_hand,
            }
            for plan in plans
        ],
        past=[
            {"number": state.number, "at": _at(state.at), "what": state.what}
            for state in reversed(past)
        ],
        name_field=field_name("title"),
    )


def _share(link, answered, is_current, currency):
    if link is None:
        return render("share.html", address="")
    document, address, code = link
    return render(
        "share.html",
        address=address,
        length=text("share.length", count=places.write(len(address), ",")),
        code=code and Markup(code.svg),
        modules=code and code.modules,
        alt=text("share.qr", title=document["title"]),
        no_code=text("share.no_qr", most=number(sharing.LONGEST_QR, currency, 0)),
        is_local=sharing.is_on_one_device(address),
        is_stale=document is not answered or not is_current,
        is_complete=is_current,
    )


def _prices(found, document, currency):
    if found is None:
        return ""
    known = {
        row["name"].casefold()
        for row in (*document["media"], *document["ingredients"], document.get("feed") or {})
        if "name" in row
    }
    return render(
        "prices.html",
        count=len(found.rows),
        rows=[
            {
                "item": row.item,
                "size": size_said(row.package.size, row.package.unit, currency),
                "price": amount(row.package.price, currency),
                "store": row.package.store,
                "becomes": text(f"becomes.{'known' if row.item.casefold() in known else 'new'}"),
                "notices": row.notices,
            }
            for row in found.rows[:MOST_ROWS]
        ],
        more=max(0, len(found.rows) - MOST_ROWS),
        aside_count=len(found.aside),
        aside=found.aside[:MOST_KEPT_ASIDE],
    )


def _order(members, refused, report, reasons):
    return render(
        "order.html",
        members=[document["title"] for document in members],
        refused=refused,
        reasons=reasons,
        order=report and order(report),
    )


def order(report):
    """A club's order with its amounts in words."""
    from share.handout import lines

    currency = currency_of(report["currency"])

    def money(value):
        return text("order.impossible") if value is None else amount(value, currency)

    return {
        "members": [
            {
                "name": member["name"],
                "pays": money(member["pays"]),
                "alone": money(member["alone"]),
                "saves": "–" if member["saving"] is None else money(member["saving"]),
                "takes": [_takes(item, currency) for item in member["items"]],
            }
            for member in report["members"]
        ],
        "bill": money(report["total"]),
        "alone": money(report["alone"]),
        "saved": "–" if report["saving"] is None else money(report["saving"]),
        "why_not": report["why_not"],
        "stores": [
            {
                "name": store["store"],
                "goes": text(
                    "order.goes",
                    trip=money(store["trip_cost"]),
                    names=in_a_row(store["goes"], "or"),
                )
                if store["trip_cost"]
                else "",
                "lines": lines(store, currency),
            }
            for store in report["stores"]
        ],
        "unmet": [
            text(
                "order.unmet",
                amount=goods(lack["short_by"], lack["measure"], currency),
                item=lack["item"],
            )
            for lack in report["unmet"]
        ],
        "notices": [
            report["split"]["sentence"],
            *(row["sentence"] for row in (*report["better_alone"], *report["insists"])),
            *report["notices"],
        ],
    }


def _takes(item, currency):
    left, taken = item["left_over"], goods(item["taken"], item["measure"], currency)
    if not left > 0:
        return text("order.takes", item=item["item"], amount=taken)
    left = goods(left, item["measure"], currency)
    return text("order.takes_left", item=item["item"], amount=taken, left=left)


def _sheet_is_of(work, desk):
    """What a sheet is made of; made anew when one of it is another."""
    if not desk.sheet:
        return ()
    return work.answered, work.errand.bill, work.errand.is_checking, date.today()


def _sheet(work, desk, kind, *_made_of):
    """What goes to the printer; nothing until somebody prints."""
    if kind == "handout":
        from share.handout import handout

        return handout(work, desk.link, date.today())
    report, _ = desk.order.report()
    if kind == "order" and report:
        return render("order-sheet.html", order=order(report))
    return ""


def _csv(what, of, writer):
    """Makes the CSV file of a report."""

    def made(work, desk):
        from pennyflat.scenario import export

        report = of(work, desk)
        if report is None:
            raise Refused(later("share.nothing"))
        currency = currency_of(report["currency"])
        name = file_name(work.document, "csv", what)
        makes, more = getattr(export, writer), {}
        if writer != "pick_up_csv":
            more["decimals"] = currency.decimals
        return csv_file(name, makes(report, decimal_mark=currency.decimal_mark, **more))

    return made


def _bill(work, desk):
    if work.report is None:
        return None
    work.catch_up()
    return work.errand.bill


def _pooled(work, desk):
    return desk.order.report()[0]


FILES = {
    "plan": lambda work, desk: sharing.as_file(work),
    "results": _csv("comparison", lambda work, desk: work.report, "comparison_csv"),
    "shopping": _csv("shopping", _bill, "shopping_csv"),
    "order": _csv("order", _pooled, "shopping_csv"),
    "payments": _csv("payments", _pooled, "payments_csv"),
    "pick-up": _csv("pick-up", _pooled, "pick_up_csv"),
}
"""What can be saved as a file: a function of the work by what it is."""
