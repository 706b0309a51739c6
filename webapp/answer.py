"""The answer's side of the page: verdicts, table, what to buy, what to put right.

Everything shown here comes out of the report on the last complete entries; see `state.Work`.
"""

from itertools import pairwise
from math import isfinite

import measures
import pictures
from drawing import bag_scale
from entry import FIELDS, place, steps
from fields import id_of
from markup import render
from money import amount, each, number, percent, short
from pennyflat.report import to_draw
from pennyflat.verdict import SAME
from words import counted, field_name, text
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


def headline(work):
    """The shortest answer: the cheapest mix of the sowing shown."""
    place_ = shown_sowing(work)
    if place_ is None:
        return None
    verdict = work.report["verdicts"][place_]
    if verdict["cheapest"] is None:
        return {"crop": verdict["crop"], "price": text("answer.none"), "medium": ""}
    return {
        "crop": verdict["crop"],
        "price": text("answer.each", price=each(verdict["each"], work.answer_currency)),
        "medium": verdict["cheapest"],
    }


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
    curves = work.curves()
    sowing = work.scenario.sowings[row]
    drawn = to_draw(work.scenario, sowing)
    sown = verdict["cheapest"] or rows[0]["medium"]
    costs, batches = used_parts(rows), _batches(rows)
    best = [row["medium"] == verdict["at_the_till"] for row in rows]
    scale = bag_scale([bags for _, bags in drawn.values()])
    found = {
        "verdicts": (_verdicts, report["verdicts"], report["comparisons"], is_current, currency),
        "choice": (_choice, crops, row),
        "cost-title": (_title, "answer.chart", crop),
        "cost-said": (_cost_said, rows, currency),
        "cost-key": (_key, costs),
        "table": (_table, crop, len(batches)),
        "tray": (pictures.tray, sowing, sown, drawn[sown][0], currency),
        "rescues": (_rescues, verdict, rows, report["rescues"], report["notices"], currency),
        "buying": (_buying, crop, verdict["wanted"], best, currency),
        "steps-title": (_title, "answer.steps", crop),
        "steps-key": (_steps_key, tuple(curves["lines"])),
        "steps-said": (_steps_said, verdict, curves, currency),
        "steps-table": (_steps_table, curves, currency),
    }
    for i, batch in enumerate(batches):
        found[f"table-{i}"] = (_columns, crop, batch, verdict["cheapest"], costs, currency)
    for i, one in enumerate(rows):
        _, bags = drawn[one["medium"]]
        found[f"bay-{i}"] = (_bay, one, bags, scale, currency)
    return found


_FRAGMENTS = (
    "verdicts",
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
    row = shown_sowing(work)
    if row is None:
        return text("bar.wait")
    verdict = work.report["verdicts"][row]
    if not work.is_current:
        return text("answer.say_stale")
    if verdict["cheapest"] is None:
        return text("answer.say_none", crop=verdict["crop"])
    price = each(verdict["each"], work.answer_currency)
    return text("answer.say", crop=verdict["crop"], medium=verdict["cheapest"], price=price)


def _blank():
    return ""


def _title(key, crop):
    return render("title.html", title=text(key, crop=crop))


def _choice(crops, shown):
    return render("choice.html", crops=crops, shown=shown)


def _verdicts(verdicts, rows, is_current, currency):
    shown = verdicts_said(verdicts, rows, currency)
    return render("verdicts.html", verdicts=shown, is_current=is_current)


def verdicts_said(verdicts, rows, currency):
    """Each sowing's verdict in words, from the report's verdicts and comparisons."""
    count = len(rows) // len(verdicts)
    shown = []
    for i, verdict in enumerate(verdicts):
        paid = {
            row["medium"]: row["at_the_till"]["paid"]
            for row in rows[i * count : (i + 1) * count]
            if row["at_the_till"]
        }
        price = "" if verdict["each"] is None else each(verdict["each"], currency)
        shown.append(
            {
                "crop": verdict["crop"],
                "medium": verdict["cheapest"],
                "each": text("answer.each", price=price),
                "sentences": _sentences(verdict, count, paid, currency),
            }
        )
    return shown


def _sentences(verdict, count, paid, currency):
    """The verdict in plain sentences: why, what the till says, and when that flips."""
    if verdict["cheapest"] is None:
        return [text("verdict.none")]
    gaps = {"second": verdict["runner_up"], "wanted": number(verdict["wanted"], currency, 0)}
    if verdict["runner_up"] is None:
        found = [text("verdict.only" if count > 1 else "verdict.alone")]
    elif verdict["saves"] < SAME:
        found = [text("verdict.same", **gaps)]
    else:
        gaps["saves"] = each(verdict["saves"], currency)
        found = [text("verdict.less", reason=text(f"decides.{verdict['decided_by']}"), **gaps)]
    winner = verdict["at_the_till"]
    if winner is None or len(paid) < 2:
        return found
    gaps |= {"winner": winner, "paid": amount(paid[winner], currency)}
    if winner == verdict["cheapest"]:
        found.append(text("verdict.till_too", **gaps))
    elif verdict["cheapest"] in paid:
        against = amount(paid[verdict["cheapest"]], currency)
        found.append(text("verdict.till_other", against=against, **gaps))
    else:
        found.append(text("verdict.till_limits", **gaps))
    return found + _flips(verdict["till_ranges"], verdict["wanted"], currency)


def _flips(ranges, wanted, currency):
    """The nearest numbers of seedlings at which another mix costs less at the till."""
    spot = next((i for i, r in enumerate(ranges) if r["from"] <= wanted <= r["to"]), None)
    if spot is None:
        return []
    found = []
    if spot > 0:
        below = ranges[spot - 1]
        count = number(below["to"] + 1, currency, 0)
        found.append(text("verdict.below", count=count, medium=below["medium"]))
    if spot + 1 < len(ranges):
        above = ranges[spot + 1]
        count = number(above["from"], currency, 0)
        found.append(text("verdict.above", count=count, medium=above["medium"]))
    return found


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


def _table(crop, count):
    return render("table.html", crop=crop, count=count)


def _columns(crop, rows, cheapest, shown_parts, currency):
    money = [*(PARTS[key] for key in shown_parts), "total", "till", "paid"]
    amounts = ["cells", "seeds", "share", "litres", "feedings", "solution"]
    columns = [
        {
            "medium": row["medium"],
            "best": row["medium"] == cheapest,
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


def _rescues(verdict, rows, rescues, notices, currency):
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
    texts = [notice["text"] for notice in notices if notice["crop"] == crop]
    return render("rescues.html", rescues=shown, notices=texts)


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
            "what": text(
                "answer.buy_line",
                count=line["count"],
                item=line["item"],
                size=f"{short(line['size'], currency)} {text('short.' + line['unit'])}",
            ),
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


def _steps_said(verdict, curves, currency):
    crossings = [
        text("answer.crossing", count=number(c.first, currency, 0), medium=c.medium)
        for c in curves["stretches"][1:]
    ]
    return render("line.html", text=" ".join(crossings) or text("answer.no_crossing"))


def _steps_table(curves, currency):
    lines = [
        (medium, [(number(s.wanted, currency, 0), _paid(s.paid, currency)) for s in found])
        for medium, found in curves["lines"].items()
    ]
    return render("steps-table.html", lines=lines)


def _paid(paid, currency):
    return amount(paid, currency) if isfinite(paid) else text("answer.limits")
