"""Everything that names a mix for a crop names the plan's, in any plan.

That is the line always in sight, the recommendation, the table of crops by mixes, the tray, the
shopping list, the dates and their file, the problems, and the handout.
"""

import random
import re

import pytest
from icalendar import Calendar
from markupsafe import Markup

from conversation import Conversation
from grow import dates
from pennyflat.buying.highs import solve
from pennyflat.scenario.document import read, write
from pennyflat.trade import facts as tables
from tests.strategies import CROPS, random_scenario
from view import Page
from work.state import Work

MIXES = ("Aspen", "Birch", "Cedar")
"""Names that occur in no other text of the page."""


def dated_plan(seed):
    """A random plan, of different crops that have a day to plant out."""
    rng = random.Random(seed)
    document = write(random_scenario(rng, media=len(MIXES), sowings=3))
    for crop, sowing in zip(rng.sample(CROPS, 3), document["sowings"], strict=True):
        sowing |= {"crop": crop, "plant_out": "2027-05-20"}
        if sowing.pop("pot_on", None):
            sowing["remedy"] = "feed"  # a second mix for the crop
    for medium, name in zip(document["media"], MIXES, strict=True):
        for sowing in document["sowings"]:
            if sowing.get("medium") == medium["name"]:
                sowing["medium"] = name
        medium["name"] = name
    return write(read(document))


def planned_page(seed):
    """A conversation about such a plan."""
    talk = Conversation(Work(document=dated_plan(seed), solve=solve), solve)
    while talk.work.more:
        talk.handle({"do": "more"})
    return talk


def plain(html):
    return " ".join(Markup(html).striptags().split())


def mixes_in(text):
    return [name for name in MIXES if name in text]


@pytest.mark.parametrize("seed", range(20))
def test_each_crop_has_the_same_mix_everywhere(seed):
    talk = planned_page(seed)
    work = talk.work
    plan = {row["crop"]: row["medium"] for row in work.errand.bill["plan"]}
    own = {name for name in plan.values() if name}
    talk.handle({"do": "open", "text": "sights"})
    sight = tables.rows("symptoms")[0]["subject"]
    talk.handle({"do": "type", "path": "lookup.sight", "text": sight})
    talk.handle({"do": "print", "text": "handout", "page": "https://example.invalid/"})
    shown = Page(talk.desk).all(work)

    for name in ("bar", "errand-list"):
        assert set(mixes_in(plain(shown[name]))) <= own, name
    verdicts = re.findall(r"<h3[^>]*>(.*?)</h3>\s*<p class=\"how\"><strong[^>]*>(.*?)</strong>",
                          shown["verdicts"])  # fmt: skip
    assert len(verdicts) == len(plan)
    assert {crop: mix for crop, mix in verdicts if mix in MIXES} == {
        crop: mix for crop, mix in plan.items() if mix
    }
    for i, crop in enumerate(plan):
        marked = [m for j, m in enumerate(MIXES) if 'class="tag"' in shown[f"cross-{i}-{j}"]]
        assert marked == [mix for mix in (plan[crop],) if mix], crop
    sown = {crop: mix for crop, mix in plan.items() if mix}
    assert dict(re.findall(r"<strong>(\w+), in (\w+)</strong>", shown["calendar"])) == sown
    rows = re.findall(
        r'<th scope="row"[^>]*>(.*?)</th>\s*<td dir="auto">(.*?)</td>', shown["sheet"]
    )
    assert {c: mix for head, mix in rows for c in sown if c in head} == sown
    for event in Calendar.from_ical(dates.save_calendar(work)["text"]).walk("VEVENT"):
        [crop] = [name for name in plan if name in event["summary"]]
        assert mixes_in(event["description"]) == [sown[crop]], event["summary"]
    for row, crop in enumerate(plan):
        talk.handle({"do": "show", "row": row})
        while work.more:
            talk.handle({"do": "more"})
        shown = Page(talk.desk).all(work)
        assert ("Costs are for" in shown["sights"]) is (crop in sown)
        if crop in sown:
            assert f"{crop} in {sown[crop]}." in plain(shown["sights"])
            assert mixes_in(plain(shown["tray"])) == [sown[crop]]
