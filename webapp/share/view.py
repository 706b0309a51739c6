"""The desk on the page: stored plans, links, files, price lists, and a club's order.

Formatting only; desk.py does the work, and handout.py makes the printed sheet. Whatever few
visitors use is imported on demand, so that the page starts without it.
"""

from datetime import date, datetime
from functools import partial

from page.files import file_name
from page.markup import render
from pennyflat_display import places
from pennyflat_display.money import amount, currency_of, number
from reader.measures import goods, line_said, measured, size_said
from reader.words import counted, field_name, in_a_row, text
from share import sharing

CHARTS = {"chart-cost": "cost", "chart-steps": "till"}
"""The charts that can be saved, and the words for their file names."""

MOST_KEPT_ASIDE = 500
"""Most rows of a price list shown with the reason why they are left out. [count] Ours."""


def parts(work, desk):
    """The desk's fragments: id to (function, what it shows)."""
    keeping, order, prices, errand = desk.keeping, desk.order, desk.prices, work.errand
    title, document, currency = work.document.get("title"), work.document, work.currency
    crop = "" if work.row_shown is None else work.report["verdicts"][work.row_shown]["crop"]
    unreadable = sum(plan.kept is None for plan in keeping.plans.values())
    notice = {
        "said": desk.notice,
        "claims_kept": getattr(desk.notice, "key", "") in ("keep.copied", "keep.both_kept"),
        "offer": not desk.looking and desk.offer and _offer(desk.offer),
        "looked_at": title if desk.looking else None,
        "has_own": desk.has_own,
        "theirs": keeping.theirs and keeping.theirs.title,
        "trouble": keeping.trouble and text(f"trouble.{keeping.trouble}"),
        "unreadable": unreadable and counted("keep.unreadable_some", unreadable),
    }
    # if some of what a sheet is made of changes, it is made anew
    made_of = work.answered, work.is_current, errand.bill, errand.is_checking, order.report
    sheet_of = (*made_of, date.today()) if desk.sheet else ()
    return {
        "notice": (render, "notice.html", notice),
        "plans-gist": (_gist, keeping.plans.get(keeping.id)),
        "plans": (_plans, keeping.listed(), keeping.id, keeping.past),
        "chart-files": (_chart_files, title, crop),
        "sent": (_share, desk.link, work.answered, work.is_current, currency),
        "prices": (_prices, prices, prices.list, prices.ticks, document, currency),
        "order": (
            _order, order.members, order.split, order.refused, order.report, order.reasons,
        ),
        "sheet": (_sheet, work, desk, desk.sheet, *sheet_of),
    }  # fmt: skip


def _offer(offer):
    document = offer.document
    gist = text(
        "offer.gist",
        crops=counted("offer.crops", len(document["sowings"])),
        mixes=counted("offer.mixes", len(document["media"])),
    )
    return text(f"offer_from.{offer.source}", title=document["title"], gist=gist)


def _at(seconds):
    """A time in words, by this device's clock."""
    try:
        return places.moment(datetime.fromtimestamp(seconds))
    except (ValueError, OverflowError, OSError):
        return "?"


def _gist(plan):
    said = plan and text("keep.gist", title=plan.title, at=_at(plan.at))
    return render("line.html", text=said or text("keep.gist_none"))


def _plans(plans, in_hand, past):
    named = {"name_field": field_name("title"), "at": _at}
    return render("plans.html", named, plans=plans, in_hand=in_hand, past=past[::-1])


def _chart_files(title, crop):
    """Buttons that save the charts, and their file names."""
    charts = [
        (chart, [(kind, file_name({"title": title}, kind, crop, of)) for kind in ("svg", "png")])
        for chart, of in CHARTS.items()
    ]
    return render("chart-files.html", charts=charts)


def _share(link, answered, is_current, currency):
    if link is None:
        return render("share.html", address="")
    document, address, code = link
    return render(
        "share.html",
        address=address,
        length=places.write(len(address), ","),
        code=code,
        title=document["title"],
        most=number(sharing.LONGEST_QR, currency, 0),
        is_local=sharing.is_on_one_device(address),
        is_stale=document is not answered or not is_current,
        is_complete=is_current,
    )


def _prices(prices, found, _ticks, document, currency):
    if found is None:
        return ""
    offered, more = prices.offered(document)
    others = list(filter(None, dict.fromkeys(row.listed.other_sign for row in offered)))
    return render(
        "prices.html",
        count=len(found.rows),
        rows=[_offered(row, currency) for row in offered],
        more=more,
        most=number(len(offered), currency, 0),
        others=in_a_row(others, "and"),
        currency=document["currency"],
        ticked=sum(row.is_ticked for row in offered),
        aside_count=len(found.aside),
        aside=found.aside[:MOST_KEPT_ASIDE],
        aside_more=max(0, len(found.aside) - MOST_KEPT_ASIDE),
    )


def _offered(row, currency):
    """A row of the list with its size, price and notices in words."""
    package, listed, notices = row.package, row.listed, list(row.listed.notices)
    if package.yields_l != listed.package.yields_l:
        made = measured(package.yields_l, "mix", currency)
        notices.append(text("prices.yield_kept", yields=made))
    price = amount(package.price, currency)
    if listed.other_sign:
        plain = number(package.price, currency, 2)
        price = text("prices.other", sign=listed.other_sign, price=plain)
    return row, size_said(package.size, package.unit, currency), price, notices


def _order(members, split, refused, report, reasons):
    return render(
        "order.html",
        split=split,
        members=[document["title"] for document in members],
        refused=refused,
        reasons=reasons,
        order=report and order(report),
    )


def order(report):
    """A club's order, and functions that write its amounts."""
    currency = currency_of(report["currency"])

    def money(value):
        return text("order.impossible") if value is None else amount(value, currency)

    def goes(store):
        key = "order.goes" if store["trip_cost"] else "order.fetches"
        names = in_a_row(store["goes"], "or")
        return text(key, trip=money(store["trip_cost"]), names=names)

    def takes(item):
        left, measure = item["left_over"], item["measure"]
        stores = [
            store["store"]
            for store in report["stores"]
            if item["item"] in [line["item"] for line in store["items"]]
        ]
        what = text(
            "order.takes_left" if left > 0 else "order.takes",
            item=item["item"],
            amount=goods(item["taken"], measure, currency),
            left=goods(left, measure, currency),
        )
        return text("order.from", what=what, stores=in_a_row(stores, "and")) if stores else what

    least = 10**-currency.decimals
    return {
        "report": report,
        "money": money,
        "goes": goes,
        "takes": takes,
        "line": partial(line_said, currency=currency),
        "goods": partial(goods, currency=currency),
        "has_besides": any(abs(member["besides"]) >= least for member in report["members"]),
        "notices": [
            report["split"]["sentence"],
            *(row["sentence"] for row in (*report["better_alone"], *report["insists"])),
            *report["notices"],
        ],
    }


def _sheet(work, desk, kind, *_made_of):
    """The sheet for the printer; nothing until someone prints."""
    if kind == "handout":
        from share.handout import handout

        return handout(work, desk.link, date.today())
    if kind == "order" and desk.order.report:
        return render("order-sheet.html", order=order(desk.order.report))
    return ""
