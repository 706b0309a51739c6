"""The answers to the questions at the shelf, in sentences with their numbers, and tables.

The answers are the model's own values (see work/errand.py); everything here is formatting.
"""

from math import inf

from page.markup import render
from pennyflat_display.charts import assumed
from pennyflat_display.money import amount, each, number, short, whole_percent
from reader import measures, words
from reader.words import in_a_row, text
from work.errand import QUESTIONS, offered

FRAGMENTS = ("ask-crop", "asking", *(f"ask-{name}" for name in QUESTIONS))


def parts(work):
    """The fragments of the questions: id to (function, what it shows)."""
    if work.report is None:
        return dict.fromkeys(FRAGMENTS, (str,))
    verdicts = work.report["verdicts"]
    crop = {"crop": verdicts[work.row_shown]["crop"], "can_choose": len(verdicts) > 1}
    names = {"offered": offered(work.scenario, work.row_shown)}
    found = dict.fromkeys(FRAGMENTS, (render, "asked.html", {"wait": True}))
    found["ask-crop"] = (render, "asked-crop.html", crop)
    found["asking"] = (render, "questions.html", names)
    for name, (asked, answer) in work.errand.answers.items():
        found[f"ask-{name}"] = (_SHOWN[name], answer, asked, work.errand.currency)
    return found


def _asked(sentences=(), tables=(), notes=()):
    """Tables are (caption, columns, rows, number of the best row), rows (header, cells, note)."""
    return render("asked.html", wait=False, sentences=sentences, tables=tables, notes=notes)


def _bags(found, asked, currency):
    bags, years, ladders = found
    sentences = [_big_bag_sentence(bag, currency) for bag in bags]
    sentences += [_next_year_sentence(year, asked.scenario, currency) for year in years]
    notes = (text("big_bag.note"),) if sentences else ()
    least = measures.in_units("ladder.least", currency)
    columns = (
        text("ladder.package"),
        text(measures.in_units("ladder.per_litre", currency)),
        text("ladder.more"),
    )
    tables = []
    for ladder in ladders:
        rows = [_rung(rung, currency) for rung in ladder.rungs]
        tables.append((ladder.medium, columns, rows, 0))
        package, (price, _), _ = rows[0]
        gaps = {"medium": ladder.medium, "package": package, "price": price}
        sentences.append(text(least, store=ladder.rungs[0].package.store, **gaps))
    return _asked(sentences, tables, notes)


def _rung(rung, currency):
    """One way to buy a mix: its package or packages, the price per measure, and how much dearer."""
    package = _package(rung.package, currency)
    dearer = "–"
    if rung.more == inf:
        dearer = text("ladder.free")
    elif rung.more:
        dearer = whole_percent(rung.more, currency)
    return (
        package if rung.take == 1 else f"{rung.take} × {package}",
        (measures.priced(rung.per_litre, "L", currency), dearer),
        text("answer.at", store=rung.package.store),
    )


def _package(package, currency):
    return measures.size_said(package.size, package.unit, currency)


def _big_bag_sentence(bag, currency):
    package, up_to = _package(bag.package, currency), number(bag.up_to, currency, 0)
    gaps = {"package": package, "medium": bag.medium, "up_to": up_to}
    if not bag.wins:
        return text("big_bag.never", **gaps)
    if bag.always_from == 1:
        return text("big_bag.always", **gaps)
    ranges = [
        text(
            "big_bag.on" if first == bag.always_from else "big_bag.between",
            first=number(first, currency, 0),
            last=number(last, currency, 0),
        )
        for first, last in bag.wins
    ]
    return text("big_bag.wins", ranges=in_a_row(ranges, "and"), **gaps)


def _next_year_sentence(year, scenario, currency):
    medium = scenario.medium(year.medium)
    now = text(
        measures.in_units("next_year.now", currency),
        medium=year.medium,
        bulk=amount(year.least_per_litre, currency),
        least=amount(year.least_now, currency),
        left=measures.measured(year.left_over, "mix", currency),
    )
    if not medium.next_year_share or not medium.keeps_seasons:
        return f"{now} {text('next_year.no_use')}"
    least, bulk = (amount(paid, currency) for paid in year.over_the_years)
    key = "next_year.pays" if year.pays else "next_year.does_not_pay"
    return f"{now} {text(key, years=year.years, bulk=bulk, least=least)}"


def _matters(found, asked, currency):
    if found is None:
        return _asked(notes=(text("matters.none"),))
    rows, notes = [], []
    for swing in found.swings:
        what = text(f"matters.{swing.name}")
        costs = (_each(cost, currency) for cost in (swing.each_low, swing.each_high))
        ends = zip(costs, _ends(swing, currency), strict=True)
        rows.append((what, [text("matters.at", each=cost, value=value) for cost, value in ends]))
        notes.append(text("matters.basis", what=what, basis=swing.basis))
    columns = [text(f"matters.{column}") for column in ("what", "low", "high")]
    gaps = {"crop": found.crop, "medium": found.medium}
    caption = text("matters.table", each=each(found.each, currency), **gaps)
    first = _matters_most(found.swings[0], gaps, currency)
    return _asked([first], [(caption, columns, rows, None)], notes)


def _each(cost, currency):
    return text("answer.not_ready") if cost is None else each(cost, currency)


def _ends(swing, currency):
    """The low and the high value of a guess."""
    return [assumed(end, swing.unit, currency, words) for end in (swing.low, swing.high)]


def _matters_most(swing, gaps, currency):
    low, high = _ends(swing, currency)
    gaps |= {"what": text(f"matters.{swing.name}")}
    if swing.each_low is None or swing.each_high is None:
        return text("matters.stalls", stalls=low if swing.each_low is None else high, **gaps)
    costs = {key: each(getattr(swing, key), currency) for key in ("each_low", "each_high")}
    return text("matters.first", low=low, high=high, **costs, **gaps)


def _remedies(found, asked, currency):
    columns = (text("by.remedy"), text("by.each"))
    sentences, tables = [], []
    for compared in found:
        rows = []
        for one in compared.remedies:
            key = f"by.any.{one.by}" if one.with_what is None else f"by.{one.by}"
            cost = one.why_not if one.each is None else each(one.each, currency)
            rows.append((text(key, name=one.with_what), (cost,)))
        weeks = short(compared.hungry_weeks, currency)
        caption = text("by.hungry", medium=compared.medium, weeks=weeks)
        helps = compared.remedies[0].each is not None
        (how, (price,)), *_ = rows
        key = "by.best" if helps else "by.nothing"
        sentences.append(text(key, medium=compared.medium, how=how, price=price))
        tables.append((caption, columns, rows, 0 if helps else None))
    return _asked(sentences, tables, () if found else (text("by.none"),))


def _crop_working(found, asked, currency):
    if found is None:
        return _asked(notes=(text("working.none"),))
    return render("working.html", parts={part: steps for part, steps in found.items() if steps})


def _plan_working(steps, asked, currency):
    return render("working.html", parts={"plan": steps})


_SHOWN = {
    "crop_working": _crop_working,
    "plan_working": _plan_working,
    "bags": _bags,
    "matters": _matters,
    "remedies": _remedies,
}
