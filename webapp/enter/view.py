"""The entry form as HTML: crops, the shelf, the feed, shops, trays and other costs."""

from markupsafe import Markup, escape

from page.fields import Fields, by_row
from page.markup import entry, render
from page.origin import yields_of
from pennyflat.trade.names import known_crop
from pennyflat.units import GRAMS
from pennyflat_display.money import amount, short, with_percent_sign
from reader import measures
from reader.words import counted, data, said, text, text_or_none
from work import edits, picking, shelf
from work.entry import BY_CROP, path_of

REST = "stores", "trays", "currency", "tax", "budget", "title", "energy", "labour"
"""Everything that has a default, except the assurance, whose None is a choice of its own."""


def parts(work):
    """The fragments of the form: id to (function, what it shows)."""
    document, currency = work.document, work.currency
    faults = by_row(work.faults)
    stores, media, ingredients, trays, crops = (
        tuple(edits.names(document, table))
        for table in ("stores", "media", "ingredients", "trays", "sowings")
    )
    tax = document.get("tax")
    tax = tax if isinstance(tax, int | float) else 0.0
    weighed = work.errand.weighed

    def sold(measure, *owner):
        """What the packages of a mix, an ingredient or the feed are shown with."""
        worth = {weighed[-1]: worth_said(work)} if weighed and weighed[:-1] == owner else {}
        return faults.get(owner, ()), measure, worth, stores, tax, currency

    found = {"sowing-list": (render, "list.html", {"kind": "sowing", "count": len(crops)})}
    for i, row in enumerate(document["sowings"]):
        own = faults.get(("sowings", i), ())
        found[f"sowing-{i}"] = (_sowing, i, row, own, media, stores, trays, currency)
    found["mix-list"] = (render, "list.html", {"kind": "mix", "count": len(media)})
    by_crop = tuple(dict.fromkeys(crops))
    for i, row in enumerate(document["media"]):
        own, packages = faults.get(("media", i), ()), row.get("packages", ())
        about = {key: value for key, value in row.items() if key != "packages"}
        found[f"mix-{i}"] = (_mix, i, about, own, ingredients, by_crop, currency)
        found[f"mix-{i}-gist"] = (_mix_gist, row.get("parts"), packages, currency)
        if "parts" not in row:
            label = {key: row[key] for key in ("name", edits.TYPED, "packages") if key in row}
            found[f"mix-{i}-packages"] = (_mix_packages, i, label, *sold("L", "media", i))
    has_blend = any("parts" in medium for medium in document["media"])
    found["ingredients"] = (render, "ingredients.html", {"shown": has_blend or bool(ingredients)})
    count = len(ingredients)
    found["ingredient-list"] = (render, "list.html", {"kind": "ingredient", "count": count})
    for i, row in enumerate(document["ingredients"]):
        measure = shelf.measure_of(document, "ingredients", row["name"])
        found[f"ingredient-{i}"] = (_ingredient, i, row, *sold(measure, "ingredients", i))
    if feed := document.get("feed"):
        measure = shelf.measure_of(document, "feed", "")
        found["feed"] = (_feed, feed, *sold(measure, "feed"))
    else:
        found["feed"] = (render, "feed.html", {"feed": None, "is_asked": "feed" not in document})
    rest = {key: document.get(key) for key in REST}
    if "assurance" in document:
        rest["assurance"] = document["assurance"]
    rest_faults = tuple(fault for key, own in faults.items() if key[0] in rest for fault in own)
    return found | {"rest": (_rest, rest, rest_faults, currency)}


def _card(template, fields, at, **values):
    """A template in which `entries` makes the fields of these keys at a place."""

    def entries(at, *keys):
        paths = (f"{at}.{key}" if at else key for key in keys)
        return Markup().join(entry(fields.field(path)) for path in paths)

    return render(
        template,
        at=at,
        entries=entries,
        **{"name": fields.name()} | values,
    )


def _sowing(i, row, faults, media, stores, trays, currency):
    at = f"sowings[{i}]"
    choices = {"media": media, "stores": stores, "trays": trays}
    fields = Fields(("sowings", i), row, faults, currency, **choices)
    weeks, shape = row.get("weeks"), row.get("shape")
    gist = counted(
        "summary.sowing",
        weeks if isinstance(weeks, int | float) else None,
        wanted=fields.shown("wanted"),
        cell=fields.measured("cell_ml"),
        weeks=fields.shown("weeks"),
    )
    return _card(
        "sowing.html",
        fields,
        at,
        gist=gist,
        todo=_todo(faults),
        presprout=row.get("presprout") is True,
        packets=_numbered(f"{at}.seed_packets", row.get("seed_packets"), "seed.packet", fields),
        container=data(row.get("container") or "") if shape is None else text("choose.own_shape"),
        is_known=known_crop(row.get("crop") or "") is not None,
        measures=picking.MEASURES.get((shape or {}).get("form"), ()),
        potting=row.get("remedy") == "pot_on",
    )


def _mix(i, row, faults, ingredients, crops, currency):
    at = f"media[{i}]"
    fields = Fields(("media", i), row, faults, currency, ingredients=ingredients)
    additions = row.get("additions")
    return _card(
        "mix.html",
        fields,
        at,
        id=f"mix-{i}",
        todo=_todo(faults),
        is_blend="parts" in row,
        parts=_numbered(f"{at}.parts", row.get("parts"), "blend.part", fields),
        additions=_numbered(f"{at}.additions", additions, "blend.addition", fields),
        **{key: [path_of(("media", i, key, crop)) for crop in crops] for key in BY_CROP},
    )


