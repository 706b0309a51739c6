"""The answers to the questions at the shelf, in sentences with their numbers, and tables.

The answers are the model's own values (see asking.py); everything here is formatting.
"""

from math import inf

from page.markup import render
from pennyflat_display.money import amount, each, number, short, with_percent_sign
from pennyflat_display.swings import assumed
from reader import measures, words
from reader.words import in_a_row, text
from work.asking import QUESTIONS, offered

FRAGMENTS = ("ask-crop", "asking", *(f"ask-{name}" for name in QUESTIONS))


def parts(work):
    """The fragments of the questions: id to (function, what it shows)."""
    if work.report is None:
        return dict.fromkeys(FRAGMENTS, (_blank,))
    verdicts = work.report["verdicts"]
    found = {"ask-crop": (_crop, verdicts[work.row_shown]["crop"], len(verdicts) > 1)}
    found["asking"] = (_offered, offered(work.scenario, work.row_shown))
    for name in QUESTIONS:
        if name in work.errand.answers:
            asked, answer = work.errand.answers[name]
            found[f"ask-{name}"] = (_SHOWN[name], answer, asked, work.errand.currency)
        else:
            found[f"ask-{name}"] = (_wait,)
    return found


def _blank():
    return ""


def _offered(names):
    return render("questions.html", offered=names)


def _wait():
    return render("asked.html", wait=True)


def _crop(crop, can_choose):
    return render("asked-crop.html", crop=crop, can_choose=can_choose)


def _asked(sentences=(), tables=(), notes=()):
    return render("asked.html", wait=False, sentences=sentences, tables=tables, notes=notes)


def _table(caption, columns, rows, best=None):
    """Rows are (header, note, cells)."""
    return {"caption": caption, "columns": columns, "rows": rows, "best": best}


def package_name(package, currency, take=1):
    """
    A package, or several of them, as on the label.

    Examples
    --------
    >>> from pennyflat_display.money import currency_of
    >>> from pennyflat.scenario.package import Package
    >>> package_name(Package("Lane", 16, "qt_dry", 9.8), currency_of("USD"), 3)
    '3 × 16 qt (dry)'
    """
    label = f"{short(package.size, currency)} {text(f'short.{package.unit}')}"
    return label if take == 1 else f"{take} × {label}"


def _ladder(ladders, currency):
    """Sentences and tables: the cheapest way to buy each mix by its contents."""
    tables, sentences = [], []
    for ladder in ladders:
        first = ladder.rungs[0]
        sentences.append(
            text(
                measures.in_units("ladder.least", currency),
                medium=ladder.medium,
                package=package_name(first.package, currency, first.take),
                store=first.package.store,
                price=measures.priced(first.per_litre, "L", currency),
            )
        )
        rows = [
            (
                package_name(rung.package, currency, rung.take),
                text("answer.at", store=rung.package.store),
                (measures.priced(rung.per_litre, "L", currency), _dearer(rung.more, currency)),
            )
            for rung in ladder.rungs
        ]
        columns = (text(measures.in_units("ladder.per_litre", currency)), text("ladder.more"))
        tables.append(_table(ladder.medium, (text("ladder.package"), *columns), rows, best=0))
    return sentences, tables


def _dearer(share, currency):
    if not share:
        return "–"
    if share == inf:
        return text("ladder.free")
    return with_percent_sign(number(share * 100, currency, 0), currency)


def _bags(found, asked, currency):
    bags, years, ladders = found
    sentences = [_big_bag_sentence(bag, currency) for bag in bags]
    sentences += [_next_year_sentence(year, asked.scenario, currency) for year in years]
    notes = (text("big_bag.note"),) if sentences else ()
    more, tables = _ladder(ladders, currency)
    return _asked([*sentences, *more], tables, notes)


