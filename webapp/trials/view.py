"""The trial bench as HTML: pots to write down, today's counts, and the report on the trials."""

from dataclasses import replace
from functools import partial
from itertools import chain

from page.fields import Fields, by_row
from page.files import csv_file, file_name
from page.markup import render
from page.origin import sentence
from pennyflat.scenario.export import csv_text
from pennyflat.trials.table import long_rows
from pennyflat_display import charts
from reader import words
from reader.words import counted, text
from work import edits
from work.bench import today
from work.entry import FIELDS, write_text

RESULTS = ("picture-title", "uses", "table", "curves-title", "key", "more", "money")
"""The fragments that are blank until there are results."""


def parts(work):
    """The fragments of the bench: id to (function, what it shows)."""
    document, currency, bench = work.document, work.currency, work.bench
    rows = document.get("trials") or []
    media = tuple(edits.names(document, "media"))
    crops = tuple(dict.fromkeys(edits.names(document, "sowings")))
    faults = {key: own for key, own in by_row(work.faults).items() if key[0] == "trials"}
    head = {"on": bench.asked.get("on") or today(), "day": bench.asked.get("day")}
    days = tuple(bench.day_of(row) for row in rows)
    pasted = {"text": bench.asked.get("pasted") or "", "told": tuple(bench.told)}
    found = {
        "bench-today": (_today, tuple(rows), days, faults, head, currency),
        "pot-list": (render, "list.html", {"kind": "pot", "count": len(rows)}),
        "bench-pasted": (render, "bench-pasted.html", pasted),
    }
    for i, row in enumerate(rows):
        own = faults.get(("trials", i), ())
        found[f"pot-{i}"] = (_pot, i, row, own, media, crops, currency)
    crop = bench.shown()
    if crop is None:
        said = text("bench.nothing") if bench.report else ""
        said = text("bench.incomplete") if bench.is_waiting else said
        blank = {f"bench-{part}": (str,) for part in RESULTS}
        return found | blank | {"bench-shows": (render, "line.html", {"text": said})}
    names = tuple(shown["crop"] for shown in bench.report["crops"])
    stale = bench.is_behind(work.scenario) or not work.is_current
    name, picture = crop["crop"], ""
    if charts.is_about_money(crop):
        picture = text("bench.money_title", crop=name)
    elif charts.counted_of(crop):
        picture = text("bench.share_title", crop=name)
    curved = [mix["medium"] for mix in charts.curves_of(crop)]
    curves = text("bench.curves", crop=name) if curved else ""
    shown = {"crop": crop, "media": media, "currency": currency}
    return found | {
        "bench-shows": (_shows, crop, names, stale, currency),
        "bench-picture-title": (render, "line.html", {"text": picture}),
        "bench-curves-title": (render, "line.html", {"text": curves}),
        "bench-uses": (render, "bench-uses.html", shown),
        "bench-table": (render, "bench-table.html", shown | {"mixes": charts.counted_of(crop)}),
        "bench-key": (render, "lines-key.html", {"media": curved}),
        "bench-more": (_more, crop, currency),
        "bench-money": (_money, crop, currency),
    }


def save_trials(work):
    """The trials in the last complete entries as a CSV file: name, media type and text."""
    rows = long_rows(work.scenario.trials if work.answered else ())
    found = csv_text(rows, decimal_mark=work.currency.place.decimal)
    return csv_file(file_name(work.document, "csv", "trials"), found)


def _name(row):
    pot = text("bench.pot", medium=row.get("medium") or "…", crop=row.get("crop") or "…")
    return text("bench.labelled", pot=pot, label=row["label"]) if row.get("label") else pot


def _today(rows, days, faults, head, currency):
    counts = [_count_on(row, day) for row, day in zip(rows, days, strict=True)]
    seen = [count and count["emerged"] for count in counts]
    fields = Fields(("bench",), {**head, "count": seen}, (), currency)
    pots = []
    for i, (row, day, count) in enumerate(zip(rows, days, counts, strict=True)):
        field = fields.field(f"bench.count[{i}]")
        at = count and f"trials[{i}].counts[{row['counts'].index(count)}].emerged"
        for fault in faults.get(("trials", i), ()):
            if fault.path == at:
                field = replace(field, fault=sentence(words.said(fault.message)))
        pots.append((field, _name(row), _when(row, day, currency), day is not None))
    return render("bench-today.html", fields=fields, pots=pots)


def _count_on(row, day):
    """What was counted in a pot on a day; None if nothing was."""
    counts = row.get("counts") or () if day is not None else ()
    return next((count for count in counts if count["day"] == day), None)


def _when(row, day, currency):
    """The day of today's count in a pot, and what was counted before."""
    if day is None:
        return text("bench.no_day")
    said = text("bench.on_day", day=_plain(day, currency), sown=_plain(row["sown"], currency))
    before = [count for count in _known(row) if count["day"] < day]
    return f"{said}; {_last('bench.before', before, currency)}" if before else said


def _known(row):
    """The counts of a pot that are numbers."""
    return [
        count
        for count in row.get("counts") or ()
        if all(isinstance(count[key], int | float) for key in ("day", "emerged"))
    ]


def _last(key, counts, currency, **gaps):
    last = {name: _plain(counts[-1][name], currency) for name in ("day", "emerged")}
    return text(key, **last, **gaps)


def _plain(value, currency):
    return write_text(value, FIELDS["bench.day"], currency) or "…"


def _pot(i, row, faults, media, crops, currency):
    fields = Fields(("trials", i), row, faults, currency, media=media, crops=crops)
    counts, sown = _known(row), _plain(row.get("sown"), currency)
    gist = counted("bench.gist_none", 1 if row.get("sown") == 1 else None, count=sown)
    if counts:
        gist = _last("bench.gist", counts, currency, sown=sown)
    return render(
        "bench-pot.html",
        at=f"trials[{i}]",
        name=_name(row),
        gist=gist,
        todo=text("summary.check", count=len(faults)) if faults else "",
        row=row,
        entries=fields.entries,
    )


def _shows(crop, names, stale, currency):
    fields = Fields(("bench",), {"crop": crop["crop"]}, (), currency, crops=names)
    return render(
        "bench-shows.html",
        stale=stale,
        choice=fields.field("bench.crop") if len(names) > 1 else None,
        answer=crop["answer"]["sentence"] if crop["answer"] else text("bench.no_counts"),
        growths=[mix["growth"] for mix in crop["mixes"] if mix["growth"]],
    )


def _more(crop, currency):
    from pennyflat.trials.words import charge_of, pairs_of, replicates_of, speed_of

    mixes = crop["mixes"]
    return render(
        "bench-more.html",
        curves=charts.curves_of(crop),
        lines=[
            *chain(*map(speed_of, mixes)),
            *(mix["hard_to_wet"] for mix in mixes if mix["hard_to_wet"]),
            *chain(*map(charge_of, mixes)),
        ],
        replicates=[replicates_of(found) for found in crop["replicates"]],
        pairs=pairs_of(crop),
        day=partial(_plain, currency=currency),
        currency=currency,
    )


def _money(crop, currency):
    from pennyflat.trials.words import band_of, worth_lines

    money = charts.money_of(crop)
    if not money:
        return ""
    several = len(money["mixes"]) > 1
    return render(
        "bench-money.html",
        crop=crop["crop"],
        money=money,
        bands=chain(*map(band_of, money["mixes"])),
        worths=worth_lines(money, currency.code) if several else (),
        has_tests=several and money["everything_worth"] is not None,
        currency=currency,
    )
