"""The calendar file: written with `icalendar`, read back with it, and held to RFC 5545's form."""

import json
import os
import subprocess
import sys
from datetime import UTC, date, datetime

import pytest
from icalendar import Calendar

from grow import dates
from pennyflat.buying.highs import solve
from tests.visits import Visit


def saved_by(work):
    """The file of a grower's plan, which is worked out when the page asks for more."""
    while work.more:
        work.handle({"do": "more"})
    return dates.save_calendar(work, work.desk.keeping.id)


@pytest.fixture
def work():
    work = Visit(solve)
    work.handle({"do": "type", "path": "last_frost", "text": "2027-05-15"})
    work.handle({"do": "type", "path": "sowings[1].plant_out", "text": "2027-04-30"})
    work.handle({"do": "type", "path": "sowings[1].seeds_per_cell", "text": "2"})
    return work


@pytest.fixture
def saved(work):
    return saved_by(work)


@pytest.fixture
def events(saved):
    return Calendar.from_ical(saved["text"]).walk("VEVENT")


def days(events, words):
    return [event.decoded("dtstart") for event in events if words in event["summary"]]


def test_every_step_and_every_feeding_is_a_whole_day(work, events):
    plans = dates.plans_of(work)
    expected = sorted(
        step.on for plan in plans for step in plan.plan.steps if step.what != "feed"
    ) + sorted(feeding.on for plan in plans for feeding in plan.plan.feedings)

    assert sorted(event.decoded("dtstart") for event in events) == sorted(expected)
    for event in events:
        assert event["dtstart"].params["VALUE"] == "DATE"
        assert (event.decoded("dtend") - event.decoded("dtstart")).days == 1


def test_days_are_those_of_the_entries(events):
    # tomato: one week after the last frost (0 to 2 in the table), six weeks from sowing
    assert days(events, "plant out 60 tomato") == [date(2027, 5, 22)]
    assert days(events, "tomato: sow") == [date(2027, 4, 10)]
    # lettuce: the day entered; four weeks from sowing; hardened off for a week
    assert days(events, "lettuce: sow") == [date(2027, 4, 2)]
    assert days(events, "lettuce: start hardening off") == [date(2027, 4, 23)]
    assert len(days(events, "lettuce: thin to the strongest")) == 1


def test_a_feeding_says_litres_and_grams(events):
    found = [str(e["summary"]) for e in events if "lettuce: feeding 1 of" in e["summary"]]

    assert len(found) == 1
    assert " L of solution with " in found[0]
    assert found[0].endswith(" g of feed")


def test_each_event_has_an_identity_of_its_own_that_lasts(work, saved, events):
    uids = [str(event["uid"]) for event in events]
    again = Calendar.from_ical(saved_by(work)["text"]).walk("VEVENT")

    assert len(set(uids)) == len(uids)
    assert [str(event["uid"]) for event in again] == uids


def uids(work):
    """UID by (crop and words without their numbers) of each event."""
    events = Calendar.from_ical(saved_by(work)["text"]).walk("VEVENT")
    found = {(str(e["summary"]), e.decoded("dtstart")): str(e["uid"]) for e in events}
    assert len(set(found.values())) == len(events) > 0
    return found


def with_sowings(work, sowings):
    work.open(work.document | {"sowings": sowings})
    assert not work.faults
    return uids(work)


def test_events_stay_themselves_when_crops_are_put_in_another_order(work):
    early, late = (
        work.document["sowings"][1] | {"plant_out": day} for day in ("2027-04-30", "2027-05-14")
    )
    sowings = [work.document["sowings"][0], early, late]
    before = with_sowings(work, sowings)

    assert with_sowings(work, sowings[::-1]) == before
    assert with_sowings(work, [late, sowings[0], early]) == before
    kept = with_sowings(work, [late, sowings[0]])
    tomatoes = {what for what in before if what[0].startswith("tomato")}
    assert tomatoes and all(kept[what] == before[what] for what in tomatoes)


