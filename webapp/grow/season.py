"""After the season on the page: how it went, the real cost of a seedling, and the grower's figures.

All figures come from `pennyflat.comparing.season`; this module asks for entries and shows results.
"""

from dataclasses import replace
from functools import lru_cache

from page.fields import Fields
from page.markup import render
from pennyflat.comparing.season import PARTS, season
from pennyflat_display.money import each, short, with_percent_sign
from reader import measures
from reader.words import field_name, in_a_row, text
from work import edits, shelf
from work.entry import FIELDS, place, stocked, write_text

COUNTS = ("cells", "up", "ready", "weeks")

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
    feed = document.get("feed")
    measure = shelf.measure_of(document, "feed", "") if feed else "L"
    name, timed = feed["name"] if feed else "", bool(document.get("labour"))
    form = (_form, went, faults, media, blends, name, measure, timed, currency)
    return {"season": form, "season-shows": _shown(work)}


def _form(went, faults, media, blends, feed, measure, timed, currency):
    fields = Fields(("happened",), went, faults, currency, measure=measure)
    sowings = [
        {
            "at": at,
            "name": row["crop"],
            "fields": [
                _among(fields.field(f"{at}.medium"), media),
                *(fields.field(f"{at}.{key}") for key in COUNTS),
            ],
        }
        for i, row in enumerate(went.get("sowings") or ())
        for at in [f"happened.sowings[{i}]"]
    ]
    rest = []
    for i, row in enumerate(went.get("bags") or ()):
        key = "season.mixed" if row["medium"] in blends else "season.bags"
        paths = [f"happened.bags[{i}].{key}" for key in ("litres", "left")]
        rest.append((text(key, medium=row["medium"]), paths))
    if feed:
        rest.append((feed, ["happened.feed_had", "happened.feed_left"]))
    if timed:
        rest.append((text("season.time"), ["happened.minutes"]))
    left = [(name, [fields.field(path) for path in paths]) for name, paths in rest]
    return render("season-form.html", begun=True, sowings=sowings, rest=left)


def _among(field, names):
    """A field with these names to choose from, plus its own if it is not among them."""
    gone = [] if field.text in names else [(field.text, text("choose.gone", name=field.text))]
    return replace(field, options=(("", (*((name, name) for name in names), *gone)),))


def _shown(work):
    """What the results are made from; a sentence if there are none yet."""
    if not work.is_current or not work.scenario.happened:
        return _line, "season.faults", ""
    went = work.scenario.happened
    if not went.sowings:
        return _line, "season.none", ""
    if went.unfinished:
        return _line, "season.unfinished", in_a_row(list(went.unfinished), "and")
    try:
        return _report, report_of(work.scenario), work.answered, work.answer_currency
    except KeyError as gone:
        return _line, "season.gone", gone.args[0]


def _line(key, names):
    return render("line.html", text=text(key, crops=names, name=names))


def _report(report, document, currency):
    return render(
        "season-shows.html",
        rows=[_row(row, currency) for row in report["sowings"]],
        changes=[
            _change(change, document, currency)
            for change in report["changes"]
            if change["place"][-1] != "measured"
        ],
    )


def _row(row, currency):
    return {
        "name": text("season.why_of", crop=row["crop"], medium=row["medium"]),
        "says": row["says"],
        "why": [
            text(
                "season.more" if part["each"] > 0 else "season.less",
                what=PARTS[part["what"]],
                money=each(abs(part["each"]), currency),
            )
            for part in row["why"]
        ],
    }


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
    if field.quantity:
        measure = shelf.measure_of(document, path[0], "")
        return measures.measured(value, stocked(field, measure).quantity, currency)
    return short(value, currency)
