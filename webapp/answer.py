"""The answer's side of the page: the recommendation, table, what to buy, what to put right.

Everything shown here comes out of the report on the last complete entries and the plan for them;
see `state.Work` and errand.py. While there is no plan for these entries, none is shown.
"""

from itertools import pairwise
from math import isfinite

import measures
import pictures
from drawing import bag_scale
from entry import FIELDS, place, steps
from fields import Fields, id_of
from markup import render
from money import amount, each, number, percent, short
from pennyflat.comparing.report import to_draw
from pennyflat.comparing.verdict import SAME
from shopping import size_said
from words import counted, field_name, in_a_row, text
from words import said as in_words

PARTS = {
    "medium": "mix",
    "feed": "feed",
    "seed": "seed",
    "container": "container",
    "energy": "energy",
    "labour": "labour",
}
"""What a ready seedling's cost is made of, in the order shown: the report's key to ours."""

MOST_NAMED = 2
"""Packages that the shortest answer names."""

MOST_COLUMNS = 4
"""Mixes side by side in one table of numbers."""


def comparisons(work, sowing):
    """The report's rows for one sowing, one per medium."""
    count = len(work.answered["media"])
    return work.report["comparisons"][sowing * count : (sowing + 1) * count]


def shown_sowing(work):
    """Row of the sowing shown in detail, among those answered; None before any answer."""
    if not work.report:
        return None
    return min(work.shown, len(work.report["verdicts"]) - 1)


def recommended(work):
    """The recommendation for the entries as they are; None while it is worked out."""
    if not work.is_current or work.planned() is None:
        return None
    return work.errand.bill["recommendation"]


def headline(work):
    """The recommendation in one line, or what it waits for."""
    if shown_sowing(work) is None:
        return text("bar.wait")
    if not work.is_current:
        return text("bar.stale")
    found = recommended(work)
    return (
        text("bar.working") if found is None else buy_said(work.errand.bill, work.answer_currency)
    )


def buy_said(bill, currency):
    """What to buy, in short: the packages of mixes, how much else, and what there is to pay."""
    if not any(row["medium"] for row in bill["plan"]):
        return text("bar.none")
    lines = [line for store in bill["stores"] for line in store["items"]]
    if not lines:
        return text("bar.at_home")
    media = {row["medium"] for row in bill["plan"]}
    named = ([line for line in lines if line["item"] in media] or lines)[:MOST_NAMED]
    shown = in_a_row([line_said(line, currency) for line in named], "and")
    more, total = len(lines) - len(named), amount(bill["total"], currency)
    if not more:
        return text("bar.buy", lines=shown, total=total)
    return counted("bar.buy_more", more, lines=shown, more=number(more, currency, 0), total=total)


def line_said(line, currency):
    """One line of a list: how many of what."""
    count = number(line["count"], currency, 0)
    size = size_said(line["size"], line["unit"], currency)
    return text("answer.buy_line", count=count, item=in_words(line["item"]), size=size)


def row_of(path):
    """
    The row or top object that a fault belongs to, as the key of its card.

    Examples
    --------
    >>> row_of("media[0].packages[1].price"), row_of("feed.packages"), row_of("tax")
    (('media', 0), ('feed',), ('tax',))
    """
    try:
        parts = steps(path)
    except ValueError:
        return ("",)
    if parts[0] in ("sowings", "media", "ingredients", "trials") and len(parts) > 1:
        return parts[:2]
    return parts[:1]


def fault_link(document, fault):
    """Where a fault is, in words, and the id of its field or None."""
    key = row_of(fault.path)
    rows = document.get(key[0])
    name = None
    if len(key) > 1 and key[1] < len(rows):
        name = rows[key[1]].get("crop") or rows[key[1]].get("name")
    elif key == ("feed",):
        name = rows and rows.get("name")
    try:
        spot = place(steps(fault.path))
    except ValueError:
        spot = ""
    if spot not in FIELDS:
        return {"id": None, "where": _at(name, in_words(fault.message))}
    return {"id": id_of(fault.path), "where": _at(name, field_name(spot))}


