"""The trial bench as HTML: pots to write down, today's counts, and the report on the trials."""

from dataclasses import replace
from itertools import chain

from page.fields import Fields, by_row
from page.markup import render
from page.origin import sentence
from pennyflat_display.charts import (
    counted_of,
    curves_of,
    interval,
    is_about_money,
    money_of,
    range_of,
)
from pennyflat_display.money import amount, each, number, short, whole_percent
from reader import words
from reader.words import counted, text
from work import bench, edits
from work.entry import FIELDS, write_text

RESULTS = [
    f"bench-{part}"
    for part in ("picture-title", "uses", "table", "curves-title", "key", "more", "money")
]
"""The fragments that are blank until there are results."""

MAIN = ("medium", "crop", "sown", "sown_on", "label", "abnormal")
REST = ("fed_in_weeks", "photos", "notes")
ROWS = {
    "counts": ("day", "emerged"),
    "water": ("minute", "ml"),
    "looks": ("week", "height_mm", "leaves"),
}


def parts(work):
    """The fragments of the bench: id to (function, what it shows)."""
    document, currency, bench_ = work.document, work.currency, work.bench
    rows = document.get("trials") or []
    media = tuple(edits.names(document, "media"))
    crops = tuple(dict.fromkeys(edits.names(document, "sowings")))
    faults = {key: own for key, own in by_row(work.faults).items() if key[0] == "trials"}
    head = {key: bench_.asked.get(key) for key in ("on", "day")}
    days = tuple(bench_.day_of(row) for row in rows)
    pasted = {"text": bench_.asked.get("pasted") or "", "told": tuple(bench_.told)}
    found = {
        "bench-today": (_today, tuple(rows), days, faults, head, bench.today(), currency),
        "pot-list": (render, "list.html", {"kind": "pot", "count": len(rows)}),
        "bench-pasted": (render, "bench-pasted.html", pasted),
    }
    for i, row in enumerate(rows):
        own = faults.get(("trials", i), ())
        found[f"pot-{i}"] = (_pot, i, row, own, media, crops, currency)
    crop = bench_.shown()
    if crop is None:
        said = text("bench.nothing") if bench_.report else ""
        said = text("bench.incomplete") if bench_.is_waiting else said
        blank = dict.fromkeys(RESULTS, (str,))
        return found | blank | {"bench-shows": (render, "line.html", {"text": said})}
    names = tuple(shown["crop"] for shown in bench_.report["crops"])
    stale = bench_.is_behind(work.scenario) or not work.is_current
    picture = "bench.share_title" if counted_of(crop) else ""
    if is_about_money(crop):
        picture = "bench.money_title"
    curved = [mix["medium"] for mix in curves_of(crop)]
    return found | {
        "bench-shows": (_shows, crop, names, stale, currency),
        "bench-picture-title": (_title, picture, crop["crop"]),
        "bench-uses": (_uses, crop, media, currency),
        "bench-table": (_table, crop, currency),
        "bench-curves-title": (_title, "bench.curves" if curved else "", crop["crop"]),
        "bench-key": (render, "lines-key.html", {"media": curved}),
        "bench-more": (_more, crop, currency),
        "bench-money": (_money, crop, currency),
    }


def _title(key, crop):
    return render("line.html", text=text(key, crop=crop)) if key else ""


def _choices(field, names):
    """A field with these names to choose from, including its own value."""
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
    """The field for today's count in one pot."""
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
    gist = counted("bench.gist_none", 1 if row.get("sown") == 1 else None, count=sown)
    if counts:
        last = {key: _plain(counts[-1][key], currency) for key in ("day", "emerged")}
        gist = text("bench.gist", sown=sown, **last)
    return render(
        "bench-pot.html",
        at=at,
        name=_name(row),
        gist=gist,
        todo=text("summary.check", count=len(faults)) if faults else "",
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
                "fields": [fields.field(f"{at}.{name}[{j}].{key}") for key in ROWS[name]],
            }
            for j in range(len(rows))
        ],
    }


def _shows(crop, names, stale, currency):
    fields = Fields(("bench",), {"crop": crop["crop"]}, (), currency)
    growths = [mix["growth"] for mix in crop["mixes"] if mix["growth"]]
    return render(
        "bench-shows.html",
        stale=stale,
        choice=_choices(fields.field("bench.crop"), names) if len(names) > 1 else None,
        answer=crop["answer"]["sentence"] if crop["answer"] else text("bench.no_counts"),
        quality=[growth["quality"] for growth in growths if growth["quality"]],
    )