def _numbered(at, rows, key, fields):
    """The places of rows, and what each is called."""
    return [
        {"at": f"{at}[{i}]", "called": text(key, number=i + 1, what=fields.name())}
        for i in range(len(rows or ()))
    ]


def _mix_gist(parts, packages, currency):
    if parts is None:
        return escape(_package_gist(packages, currency))
    mixed = ", ".join(str(part["ingredient"] or "…") for part in parts)
    return escape(text("summary.blend", parts=mixed))


def _mix_packages(i, row, faults, measure, worth, stores, tax, currency):
    at = f"media[{i}]"
    fields = Fields(("media", i), row, faults, currency, stores=stores)
    packages = _packages(at, row, measure, worth, tax, currency)
    return _card("packages.html", fields, at, packages=packages)


def _ingredient(i, row, faults, measure, worth, stores, tax, currency):
    at = f"ingredients[{i}]"
    fields = Fields(("ingredients", i), row, faults, currency, stores=stores, measure=measure)
    return _card(
        "ingredient.html",
        fields,
        at,
        gist=_package_gist(row["packages"], currency),
        todo=_todo(faults),
        packages=_packages(at, row, measure, worth, tax, currency),
    )


def _feed(feed, faults, measure, worth, stores, tax, currency):
    fields = Fields(("feed",), feed, faults, currency, stores=stores, measure=measure)
    return _card(
        "feed.html",
        fields,
        "feed",
        feed=feed,
        doses={what: measures.unit(f"{what}_dose", currency) for what in ("dry", "liquid")},
        name=feed["name"],
        gist=_package_gist(feed["packages"], currency),
        todo=_todo(faults),
        packages=_packages("feed", feed, measure, worth, tax, currency),
    )


def _rest(rest, faults, currency):
    stores, trays = rest["stores"], rest["trays"] or ()
    shops = tuple(row["name"] for row in stores)
    fields = Fields((), rest, faults, currency, stores=shops)
    money = text("summary.currency", currency=currency.name)
    if rest["tax"] is not None:
        tax = with_percent_sign(fields.shown("tax"), currency)
        money = text("summary.money", currency=currency.name, tax=tax)
    return _card(
        "rest.html",
        fields,
        "",
        stores=[{"at": f"stores[{i}]", "name": row["name"]} for i, row in enumerate(stores)],
        stores_gist=", ".join(shops),
        trays=[{"at": f"trays[{i}]", "name": row["name"]} for i, row in enumerate(trays)],
        trays_gist=", ".join(row["name"] for row in trays) or text("choose.no_tray"),
        money_gist=money,
        **{f"has_{what}": rest[what] is not None for what in ("energy", "labour")},
    )


def worth_said(work):
    """
    What the package whose label was typed last is worth to the plan, in one line.

    Blank without one, and while entries are wrong.
    """
    errand = work.errand
    if not errand.weighed or work.report is None or not work.is_current:
        return ""
    found = errand.worth(work.scenario)
    if found is None or not found.is_done:
        return text("worth.working")
    if found.result:
        return said(found.result)
    if not any(errand.plan.picks):
        return text("bar.none")
    return text("worth.unmet" if errand.bill["unmet"] else "worth.unproven")


def _packages(at, owner, measure, worth, tax, currency):
    """What the packages of a mix, an ingredient or the feed amount to."""
    name = owner["name"]
    return [
        {
            "at": f"{at}.packages[{i}]",
            "called": text("package.of", number=i + 1, what=name),
            "gist": _package_gist([row], currency),
            "by_weight": measure == "L" and row.get("unit") in GRAMS,
            "by_volume": measure == "L" and row.get("unit") not in GRAMS,
            "worth": worth.get(i, ""),
            "yields": yields_of(row, name, currency) if measure == "L" else (),
        }
        | _taken(row, measure, tax, currency)
        for i, row in enumerate(owner.get("packages", ()))
    ]


def _taken(row, measure, tax, currency):
    """What a label is taken as, and the quart that may have been meant instead."""
    label, price, other, other_unit = shelf.label_of(row, measure, tax), "", "", ""
    if label is None:
        taken = text("taken.wait", measure=measures.measure_said(measure, currency))
    elif label.other_amount is None:
        taken = text("taken.amount", amount=measures.goods(label.amount, label.measure, currency))
    else:
        litres = (label.amount, label.other_amount)
        held, other_held = (measures.measured(amount, "mix", currency) for amount in litres)
        other_unit = shelf.OTHER_QUART[row["unit"]]
        taken = text(f"taken.{row['unit']}", amount=held)
        key = "taken.use_liq" if other_unit == "qt_liq" else "taken.use_dry"
        other = text(key, amount=other_held)
    if label and label.price is not None:
        price = measures.price_per(label.price, measure, currency)
    return {"taken": taken, "price": price, "other": other, "other_unit": other_unit}


def _package_gist(rows, currency):
    shown = []
    for row in rows:
        unit = text_or_none(f"short.{row.get('unit')}")
        if unit and all(isinstance(row.get(key), int | float) for key in ("size", "price")):
            size = f"{short(row['size'], currency)} {unit}"
            paid = amount(row["price"], currency)
            shown.append(text("summary.package", size=size, price=paid))
    return "; ".join(shown)


def _todo(faults):
    if not faults:
        return ""
    blank = all(fault.value in (None, "") for fault in faults)
    return text("summary.fill" if blank else "summary.check", count=len(faults))
