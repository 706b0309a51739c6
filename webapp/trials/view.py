"""The trial bench as HTML: pots to write down, today's counts, and the report on the trials."""

from dataclasses import replace
from itertools import chain

from page.faults import row_of
from page.fields import Fields
from page.markup import render
from page.origin import sentence
from pennyflat.scenario.trial import LEAVES
from reader import words
from reader.money import amount, each, number, percent, short, with_percent_sign
from reader.words import counted, text
from work import bench, edits
from work.entry import FIELDS, write_text

RESULTS = (
    "bench-shows",
    "bench-curves-title",
    "bench-key",
    "bench-more",
    "bench-money-title",
    "bench-money",
)
MAIN = ("medium", "crop", "sown", "sown_on", "label", "abnormal")
REST = ("fed_in_weeks", "photos", "notes")
ROWS = {
    "counts": ("day", "emerged"),
    "water": ("minute", "ml"),
    "looks": ("week", "height_mm", "leaves"),
}
NEXT = {
    "emergence": "bench.next_emergence",
    "charge": "bench.next_charge",
    "fill": "bench.next_fill",
}
"""What to measure next in a sentence, by measure, in the order of the table."""
MOST_LINES = 6
"""Mixes drawn in the chart of curves."""


def parts(work):
    """The fragments of the bench: id to (function, what it shows)."""
    document, currency, bench_ = work.document, work.currency, work.bench
    rows = document.get("trials") or []
    media = tuple(edits.names(document, "media"))
    crops = tuple(dict.fromkeys(edits.names(document, "sowings")))
    faults = {}
    for fault in work.faults:
        key = row_of(fault.path)
        if key[0] == "trials":
            faults[key] = (*faults.get(key, ()), fault)
    head = {key: bench_.asked.get(key) for key in ("on", "day")}
    days = tuple(bench_.day_of(row) for row in rows)
    found = {
        "bench-today": (_today, tuple(rows), days, faults, head, bench.today(), currency),
        "pot-list": (_list, len(rows)),
        "bench-pasted": (_pasted, bench_.asked.get("pasted") or "", tuple(bench_.told)),
    }
    for i, row in enumerate(rows):
        own = faults.get(("trials", i), ())
        found[f"pot-{i}"] = (_pot, i, row, own, media, crops, currency)
    crop = bench_.shown()
    if crop is None:
        said = text("bench.nothing") if bench_.report else ""
        said = text("bench.incomplete") if bench_.is_waiting else said
        return found | {"bench-shows": (_nothing, said)} | dict.fromkeys(RESULTS[1:], (str,))
    names = tuple(shown["crop"] for shown in bench_.report["crops"])
    stale = bench_.is_behind(work.scenario) or not work.is_current
    return found | {
        "bench-shows": (_shows, crop, names, stale, currency),
        "bench-curves-title": (_curves_title, crop),
        "bench-key": (_key, crop),
        "bench-more": (_more, crop, currency),
        "bench-money-title": (_money_title, crop),
        "bench-money": (_money, crop, media, currency),
    }


def curves_of(crop):
    """The mixes of a crop whose curves are drawn."""
    return [mix for mix in crop["mixes"] if mix["curve"]][:MOST_LINES] if crop else []


def money_of(crop):
    """The money of the sowing of a crop, or None."""
    return next(iter(crop["money"]), None) if crop else None


def range_of(mix, currency):
    """A cost's 80 % range in words."""
    if mix["low"] is None:
        return text("bench.not_ready")
    high = text("bench.no_end") if mix["high"] is None else each(mix["high"], currency)
    return text("bench.range", low=each(mix["low"], currency), high=high)


def _nothing(said):
    return render("line.html", text=said)


def _list(count):
    return render("list.html", kind="pot", count=count)


def _choices(field, names):
    """A field with these names to choose from, its own value among them."""
    own = [field.text] if field.text and field.text not in names else []
    blank = [] if field.text else [("", text("choose.none"))]
    named = [(name, name) for name in [*names, *own]]
    return replace(field, options=(("", (*blank, *named)),))


def _name(row):
    pot = text("bench.pot", medium=row.get("medium") or "…", crop=row.get("crop") or "…")
    return text("bench.labelled", pot=pot, label=row["label"]) if row.get("label") else pot


def _today(rows, days, faults, head, today, currency):
    fields = Fields(("bench",), {**head, "count": []}, (), currency)
    on = fields.field("bench.on")
    return render(
        "bench-today.html",
        on=replace(on, text=on.text or today),
        day=fields.field("bench.day"),
        pots=[
            _tally(i, row, day, faults.get(("trials", i), ()), currency)
            for i, (row, day) in enumerate(zip(rows, days, strict=True))
        ],
    )


