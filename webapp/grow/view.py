"""Look-ups in the trade's tables: what is seen in the tray, salts, the strength of a feed.

`Work.asked` keeps what was looked up, by the fields of "lookup." in `entry.FIELDS`; it is not part
of the scenario. `pennyflat` does all computing; this module finds results and words them.
"""

from functools import partial

from page.fields import LookedUp
from page.markup import render
from page.origin import row_of, sentence, who_says
from page.rescue import unready_said
from pennyflat.growing import feeding
from pennyflat.growing.gentle_start import gentle_starts
from pennyflat.growing.remedies import price_of
from pennyflat.trade import bag
from pennyflat.trade import facts as tables
from pennyflat.trade.facts import about
from pennyflat.trade.names import known_crop
from pennyflat.trade.suggest import for_container
from pennyflat.units import to_customary
from pennyflat_display.money import amount, short
from reader.words import data, said, text
from work import picking

POT = "round pot 9 cm"
"""The pot used to price potting on if a sowing names none."""

GRADE = ("n", "p2o5", "k2o")
"""The three numbers of a label."""


def parts(work):
    """The fragments of opened cards: id to (function, what it shows)."""
    row, planned, asked = work.row_shown, work.planned(), work.asked
    currency = work.answer_currency if work.report else work.currency
    here = (None, None, None) if row is None else (work.scenario, row, planned and planned[row])
    why_not = ""
    if planned and not planned[row]:
        why_not = unready_said(work.errand.bill["plan"][row], work.report["rescues"])
    found = {
        "sights": (_sights, asked, here, why_not, currency),
        "salts": (_salts, asked, here, currency),
        "reckoner": (_reckoner, asked, here, currency),
        "age": (_age, asked, here, currency),
    }
    return {name: part for name, part in found.items() if name in work.opened}


def _sights(asked, here, why_not, currency):
    table = tables.rows("symptoms")
    sights = {row["subject"]: data(row["observation"]) for row in table}
    choices = [("", text("choose.sight")), *sights.items()]
    return render(
        "sights.html",
        sight=LookedUp(asked, currency).field("sight", options=choices),
        causes=[row for row in table if row["subject"] == asked.get("sight")],
        cost=partial(_remedy_cost, here=here, currency=currency),
        who_says=who_says,
        sentence=sentence,
        crop=here[0].sowings[here[1]].crop if here[0] else "",
        medium=here[2],
        why_not=why_not,
    )


def _remedy_cost(cost_from, here, currency):
    scenario, row, medium = here
    if medium is None:
        return text("sight.no_answer")
    pot_ml = for_container(picking.containers(), POT).value
    sowing, mix = scenario.sowings[row], scenario.medium(medium)
    found = price_of(scenario, sowing, mix, cost_from, pot_ml=pot_ml)
    key = "sight.cost" if found.cost else "sight.unknown" if found.cost is None else "sight.free"
    return text(key, words=found.words, price=amount(found.cost or 0, currency))


def _age(asked, here, currency):
    fields, (scenario, _, planned) = LookedUp(asked, currency), here
    if scenario is None:
        return ""
    names = [mix.name for mix in scenario.media]
    first = planned or names[0]
    name = fields["bag"] if fields["bag"] in names else first
    weeks, months = scenario.medium(name).feeds_for_weeks, fields["months"]
    practice = tables.facts("practice")
    return render(
        "age.html",
        fields=fields,
        bag=fields.field("bag", options=[(mix, mix) for mix in dict.fromkeys([first, *names])]),
        says=None if months is None else bag.aged(practice, months, weeks),
        fades=about(practice, "potting mix", "charge_fades")[0],
        wets=_wets(name, fields["wet"], fields["other_wet"]),
        currency=currency,
    )


def _wets(name, minutes, others):
    """What the times until two mixes are half wet mean; "" until both are entered."""
    if minutes is None or others is None:
        return ""
    slow = bag.hard_to_wet({name: minutes, text("age.other"): others})
    return next(iter(slow.values()), text("age.wets"))


