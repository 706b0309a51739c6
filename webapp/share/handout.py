"""The one-page handout: what goes to the printer, in black on white.

Where a scenario has more crops and mixes than a page holds, each crop shows its cheapest ones.
"""

from markupsafe import Markup

from buy import advice
from compare import view as compared
from page.markup import render
from pennyflat.scenario.records import Counts
from reader import measures
from reader.measures import line_said
from reader.money import amount, each, number, percent, short
from reader.words import counted, text
from share.sharing import is_on_one_device

MOST_ROWS = 24
"""Rows of the table of costs. [count] Ours: what fits beside the rest on one page."""

MOST_LINES = 8
"""Assumptions about crops, and about mixes. [count] Ours."""

SENTENCES = 2
"""Sentences about each crop: what to sow, and how often to feed. [count]"""

BAR = 200
"""Length of the longest bar. [units of the drawing]"""


def handout(work, link):
    """The handout of a work that has an answer and a shopping list."""
    currency, report = work.answer_currency, work.report
    _, address, code = link
    verdicts = report["verdicts"]
    most = max(2, MOST_ROWS // len(verdicts))
    longest = max(
        (row["as_used"]["total"] for row in report["comparisons"] if row["as_used"]), default=0
    )
    crops = []
    for place, verdict in enumerate(verdicts):
        rows = sorted(work.compared(place), key=_cost)
        crops.append(
            {
                "crop": verdict["crop"],
                "rows": [_row(row, longest, currency) for row in rows[:most]],
                "more": max(0, len(rows) - most),
            }
        )
    bill = work.errand.bill
    return render(
        "handout.html",
        title=work.answered["title"],
        advice=advice.advice_lines(bill, work.errand.is_checking, currency),
        verdicts=[
            said | {"sentences": [said["how"] or said["why"]]}
            for said in advice.verdicts_said(verdicts, bill["plan"], currency)
        ],
        parts=[
            (key, text(f"column.{name}"))
            for key, name in compared.PARTS.items()
            if key in compared.used_parts(report["comparisons"])
        ],
        crops=crops,
        stores=[
            {"name": store["store"], "lines": lines(store, currency)} for store in bill["stores"]
        ],
        total=text("sheet.pay", total=amount(bill["total"], currency)),
        trips=text("sheet.trips", trips=amount(bill["trips_paid"], currency))
        if bill["trips_paid"]
        else "",
        assumed=_assumed(work.scenario, currency),
        code=code and Markup(code.svg),
        modules=code and code.modules,
        scan=text("sheet.scan_local" if is_on_one_device(address) else "sheet.scan"),
    )


def lines(store, currency):
    """What to buy in one shop, line by line."""
    return [
        {"what": line_said(item, currency), "paid": amount(item["paid"], currency)}
        for item in store["items"]
    ]


def _cost(row):
    return (row["as_used"] is None, row["as_used"] and row["as_used"]["total"])


def _row(row, longest, currency):
    used, till = row["as_used"], row["at_the_till"]
    if used is None:
        return {"medium": row["medium"], "why_not": row["why_not"]}
    end, bars = 0.0, []
    for part in compared.PARTS:
        width = used[part] / longest * BAR if longest else 0.0
        if width:
            bars.append((part, f"{end:.1f}", f"{width:.1f}"))
        end += width
    return {
        "medium": row["medium"],
        "why_not": "",
        "each": each(used["total"], currency),
        "till": each(till["per_seedling"], currency) if till else text("answer.limits"),
        "bars": bars,
    }


def _germination(share, currency):
    if isinstance(share, Counts):
        return text("bench.of", normal=share.up, sown=share.sown)
    return percent(share, currency)


def _assumed(scenario, currency):
    sure = scenario.assurance
    found = [
        text("sheet.expected")
        if sure is None
        else text("sheet.sure", share=short(sure * 100, currency))
    ]
    found += [
        counted(
            "sheet.crop_said",
            sowing.weeks,
            crop=sowing.crop,
            wanted=number(sowing.wanted, currency, 0),
            cell=measures.measured(sowing.cell_ml, "cell", currency),
            weeks=short(sowing.weeks, currency),
            germination=_germination(sowing.germination, currency),
            survival=percent(sowing.survival, currency),
        )
        for sowing in scenario.sowings[:MOST_LINES]
    ]
    found += [
        counted(
            "sheet.mix_said",
            medium.feeds_for_weeks,
            mix=medium.name,
            weeks=short(medium.feeds_for_weeks, currency),
            loss=percent(medium.fill_loss, currency),
        )
        for medium in scenario.media[:MOST_LINES]
    ]
    if scenario.tax:
        found.append(text("sheet.tax", tax=percent(scenario.tax, currency)))
    return found