def _tally(i, row, day, faults, currency):
    """The field of today's count in one pot."""
    counts = row.get("counts") or []
    place = next((j for j, count in enumerate(counts) if count["day"] == day), None)
    path = f"bench.count[{i}]"
    value = None if place is None or day is None else counts[place]["emerged"]
    field = Fields(("bench", "count"), {i: value}, (), currency).field(path)
    fault = next((f for f in faults if f.path == f"trials[{i}].counts[{place}].emerged"), None)
    if fault:
        field = replace(field, fault=sentence(words.said(fault.message)))
    if day is None:
        said = text("bench.no_day")
    else:
        said = text("bench.on_day", day=_plain(day, currency), sown=_plain(row["sown"], currency))
        before = [c for c in counts if _known(c) and c["day"] < day]
        if before:
            last = {key: _plain(before[-1][key], currency) for key in ("day", "emerged")}
            said = f"{said}; {text('bench.before', **last)}"
    return {"field": field, "name": _name(row), "said": said, "day": day is not None}


def _known(count):
    return all(isinstance(count[key], int | float) for key in ("day", "emerged"))


def _plain(value, currency):
    return write_text(value, FIELDS["bench.day"], currency) or "…"


def _pot(i, row, faults, media, crops, currency):
    at = f"trials[{i}]"
    fields = Fields(("trials", i), row, faults, currency)
    main = [fields.field(f"{at}.{key}") for key in MAIN]
    main[:2] = _choices(main[0], media), _choices(main[1], crops)
    counts = [count for count in row.get("counts") or () if _known(count)]
    sown = _plain(row.get("sown"), currency)
    if counts:
        last = {key: _plain(counts[-1][key], currency) for key in ("day", "emerged")}
        gist = text("bench.gist", sown=sown, **last)
    else:
        gist = counted(
            "bench.gist_none", row.get("sown") if row.get("sown") == 1 else None, count=sown
        )
    return render(
        "bench-pot.html",
        at=at,
        name=_name(row),
        gist=gist,
        todo=render("todo.html", text=text("summary.check", count=len(faults))) if faults else "",
        main=main,
        rest=[fields.field(f"{at}.{key}") for key in REST],
        **{name: _rows(fields, at, name, row.get(name) or ()) for name in ROWS},
    )


def _rows(fields, at, name, rows):
    return {
        "name": name,
        "at": f"{at}.{name}",
        "rows": [
            {
                "at": f"{at}.{name}[{j}]",
                "called": text("bench.row", what=text(f"bench.{name}"), number=j + 1),
                "fields": [_field(fields, f"{at}.{name}[{j}]", key) for key in ROWS[name]],
            }
            for j in range(len(rows))
        ],
    }


def _field(fields, at, key):
    field = fields.field(f"{at}.{key}")
    if key != "leaves":
        return field
    choices = [("", text("choose.none")), *((leaf, text(f"leaves.{leaf}")) for leaf in LEAVES)]
    return replace(field, options=(("", tuple(choices)),))


def _pasted(pasted, told):
    return render("bench-pasted.html", text=pasted, told=told)


def _shows(crop, names, stale, currency):
    fields = Fields(("bench",), {"crop": crop["crop"]}, (), currency)
    counted = [mix for mix in crop["mixes"] if mix["sown"]]
    columns = ("normal", "emergence", "wilson", "jeffreys", "best")
    return render(
        "bench-shows.html",
        stale=stale,
        choice=_choices(fields.field("bench.crop"), names) if len(names) > 1 else None,
        says=crop["says"] or text("bench.no_counts"),
        caption=text("bench.table", crop=crop["crop"]),
        columns=(*columns, "half_coolbear", "half_farooq", "mean_days"),
        rows=[{"medium": mix["medium"], "cells": _cells(mix, currency)} for mix in counted],
    )


def _cells(mix, currency):
    half = mix["half_days"]
    days = [half["Coolbear"], half["Farooq"], mix["mean_days"]] if half else []
    return [
        text("bench.of", normal=mix["normal"], sown=mix["sown"]),
        _percent(mix["share"], currency),
        _interval(mix["wilson_95"], currency),
        _interval(mix["jeffreys_95"], currency),
        number(mix["best_chance"], currency, 2),
        *(number(value, currency, 1) for value in days),
        *["–"] * (3 - len(days)),
    ]


def _percent(share, currency):
    return with_percent_sign(number(share * 100, currency, 0), currency)


def _interval(ends, currency):
    low, high = (_percent(end, currency) for end in ends)
    return text("bench.interval", low=low, high=high)


def _curves_title(crop):
    if not curves_of(crop):
        return ""
    return render("line.html", text=text("bench.curves", crop=crop["crop"]))


