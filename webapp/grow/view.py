"""Look-ups in the trade's tables: what is seen in the tray, salts, the strength of a feed.

`Work.asked` keeps what was looked up, by the fields of "lookup." in `entry.FIELDS`; it is not part
of the scenario. `pennyflat` does all computing; this module finds results and words them.
"""

from dataclasses import astuple

from page.fields import LookedUp, some
from page.markup import render
from page.origin import row_of, sentence, who_says
from page.rescue import unready_said
from pennyflat.growing.feeding import g_per_litre
from pennyflat.growing.gentle_start import gentle_starts
from pennyflat.growing.remedies import price_of
from pennyflat.trade import bag, nutrients, salinity, symptoms
from pennyflat.trade.facts import about
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import for_container
from pennyflat.units import to_customary
from pennyflat_display.money import amount, each, short
from reader import measures, tables
from reader.words import data, said, text
from work import picking

POT = "round pot 9 cm"
"""The pot used to price potting on if a sowing names none."""

CARDS = frozenset({"sights", "salts", "reckoner", "age"})
"""Cards that are worked out once they have been opened."""


def parts(work):
    """The fragments of opened cards: id to (function, what it shows)."""
    row = work.row_shown
    planned = work.planned()
    here = (None, None, None)
    if row is not None:
        here = work.scenario, row, planned and planned[row]
    why_not = _without_mix(work, row) if planned else ""
    currency = work.answer_currency if work.report else work.currency
    asked = work.asked
    found = {
        "sights": (_sights, some(asked, "sight"), here, why_not, currency),
        "salts": (_salts, some(asked, "method", "ec", "rich", "lean"), here, currency),
        "reckoner": (_reckoner, asked, here, currency),
        "age": (_age, some(asked, "bag", "months", "wet", "other_wet"), here, currency),
    }
    return {name: part for name, part in found.items() if name in work.opened}


def _without_mix(work, row):
    """Why the plan has no mix for a sowing, and what would help; blank if it has one."""
    if work.planned()[row]:
        return ""
    currency = work.answer_currency
    return unready_said(work.errand.bill["plan"][row], work.report["rescues"], currency)


def _sights(asked, here, why_not, currency):
    seen = symptoms.observations(tables.causes())
    fields = LookedUp(asked, currency)
    sights = [(name, data(observed)) for name, observed in seen.items()]
    choices = [("", text("choose.sight")), *sights]
    causes = symptoms.causes_of(tables.causes(), asked["sight"])
    return render(
        "sights.html",
        sight=fields.field("sight", options=choices),
        causes=[_cause(cause, here, currency) for cause in causes],
        crop=here[0].sowings[here[1]].crop if here[0] else "",
        medium=here[2],
        why_not=why_not,
    )


def _cause(cause, here, currency):
    who, place = who_says(cause.source_id, cause.place)
    return {
        "cause": sentence(data(cause.cause)),
        "apart": sentence(data(cause.tell_apart)),
        "remedy": sentence(data(cause.remedy)),
        "doubt": data(cause.doubt),
        "cost": _remedy_cost(cause.cost_from, here, currency),
        "who": who,
        "place": place,
        "known": text(f"known.{cause.kind}"),
    }


def _remedy_cost(cost_from, here, currency):
    scenario, row, medium = here
    if medium is None:
        return text("sight.no_answer")
    pot_ml = for_container(picking.containers(), POT).value
    found = price_of(
        scenario, scenario.sowings[row], scenario.medium(medium), cost_from, pot_ml=pot_ml
    )
    if found.cost is None:
        return text("sight.unknown", words=found.words)
    if not found.cost:
        return text("sight.free", words=found.words)
    return text("sight.cost", price=amount(found.cost, currency), words=found.words)