def _at(name, what):
    return text("fault.at", name=name, what=what) if name else what


def parts(work):
    """The answer's fragments: id to (function, what it shows)."""
    row = shown_sowing(work)
    if row is None:
        return dict.fromkeys(_FRAGMENTS, (_blank,))
    currency, is_current = work.answer_currency, work.is_current
    report = work.report
    verdict, rows = report["verdicts"][row], comparisons(work, row)
    crop, crops = verdict["crop"], tuple(found["crop"] for found in report["verdicts"])
    curves, advice = work.curves(), recommended(work)
    waits = "working" if is_current else "stale"
    planned = work.planned() or (None,) * len(report["verdicts"])
    sowing = work.scenario.sowings[row]
    drawn = to_draw(work.scenario, sowing)
    sown = planned[row]
    costs, batches = used_parts(rows), _batches(rows)
    best = [found["medium"] == sown for found in rows]
    in_tray = work.scenario.tray(sowing.tray)
    scale = bag_scale([bags for _, bags in drawn.values()])
    found = {
        "advice": (
            _advice,
            work.errand.bill if advice else None,
            waits,
            work.errand.is_checking,
            currency,
        ),
        "verdicts": (_verdicts, report["verdicts"], advice and advice["plan"], waits, currency),
        "turns": (_turns, advice, work.document.get("left_over_counts"), work.currency),
        "choice": (_choice, crops, row),
        "cost-title": (_title, "answer.chart", crop),
        "cost-said": (_cost_said, rows, currency),
        "cost-key": (_key, costs),
        "table": (_table, crop, len(batches), tuple(rows[0]["not_counted"])),
        "tray": (pictures.tray, sowing, in_tray, sown, sown and drawn[sown][0], currency),
        "rescues": (_rescues, verdict, rows, report["rescues"], currency),
        "buying": (_buying, crop, verdict["wanted"], best, currency),
        "steps-title": (_title, "answer.steps", crop),
        "steps-key": (_steps_key, tuple(curves["lines"]) if curves else ()),
        "steps-said": (_steps_said, curves, currency),
        "steps-table": (_steps_table, curves, currency),
    }
    for i, batch in enumerate(batches):
        found[f"table-{i}"] = (_columns, crop, batch, sown, costs, currency)
    for i, one in enumerate(rows):
        _, bags = drawn[one["medium"]]
        found[f"bay-{i}"] = (_bay, one, bags, scale, currency)
    return found


_FRAGMENTS = (
    "advice",
    "verdicts",
    "turns",
    "choice",
    "cost-title",
    "cost-said",
    "cost-key",
    "table",
    "tray",
    "rescues",
    "buying",
    "steps-title",
    "steps-key",
    "steps-said",
    "steps-table",
)


def used_parts(rows):
    """The parts of the cost that any of the mixes has, in the order shown."""
    found = [row["as_used"] for row in rows if row["as_used"]]
    return tuple(key for key in PARTS if any(costs[key] for costs in found))


def said(work):
    """The answer in one breath, for those who listen."""
    if shown_sowing(work) is None:
        return text("bar.wait")
    if not work.is_current:
        return text("answer.say_stale")
    return "" if recommended(work) is None else headline(work)


def _blank():
    return ""


def _title(key, crop):
    return render("title.html", title=text(key, crop=crop))


def _choice(crops, shown):
    return render("choice.html", crops=crops, shown=shown)


def _advice(bill, waits, is_checking, currency):
    lines = [] if bill is None else advice_lines(bill, is_checking, currency)
    checking = bill is not None and is_checking and not bill["proven"]
    return render("advice.html", lines=lines, waits="" if bill else waits, checking=checking)


def advice_lines(bill, is_checking, currency):
    """What to buy and pay, what that makes of a seedling, what is not counted, what is proven."""
    found, lines = bill["recommendation"], [buy_said(bill, currency)]
    if found["per_ready_seedling"] is not None:
        wanted = sum(row["wanted"] for row in found["plan"] if row["medium"])
        per = each(found["per_ready_seedling"], currency)
        lines.append(text("advice.each", each=per, wanted=number(wanted, currency, 0)))
    if found["not_counted"]:
        lines.append(_missing(found["not_counted"]))
    if found["proven"]:
        return lines
    if is_checking:
        return [*lines, text("advice.checking")]
    if found["at_least"] is None:
        return [*lines, text("advice.unproven")]
    return [*lines, text("advice.bound", bound=amount(found["at_least"], currency))]