def _salts(asked, here, currency):
    fields, (scenario, row, _) = LookedUp(asked, currency), here
    methods = [(method, text(f"method.{method}")) for method in bag.METHODS]
    method = fields["method"] if fields["method"] in bag.METHODS else bag.METHODS[0]
    bands = tables.records("ec_bands", bag.Band)
    bands = [band for band in bands if band.method == method]
    reading = fields["ec"]
    called = () if reading is None else bag.readings(bands, reading)
    shown = {"crop": "", "gentle": (), "ways": {}}
    if scenario is not None:
        crop = known_crop(scenario.sowings[row].crop)
        published = [
            (quantity, row_of(fact, currency))
            for quantity in ("salt_threshold", "salt_slope", "salt_rating")
            for fact in (about(tables.facts("crops"), crop, quantity) if crop else ())
        ]
        shown |= {"crop": scenario.sowings[row].crop, "published": published}
        shown |= _gentle(fields, scenario, scenario.sowings[row])
    return render(
        "salts.html",
        shown,
        fields=fields,
        method=fields.field("method", options=methods),
        method_name=text(f"method.{method}"),
        bands=bands,
        called=called,
        source=who_says("umass-ec")[0],
        currency=currency,
    )


def _gentle(fields, scenario, sowing):
    """How to start a crop where a mix is too strong for it."""
    names = [medium.name for medium in scenario.media]
    if len(names) < 2:
        return {}
    rich = fields["rich"] if fields["rich"] in names else None
    others = [name for name in names if name != rich]
    lean = fields["lean"] if fields["lean"] in others else others[0]
    choices = [("", text("choose.none")), *((name, name) for name in names)]
    gentle = [fields.field("rich", options=choices)]
    if rich is None:
        return {"gentle": gentle}
    gentle.append(fields.field("lean", options=[(name, name) for name in others]))
    ways = gentle_starts(scenario, sowing, scenario.medium(rich), scenario.medium(lean))
    return {"gentle": gentle, "ways": ways, "rich": rich, "lean": lean}


def _reckoner(asked, here, currency):
    fields, facts = LookedUp(asked, currency), tables.facts("feeds")
    feeds = [f.subject for f in facts if f.quantity == "n_percent" and f.value is not None]
    choices = [("", text("choose.none")), *((feed, data(feed)) for feed in feeds)]
    label = _label(fields, feeds, facts, here[0])
    doses = {"dose": fields["dose"]}
    if fields["ppm_n"] is not None and label and label.n:
        doses["ppm_n"] = feeding.g_per_litre(fields["ppm_n"], label.n)
    usual = {key: short(getattr(label, key), currency) if label else "" for key in GRADE}
    return render(
        "reckoner.html",
        fields=fields,
        feed=fields.field("feed", options=choices),
        grade=[fields.field(key, placeholder=shown) for key, shown in usual.items()],
        lines={of: _line(label, dose) for of, dose in doses.items() if label and dose is not None},
        addition=_addition(fields, here, facts, currency),
        is_wrong=label is None,
        currency=currency,
    )


def _label(fields, feeds, facts, scenario):
    """The grade typed, else that of the chosen feed, else of the scenario's feed; or None."""
    usual = (0.0, 0.0, 0.0)
    if scenario is not None and scenario.feed is not None:
        usual = (scenario.feed.n_percent or 0.0, 0.0, 0.0)
    if fields["feed"] in feeds:
        usual = (about(facts, fields["feed"], f"{key}_percent")[0].usual for key in GRADE)
    typed = (fields[key] for key in GRADE)
    try:
        return feeding.Grade(*(u if t is None else t for t, u in zip(typed, usual, strict=True)))
    except ValueError:
        return None


def _line(label, dose):
    """A dose by the litre and in US units, and the strength it gives."""
    per_us = feeding.g_per_gallon(dose), to_customary(dose, "dry_dose")
    return dose, *per_us, *feeding.strength(label, dose)


def _addition(fields, here, facts, currency):
    """How long a dry addition feeds, as a range with its assumption; None until it is entered."""
    scenario, row, _ = here
    if scenario is None or fields["addition_g"] is None or fields["addition_n"] is None:
        return None
    released = about(facts, "organic nitrogen, four materials", "released_share_8_weeks")[0]
    ppm, per_week, ml_per_cell = (
        about(facts, "feeding programme", quantity)[0].usual
        for quantity in ("target_ppm_n", "feedings_per_week", "ml_per_cell")
    )
    cell_ml = scenario.sowings[row].cell_ml
    if feed := scenario.feed:
        ppm, per_week, ml_per_cell = feed.target_ppm_n or ppm, feed.per_week, feed.ml_per_cell
    found = feeding.addition_feeds_for(
        fields["addition_g"],
        fields["addition_n"],
        cell_ml,
        released=(released.low, released.high),
        ppm_n=ppm,
        per_week=per_week,
        ml_per_cell=ml_per_cell,
    )
    assumption = sentence(said(found.assumption))
    row = row_of(released, currency)
    return {"found": found, "assumption": assumption, "row": row, "cell_ml": cell_ml}
