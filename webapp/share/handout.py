"""The handout to pin up: one side of paper, in black on white.

It follows the plan: the purchases are the shopping list, and each crop is shown with its mix in the
plan. If no date is known, weeks replace days.
"""

from functools import partial

from buy import advice
from grow.dates import plans_of
from page.markup import render
from page.origin import cautions
from pennyflat.growing.aftercare import aftercare
from pennyflat.growing.bucketfuls import BUCKETS_L, feed_for_bucket, recipes
from pennyflat.growing.feeding import dose
from pennyflat_display import places
from pennyflat_display.money import amount, number, short
from reader.measures import goods, line_said, measured
from reader.words import counted, in_a_row, text
from share.sharing import is_on_one_device

CAUTIONS = (
    "opening a bag of mix or compost",
    "after handling mix",
    "crops eaten raw",
    "storing feed",
)
"""Kinds of work; the table's first caution for each is printed."""

UNFED = "lights and mats near water"
"""Replaces the last of them if nothing is fed."""


def handout(work, link, day):
    """
    The handout of a work that has an answer and a shopping list, printed on a day.

    `link` is that of `Desk`: the document, its address, and a `Code` or None.
    """
    currency, bill, scenario = work.answer_currency, work.errand.bill, work.scenario
    _, address, code = link
    bucket_l = BUCKETS_L[places.units()]
    rows, year = _sowings(work, currency)
    stale = [] if work.is_current else [text("errand.stale")]
    is_fed = any(row.get("feedings") for row in bill["plan"])
    blends = recipes(scenario, work.planned(), bucket_l=bucket_l)
    warned = CAUTIONS if is_fed else (*CAUTIONS[:-1], UNFED)
    sure, compared = scenario.assurance, work.report["comparisons"]
    lines = advice.advice_lines(bill, compared, work.errand.is_checking, currency)
    return render(
        "handout.html",
        title=work.answered["title"],
        advice=[*stale, *lines[1:]],
        bill=bill,
        nothing=advice.buy_said(bill, currency),
        money=partial(amount, currency=currency),
        line=partial(line_said, currency=currency),
        count=partial(number, currency=currency, decimals=0),
        rows=rows,
        year=year,
        has_pots=any(row.get("pot_on") for row in rows),
        sure=None if sure is None else short(sure * 100, currency),
        recipes=[line for recipe in blends for line in _recipe(recipe, bucket_l, currency)],
        feed=_feed(scenario.feed, bucket_l, currency) if is_fed else [],
        cautions=[(action, found[0]) for action, found in cautions(*warned)],
        code=code,
        address=address,
        is_local=is_on_one_device(address),
        day=places.day(day),
    )


def _sowings(work, currency):
    """The rows of the sowing table, and the year if all their days share one, or None."""
    plans, scenario = plans_of(work), work.scenario
    years = {step.on.year for plan in plans if plan.plan for step in plan.plan.steps}
    written = places.short_day if len(years) == 1 else places.day
    rows = []
    for sowing, row, plan in zip(scenario.sowings, work.errand.bill["plan"], plans, strict=True):
        if row["medium"] is None:
            when = {}
        elif plan.plan:
            when = _days(plan.plan, written)
        else:
            when = _weeks(aftercare(scenario, sowing, scenario.medium(row["medium"])), currency)
        if when.get("pot_on"):
            when["pot_on"] = text("sheet.pot_on", when=when["pot_on"], medium=sowing.pot_on.medium)
        rows.append(row | when)
    return rows, years.pop() if len(years) == 1 else None


def _days(calendar, written):
    on = {step.what: written(step.on) for step in calendar.steps}
    fed = written(calendar.feedings[0].on) if calendar.feedings else text("sheet.unfed")
    sown, moved, out = (on.get(what, "") for what in ("sow", "pot on", "plant out"))
    return {"sow": sown, "pot_on": moved, "feed": fed, "out": out}


def _weeks(after, currency):
    """The same in weeks, while no day is known."""

    def said(key, week):
        return "" if week is None else counted(key, week, weeks=short(week, currency))

    fed = said("sheet.week", after.feedings[0].start) if after.feedings else text("sheet.unfed")
    moved = said("sheet.week", after.at_week)
    return {"sow": said("sheet.before", after.weeks), "pot_on": moved, "feed": fed, "out": ""}


def _recipe(recipe, bucket_l, currency):
    """A blend in sentences: its parts, its additions, and how much to make."""
    bucket = measured(bucket_l, "solution", currency)
    parts = [
        counted("sheet.part", count, count=short(count, currency), ingredient=name)
        for name, count in recipe.parts
    ]
    makes = short(recipe.makes, currency)
    yield text("sheet.recipe", blend=recipe.blend, parts=in_a_row(parts, "and"), makes=makes)
    if recipe.additions:
        stirred = [
            text("sheet.addition", amount=measured(grams, "weight", currency), ingredient=name)
            for name, grams in recipe.additions
        ]
        yield text("sheet.stir", additions=in_a_row(stirred, "and"), bucket=bucket)
    litres, buckets = measured(recipe.litres, "mix", currency), short(recipe.buckets, currency, 2)
    yield counted("sheet.to_mix", recipe.buckets, mix=litres, buckets=buckets, bucket=bucket)


def _feed(feed, bucket_l, currency):
    """How to mix the feed, and how to give it, in sentences."""
    in_bucket = goods(feed_for_bucket(feed, bucket_l=bucket_l), feed.measure, currency)
    bucket = measured(bucket_l, "solution", currency)
    strength = measured(dose(feed), "dry_dose" if feed.measure == "g" else "liquid_dose", currency)
    each, times = measured(feed.ml_per_cell, "liquid", currency), short(feed.per_week, currency)
    return [
        text("sheet.dose", feed=feed.name, amount=in_bucket, bucket=bucket, dose=strength),
        counted("sheet.give", feed.per_week, each=each, times=times),
    ]