def _age(asked, here, currency):
    fields, (scenario, _, planned) = LookedUp(asked, currency), here
    if scenario is None:
        return ""
    names = [mix.name for mix in scenario.media]
    first = planned or names[0]
    name = fields["bag"] if fields["bag"] in names else first
    facts, old = tables.facts("practice"), None
    if fields["months"] is not None:
        old = bag.aged(facts, fields["months"], scenario.medium(name).feeds_for_weeks)
    return render(
        "age.html",
        bag=fields.field("bag", options=[(mix, mix) for mix in dict.fromkeys([first, *names])]),
        months=fields.field("months"),
        says=old.says if old else (),
        rests=_rests(old.facts[0], currency) if old else "",
        minutes=[fields.field("wet"), fields.field("other_wet")],
        wets=_wets(name, fields["wet"], fields["other_wet"]),
    )


def _rests(fact, currency):
    low, high = (short(months, currency) for months in (fact.low, fact.high))
    return text("age.rests", low=low, high=high, known=text(f"known.{fact.kind}"))


def _wets(name, minutes, others):
    """What the times until two mixes are half wet mean; "" until both are entered."""
    if minutes is None or others is None:
        return ""
    slow = bag.hard_to_wet({name: minutes, text("age.other"): others})
    return next(iter(slow.values()), text("age.wets"))


def _salts(asked, here, currency):
    fields = LookedUp(asked, currency)
    methods = [(method, text(f"method.{method}")) for method in salinity.METHODS]
    method = asked["method"] if asked["method"] in salinity.METHODS else salinity.METHODS[0]
    bands = [band for band in tables.ec_bands() if band.method == method]
    reading = fields["ec"]
    called = () if reading is None else salinity.readings(bands, method, reading)
    found = {
        "method": fields.field("method", options=methods),
        "ec": fields.field("ec"),
        "method_name": text(f"method.{method}"),
        "bands": [
            {
                "name": data(band.reading),
                "range": _band(band, currency),
                "is_it": band.reading in called,
            }
            for band in bands
        ],
        "called": _called([data(name) for name in called], text(f"method.{method}")),
        "source": who_says("umass-ec")[0],
    }
    return render("salts.html", **found, **_of_crop(fields, here, currency))


def _called(names, method):
    """The name of a reading, or the two names it lies between; "" if there is none."""
    if not names:
        return ""
    if len(names) == 1:
        return text("salts.called", reading=names[0], method=method)
    return text("salts.between", low=names[0], high=names[1], method=method)


def _band(band, currency):
    low = short(band.low, currency)
    if band.high is None:
        return text("salts.range", range=text("salts.above", low=low))
    between = text("origin.range", low=low, high=short(band.high, currency))
    return text("salts.range", range=between)


def _of_crop(fields, here, currency):
    scenario, row, _ = here
    if scenario is None:
        return {"crop": "", "published": (), "ways": (), "gentle": ()}
    sowing = scenario.sowings[row]
    crop = known_crop(sowing.crop)
    facts = tables.facts("crops")
    published = [
        {"what": text(f"fact.{quantity}"), "row": row_of(fact, currency)}
        for quantity in ("salt_threshold", "salt_slope", "salt_rating")
        for fact in (about(facts, crop, quantity) if crop else ())
    ]
    found = {"crop": sowing.crop, "published": published, "ways": (), "gentle": ()}
    if len(scenario.media) > 1:
        found |= _gentle(fields, scenario, sowing, currency)
    return found


def _gentle(fields, scenario, sowing, currency):
    names = [medium.name for medium in scenario.media]
    rich = fields["rich"] if fields["rich"] in names else None
    others = [name for name in names if name != rich]
    lean = fields["lean"] if fields["lean"] in others else others[0]
    choices = [("", text("choose.none")), *((name, name) for name in names)]
    gentle = [
        fields.field("rich", options=choices),
        fields.field("lean", options=[(name, name) for name in others]),
    ]
    if rich is None:
        return {"gentle": gentle[:1]}
    starts = gentle_starts(scenario, sowing, scenario.medium(rich), scenario.medium(lean))
    ways = [
        {
            "way": text(f"way.{way}", rich=rich, lean=lean),
            "cells": needed.cells,
            "each": each(needed.each.total, currency) if needed.each else "",
            "why_not": needed.why_not,
        }
        for way, needed in starts.items()
    ]
    return {"gentle": gentle, "ways": ways}


