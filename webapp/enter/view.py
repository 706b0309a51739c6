"""The entry form as HTML: crops, the shelf, the feed, shops, trays and other costs."""

import functools

from markupsafe import escape

from page.faults import row_of
from page.fields import Fields
from page.markup import render
from page.origin import yields_of
from pennyflat.trade.names import known_crop
from pennyflat.units import GRAMS
from pennyflat_display.money import amount, short, with_percent_sign
from reader import languages, measures
from reader.words import counted, data, said, text, text_or_none
from work import edits, picking, shelf
from work.entry import BY_CROP


def parts(work):
    """The fragments of the form: id to (function, what it shows)."""
    document, currency = work.document, work.currency
    weighed = work.errand.weighed
    worth = {weighed[-1]: worth_said(work)} if weighed else {}

    def worth_in(*owner):
        return worth if weighed[:-1] == owner else {}

    faults = _by_row(work.faults)
    stores = tuple(edits.names(document, "stores"))
    media = tuple(edits.names(document, "media"))
    ingredients = tuple(edits.names(document, "ingredients"))
    trays = tuple(edits.names(document, "trays"))
    crops = tuple(dict.fromkeys(edits.names(document, "sowings")))
    tax = document.get("tax")
    tax = tax if isinstance(tax, int | float) else 0.0
    found = {"sowing-list": (_list, "sowing", len(document["sowings"]))}
    for i, row in enumerate(document["sowings"]):
        found[f"sowing-{i}"] = (
            _sowing,
            i,
            row,
            faults.get(("sowings", i), ()),
            media,
            stores,
            trays,
            currency,
        )
    found["mix-list"] = (_list, "mix", len(media))
    for i, row in enumerate(document["media"]):
        own, packages = faults.get(("media", i), ()), row.get("packages", ())
        about = {key: value for key, value in row.items() if key != "packages"}
        found[f"mix-{i}"] = (_mix, i, about, own, ingredients, crops, currency)
        found[f"mix-{i}-gist"] = (_mix_gist, row.get("parts"), packages, currency)
        if "parts" not in row:
            sold = {key: row[key] for key in ("name", edits.TYPED, "packages") if key in row}
            found[f"mix-{i}-packages"] = (
                _mix_packages,
                i,
                sold,
                own,
                worth_in("media", i),
                stores,
                tax,
                currency,
            )
    found["ingredients"] = (_ingredients, bool(ingredients) or _has_blend(document))
    found["ingredient-list"] = (_list, "ingredient", len(ingredients))
    for i, row in enumerate(document["ingredients"]):
        measure = shelf.measure_of(document, "ingredients", row["name"])
        found[f"ingredient-{i}"] = (
            _ingredient,
            i,
            row,
            faults.get(("ingredients", i), ()),
            measure,
            worth_in("ingredients", i),
            stores,
            tax,
            currency,
        )
    feed = document.get("feed")
    measure = shelf.measure_of(document, "feed", "") if feed else ""
    found["feed"] = (
        _feed,
        feed,
        "feed" not in document,
        faults.get(("feed",), ()),
        measure,
        worth_in("feed"),
        stores,
        tax,
        currency,
    )
    rest = {
        key: document.get(key)
        for key in (
            "stores",
            "trays",
            "currency",
            "tax",
            "budget",
            "assurance",
            "title",
            "energy",
            "labour",
        )
    }
    if "assurance" not in document:
        del rest["assurance"]
    rest_faults = tuple(fault for key, own in faults.items() if key[0] in rest for fault in own)
    found["rest"] = (_rest, rest, rest_faults, currency)
    return found


def _entry(field):
    return _entry_in(languages.spoken(), field)


@functools.lru_cache(maxsize=4096)
def _entry_in(language, field):
    return render("field.html", f=field)


def _by_row(faults):
    """Faults by the row, or the scenario's object or field, that they belong to."""
    found = {}
    for fault in faults:
        key = row_of(fault.path)
        found[key] = (*found.get(key, ()), fault)
    return found


def _has_blend(document):
    return any("parts" in medium for medium in document["media"])


def _list(kind, count):
    return render("list.html", kind=kind, count=count)


def _ingredients(shown):
    return render("ingredients.html", shown=shown)


def _sowing(i, row, faults, media, stores, trays, currency):
    path = f"sowings[{i}]"
    choices = {"media": media, "stores": stores, "trays": trays}
    fields = Fields(("sowings", i), row, faults, currency, **choices)
    weeks = row.get("weeks")
    gist = counted(
        "summary.sowing",
        weeks if isinstance(weeks, int | float) else None,
        wanted=fields.shown("wanted"),
        cell=fields.measured("cell_ml"),
        weeks=fields.shown("weeks"),
    )
    return render(
        "sowing.html",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        gist=gist,
        todo=_todo(faults),
        presprout=row.get("presprout") is True,
        packets=[
            {
                "at": f"{path}.seed_packets[{j}]",
                "called": text("seed.packet", number=j + 1, what=fields.name()),
            }
            for j in range(len(row.get("seed_packets") or ()))
        ],
        container=_container(row),
        is_known=known_crop(row.get("crop") or "") is not None,
        measures=picking.MEASURES.get((row.get("shape") or {}).get("form"), ()),
        potting=row.get("remedy") == "pot_on",
    )


def _container(row):
    if row.get("shape") is not None:
        return text("choose.own_shape")
    return data(row.get("container") or "")