def _key(crop):
    return render("bench-key.html", media=[mix["medium"] for mix in curves_of(crop)])


def _more(crop, currency):
    from pennyflat.trials.words import charge_of, pairs_of, replicates_of, speed_of

    curves = curves_of(crop)
    mixes = crop["mixes"]
    return render(
        "bench-more.html",
        curve_names=[mix["medium"] for mix in curves],
        curve_days=_curve_rows(curves, currency),
        lines=[*chain(*map(speed_of, mixes)), *chain(*map(charge_of, mixes))]
        + [replicates_of(found) for found in crop["replicates"] if found["in_doubt"]],
        replicates=[replicates_of(found) for found in crop["replicates"]],
        pairs=pairs_of(crop),
    )


def _curve_rows(curves, currency):
    days = sorted({day for mix in curves for day, *_ in mix["curve"]})
    seen = [{day: (low, share, high) for day, low, share, high in mix["curve"]} for mix in curves]
    return [
        {
            "day": _plain(day, currency),
            "cells": [_curve_cell(own[day], currency) if day in own else "–" for own in seen],
        }
        for day in days
    ]


def _curve_cell(found, currency):
    low, share, high = (_percent(part, currency) for part in found)
    return text("bench.curve_cell", low=low, share=share, high=high)


def _money_title(crop):
    money = money_of(crop)
    if not money or not money["mixes"]:
        return ""
    return render("line.html", text=text("bench.money_title", crop=crop["crop"]))


def _money(crop, media, currency):
    money = money_of(crop)
    mixes = money["mixes"] if money else []
    return render(
        "bench-money.html",
        shown=bool(mixes) or bool(crop["says"]),
        lines=_verdict(crop, money, currency) if mixes else (),
        caption=text("bench.money_table", crop=crop["crop"]),
        rows=[
            {
                "medium": mix["medium"],
                "band": range_of(mix, currency),
                "middle": "–" if mix["middle"] is None else each(mix["middle"], currency),
                "chance": number(mix["cheapest_chance"], currency, 2),
            }
            for mix in mixes
        ],
        tests=_tests(money, currency) if len(mixes) > 1 else None,
        uses=[
            {
                "medium": mix["medium"],
                "crop": crop["crop"],
                "said": _use(mix["lesson"], currency),
            }
            for mix in crop["mixes"]
            if money and mix["lesson"] and mix["medium"] in media
        ],
    )


def _verdict(crop, money, currency):
    """Who is cheapest and which test to make, in sentences."""
    mixes = money["mixes"]
    best = max(mixes, key=lambda mix: mix["cheapest_chance"])
    if len(mixes) == 1:
        found = [text("bench.cheapest_alone", medium=best["medium"])]
    else:
        chance = number(best["cheapest_chance"], currency, 2)
        found = [text("bench.cheapest", medium=best["medium"], chance=chance)]
        found.append(_next_test(money, currency))
    if money["untested"]:
        found.append(text("bench.untested", crop=crop["crop"], names=", ".join(money["untested"])))
    return found


def _next_test(money, currency):
    """Which measurement to make first, in a sentence."""
    first = money["first"]
    if money["everything_worth"] is None:
        return text("bench.next_untold")
    if first is None:
        return text("bench.no_next")
    return text(
        NEXT[first["measure"]],
        seeds=money["test_seeds"],
        medium=first["medium"],
        worth=amount(first["worth"], currency),
        wanted=number(money["wanted"], currency, 0),
    )


def _tests(money, currency):
    """The table of what each measurement is worth; None where none can be told."""
    if money["everything_worth"] is None:
        return None
    worths = {(test["medium"], test["measure"]): test["worth"] for test in money["tests"]}
    return {
        "caption": text("bench.tests", wanted=number(money["wanted"], currency, 0)),
        "seeds": money["test_seeds"],
        "everything": text("bench.everything", worth=amount(money["everything_worth"], currency)),
        "rows": [
            {
                "medium": mix["medium"],
                "cells": [_worth(worths[mix["medium"], measure], currency) for measure in NEXT],
            }
            for mix in money["mixes"]
        ],
    }


def _worth(worth, currency):
    return "–" if worth is None else amount(worth, currency)


def _use(lesson, currency):
    seen = lesson["emergence"]
    counts = isinstance(seen, dict) and text("bench.of", normal=seen["up"], sown=seen["sown"])
    gaps = {"emergence": counts or percent(seen, currency)}
    if lesson["feeds_for_weeks"] is None:
        return text("bench.uses", **gaps)
    key = "bench.uses_at_least" if lesson["is_at_least"] else "bench.uses_weeks"
    weeks = lesson["feeds_for_weeks"]
    return counted(key, weeks, weeks=short(weeks, currency), **gaps)