def _uses(crop, media, currency):
    """What each mix teaches the plan, with the button that applies it."""
    planned = bool(crop["money"])
    return render(
        "bench-uses.html",
        crop=crop["crop"],
        planned=planned,
        uses=[
            {
                "medium": mix["medium"],
                "said": _use(mix["lesson"], currency),
                "grows": mix["growth"] and mix["growth"]["says"],
            }
            for mix in crop["mixes"]
            if planned and mix["lesson"] and mix["medium"] in media
        ],
    )


def _table(crop, currency):
    return render(
        "bench-table.html",
        says=crop["says"] or "",
        caption=text("bench.table", crop=crop["crop"]),
        rows=[(mix["medium"], _cells(mix, currency)) for mix in counted_of(crop)],
    )


def _cells(mix, currency):
    half = mix["half_days"]
    return [
        text("bench.of", normal=mix["normal"], sown=mix["sown"]),
        interval(mix["jeffreys_95"], currency, words),
        number(half["Coolbear"], currency, 1) if half else "–",
    ]


def _more(crop, currency):
    from pennyflat.trials.words import charge_of, pairs_of, replicates_of, speed_of

    mixes = crop["mixes"]
    return render(
        "bench-more.html",
        curves=[(mix["medium"], _curve_rows(mix, currency)) for mix in curves_of(crop)],
        lines=[
            *chain(*map(speed_of, mixes)),
            *(mix["hard_to_wet"] for mix in mixes if mix["hard_to_wet"]),
            *chain(*map(charge_of, mixes)),
        ],
        replicates=[replicates_of(found) for found in crop["replicates"]],
        pairs=pairs_of(crop),
    )


def _curve_rows(mix, currency):
    return [
        (
            _plain(day, currency),
            whole_percent(share, currency),
            interval((low, high), currency, words),
        )
        for day, low, share, high in mix["curve"]
    ]


def _money(crop, currency):
    from pennyflat.trials.words import band_of, worth_lines

    money = money_of(crop)
    if not money:
        return ""
    mixes, names = money["mixes"], ", ".join(money["untested"])
    several = len(mixes) > 1
    return render(
        "bench-money.html",
        caption=text("bench.money_table", crop=crop["crop"]),
        rows=[
            (
                mix["medium"],
                (
                    range_of(mix, currency, words),
                    "–" if mix["middle"] is None else each(mix["middle"], currency),
                    whole_percent(mix["cheapest_chance"], currency),
                ),
            )
            for mix in mixes
        ],
        bands=list(chain(*map(band_of, mixes))),
        untested=text("bench.untested", crop=crop["crop"], names=names) if names else "",
        worths=worth_lines(money, currency.code) if several else (),
        tests=_tests(money, currency) if several and money["everything_worth"] is not None else (),
        tests_caption=text("bench.tests", wanted=number(money["wanted"], currency, 0)),
        seeds=money["test_seeds"],
    )


def _tests(money, currency):
    """What each measurement is worth, mix by mix."""
    measures = dict.fromkeys(test["measure"] for test in money["tests"])
    worths = {(test["medium"], test["measure"]): test["worth"] for test in money["tests"]}
    return [
        (mix["medium"], [_worth(worths[mix["medium"], measure], currency) for measure in measures])
        for mix in money["mixes"]
    ]


def _worth(worth, currency):
    return "–" if worth is None else amount(worth, currency)


def _use(lesson, currency):
    """What is taken over, item by item."""
    found = []
    if lesson["emergence"] is not None:
        seen = text("bench.of", normal=lesson["emergence"]["up"], sown=lesson["emergence"]["sown"])
        found.append(text("bench.uses", emergence=seen))
    weeks, pace = lesson["feeds_for_weeks"], lesson["pace"]
    if weeks is not None:
        key = "bench.uses_at_least" if lesson["is_at_least"] else "bench.uses_weeks"
        found.append(counted(key, weeks, weeks=short(weeks, currency)))
    if pace is not None:
        key = "bench.uses_pace_at_least" if lesson["pace_is_at_least"] else "bench.uses_pace"
        found.append(text(key, pace=number(pace, currency, 2)))
    if lesson["unfit"]:
        found.append(text("bench.uses_unfit"))
    return found