def _big_bag_sentence(bag, currency):
    gaps = {
        "package": package_name(bag.package, currency),
        "medium": bag.medium,
        "up_to": number(bag.up_to, currency, 0),
    }
    if not bag.wins:
        return text("big_bag.never", **gaps)
    if bag.always_from == 1:
        return text("big_bag.always", **gaps)
    ranges = [
        text("big_bag.on", first=number(first, currency, 0))
        if first == bag.always_from
        else text(
            "big_bag.between",
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
        later = text("next_year.no_use")
    else:
        least, bulk = (amount(paid, currency) for paid in year.over_the_years)
        key = "next_year.pays" if year.pays else "next_year.does_not_pay"
        later = text(key, years=year.years, bulk=bulk, least=least)
    return f"{now} {later}"


def _matters(found, asked, currency):
    if found is None:
        return _asked(notes=(text("matters.none"),))
    rows = []
    for swing in found.swings:
        ends = ((swing.low, swing.each_low), (swing.high, swing.each_high))
        cells = [
            text(
                "matters.at",
                each=_ready_cost(cost, currency),
                value=assumed(value, swing.range.unit, currency, words),
            )
            for value, cost in ends
        ]
        rows.append((text(f"matters.{swing.range.name}"), "", cells))
    columns = [text(f"matters.{column}") for column in ("what", "low", "high")]
    caption = text(
        "matters.table",
        crop=found.crop,
        medium=found.medium,
        each=each(found.each, currency),
    )
    notes = [
        text("matters.basis", what=text(f"matters.{swing.range.name}"), basis=swing.range.basis)
        for swing in found.swings
    ]
    return _asked([_matters_sentence(found, currency)], [_table(caption, columns, rows)], notes)


def _matters_sentence(found, currency):
    first = found.swings[0]
    gaps = {
        "crop": found.crop,
        "medium": found.medium,
        "what": text(f"matters.{first.range.name}"),
        "low": assumed(first.low, first.range.unit, currency, words),
        "high": assumed(first.high, first.range.unit, currency, words),
    }
    if first.each_low is None or first.each_high is None:
        stalls = gaps["low"] if first.each_low is None else gaps["high"]
        return text("matters.stalls", stalls=stalls, **gaps)
    low, high = each(first.each_low, currency), each(first.each_high, currency)
    return text("matters.first", each_low=low, each_high=high, **gaps)


def _ready_cost(cost, currency):
    return text("answer.not_ready") if cost is None else each(cost, currency)


def _remedies(found, asked, currency):
    tables = []
    for compared in found:
        rows = [
            (
                _remedy_name(remedy),
                "",
                (remedy.why_not if remedy.each is None else each(remedy.each, currency),),
            )
            for remedy in compared.remedies
        ]
        weeks = short(compared.hungry_weeks, currency)
        caption = text("by.hungry", medium=compared.medium, weeks=weeks)
        columns = (text("by.remedy"), text("by.each"))
        best = 0 if compared.remedies[0].each is not None else None
        tables.append(_table(caption, columns, rows, best))
    sentences = [_remedy_sentence(compared, currency) for compared in found]
    return _asked(sentences, tables, () if found else (text("by.none"),))


def _remedy_sentence(compared, currency):
    best = compared.remedies[0]
    if best.each is None:
        return text("by.nothing", medium=compared.medium)
    price = each(best.each, currency)
    return text("by.best", medium=compared.medium, how=_remedy_name(best), price=price)


def _remedy_name(remedy):
    if remedy.with_what is None:
        return text(f"by.any.{remedy.by}")
    return text(f"by.{remedy.by}", name=remedy.with_what)


def _crop_working(found, asked, currency):
    if found is None:
        return _asked(notes=(text("working.none"),))
    steps = [
        (text(f"working.{part}"), [step["sentence"] for step in found[part]])
        for part in found
        if found[part]
    ]
    return render("working.html", parts=steps)


def _plan_working(steps, asked, currency):
    said = [step["sentence"] for step in steps]
    return render("working.html", parts=[(text("working.plan"), said)])


_SHOWN = {
    "crop_working": _crop_working,
    "plan_working": _plan_working,
    "bags": _bags,
    "matters": _matters,
    "remedies": _remedies,
}
