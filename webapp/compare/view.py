"""Crops by mixes: one crop in every mix, its cost, cells, bags and numbers.

Everything shown here comes from the report on the last complete entries; see `work.state.Work`.
"""

from itertools import pairwise
from math import inf

from compare import drawing
from page.markup import render
from pennyflat.comparing.picture import to_draw
from pennyflat.units import from_customary
from pennyflat_display import places
from pennyflat_display.charts import PARTS, used_parts
from pennyflat_display.money import each
from reader import measures
from reader.words import text

MOST_COLUMNS = 4
"""Most mixes side by side in one table of numbers."""

RULERS = {places.METRIC: 10, places.US: from_customary(4, "length")}
"""Length drawn beside a tray, by units. [cm]"""

FRAGMENTS = ["crossed", "choice", "table", "tray", "rescues", "buying"]
FRAGMENTS += [f"cost-{part}" for part in ("title", "said", "key")]
FRAGMENTS += [f"steps-{part}" for part in ("title", "key", "said", "table")]


def parts(work):
    """The answer's fragments: id to (function, what it shows)."""
    row, report = work.row_shown, work.report
    if row is None:
        return dict.fromkeys(FRAGMENTS, (str,))
    currency, curves, rows = work.answer_currency, work.curves(), work.compared(row)
    crops = tuple(verdict["crop"] for verdict in report["verdicts"])
    planned = work.planned() or (None,) * len(crops)
    crop, sown, sowing = crops[row], planned[row], work.scenario.sowings[row]
    media = tuple(one["medium"] for one in rows)
    drawn = to_draw(work.scenario, sowing)
    scale = drawing.bag_scale([bags for _, bags in drawn.values()])
    costs, batches = {PARTS[key]: key for key in used_parts(rows)}, _batches(rows)
    missing = measures.not_counted_said(rows[0]["not_counted"])
    best = [medium == sown for medium in media]
    wanted = {"wanted": report["verdicts"][row]["wanted"], "crop": crop, "currency": currency}
    in_tray = work.scenario.tray(sowing.tray)
    stalls = {one["medium"]: one["stalls_in_week"] for one in rows if not one["ready"]}
    rescues = [
        (rescue, stalls[rescue["medium"]])
        for rescue in report["rescues"]
        if rescue["crop"] == crop and rescue["medium"] in stalls
    ]
    steps = {"lines": curves.lines if curves else {}, "no_end": inf, "currency": currency}
    found = {
        "crossed": (render, "crossed.html", {"crops": crops, "media": media}),
        "choice": (render, "choice.html", {"crops": crops, "shown": row}),
        "cost-title": (render, "title.html", {"title": text("answer.chart", crop=crop)}),
        "cost-said": (_cost_said, rows, currency),
        "cost-key": (render, "key.html", {"parts": list(costs)}),
        "table": (render, "table.html", {"crop": crop, "count": len(batches), "missing": missing}),
        "tray": (_tray, sowing, in_tray, sown, sown and drawn[sown][0], currency),
        "rescues": (render, "rescues.html", {"rescues": rescues, "currency": currency}),
        "buying": (render, "buying.html", wanted | {"best": best}),
        "steps-title": (render, "title.html", {"title": text("answer.steps", crop=crop)}),
        "steps-key": (render, "lines-key.html", {"media": list(steps["lines"])}),
        "steps-said": (render, "steps-said.html", {"curves": curves, "currency": currency}),
        "steps-table": (render, "steps-table.html", steps),
    }
    for i, batch in enumerate(batches):
        own = sown if any(one["medium"] == sown for one in batch) else None
        table = {"crop": crop, "rows": batch, "planned": own, "costs": costs, "currency": currency}
        found[f"table-{i}"] = (render, "columns.html", table)
    for i, one in enumerate(rows):
        _, bags = drawn[one["medium"]]
        shown = {"row": one, "bags": bags, "drawn": drawing.bags(bags, scale)}
        found[f"bay-{i}"] = (render, "bay.html", shown | {"currency": currency})
    for i, medium in enumerate(planned):
        for j, one in enumerate(work.compared(i)):
            cell = {"row": one, "is_sown": one["medium"] == medium, "currency": currency}
            found[f"cross-{i}-{j}"] = (render, "crossing.html", cell)
    return found


def _cost_said(rows, currency):
    bars = "; ".join(
        text("answer.bar", medium=row["medium"], price=each(row["as_used"]["total"], currency))
        if row["as_used"]
        else text("answer.bar_not_ready", medium=row["medium"])
        for row in rows
    )
    return render("line.html", text=text("answer.chart_said", bars=bars))


def _tray(sowing, container, medium, found, currency):
    """A sowing's tray in its medium in the plan, with its key."""
    if found is None or not found.cells:
        return ""
    in_tray = container and max(1, round(container.cells))
    ruler_cm = RULERS[currency.units]
    return render(
        "tray.html",
        sowing=sowing,
        medium=medium,
        found=found,
        tray=drawing.tray(found, sowing.cell_ml, in_tray, ruler_cm),
        ruler_cm=ruler_cm,
        currency=currency,
    )


def _batches(rows):
    """The columns of tables of about equal width, each narrow enough for a phone."""
    tables = -(-len(rows) // MOST_COLUMNS)
    ends = [round(i * len(rows) / tables) for i in range(tables + 1)]
    return [rows[start:end] for start, end in pairwise(ends)]
