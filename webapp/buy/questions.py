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
    return render("asked.html", wait=False, sentences=sentences, tables=tables, notes=notes)


def _table(caption, columns, rows, best=None):
    """Rows are (header, cells) or (header, cells, note); the best is a number."""
    return {"caption": caption, "columns": columns, "rows": rows, "best": best}


def _package(package, currency, take=1):
    """A package, or several of them, as on the label."""
    label = measures.size_said(package.size, package.unit, currency)
    return label if take == 1 else f"{take} × {label}"


def _ladder(ladders, currency):
    """Sentences and tables: the cheapest way to buy each mix by its contents."""
    tables, sentences = [], []
    columns = (
        text("ladder.package"),
        text(measures.in_units("ladder.per_litre", currency)),
        text("ladder.more"),
    )
    for ladder in ladders:
        rows = [
            (
                _package(rung.package, currency, rung.take),
                (measures.priced(rung.per_litre, "L", currency), _dearer(rung.more, currency)),
                text("answer.at", store=rung.package.store),
            )
            for rung in ladder.rungs
        ]
        tables.append(_table(ladder.medium, columns, rows, best=0))
        package, (price, _), _ = rows[0]
        sentences.append(
            text(
                measures.in_units("ladder.least", currency),
                medium=ladder.medium,
                package=package,
                store=ladder.rungs[0].package.store,
                price=price,
            )
        )
    return sentences, tables


def _dearer(share, currency):
    if not share:
        return "–"
    if share == inf:
        return text("ladder.free")
    return whole_percent(share, currency)


def _bags(found, asked, currency):
    bags, years, ladders = found
    sentences = [_big_bag_sentence(bag, currency) for bag in bags]
    sentences += [_next_year_sentence(year, asked.scenario, currency) for year in years]
    notes = (text("big_bag.note"),) if sentences else ()
    more, tables = _ladder(ladders, currency)
    return _asked([*sentences, *more], tables, notes)


def _big_bag_sentence(bag, currency):
    gaps = {
        "package": _package(bag.package, currency),
        "medium": bag.medium,
        "up_to": number(bag.up_to, currency, 0),
    }
    if not bag.wins:
        return text("big_bag.never", **gaps)
    if bag.always_from == 1:
        return text("big_bag.always", **gaps)
    ranges = []
    for first, last in bag.wins:
        key = "big_bag.on" if first == bag.always_from else "big_bag.between"
        ends = {"first": number(first, currency, 0), "last": number(last, currency, 0)}
        ranges.append(text(key, **ends))
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
        costs = [
            text("answer.not_ready") if cost is None else each(cost, currency)
            for cost in (swing.each_low, swing.each_high)
        ]
        ends = zip(costs, _ends(swing, currency), strict=True)
        cells = [text("matters.at", each=cost, value=value) for cost, value in ends]
        rows.append((text(f"matters.{swing.name}"), cells))
    columns = [text(f"matters.{column}") for column in ("what", "low", "high")]
    price = each(found.each, currency)
    caption = text("matters.table", crop=found.crop, medium=found.medium, each=price)
    notes = [
        text("matters.basis", what=text(f"matters.{swing.name}"), basis=swing.basis)
        for swing in found.swings
    ]
    return _asked([_matters_sentence(found, currency)], [_table(caption, columns, rows)], notes)


def _ends(swing, currency):
    """The low and the high value of a guess."""
    return [assumed(end, swing.unit, currency, words) for end in (swing.low, swing.high)]


def _matters_sentence(found, currency):
    first = found.swings[0]
    low, high = _ends(first, currency)
    gaps = {"crop": found.crop, "medium": found.medium, "what": text(f"matters.{first.name}")}
    if first.each_low is None or first.each_high is None:
        return text("matters.stalls", stalls=low if first.each_low is None else high, **gaps)
    prices = {
        "each_low": each(first.each_low, currency),
        "each_high": each(first.each_high, currency),
    }
    return text("matters.first", low=low, high=high, **prices, **gaps)


def _remedies(found, asked, currency):
    columns = (text("by.remedy"), text("by.each"))
    sentences, tables = [], []
    for compared in found:
        rows = [
            (
                _remedy_name(remedy),
                (remedy.why_not if remedy.each is None else each(remedy.each, currency),),
            )
            for remedy in compared.remedies
        ]
        weeks = short(compared.hungry_weeks, currency)
        caption = text("by.hungry", medium=compared.medium, weeks=weeks)
        (how, (price,)), best = rows[0], 0
        said = text("by.best", medium=compared.medium, how=how, price=price)
        if compared.remedies[0].each is None:
            said, best = text("by.nothing", medium=compared.medium), None
        tables.append(_table(caption, columns, rows, best))
        sentences.append(said)
    return _asked(sentences, tables, () if found else (text("by.none"),))


def _remedy_name(remedy):
    if remedy.with_what is None:
        return text(f"by.any.{remedy.by}")
    return text(f"by.{remedy.by}", name=remedy.with_what)


def _crop_working(found, asked, currency):
    if found is None:
        return _asked(notes=(text("working.none"),))
    return _working([(f"working.{part}", steps) for part, steps in found.items() if steps])


def _plan_working(steps, asked, currency):
    return _working([("working.plan", steps)])


def _working(parts):
    said = [(text(key), [step["sentence"] for step in steps]) for key, steps in parts]
    return render("working.html", parts=said)


_SHOWN = {
    "crop_working": _crop_working,
    "plan_working": _plan_working,
    "bags": _bags,
    "matters": _matters,
    "remedies": _remedies,
}