def _verdicts(verdicts, plan, waits, currency):
    return render("verdicts.html", verdicts=verdicts_said(verdicts, plan, currency), waits=waits)


def verdicts_said(verdicts, plan, currency):
    """What the plan does with each sowing, and what would win if everything were used up."""
    return [
        _verdict(verdict, row, currency)
        for verdict, row in zip(verdicts, plan or [None] * len(verdicts), strict=True)
    ]


def _verdict(verdict, row, currency):
    found = {"crop": verdict["crop"], "medium": "", "each": "", "state": "waits", "sentences": []}
    if row is None:
        return found
    if row["medium"] is None:
        return found | {"state": "none", "sentences": [row["why_not"]]}
    cells = number(row["cells"], currency, 0)
    seeds = number(row["seeds"], currency, 0)
    sentences = [counted("verdict.sow", row["cells"], cells=cells, seeds=seeds)]
    if row["feedings"]:
        times = number(row["feedings"], currency, 0)
        sentences.append(counted("verdict.feed", row["feedings"], times=times))
    else:
        sentences.append(text("verdict.no_feed"))
    sentences.append(_as_used_said(verdict, row, currency))
    used = each(row["each_as_used"], currency)
    return found | {
        "medium": row["medium"],
        "each": text("answer.each", price=used),
        "state": "ready",
        "sentences": sentences,
    }


def _as_used_said(verdict, row, currency):
    """Whether the plan's mix is also the cheapest by what is used up, and why if not."""
    if verdict["runner_up"] is None:
        return text("verdict.only")
    if verdict["saves"] < SAME and row["medium"] in (verdict["cheapest"], verdict["runner_up"]):
        return text("verdict.same", second=verdict["runner_up"])
    if row["medium"] != verdict["cheapest"]:
        used = each(verdict["each"], currency)
        return text("verdict.used_up", medium=verdict["cheapest"], each=used)
    gaps = {"second": verdict["runner_up"], "saves": each(verdict["saves"], currency)}
    return text("verdict.less", reason=text(f"decides.{verdict['decided_by']}"), **gaps)


def _turns(advice, left_over_counts, currency):
    """What would turn the plan, and how much of the leftovers will be used."""
    fields = Fields((), {"left_over_counts": left_over_counts}, (), currency)
    found = [] if advice is None else [_turn_said(turn, currency) for turn in advice["turns"]]
    left_over = render("field.html", f=fields.field("left_over_counts"))
    return render("turns.html", turns=found, left_over=left_over, shown=advice is not None)


def _turn_said(turn, currency):
    if turn["kind"] != "price":
        return in_words(turn["sentence"])
    return text(
        "turn.price",
        price=amount(turn["price"], currency),
        package=size_said(turn["size"], turn["unit"], currency),
        item=turn["item"],
        store=turn["store"],
        media=in_a_row(list(dict.fromkeys(filter(None, turn["media"]))), "and"),
    )


def _key(shown_parts):
    names = (PARTS[key] for key in shown_parts)
    return render("key.html", parts=[(name, text(f"column.{name}")) for name in names])


def _cost_said(rows, currency):
    bars = "; ".join(
        text("answer.bar", medium=row["medium"], price=each(row["as_used"]["total"], currency))
        if row["as_used"]
        else text("answer.bar_not_ready", medium=row["medium"])
        for row in rows
    )
    return render("line.html", text=text("answer.chart_said", bars=bars))


def _table(crop, count, not_counted):
    return render("table.html", crop=crop, count=count, missing=_missing(not_counted))


def _missing(not_counted):
    """What is not counted, in a sentence; blank where all is."""
    if not not_counted:
        return ""
    names = in_a_row([in_words(name) for name in not_counted], "and")
    return text("advice.not_counted", missing=names)


