"""The calendar on the page: a day to plant out for each sowing, and the days that follow from it.

`pennyflat.growing` finds and counts the days; this module words them.
"""

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from uuid import NAMESPACE_OID, uuid5

from page.fields import Fields
from page.files import file_name
from page.markup import render
from page.origin import of_suggestion, who_says
from page.rescue import unready_said
from pennyflat.growing.schedule import after_frost, by_day, calendars
from pennyflat.trade import facts as tables
from pennyflat.trade.facts import about
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import Suggestion
from pennyflat_display import places
from reader import measures
from reader.words import in_a_row, later, said, text
from work.entry import FIELDS
from work.messages import Refused

TYPED = ("crop", "plant_out", "germinate_at_c")
"""What is typed of a sowing that its dates follow from."""


def plans_of(work):
    """The calendars of the answered sowings, each in the plan's mix; none without a plan."""
    planned = work.planned()
    return () if planned is None else calendars(work.scenario, planned)


@cache
def _facts(crop, quantity):
    return about(tables.facts("crops"), crop, quantity) if crop else ()


def parts(work):
    """The calendar's fragments: id to (function, what it shows)."""
    document, report = work.document, work.report
    rows = tuple({key: row.get(key) for key in TYPED} for row in document["sowings"])
    typed_in = (*TYPED, "last_frost")
    faults = tuple(one for one in work.faults if one.path.rpartition(".")[2] in typed_in)
    ready, last_frost = plans_of(work), document.get("last_frost")
    currency = work.answer_currency if report else work.currency
    unready = tuple(
        (plan.crop, unready_said(work.errand.bill["plan"][row], report["rescues"]))
        for row, plan in enumerate(ready)
        if not plan.medium
    )
    return {
        "dates": (_dates, last_frost, rows, faults, work.currency),
        "calendar-key": (render, "calendar-key.html", {"shown": any(p.plan for p in ready)}),
        "calendar": (_calendar, ready, unready, _measure(work), currency),
    }


def _dates(last_frost, rows, faults, currency):
    fields = Fields((), {"last_frost": last_frost}, faults, currency)
    frost = _day(last_frost)
    sowings = [
        (row["crop"], _row_fields(i, row, frost, faults, currency)) for i, row in enumerate(rows)
    ]
    return render("dates.html", last_frost=fields.field("last_frost"), sowings=sowings)


def _row_fields(i, row, frost, faults, currency):
    fields = Fields(("sowings", i), row, faults, currency)
    day, warmth = (fields.field(f"sowings[{i}].{key}") for key in ("plant_out", "germinate_at_c"))
    crop, plant_out = known_crop(row["crop"]), row["plant_out"]
    if weeks := _facts(crop, "weeks_from_last_frost"):
        after = after_frost(frost, row["crop"])
        found = Suggestion(after.isoformat() if after else "", weeks)
        shown = of_suggestion(found, plant_out, FIELDS["sowings[].plant_out"], currency)
        hint = text("hint.from_frost", day=places.day(after)) if after and not plant_out else ""
        shown = replace(shown, gist="", state=shown.state if after and plant_out else "table")
        day = replace(day, origin=shown, hint=hint)
    if tested := _facts(crop, "germination_temperature"):
        found, at_c = Suggestion(tested[0].usual, tested), row["germinate_at_c"]
        shown = of_suggestion(found, at_c, FIELDS["sowings[].germinate_at_c"], currency)
        shown = replace(shown, state="yours" if shown.state == "yours" else "table")
        placeholder = measures.plain(found.value, "temperature", currency, digits=2)
        warmth = replace(warmth, origin=shown, placeholder=placeholder)
    return day, warmth


def save_calendar(work, plan_id=None):
    """
    All calendars as an iCalendar file (RFC 5545) to save: its name, media type and text.

    Every step and feeding is an all-day event. It keeps its UID as long as the plan, its crop and
    its kind stay the same: importing the file again updates its day, number of seedlings and mix.
    """
    from icalendar import Calendar, Event, vDDDTypes, vText  # the page starts faster without it

    if work.planned() is None:
        raise Refused(later("calendar.wait"))
    scenario, stamp, made = work.scenario, datetime.now(UTC), Calendar()
    shops = sorted(shop.name for shop in scenario.stores)
    owner = plan_id or repr((scenario.title, scenario.currency, shops))  # if it is not stored
    made.add("prodid", "-//Pennyflat//Seedling calendar//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", vText(scenario.title))
    numbers = Counter()  # two sowings of a crop differ by their days, not by the entries' order
    for plan in sorted((plan for plan in plans_of(work) if plan.plan), key=_by_date):
        numbers[plan.crop] += 1
        for on, what, words in _things_to_do(plan.plan, _measure(work), work.answer_currency):
            event = Event()
            event.add(
                "uid", str(uuid5(NAMESPACE_OID, repr((owner, plan.crop, numbers[plan.crop], what))))
            )
            # set directly: converting it, the library would need a time zone database
            event.add("dtstamp", vDDDTypes(stamp))
            event.add("dtstart", on)
            event.add("dtend", on + timedelta(days=1))
            event.add("summary", text("calendar.event", crop=plan.crop, words=words))
            event.add("description", text("calendar.in", medium=plan.medium))
            event.add("transp", "TRANSPARENT")
            made.add_component(event)
    name = file_name(work.answered, "ics", text("calendar.file"))
    return {"name": name, "type": "text/calendar", "text": made.to_ical().decode()}


def _by_date(plan):
    return [(step.on, step.words) for step in plan.plan.steps], plan.crop, plan.medium


def _things_to_do(made, measure, currency):
    """(day, what distinguishes it within the sowing, words) for each."""
    for step in made.steps:
        if step.what != "feed":
            yield step.on, step.what, said(step.words)
    for number, feeding in enumerate(made.feedings, 1):
        solution = measures.measured(feeding.solution_l, "solution", currency)
        amount = measures.goods(feeding.concentrate, measure, currency)
        gaps = {"number": number, "count": len(made.feedings), "solution": solution}
        yield feeding.on, f"feed {number}", text("calendar.feeding", amount=amount, **gaps)


def _measure(work):
    feed = work.scenario.feed if work.report else None
    return feed.measure if feed else "g"


def _day(value):
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        return None


def _calendar(found, unready, measure, currency):
    made = [plan for plan in found if plan.plan]
    source, _ = who_says("harrington-minges-1954")
    return render(
        "calendar.html",
        days=[(day.on, _lines(day, measure, currency)) for day in by_day(p.plan for p in made)],
        day_said=places.day,
        notes=made,
        currency=currency,
        source=source,
        missing=[plan.crop for plan in found if plan.medium and not plan.plan],
        unready=unready,
        any=len(found) > len(unready),
    )


def _lines(day, measure, currency):
    """What to do on a day: the crops, the kind of work, and the words for it."""
    lines = [(crop, step.what, step.words) for crop, step in day.steps]
    if day.fed:
        solution = measures.measured(day.solution_l, "solution", currency)
        concentrate = measures.goods(day.concentrate, measure, currency)
        words = text("calendar.fed", solution=solution, concentrate=concentrate)
        lines.append((in_a_row(list(day.fed), "and"), "feed", words))
    return lines
