"""The handout to pin up: one side of paper, in black on white.

It follows the plan: the purchases are the shopping list, and each crop is shown with its mix in the
plan. If no date is known, weeks replace days.
"""

from markupsafe import Markup

from buy import advice
from grow.dates import plans_of
from page.markup import render
from page.origin import cautions
from pennyflat.growing.bucketfuls import BUCKETS_L, feed_for_bucket, recipes
from pennyflat.growing.feeding import dose
from pennyflat.growing.schedule import weeks_of
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
    The handout of a work that has an answer and a shopping list.

    Parameters
    ----------
    work : work.state.Work
    link : (dict, str, Code or None)
        Document, address and QR code, from `Desk`.
    day : datetime.date
        Day of printing.
    """
    currency, bill, scenario = work.answer_currency, work.errand.bill, work.scenario
    _, address, code = link
    is_local = is_on_one_device(address)
    bucket_l = BUCKETS_L[places.units()]
    planned = work.planned()
    rows, year = _sowings(work, currency)
    stale = [] if work.is_current else [text("errand.stale")]
    fed = any(row.get("feedings") for row in bill["plan"])
    return render(
        "handout.html",
        title=work.answered["title"],
        advice=[*stale, *advice.advice_lines(bill, work.errand.is_checking, currency)[1:]],
        stores=[
            {"name": store["store"], "lines": lines(store, currency)} for store in bill["stores"]
        ],
        nothing=advice.buy_said(bill, currency),
        total=text("sheet.pay", total=amount(bill["total"], currency)),
        trips=text("sheet.trips", trips=amount(bill["trips_paid"], currency))
        if bill["trips_paid"]
        else "",
        rows=rows,
        sowing=text("sheet.sowing_year", year=str(year)) if year else text("sheet.sowing"),
        has_pots=any(row["pot_on"] for row in rows),
        sure=text("sheet.expected")
        if scenario.assurance is None
        else text("sheet.sure", share=short(scenario.assurance * 100, currency)),
        recipes=[
            line
            for recipe in recipes(scenario, planned, bucket_l=bucket_l)
            for line in _recipe(recipe, bucket_l, currency)
        ],
        feed=_feed(scenario.feed, bucket_l, currency) if fed else [],
        cautions=[
            (action, found[0])
            for action, found in cautions(*(CAUTIONS if fed else (*CAUTIONS[:-1], UNFED)))
        ],
        code=code and Markup(code.svg),
        modules=code and code.modules,
        scan=text("sheet.scan_local" if is_local else "sheet.scan"),
        address="" if is_local else address,
        shown=address.partition("#")[0],
        made=text("sheet.made", day=places.day(day)),
    )


def lines(store, currency):
    """What to buy in one shop, line by line."""
    return [
        {"what": line_said(item, currency), "paid": amount(item["paid"], currency)}
        for item in store["items"]
    ]


def _sowings(work, currency):
    """The rows of the sowing table, and the year if all their days share one, or None."""
    plans = plans_of(work)
    days = [step.on for plan in plans if plan.plan for step in plan.plan.steps]
    years = {on.year for on in days}
    written = places.short_day if len(years) == 1 else places.day
    rows = [
        _row(work.scenario, sowing, row, plan, written, currency)
        for sowing, row, plan in zip(
            work.scenario.sowings, work.errand.bill["plan"], plans, strict=True
        )
    ]
    return rows, years.pop() if len(years) == 1 else None


def _row(scenario, sowing, row, plan, written, currency):
    wanted = number(row["wanted"], currency, 0)
    found = {"crop": row["crop"], "wanted": wanted, "medium": row["medium"], "pot_on": ""}
    if row["medium"] is None:
        return found | {"why_not": row["why_not"]}
    if plan.plan:
        when = _days(plan.plan, written)
    else:
        when = _weeks(weeks_of(scenario, sowing, scenario.medium(row["medium"])), currency)
    if when["pot_on"]:
        bigger = sowing.pot_on.medium
        when["pot_on"] = text("sheet.pot_on", when=when["pot_on"], medium=bigger)
    return (
        found
        | when
        | {
            "why_not": "",
            "cells": number(row["cells"], currency, 0),
            "seeds": number(row["seeds"], currency, 0),
        }
    )


def _days(calendar, written):
    on = {step.what: written(step.on) for step in calendar.steps}
    fed = written(calendar.feedings[0].on) if calendar.feedings else text("sheet.unfed")
    return {
        "sow": on.get("sow", ""),
        "pot_on": on.get("pot on", ""),
        "feed": fed,
        "out": on.get("plant out", ""),
    }


def _weeks(weeks, currency):
    def said(key, week):
        return counted(key, week, weeks=short(week, currency))

    fed, moved = weeks.feed_from, weeks.pot_on
    return {
        "sow": said("sheet.before", weeks.plant_out),
        "pot_on": "" if moved is None else said("sheet.week", moved),
        "feed": text("sheet.unfed") if fed is None else said("sheet.week", fed),
        "out": "",
    }


def _recipe(recipe, bucket_l, currency):
    """A blend in sentences: its parts, its additions, and how much to make."""
    bucket = measured(bucket_l, "solution", currency)
    parts = [
        counted("sheet.part", count, count=short(count, currency), ingredient=name)
        for name, count in recipe.parts
    ]
    makes = short(recipe.makes, currency)
    found = [
        text("sheet.recipe", blend=recipe.blend, parts=in_a_row(parts, "and"), makes=makes),
    ]
    if recipe.additions:
        stirred = [
            text("sheet.addition", amount=measured(grams, "weight", currency), ingredient=name)
            for name, grams in recipe.additions
        ]
        found.append(text("sheet.stir", additions=in_a_row(stirred, "and"), bucket=bucket))
    litres, buckets = measured(recipe.litres, "mix", currency), short(recipe.buckets, currency, 2)
    found.append(
        counted("sheet.to_mix", recipe.buckets, mix=litres, buckets=buckets, bucket=bucket)
    )
    return found


def _feed(feed, bucket_l, currency):
    quantity = "dry_dose" if feed.measure == "g" else "liquid_dose"
    return [
        text(
            "sheet.dose",
            feed=feed.name,
            amount=goods(feed_for_bucket(feed, bucket_l=bucket_l), feed.measure, currency),
            bucket=measured(bucket_l, "solution", currency),
            dose=measured(dose(feed), quantity, currency),
        ),
        counted(
            "sheet.give",
            feed.per_week,
            each=measured(feed.ml_per_cell, "liquid", currency),
            times=short(feed.per_week, currency),
        ),
    ]