def _columns(crop, rows, planned, shown_parts, currency):
    money = [*(PARTS[key] for key in shown_parts), "total", "till", "paid"]
    amounts = ["cells", "seeds", "share", "litres", "feedings", "solution"]
    columns = [
        {
            "medium": row["medium"],
            "best": row["medium"] == planned,
            "cells": _numbers(row, shown_parts, currency) if row["ready"] else None,
            "why_not": row["why_not"],
        }
        for row in rows
    ]
    return render(
        "columns.html",
        crop=crop,
        groups=(("money", money), ("amounts", amounts)),
        strong=("total", "till"),
        units={
            "litres": measures.unit("mix", currency),
            "solution": measures.unit("solution", currency),
        },
        rows=columns,
    )


def _batches(rows):
    """The columns of tables of about equal width, each narrow enough for a phone."""
    tables = -(-len(rows) // MOST_COLUMNS)
    ends = [round(i * len(rows) / tables) for i in range(tables + 1)]
    return [rows[start:end] for start, end in pairwise(ends)]


def _numbers(row, shown_parts, currency):
    used, till = row["as_used"], row["at_the_till"]
    found = {PARTS[key]: each(used[key], currency) if used[key] else "0" for key in shown_parts}
    return found | {
        "total": each(used["total"], currency),
        "till": each(till["per_seedling"], currency) if till else text("answer.limits"),
        "paid": amount(till["paid"], currency) if till else text("answer.limits"),
        "cells": number(row["cells"], currency, 0),
        "seeds": number(row["seeds"], currency, 0),
        "share": percent(row["ready_share"], currency),
        "litres": measures.plain(row["medium_litres"], "mix", currency),
        "feedings": number(row["feedings"], currency, 0),
        "solution": measures.plain(row["solution_litres"], "solution", currency),
    }


def _rescues(verdict, rows, rescues, currency):
    crop = verdict["crop"]
    stalled = {row["medium"]: row for row in rows if not row["ready"]}
    shown = []
    for rescue in rescues:
        row = stalled.get(rescue["medium"])
        if rescue["crop"] != crop or row is None:
            continue
        price = "" if rescue["each"] is None else each(rescue["each"], currency)
        by = text(f"rescue.{rescue['by'] or 'nothing'}", name=rescue["with"], price=price)
        week = short(row["stalls_in_week"], currency)
        shown.append(text("rescue.line", medium=row["medium"], week=week, by=by))
    return render("rescues.html", rescues=shown)


def _buying(crop, wanted, best, currency):
    count = number(wanted, currency, 0)
    heading = counted("answer.buy", wanted, count=count, crop=crop)
    return render("buying.html", heading=heading, best=best)


def _bay(row, bags, scale, currency):
    till = row["at_the_till"]
    if till is None:
        return render("bay.html", medium=row["medium"], why_not=row["why_not"], lines=None)
    lines = [
        {
            "what": line_said(line, currency),
            "store": text("answer.at", store=line["store"]),
            "paid": amount(line["paid"], currency),
        }
        for line in till["packages"]
    ]
    return render(
        "bay.html",
        medium=row["medium"],
        lines=lines,
        paid=text("answer.paid", price=amount(till["paid"], currency)),
        bags=pictures.bags(bags, scale, currency),
    )


def _steps_key(media):
    return render("steps-key.html", media=media)


def _steps_said(curves, currency):
    if curves is None:
        return render("line.html", text=text("bar.working"))
    crossings = [
        text("answer.crossing", count=number(c.first, currency, 0), medium=c.medium)
        for c in curves["stretches"][1:]
    ]
    return render("line.html", text=" ".join(crossings) or text("answer.no_crossing"))


def _steps_table(curves, currency):
    curves = curves or {"lines": {}}
    lines = [
        (medium, [(number(s.wanted, currency, 0), _paid(s.paid, currency)) for s in found])
        for medium, found in curves["lines"].items()
    ]
    return render("steps-table.html", lines=lines)


def _paid(paid, currency):
    return amount(paid, currency) if isfinite(paid) else text("answer.limits")