def _reckoner(asked, here, currency):
    fields = LookedUp(asked, currency)
    feeds = _feeds()
    label = _label(fields, feeds, here[0])
    shown = ("n", "p2o5", "k2o")
    given = ("dose", "ppm_n", "addition_g", "addition_n")
    placeholders = dict(zip(shown, (label.n, label.p2o5, label.k2o), strict=True)) if label else {}
    return render(
        "reckoner.html",
        feed=fields.field(
            "feed", options=[("", text("choose.none")), *((f, data(f)) for f in feeds)]
        ),
        grade=[
            fields.field(key, placeholder=short(placeholders[key], currency) if label else "")
            for key in shown
        ],
        fields={key: fields.field(key) for key in given},
        lines=_strengths(label, fields, currency) if label else (),
        addition=_addition(fields, here, currency),
        wrong="" if label else text("reckon.wrong"),
    )


def _feeds():
    facts = tables.facts("feeds")
    return [f.subject for f in facts if f.quantity == "n_percent" and f.value is not None]


def _label(fields, feeds, scenario):
    """The grade typed, else that of the chosen feed, else of the scenario's feed; or None."""
    usual = (0.0, 0.0, 0.0)
    if scenario is not None and scenario.feed is not None:
        usual = (scenario.feed.n_percent or 0.0, 0.0, 0.0)
    if fields["feed"] in feeds:
        facts = tables.facts("feeds")
        quantities = ("n_percent", "p2o5_percent", "k2o_percent")
        usual = tuple(about(facts, fields["feed"], q)[0].usual for q in quantities)
    typed = (fields["n"], fields["p2o5"], fields["k2o"])
    try:
        return nutrients.Grade(*(u if t is None else t for t, u in zip(typed, usual, strict=True)))
    except ValueError:
        return None


def _strengths(label, fields, currency):
    """The strength of a dose, and the dose for a strength, each as one line of a table."""
    doses = []
    if fields["dose"] is not None:
        doses.append((text("reckon.of_dose"), fields["dose"]))
    if fields["ppm_n"] is not None and label.n:
        doses.append((text("reckon.of_ppm"), g_per_litre(fields["ppm_n"], label.n)))
    return [
        {
            "of": of,
            "cells": [
                short(value, currency)
                for value in (
                    dose,
                    nutrients.g_per_gallon(dose),
                    to_customary(dose, "dry_dose"),
                    *astuple(nutrients.strength(label, dose)),
                )
            ],
        }
        for of, dose in doses
    ]


def _addition(fields, here, currency):
    """How long a dry addition feeds, as a range with its assumption; "" until it is entered."""
    scenario, row, _ = here
    if scenario is None or fields["addition_g"] is None or fields["addition_n"] is None:
        return None
    facts = tables.facts("feeds")
    released = about(facts, "organic nitrogen, four materials", "released_share_8_weeks")[0]
    usual = {
        quantity: about(facts, "feeding programme", quantity)[0].usual
        for quantity in ("target_ppm_n", "feedings_per_week", "ml_per_cell")
    }
    feed, cell_ml = scenario.feed, scenario.sowings[row].cell_ml
    ppm = feed.target_ppm_n if feed and feed.target_ppm_n else usual["target_ppm_n"]
    found = nutrients.addition_feeds_for(
        fields["addition_g"],
        fields["addition_n"],
        cell_ml,
        released=(released.low, released.high),
        ppm_n=ppm,
        per_week=feed.per_week if feed else usual["feedings_per_week"],
        ml_per_cell=feed.ml_per_cell if feed else usual["ml_per_cell"],
    )
    weeks = text(
        "reckon.weeks",
        low=short(found.low, currency, 2),
        high=short(found.high, currency, 2),
        volume=measures.measured(cell_ml, "cell", currency),
    )
    return {
        "weeks": weeks,
        "if": sentence(said(found.assumption)),
        "row": row_of(released, currency),
    }