def _mix(i, row, faults, ingredients, crops, currency):
    path = f"media[{i}]"
    fields = Fields(("media", i), row, faults, currency, ingredients=ingredients)
    parts = row.get("parts")
    return render(
        "mix.html",
        id=f"mix-{i}",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        todo=_todo(faults),
        parts=None if parts is None else _parts_of(path, "parts", parts, fields.name()),
        additions=_parts_of(path, "additions", row.get("additions", ()), fields.name()),
        **{key: [fields.by_crop(key, crop) for crop in crops] for key in BY_CROP},
    )


def _mix_gist(parts, packages, currency):
    if parts is None:
        gist = _package_gist(packages, currency)
    else:
        mixed = ", ".join(str(part["ingredient"] or "…") for part in parts)
        gist = text("summary.blend", parts=mixed)
    return escape(gist)


def _mix_packages(i, row, faults, worth, stores, tax, currency):
    path = f"media[{i}]"
    fields = Fields(("media", i), row, faults, currency, stores=stores)
    return render(
        "packages.html",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        packages=_packages(path, row.get("packages", ()), "L", worth, tax, currency, row["name"]),
    )


def _ingredient(i, row, faults, measure, worth, stores, tax, currency):
    path = f"ingredients[{i}]"
    fields = Fields(("ingredients", i), row, faults, currency, stores=stores, measure=measure)
    return render(
        "ingredient.html",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        gist=_package_gist(row["packages"], currency),
        todo=_todo(faults),
        packages=_packages(path, row["packages"], measure, worth, tax, currency, row["name"]),
    )


def _feed(feed, is_asked, faults, measure, worth, stores, tax, currency):
    if feed is None:
        return render("feed.html", feed=None, is_asked=is_asked)
    fields = Fields(("feed",), feed, faults, currency, stores=stores, measure=measure)
    return render(
        "feed.html",
        feed=feed,
        at="feed",
        doses={
            "dry": measures.unit("dry_dose", currency),
            "liquid": measures.unit("liquid_dose", currency),
        },
        entry=lambda place: _entry(fields.field(place)),
        name=feed["name"],
        gist=_package_gist(feed["packages"], currency),
        todo=_todo(faults),
        packages=_packages("feed", feed["packages"], measure, worth, tax, currency, feed["name"]),
    )


def _rest(rest, faults, currency):
    stores, trays = rest["stores"], rest["trays"] or ()
    shops = tuple(row["name"] for row in stores)
    fields = Fields((), rest, faults, currency, stores=shops)
    money = {"currency": currency.name}
    if rest["tax"] is not None:
        money["tax"] = with_percent_sign(fields.shown("tax"), currency)
    return render(
        "rest.html",
        entry=lambda place: _entry(fields.field(place)),
        stores=[{"at": f"stores[{i}]", "name": row["name"]} for i, row in enumerate(stores)],
        stores_gist=", ".join(shops),
        trays=[{"at": f"trays[{i}]", "name": row["name"]} for i, row in enumerate(trays)],
        trays_gist=", ".join(row["name"] for row in trays) or text("choose.no_tray"),
        money_gist=text("summary.money" if "tax" in money else "summary.currency", **money),
        has_energy=rest["energy"] is not None,
        has_labour=rest["labour"] is not None,
        energy_gist=text("energy.none" if rest["energy"] is None else "summary.counted"),
        labour_gist=text("labour.none" if rest["labour"] is None else "summary.counted"),
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


def _packages(path, rows, measure, worth, tax, currency, name):
    found = []
    for i, row in enumerate(rows):
        label = shelf.label_of(row, measure, tax)
        place = f"{path}.packages[{i}]"
        called = text("package.of", number=i + 1, what=name)
        gist = _package_gist([row], currency)
        by_weight = measure == "L" and row.get("unit") in GRAMS
        package = {"at": place, "called": called, "gist": gist, "by_weight": by_weight}
        package["by_volume"] = measure == "L" and not by_weight
        package |= {"price": "", "other": "", "other_unit": ""}
        package["worth"] = worth.get(i, "")
        package["yields"] = yields_of(row, name, currency) if measure == "L" else ()
        package["taken"] = _taken(label, row, measure, currency)
        if label and label.price is not None:
            package["price"] = measures.price_per(label.price, measure, currency)
        if label and label.other_amount is not None:
            package["other_unit"] = shelf.OTHER_QUART[row["unit"]]
            key = "taken.use_liq" if row["unit"] == "qt_dry" else "taken.use_dry"
            held = measures.measured(label.other_amount, "mix", currency)
            package["other"] = text(key, amount=held)
        found.append(package)
    return found


def _taken(label, row, measure, currency):
    if label is None:
        return text("taken.wait", measure=measures.measure_said(measure, currency))
    if label.other_amount is not None:
        held = measures.measured(label.amount, "mix", currency)
        return text(f"taken.{row['unit']}", amount=held)
    return text("taken.amount", amount=measures.goods(label.amount, label.measure, currency))


def _package_gist(rows, currency):
    shown = []
    for row in rows:
        unit = text_or_none(f"short.{row.get('unit')}")
        if unit and all(isinstance(row.get(key), int | float) for key in ("size", "price")):
            size = f"{short(row['size'], currency)} {unit}"
            paid = amount(row["price"], currency)
            shown.append(text("summary.package", size=size, price=paid))
    return "; ".join(shown)


def _parts_of(path, table, rows, name):
    key = "blend.part" if table == "parts" else "blend.addition"
    return [
        {"at": f"{path}.{table}[{i}]", "called": text(key, number=i + 1, what=name)}
        for i in range(len(rows))
    ]


def _todo(faults):
    if not faults:
        return ""
    blank = all(fault.value in (None, "") for fault in faults)
    key = "summary.fill" if blank else "summary.check"
    return render("todo.html", text=text(key, count=len(faults)))
