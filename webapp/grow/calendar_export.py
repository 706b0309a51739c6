"""Calendars as an iCalendar file (RFC 5545): every step and every feeding as an all-day event.

`icalendar` is imported when a file is made, since the page starts faster without it.
"""

from collections import Counter
from datetime import timedelta
from uuid import NAMESPACE_OID, uuid5

from pennyflat.sentences import GOODS
from reader.words import said, text


def as_icalendar(plans, *, title, owner, stamp, measure, written):
    """
    The calendars of several sowings in one file, as bytes.

    An event keeps its UID as long as `owner`, its crop and its kind stay the same: importing the
    file again updates its day, number of seedlings and mix.

    plans: those of `dates.plans_of`, of which some have no calendar; owner: identifies this plan,
    whatever its title; stamp: when it is made, in UTC; measure: of the feed, "g" or "mL"; written:
    writes an amount of a quantity with its unit, as `measures.measured` does.
    """
    from icalendar import Calendar, Event, vDDDTypes, vText

    made = Calendar()
    made.add("prodid", "-//Pennyflat//Seedling calendar//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", vText(title))
    for plan, number in _numbered(plans):
        for on, what, words in _days(plan.plan, measure, written):
            event = Event()
            event.add("uid", str(uuid5(NAMESPACE_OID, repr((owner, plan.crop, number, what)))))
            # set directly: converting it, the library would need a time zone database
            event.add("dtstamp", vDDDTypes(stamp))
            event.add("dtstart", on)
            event.add("dtend", on + timedelta(days=1))
            event.add("summary", text("calendar.event", crop=plan.crop, words=words))
            event.add("description", text("calendar.in", medium=plan.medium))
            event.add("transp", "TRANSPARENT")
            made.add_component(event)
    return made.to_ical()


def _numbered(plans):
    """
    Each calendar by date, with its number among those of the same crop.

    Two sowings of one crop are distinguished by their days, not by the order of the entries.
    """
    found = Counter()
    for plan in sorted((plan for plan in plans if plan.plan), key=_by_date):
        found[plan.crop] += 1
        yield plan, found[plan.crop]


def _by_date(plan):
    return [(step.on, step.words) for step in plan.plan.steps], plan.crop, plan.medium


def _days(made, measure, written):
    """(day, what distinguishes it within the sowing, words) for each thing to do."""
    for step in made.steps:
        if step.what != "feed":
            yield step.on, step.what, said(step.words)
    for number, feeding in enumerate(made.feedings, 1):
        solution = written(feeding.solution_l, "solution")
        amount = written(feeding.concentrate, GOODS[measure])
        gaps = {"number": number, "count": len(made.feedings), "solution": solution}
        words = text("calendar.feeding", amount=amount, **gaps)
        yield feeding.on, f"feed {number}", words
