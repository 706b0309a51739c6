"""After the season on the page: how it went, the real cost of a seedling, and the grower's figures.

All figures come from `pennyflat.comparing.season`; this module asks for entries and shows results.
"""

from functools import lru_cache

from page.fields import Fields
from page.markup import render
from pennyflat.comparing.season import PARTS, season
from pennyflat_display.money import short, with_percent_sign
from reader import measures
from reader.words import field_name, in_a_row, text
from work import edits, shelf
from work.entry import FIELDS, place, stocked, write_text

report_of = lru_cache(maxsize=2)(season)


def parts(work):
    """The fragments: id to (function, what it shows)."""
    document, currency = work.document, work.currency
    went = document.get("happened")
    if not went:
        begun = {"begun": False, "can_begin": work.report is not None and work.is_current}
        return {"season": (render, "season-form.html", begun), "season-shows": (str,)}
    faults = tuple(fault for fault in work.faults if fault.path.startswith("happened"))
    media = tuple(edits.names(document, "media"))
    blends = tuple(row["name"] for row in document["media"] if "parts" in row)
    feed, timed = document.get("feed"), bool(document.get("labour"))
    measure = shelf.measure_of(document, "feed", "") if feed else "L"
    form = (_form, went, faults, media, blends, feed and feed["name"], measure, timed, currency)
    return {"season": form, "season-shows": _shown(work)}


def _form(went, faults, media, blends, feed, measure, timed, currency):
    fields = Fields(("happened",), went, faults, currency, measure=measure, media=media)
    rest = []
    for i, row in enumerate(went.get("bags") or ()):
        key = "season.mixed" if row["medium"] in blends else "season.bags"
        rest.append((text(key, medium=row["medium"]), f"happened.bags[{i}]", ("litres", "left")))
    if feed:
        rest.append((feed, "happened", ("feed_had", "feed_left")))
    if timed:
        rest.append((text("labour.title"), "happened", ("minutes",)))
    sowings = went.get("sowings") or ()
    shown = {"begun": True, "sowings": sowings, "rest": rest, "entries": fields.entries}
    return render("season-form.html", shown)


def _shown(work):
    """What the results are made from; a sentence if there are none yet."""
    if not work.is_current or not work.scenario.happened:
        return _line, "season.faults", ""
    went = work.scenario.happened
    if not went.sowings:
        return _line, "season.none", ""
    if went.unfinished:
        return _lacking, went.sowings
    try:
        return _report, report_of(work.scenario), work.answered, work.answer_currency
    except KeyError as gone:
        return _line, "season.gone", gone.args[0]


def _lacking(sowings):
    """What is still to be filled in, and for which crops."""
    found = []
    for name, key in (("cells", "season.lacks_cells"), ("ready", "season.lacks_ready")):
        crops = dict.fromkeys(row.crop for row in sowings if getattr(row, name) is None)
        if crops:
            found.append(text(key, crops=in_a_row(list(crops), "and")))
    return render("line.html", text=" ".join(found))


def _line(key, names):
    return render("line.html", text=text(key, crops=names, name=names))


def _report(report, document, currency):
    changes = [
        _change(change, document, currency)
        for change in report["changes"]
        if change["place"][-1] != "measured"
    ]
    shown = {"rows": report["sowings"], "whats": PARTS, "changes": changes, "currency": currency}
    return render("season-shows.html", shown)


def _change(change, document, currency):
    """One of the grower's own figures: what it is, in this plan and now."""
    path = change["place"]
    owner = edits.at(document, path[:-1] if path[0] in ("feed", "labour") else path[:2])
    named = filter(None, (owner.get("crop") or owner.get("name"), *path[3:4]))
    names, what = ", ".join(named), field_name(place(path))
    figures = [_value(change[key], path, document, currency) for key in ("was", "now")]
    return text("fault.at", name=names, what=what) if names else what, figures


def _value(value, path, document, currency):
    """A figure with its unit, as its field shows it."""
    if value is None:
        return "–"
    field = FIELDS[place(path)]
    if isinstance(value, dict):
        return write_text(value, field, currency)
    if field.kind in ("percent", "chance"):
        return with_percent_sign(short(value * 100, currency), currency)
    if path[-1] == "pace":
        return text("season.pace", value=short(value, currency))
    if field.quantity:
        measure = shelf.measure_of(document, path[0], "")
        return measures.measured(value, stocked(field, measure).quantity, currency)
    return short(value, currency)
