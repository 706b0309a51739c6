"""Calendars as an iCalendar file (RFC 5545): every step and every feeding a whole day's event.

`icalendar` is imported when a file is made, not before: the page's start does without it.
"""

from datetime import timedelta
from uuid import NAMESPACE_OID, uuid5

from pennyflat.saying import GOODS
from words import said, text

PRODUCT = "-//Pennyflat//Seedling calendar//EN"


def as_icalendar(plans, *, title, stamp, measure, written):
    """
    The calendars of several sowings in one file.

    Parameters
    ----------
    plans : iterable of dates.Plan
        Those without a calendar are left out.
    title : str
        Name of the calendar.
    stamp : datetime.datetime
        When it is made, in UTC.
    measure : str
        Measure of the feed's concentrate, "g" or "mL".
    written : callable
        Writes an amount of a quantity with its unit, as `measures.measured` does.

    Returns
    -------
    bytes
        UTF-8, lines of at most 75 octets.
    """
    from icalendar import Calendar, Event, vDDDTypes, vText

    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("x-wr-calname", vText(title))
    for plan in plans:
        if plan.plan is None:
            continue
        for on, what, words in _days(plan.plan, measure, written):
            event = Event()
            event.add("uid", str(uuid5(NAMESPACE_OID, f"{title}|{plan.row}|{plan.crop}|{what}")))
            # handed over as it stands: asked to convert it, the library wants a time zone database
            event.add("dtstamp", vDDDTypes(stamp))
            event.add("dtstart", on)
            event.add("dtend", on + timedelta(days=1))
            event.add("summary", text("calendar.event", crop=plan.crop, words=words))
            event.add("description", text("calendar.in", medium=plan.medium))
            event.add("transp", "TRANSPARENT")
            made.add_component(event)
    return made.to_ical()


def _days(made, measure, written):
    """(day, what tells it from the sowing's others, words) of each thing to do."""
    for step in made.steps:
        if step.what != "feed":
            yield step.on, step.what, said(step.words)
    count = len(made.feedings)
    for number, feeding in enumerate(made.feedings, 1):
        words = text(
            "calendar.feeding",
            number=number,
            count=count,
            solution=written(feeding.solution_l, "solution"),
            amount=written(feeding.concentrate, GOODS[measure]),
        )
        yield feeding.on, f"feed {number}", words
