"""Whatever names a mix for a crop names the plan's, on the page as it is read."""

import pytest
from icalendar import Calendar
from playwright.sync_api import expect

from pennyflat.scenario.link import encode
from tests.browser.desk import PLANNED, open_place, unfold, until
from tests.test_one_mix import dated_plan, mixes_in


@pytest.mark.parametrize("seed", (10, 12, 18))
def test_each_crop_has_the_same_mix_in_every_place(example, seed):
    document = dated_plan(seed)
    example.evaluate("text => pennyflat.post({ do: 'link', text })", f"#{encode(document)}")
    crops = [sowing["crop"] for sowing in document["sowings"]]
    verdicts = example.locator("#verdicts .verdict")
    expect(verdicts.locator("h3")).to_have_text(crops)
    until(example, f"!pennyflat.unanswered().length && {PLANNED}")
    expect(example.locator("#advice")).not_to_contain_text("Still checking")  # a mix may yet change

    said = [row.locator(".how").inner_text() for row in verdicts.all()]
    plan = {crop: mixes_in(how) for crop, how in zip(crops, said, strict=True)}
    sown = {crop: mix for crop, mix in plan.items() if mix}
    own = {mix for [mix] in sown.values()}
    assert sown
    for part in ("#bar", "#errand-list"):
        assert set(mixes_in(example.locator(part).inner_text())) <= own

    open_place(example, "compare")
    for i, crop in enumerate(crops):
        example.evaluate("row => pennyflat.post({ do: 'show', row })", i)
        until(example, "!pennyflat.unanswered().length")
        marked = example.locator(f"#crossed [id^='cross-{i}-']").filter(has=example.locator(".tag"))
        heads = example.locator("#crossed thead th").all_inner_texts()
        places = [int(cell.get_attribute("id").rpartition("-")[2]) for cell in marked.all()]
        mixes = [mix for place in places for mix in mixes_in(heads[place])]
        assert mixes == plan[crop], crop
        unfold(example, "cells")
        assert mixes_in(example.locator("#tray").inner_text()) == plan[crop]

    open_place(example, "grow")
    unfold(example, "calendar-notes")
    notes = example.locator("#calendar-notes li").all_inner_texts()
    assert {crop: mixes_in(note) for crop, note in zip(sown, notes, strict=True)} == sown
    with example.expect_download() as download:
        example.get_by_role("button", name="Save for my calendar").click()
    for event in Calendar.from_ical(download.value.path().read_bytes()).walk("VEVENT"):
        [crop] = [crop for crop in crops if crop in event["summary"]]
        assert mixes_in(event["description"]) == sown[crop]

    example.evaluate("pennyflat.post({ do: 'print', text: 'handout', page: location.href })")
    expect(example.locator("#sheet h1")).to_have_count(1)
    rows = example.locator("#sheet .sheet-sowing tbody tr").all_text_contents()
    for crop, row in zip(crops, rows, strict=True):
        if crop in sown:
            assert crop in row and mixes_in(row) == sown[crop]