def test_events_stay_themselves_when_days_numbers_and_the_title_change(work):
    before = set(uids(work).values())
    work.handle({"do": "type", "path": "last_frost", "text": "2027-05-22"})
    work.handle({"do": "type", "path": "sowings[0].wanted", "text": "75"})
    work.handle({"do": "type", "path": "title", "text": "Another name"})

    assert set(uids(work).values()) == before


def test_two_growers_with_the_same_plan_have_events_of_their_own(work):
    other = Visit(solve)
    other.handle({"do": "type", "path": "last_frost", "text": "2027-05-15"})
    other.open(work.document)

    assert other.document["title"] == work.document["title"]
    assert uids(other).keys() == uids(work).keys()
    assert not set(uids(other).values()) & set(uids(work).values())


def test_a_plan_that_is_only_looked_at_is_told_by_its_title_and_shops(work):
    def looked_at(document):
        visitor = Visit(solve)
        visitor.open(document)
        return set(uids(visitor).values())

    document = work.document
    shops = [document["stores"][0] | {"name": "Dock stall"}, *document["stores"][1:]]
    elsewhere = json.loads(
        json.dumps(document).replace(json.dumps(document["stores"][0]["name"]), '"Dock stall"')
    )

    assert elsewhere["stores"] == shops and elsewhere["title"] == document["title"]
    assert looked_at(document) == looked_at(document)
    assert not looked_at(document) & looked_at(elsewhere)


def test_the_form_is_that_of_the_standard(saved):
    # RFC 5545: 3.1 lines end in CRLF and have at most 75 octets; 3.6.1 UID and DTSTAMP are
    # required, DTSTAMP in UTC (3.8.7.2); 3.7 PRODID and VERSION are required
    lines = saved["text"].encode().split(b"\r\n")

    assert lines[0] == b"BEGIN:VCALENDAR" and lines[-2:] == [b"END:VCALENDAR", b""]
    assert b"\n" not in b"".join(lines)
    assert max(map(len, lines)) <= 75
    calendar = Calendar.from_ical(saved["text"])
    assert calendar["version"] == "2.0" and calendar["prodid"]
    for event in calendar.walk("VEVENT"):
        assert event.decoded("dtstamp").utcoffset().total_seconds() == 0
        assert abs((datetime.now(UTC) - event.decoded("dtstamp")).total_seconds()) < 60


def test_names_with_signs_of_the_format_survive(work):
    nasty = 'kale; red, \\very\\ "fine": ü 🌱' * 3
    work.handle({"do": "type", "path": "sowings[1].crop", "text": nasty, "done": True})

    events = Calendar.from_ical(saved_by(work)["text"]).walk("VEVENT")

    assert any(str(event["summary"]).startswith(f"{nasty}: sow") for event in events)


def run(code, **env):
    path = os.pathsep.join(entry for entry in sys.path if entry)
    env = os.environ | {"PYTHONPATH": path} | env
    return subprocess.run([sys.executable, "-c", code], env=env, check=False).returncode


def test_no_time_zone_database_is_needed(saved):
    # the browser's Python has none
    code = (
        "import sys; sys.modules['tzdata'] = None; from grow import dates; from work import state;"
        "from pennyflat.buying.highs import solve; work = state.Work(solve=solve);"
        "work.handle({'do': 'type', 'path': 'last_frost', 'text': '2027-05-15'});"
        "work.handle({'do': 'more'});"
        "sys.exit('BEGIN:VEVENT' not in dates.save_calendar(work)['text'])"
    )

    assert run(code, PYTHONTZPATH="") == 0
    assert "VTIMEZONE" not in saved["text"] and "TZID" not in saved["text"]


def test_the_page_s_start_does_without_the_library():
    assert run("import sys, view; view.render_page(); sys.exit('icalendar' in sys.modules)") == 0
