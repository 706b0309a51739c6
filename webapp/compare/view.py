"""Crops by mixes: one crop in every mix, its cost, cells, bags and numbers.

Everything shown here comes from the report on the last complete entries; see `work.state.Work`.
"""

from itertools import pairwise
from math import isfinite

from compare import pictures
from compare.drawing import bag_scale
from page.markup import render
from page.rescue import rescue_said
from pennyflat.comparing.picture import to_draw
from pennyflat_display.charts import PARTS, used_parts
from pennyflat_display.money import amount, each, number, percent, short
from reader import measures
from reader.measures import line_said, not_counted_said
from reader.words import counted, text

MOST_COLUMNS = 4
"""Most mixes side by side in one table of numbers."""

MEASURED = {"litres": "mix", "solution": "solution"}
"""The lines of the table that are headed with a unit, and their quantities."""


def parts(work):
    """The answer's fragments: id to (function, what it shows)."""
    row, report = work.row_shown, work.report
    if row is None:
        return dict.fromkeys(_FRAGMENTS, (str,))
    currency, curves = work.answer_currency, work.curves()
    verdict, rows = report["verdicts"][row], work.compared(row)
    crop, crops = verdict["crop"], tuple(found["crop"] for found in report["verdicts"])
    planned = work.planned() or (None,) * len(crops)
    sowing = work.scenario.sowings[row]
    drawn = to_draw(work.scenario, sowing)
    sown = planned[row]
    costs, batches = used_parts(rows), _batches(rows)
    best = [found["medium"] == sown for found in rows]
    in_tray = work.scenario.tray(sowing.tray)
    scale = bag_scale([bags for _, bags in drawn.values()])
    crossed = {"crops": crops, "media": tuple(found["medium"] for found in rows)}
    found = {
        "crossed": (render, "crossed.html", crossed),
        "choice": (render, "choice.html", {"crops": crops, "shown": row}),
        "cost-title": (_title, "answer.chart", crop),
        "cost-said": (_cost_said, rows, currency),
        "cost-key": (_key, costs),
        "table": (_table, crop, len(batches), tuple(rows[0]["not_counted"])),
        "tray": (pictures.tray, sowing, in_tray, sown, sown and drawn[sown][0], currency),
        "rescues": (_rescues, crop, rows, report["rescues"], currency),
        "buying": (_buying, crop, verdict["wanted"], best, currency),
        "steps-title": (_title, "answer.steps", crop),
        "steps-key": (render, "lines-key.html", {"media": tuple(curves.lines) if curves else ()}),
        "steps-said": (_steps_said, curves, currency),
        "steps-table": (_steps_table, curves, currency),
    }
    for i, batch in enumerate(batches):
        own = sown if any(one["medium"] == sown for one in batch) else None
        found[f"table-{i}"] = (_columns, crop, batch, own, costs, currency)
    for i, one in enumerate(rows):
        _, bags = drawn[one["medium"]]
        found[f"bay-{i}"] = (_bay, one, bags, scale, currency)
    for i, medium in enumerate(planned):
        for j, one in enumerate(work.compared(i)):
            used, till = one["as_used"], one["at_the_till"]
            costs = used and used["total"], till and till["per_seedling"]
            found[f"cross-{i}-{j}"] = (_crossing, *costs, one["medium"] == medium, currency)
    return found


_FRAGMENTS = ["crossed", "choice", "table", "tray", "rescues", "buying"]
_FRAGMENTS += [f"cost-{part}" for part in ("title", "said", "key")]
_FRAGMENTS += [f"steps-{part}" for part in ("title", "key", "said", "table")]


def _title(key, crop):
    return render("title.html", title=text(key, crop=crop))


def _crossing(used, till, is_sown, currency):
    """A ready seedling as used and at the till, and whether the plan sows it."""
    return render(
        "crossing.html",
        used="" if used is None else each(used, currency),
        till=text("answer.limits") if till is None else each(till, currency),
        is_sown=is_sown,
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
    return render("table.html", crop=crop, count=count, missing=not_counted_said(not_counted))


def _columns(crop, rows, planned, shown_parts, currency):
    money = [*(PARTS[key] for key in shown_parts), "total", "till", "paid"]
    amounts = ["cells", "seeds", "share", "litres", "feedings", "solution"]
    return render(
        "columns.html",
        crop=crop,
        groups=(("money", money), ("amounts", amounts)),
        strong=("total", "till"),
        units={what: measures.unit(kind, currency) for what, kind in MEASURED.items()},
        rows=[
            {
                "medium": row["medium"],
                "best": row["medium"] == planned,
                "cells": _numbers(row, shown_parts, currency) if row["ready"] else None,
                "why_not": row["why_not"],
            }
            for row in rows
        ],
    )


def _batches(rows):
    """The columns of tables of about equal width, each narrow enough for a phone."""
    tables = -(-len(rows) // MOST_COLUMNS)
    ends = [round(i * len(rows) / tables) for i in range(tables + 1)]
    return [rows[start:end] for start, end in pairwise(ends)]


def _numbers(row, shown_parts, currency):
    used, till = row["as_used"], row["at_the_till"]
    found = {PARTS[key]: each(used[key], currency) if used[key] else "0" for key in shown_parts}
    found |= {key: number(row[key], currency, 0) for key in ("cells", "seeds", "feedings")}
    return found | {
        "total": each(used["total"], currency),
        "till": each(till["per_seedling"], currency) if till else text("answer.limits"),
        "paid": amount(till["paid"], currency) if till else text("answer.limits"),
        "share": percent(row["ready_share"], currency),
        "litres": measures.plain(row["medium_litres"], "mix", currency),
        "solution": measures.plain(row["solution_litres"], "solution", currency),
    }


def _rescues(crop, rows, rescues, currency):
    stalled = {row["medium"]: row for row in rows if not row["ready"]}
    return render(
        "rescues.html",
        rescues=[
            text(
                "rescue.line",
                medium=rescue["medium"],
                week=short(stalled[rescue["medium"]]["stalls_in_week"], currency),
                by=rescue_said(rescue, currency),
            )
            for rescue in rescues
            if rescue["crop"] == crop and rescue["medium"] in stalled
        ],
    )


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


def _steps_said(curves, currency):
    if curves is None:
        return render("line.html", text=text("bar.working"))
    crossings = [
        text("answer.crossing", count=number(c.first, currency, 0), medium=c.medium)
        for c in curves.stretches[1:]
    ]
    return render("line.html", text=" ".join(crossings) or text("answer.no_crossing"))


def _steps_table(curves, currency):
    lines = [
        (medium, [(number(s.wanted, currency, 0), _paid(s.paid, currency)) for s in found])
        for medium, found in (curves.lines.items() if curves else ())
    ]
    return render("steps-table.html", lines=lines)


def _paid(paid, currency):
    return amount(paid, currency) if isfinite(paid) else text("answer.limits")
