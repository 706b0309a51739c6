"""The calendar on the page: a day to plant out for each sowing, and the days that follow from it.

`pennyflat.growing` finds and counts the days; this module words them.
"""

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

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
from pennyflat_display.money import short
from reader import measures
from reader.words import counted, in_a_row, later, text
from work.entry import FIELDS, path_of
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
    measure = work.scenario.feed.measure if report and work.scenario.feed else "g"
    unready = tuple(
        (plan.crop, unready_said(work.errand.bill["plan"][row], report["rescues"], currency))
        for row, plan in enumerate(ready)
        if not plan.medium
    )
    has_dates = {"shown": any(plan.plan for plan in ready)}
    return {
        "dates": (_dates, last_frost, rows, faults, work.currency),
        "calendar-key": (render, "calendar-key.html", has_dates),
        "calendar": (_calendar, ready, unready, measure, currency),
    }


def _dates(last_frost, rows, faults, currency):
    fields = Fields((), {"last_frost": last_frost}, faults, currency)
    frost = _day(last_frost)
    return render(
        "dates.html",
        last_frost=fields.field("last_frost"),
        sowings=[
            {"crop": row["crop"], "fields": _row_fields(i, row, frost, faults, currency)}
            for i, row in enumerate(rows)
        ],
    )


def _row_fields(i, row, frost, faults, currency):
    fields = Fields(("sowings", i), row, faults, currency)
    day, warmth = (
        fields.field(path_of(("sowings", i, key))) for key in ("plant_out", "germinate_at_c")
    )
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
    """The calendars as a file to save: its name, media type and text."""
    from grow.calendar_export import as_icalendar

    if work.planned() is None:
        raise Refused(later("calendar.wait"))
    scenario, feed, currency = work.scenario, work.scenario.feed, work.answer_currency
    shops = sorted(shop.name for shop in scenario.stores)
    made = as_icalendar(
        plans_of(work),
        title=scenario.title,
        owner=plan_id or repr((scenario.title, scenario.currency, shops)),  # if it is not stored
        stamp=datetime.now(UTC),
        measure=feed.measure if feed else "g",
        written=lambda amount, quantity: measures.measured(amount, quantity, currency),
    )
    name = file_name(work.answered, "ics", "calendar")
    return {"name": name, "type": "text/calendar", "text": made.decode()}


def _day(value):
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        return None


def _calendar(found, unready, measure, currency):
    made = [plan for plan in found if plan.plan]
    return render(
        "calendar.html",
        days=[_day_said(day, measure, currency) for day in by_day(plan.plan for plan in made)],
        notes=[_note(plan, currency) for plan in made],
        missing=[plan.crop for plan in found if plan.medium and not plan.plan],
        unready=unready,
        any=len(found) > len(unready),
    )


def _day_said(day, measure, currency):
    lines = [
        {"crop": crop, "what": text(f"step.{step.what}"), "words": step.words}
        for crop, step in day.steps
    ]
    if day.fed:
        solution = measures.measured(day.solution_l, "solution", currency)
        concentrate = measures.goods(day.concentrate, measure, currency)
        words = text("calendar.fed", solution=solution, concentrate=concentrate)
        crops = in_a_row(list(day.fed), "and")
        lines.append({"crop": crops, "what": text("step.feed"), "words": words})
    return {"iso": day.on.isoformat(), "day": places.day(day.on), "lines": lines}


def _note(plan, currency):
    """Notes about one crop's dates."""
    return {
        "crop": plan.crop,
        "medium": plan.medium,
        "why_not": plan.plan.why_not,
        "emergence": _emergence_words(plan, currency),
        "warnings": plan.emergence.warnings if plan.emergence else (),
        "source": who_says("harrington-minges-1954")[0] if plan.emergence else None,
    }


def _emergence_words(plan, currency):
    found = plan.emergence
    if found is None:
        return text("emergence.unknown", crop=plan.crop)
    if found.days is None:
        return found.why_not
    ends = (found.between[0].temperature_c, found.between[-1].temperature_c)
    at, low, high = (
        measures.measured(temperature, "temperature", currency)
        for temperature in (plan.temperature_c, *ends)
    )
    days = short(found.days, currency)
    if len(found.between) == 1:
        return counted("emergence.tested", found.days, days=days, at=at)
    return text("emergence.between", days=days, at=at, low=low, high=high)
