"""The recommendation: what to buy and pay, each crop's mix, and what would change it.

It comes from the plan for the last complete entries; until there is a plan for them, none is shown.
Every place that names a mix for a crop takes it from here or from the plan itself.
"""

from page.fields import Fields, are_blank
from page.markup import render
from page.rescue import unready_said
from pennyflat.comparing.report import DECIDERS, SAME
from pennyflat_display.money import amount, each, number
from reader.measures import line_said, not_counted_said
from reader.words import counted, in_a_row, text
from reader.words import said as in_words

MOST_NAMED = 2
"""Most packages named in the shortest answer."""


def parts(work):
    """The recommendation's fragments: id to (function, what it shows)."""
    if work.row_shown is None:
        return {"advice": (str,), "verdicts": (str,), "turns": (str,)}
    currency, is_checking = work.answer_currency, work.errand.is_checking
    advice, verdicts = recommended(work), work.report["verdicts"]
    bill, plan = (work.errand.bill, advice["plan"]) if advice else (None, [None] * len(verdicts))
    own = tuple(bool(row.get("medium")) for row in work.answered["sowings"])
    rescues, has_feed = tuple(work.report["rescues"]), work.document.get("feed") is not None
    waits = "working" if work.is_current else "stale"
    counts = work.document.get("left_over_counts")
    turns = (_turns, advice, is_checking, counts, work.currency)
    return {
        "advice": (_advice, bill, work.report["comparisons"], waits, is_checking, currency),
        "verdicts": (_verdicts, verdicts, plan, rescues, own, waits, has_feed, currency),
        "turns": (str,) if bill and not is_any_ready(bill) else turns,
    }


def recommended(work):
    """The recommendation for the current entries; None while it is being worked out."""
    if not work.is_current or work.planned() is None:
        return None
    return work.errand.bill["recommendation"]


def headline(work):
    """The recommendation in one line, or what it is waiting for."""
    if work.row_shown is None:
        return text("bar.wait")
    if not work.is_current:
        return text("bar.wait" if are_blank(work.faults) else "bar.stale")
    if recommended(work) is None:
        return text("bar.working")
    return buy_said(work.errand.bill, work.answer_currency)


def to_pay(work):
    """The money at the end of `headline`, if there is any."""
    advice = recommended(work)
    return "" if advice is None else amount(work.errand.bill["total"], work.answer_currency)


def is_any_ready(bill):
    """Whether a mix gets any of the crops ready; otherwise there is nothing to buy yet."""
    return any(row["medium"] for row in bill["plan"])


def buy_said(bill, currency):
    """What to buy, in brief: the packages of mixes, how much else, and the money to pay."""
    if not is_any_ready(bill):
        return in_words(bill["recommendation"]["sentence"])
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


def said(work):
    """The answer in one sentence, for screen readers."""
    if work.row_shown is None:
        return text("bar.wait")
    if not work.is_current:
        return text("answer.say_stale")
    return "" if recommended(work) is None else headline(work)


def _advice(bill, compared, waits, is_checking, currency):
    lines = [] if bill is None else advice_lines(bill, compared, is_checking, currency)
    checking = bill is not None and is_checking and not bill["proven"]
    return render("advice.html", lines=lines, waits="" if bill else waits, checking=checking)


def advice_lines(bill, compared, is_checking, currency):
    """
    What to buy and pay, the cost per seedling, what is not counted, what is proven.

    `compared` is the report's `comparisons`.
    """
    found, lines = bill["recommendation"], [buy_said(bill, currency)]
    if found["per_ready_seedling"] is not None:
        wanted = sum(row["wanted"] for row in found["plan"] if row["medium"])
        per = each(found["per_ready_seedling"], currency)
        lines.append(text("advice.each", each=per, wanted=number(wanted, currency, 0)))
    if found["not_counted"]:
        lines.append(not_counted_said(_not_counted(found, compared)))
    if found["proven"]:
        return lines
    if is_checking:
        return [*lines, text("advice.checking")]
    if found["at_least"] is None:
        return [*lines, text("advice.unproven")]
    return [*lines, text("advice.bound", bound=amount(found["at_least"], currency))]


def _not_counted(found, compared):
    """What is not counted, with the crops if only some of those sown lack it."""
    sown = {(row["crop"], row["medium"]) for row in found["plan"] if row["medium"]}
    rows = [row for row in compared if (row["crop"], row["medium"]) in sown]
    for name in found["not_counted"]:
        lacking = [row["crop"] for row in rows if name in row["not_counted"]]
        crops = in_a_row(list(dict.fromkeys(lacking)), "and")
        what = in_words(name)
        yield what if len(lacking) == len(rows) else text("advice.lacks", what=what, crops=crops)


def _verdicts(verdicts, plan, rescues, own, waits, has_feed, currency):
    """What the plan does with each sowing, and what would win if everything were used up."""
    whys = [
        row and _why(verdict, row, rescues, currency)
        for verdict, row in zip(verdicts, plan, strict=True)
    ]
    return render(
        "verdicts.html",
        sowings=zip(verdicts, plan, whys, own, strict=True),
        waits=waits,
        has_feed=has_feed,
        currency=currency,
    )


def _why(verdict, row, rescues, currency):
    """Why no mix is ready, or whether the plan's is also the cheapest as used."""
    if row["medium"] is None:
        return unready_said(row, rescues)
    if verdict["runner_up"] is None:
        return text("verdict.only")
    if verdict["saves"] < SAME and row["medium"] in (verdict["cheapest"], verdict["runner_up"]):
        return text("verdict.same", second=verdict["runner_up"])
    if row["medium"] != verdict["cheapest"]:
        used = each(verdict["each"], currency)
        return text("verdict.used_up", medium=verdict["cheapest"], each=used)
    gaps = {"second": verdict["runner_up"], "saves": each(verdict["saves"], currency)}
    return text("verdict.less", reason=in_words(DECIDERS[verdict["decided_by"]]), **gaps)


def _turns(advice, is_checking, left_over_counts, currency):
    """What would change the plan, and how much of the leftovers will be used."""
    fields = Fields((), {"left_over_counts": left_over_counts}, (), currency)
    found = [in_words(turn["sentence"]) for turn in advice["turns"]] if advice else []
    return render(
        "turns.html",
        turns=found or [text("ask.wait" if is_checking else "turns.none")],
        left_over=fields.field("left_over_counts"),
        shown=advice is not None,
    )
