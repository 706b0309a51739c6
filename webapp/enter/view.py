"""The entry form as HTML: crops, the shelf, the feed, shops, trays and other costs."""

from markupsafe import escape

from page.fields import Fields, are_blank, by_row
from page.markup import render
from page.origin import yields_of
from page.worth import worth_said
from pennyflat.trade.names import known_crop
from pennyflat.units import GRAMS
from pennyflat_display.money import amount, short, with_percent_sign
from reader.words import counted, data, text, text_or_none
from work import edits, picking, shelf
from work.entry import BY_CROP, path_of, steps

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
        return owner, faults.get(owner, ()), measure, worth, stores, tax, currency

    found = {"sowing-list": (render, "list.html", {"kind": "sowing", "count": len(crops)})}
    for i, row in enumerate(document["sowings"]):
        own = faults.get(("sowings", i), ())
        found[f"sowing-{i}"] = (_sowing, f"sowings[{i}]", row, own, media, stores, trays, currency)
    found["mix-list"] = (render, "list.html", {"kind": "mix", "count": len(media)})
    by_crop = tuple(dict.fromkeys(crops))
    for i, row in enumerate(document["media"]):
        own, packages = faults.get(("media", i), ()), row.get("packages", ())
        about = {key: value for key, value in row.items() if key != "packages"}
        found[f"mix-{i}"] = (_mix, i, about, own, ingredients, by_crop, currency)
        found[f"mix-{i}-gist"] = (_mix_gist, row.get("parts"), packages, currency)
        if "parts" not in row:
            label = {key: row[key] for key in ("name", edits.TYPED, "packages") if key in row}
            found[f"mix-{i}-packages"] = (_sold, "packages.html", label, *sold("L", "media", i))
    has_blend = any("parts" in medium for medium in document["media"])
    found["ingredients"] = (render, "ingredients.html", {"shown": has_blend or bool(ingredients)})
    count = len(ingredients)
    found["ingredient-list"] = (render, "list.html", {"kind": "ingredient", "count": count})
    for i, row in enumerate(document["ingredients"]):
        measure = shelf.measure_of(document, "ingredients", row["name"])
        own = sold(measure, "ingredients", i)
        found[f"ingredient-{i}"] = (_sold, "ingredient.html", row, *own)
    if feed := document.get("feed"):
        own = sold(shelf.measure_of(document, "feed", ""), "feed")
        found["feed"] = (_sold, "feed.html", feed, *own)
    else:
        found["feed"] = (render, "no-feed.html", {"is_asked": "feed" not in document})
    rest = {key: document.get(key) for key in REST}
    if "assurance" in document:
        rest["assurance"] = document["assurance"]
    rest_faults = tuple(fault for key, own in faults.items() if key[0] in rest for fault in own)
    return found | {"rest": (_rest, rest, rest_faults, currency)}


def _sowing(at, row, faults, media, stores, trays, currency):
    choices = {"media": media, "stores": stores, "trays": trays}
    fields = Fields(steps(at), row, faults, currency, **choices)
    weeks, shape = row.get("weeks"), row.get("shape")
    gist = counted(
        "summary.sowing",
        weeks if isinstance(weeks, int | float) else None,
        wanted=fields.shown("wanted"),
        cell=fields.measured("cell_ml"),
        weeks=fields.shown("weeks"),
    )
    return render(
        "sowing.html",
        at=at,
        entries=fields.entries,
        name=fields.name(),
        row=row,
        gist=gist,
        todo=_todo(faults),
        container=data(row.get("container") or "") if shape is None else text("choose.own_shape"),
        is_known=known_crop(row.get("crop") or "") is not None,
        measures=picking.MEASURES.get((shape or {}).get("form"), ()),
    )


def _mix(i, row, faults, ingredients, crops, currency):
    fields = Fields(("media", i), row, faults, currency, ingredients=ingredients)
    return render(
        "mix.html",
        {key: [path_of(("media", i, key, crop)) for crop in crops] for key in BY_CROP},
        id=f"mix-{i}",
        at=f"media[{i}]",
        entries=fields.entries,
        name=fields.name(),
        row=row,
        todo=_todo(faults),
    )


def _mix_gist(parts, packages, currency):
    if parts is None:
        return escape(_package_gist(packages, currency))
    mixed = ", ".join(str(part["ingredient"] or "…") for part in parts)
    return escape(text("summary.blend", parts=mixed))


def _sold(template, row, place, faults, measure, worth, stores, tax, currency):
    """What is sold in packages: their fields, and what the labels amount to."""
    fields = Fields(place, row, faults, currency, stores=stores, measure=measure)
    packages = row.get("packages", ())
    return render(
        template,
        at=path_of(place),
        entries=fields.entries,
        name=fields.name() if place[1:] else row["name"],
        gist=_package_gist(packages, currency),
        todo=_todo(faults),
        measure=measure,
        packages=[
            {
                "row": package,
                "called": text("package.of", number=i + 1, what=row["name"]),
                "gist": _package_gist([package], currency),
                "is_weighed": package.get("unit") in GRAMS,
                "label": shelf.label_of(package, measure, tax),
                "worth": worth.get(i, ""),
                "yields": yields_of(package, row["name"], currency) if measure == "L" else (),
            }
            for i, package in enumerate(packages)
        ],
        other_quart=shelf.OTHER_QUART,
        currency=currency,
    )


def _rest(rest, faults, currency):
    shops = tuple(row["name"] for row in rest["stores"])
    fields = Fields((), rest, faults, currency, stores=shops)
    money = text("summary.currency", currency=currency.name)
    if rest["tax"] is not None:
        tax = with_percent_sign(fields.shown("tax"), currency)
        money = text("summary.money", currency=currency.name, tax=tax)
    return render(
        "rest.html",
        entries=fields.entries,
        rest=rest,
        money_gist=money,
    )


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
    return text("summary.fill" if are_blank(faults) else "summary.check", count=len(faults))
