"""The state as HTML: one fragment for each part of the page that changes by itself.

A fragment belongs to the element of its id. `Page.changed` gives only those whose contents differ
from what the page has, and does not even render those whose ingredients are the same. Everything
here is formatting; texts come from words.py.
"""

import functools
import re
import struct

from markupsafe import escape

import answer
import bench_view
import desk_view
import edits
import languages
import measures
import picking
import places
import questions
import shelf
import shopping
from entry import BY_CROP
from fields import Fields
from markup import render
from money import amount, short, with_percent_sign
from origin import yields_of
from pennyflat.highs import solve
from state import Work
from words import counted, data, text, text_or_none

MOST_FAULTS_LISTED = 5


def _entry(field):
    return _entry_in(languages.spoken(), field)


@functools.lru_cache(maxsize=4096)
def _entry_in(language, field):
    return render("field.html", f=field)


class Page:
    """What the page shows of a `Work`, fragment by fragment."""

    def __init__(self):
        self._made_from = {}
        self._shown = {}

    def all(self, work):
        """Every fragment, by the id of its element."""
        self.changed(work)
        return self.shown

    @property
    def shown(self):
        """Every fragment as it was made last, by the id of its element."""
        return dict(self._shown)

    def changed(self, work, other=None):
        """
        The fragments that differ from those given before; containers before their contents.

        other: another page, from which those are taken that it has made of the same ingredients.
        """
        news = {}
        parts = self._parts(work)
        for name, (make, *ingredients) in parts.items():
            made_from = (languages.spoken(), places.present(), places.units(), make, ingredients)
            if self._made_from.get(name) == made_from:
                continue
            is_made = other is not None and other._made_from.get(name) == made_from
            html = other._shown[name] if is_made else str(make(*ingredients))
            self._made_from[name] = made_from
            if self._shown.get(name) != html:
                news[name] = self._shown[name] = html
        for gone in self._shown.keys() - parts.keys():
            del self._shown[gone], self._made_from[gone]
        return news

    def _parts(self, work):
        """Fragment id to (function, what it shows)."""
        document, currency = work.document, work.currency
        faults = _by_row(work.faults)
        stores = tuple(edits.names(document, "stores"))
        media = tuple(edits.names(document, "media"))
        ingredients = tuple(edits.names(document, "ingredients"))
        trays = tuple(edits.names(document, "trays"))
        crops = tuple(dict.fromkeys(edits.names(document, "sowings")))
        tax = document.get("tax")
        tax = tax if isinstance(tax, int | float) else 0.0
        parts = {
            "units": (_units,),
            "bar": (_bar, answer.headline(work)),
            "sowing-list": (_list, "sowing", len(document["sowings"])),
        }
        for i, row in enumerate(document["sowings"]):
            parts[f"sowing-{i}"] = (
                _sowing,
                i,
                row,
                faults.get(("sowings", i), ()),
                media,
                stores,
                trays,
                currency,
            )
        parts["mix-list"] = (_list, "mix", len(media))
        for i, row in enumerate(document["media"]):
            own, packages = faults.get(("media", i), ()), row.get("packages", ())
            about = {key: value for key, value in row.items() if key != "packages"}
            parts[f"mix-{i}"] = (_mix, i, about, own, ingredients, crops, currency)
            parts[f"mix-{i}-gist"] = (_mix_gist, row.get("parts"), packages, currency)
            if "parts" not in row:
                sold = {key: row[key] for key in ("name", edits.TYPED, "packages") if key in row}
                parts[f"mix-{i}-packages"] = (_mix_packages, i, sold, own, stores, tax, currency)
        parts["ingredients"] = (_ingredients, bool(ingredients) or _has_blend(document))
        parts["ingredient-list"] = (_list, "ingredient", len(ingredients))
        for i, row in enumerate(document["ingredients"]):
            measure = shelf.measure_of(document, "ingredients", row["name"])
            parts[f"ingredient-{i}"] = (
                _ingredient,
                i,
                row,
                faults.get(("ingredients", i), ()),
                measure,
                stores,
                tax,
                currency,
            )
        feed = document.get("feed")
        measure = shelf.measure_of(document, "feed", "") if feed else ""
        parts["feed"] = (_feed, feed, faults.get(("feed",), ()), measure, stores, tax, currency)
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
        rest_faults = tuple(
            fault for key, found in faults.items() if key[0] in rest for fault in found
        )
        parts["rest"] = (_rest, rest, rest_faults, currency)
        parts["standing"] = (_standing, document, tuple(work.faults), work.answered is not None)
        parts |= answer.parts(work)
        parts |= shopping.parts(work) | questions.parts(work)
        parts |= bench_view.parts(work) | desk_view.parts(work)
        if work.opened:
            import almanac  # not at the start: few visitors open it at once

            parts |= almanac.parts(work)
        last = work.removed[-1] if work.removed else None
        parts["undo"] = (_undo, last and last[0], _called(last[2]) if last else "")
        return parts


def initial_fragments():
    """The demo's fragments, by element id."""
    work = Work(solve=solve)
    work.handle({"do": "more"})
    for card in ("calendar", "sights", "salts", "reckoner"):
        work.handle({"do": "open", "text": card})
    return Page().all(work)


def render_page():
    """The inner HTML of the page's <body> for the demo."""
    return _filled(render_frame(), initial_fragments())


def render_frame():
    """The same without its fragments: what changes with the language alone."""
    return str(
        render(
            "page.html",
            known_crops=picking.crop_names(languages.spoken()),
            languages=languages.LANGUAGES,
            spoken=languages.spoken(),
            is_reviewed=languages.is_reviewed(),
        )
    )


_PLACE = re.compile(
    r'(?P<before><(\w+) [^<>]*\bid="(?P<id>[\w-]+)"[^<>]* data-fragment)(?P<after>[^<>]*>)(?=</\2>)'
)
"""The place of a fragment, still empty."""


def _filled(html, fragments):
    """HTML with fragments in their places, and those that they contain in theirs."""

    def filled(place):
        inner = fragments[place["id"]]
        marked = f'{place["before"]}="{_fingerprint(inner)}"{place["after"]}'
        return marked + _filled(inner, fragments)

    return _PLACE.sub(filled, html)


def _fingerprint(html):
    """What the page tells by whether it has a fragment already; shell/surface.js has the same."""
    found = 0x811C9DC5
    for (unit,) in struct.iter_unpack("<H", html.encode("utf-16-le")):
        found = (found ^ unit) * 0x01000193 % 2**32
    return f"{found:x}"


def _by_row(faults):
    """Faults by the row, or the object or field of the scenario, that they belong to."""
    found = {}
    for fault in faults:
        key = answer.row_of(fault.path)
        found[key] = (*found.get(key, ()), fault)
    return found


def _has_blend(document):
    return any("parts" in medium for medium in document["media"])


def _called(row):
    """What a row is called when it is spoken of."""
    for key in ("crop", "name", "ingredient"):
        if isinstance(row, dict) and row.get(key):
            return row[key]
    for key in ("size", "seeds"):
        if isinstance(row, dict) and key in row:
            return text("undo.package" if key == "size" else "undo.packet")
    return text("undo.it")


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


def _mix_packages(i, row, faults, stores, tax, currency):
    path = f"media[{i}]"
    fields = Fields(("media", i), row, faults, currency, stores=stores)
    return render(
        "packages.html",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        packages=_packages(path, row.get("packages", ()), "L", tax, currency, row["name"]),
    )


def _ingredient(i, row, faults, measure, stores, tax, currency):
    path = f"ingredients[{i}]"
    fields = Fields(("ingredients", i), row, faults, currency, stores=stores, measure=measure)
    return render(
        "ingredient.html",
        at=path,
        entry=lambda place: _entry(fields.field(place)),
        name=fields.name(),
        gist=_package_gist(row["packages"], currency),
        todo=_todo(faults),
        packages=_packages(path, row["packages"], measure, tax, currency, row["name"]),
    )


def _feed(feed, faults, measure, stores, tax, currency):
    if feed is None:
        return render("feed.html", feed=None)
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
        packages=_packages("feed", feed["packages"], measure, tax, currency, feed["name"]),
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


def _packages(path, rows, measure, tax, currency, name):
    found = []
    for i, row in enumerate(rows):
        label = shelf.label_of(row, measure, tax)
        place = f"{path}.packages[{i}]"
        called = text("package.of", number=i + 1, what=name)
        gist = _package_gist([row], currency)
        package = {"at": place, "called": called, "gist": gist}
        package |= {"price": "", "other": "", "other_unit": ""}
        package["yields"] = yields_of(row, name, currency) if measure == "L" else ()
        package["taken"] = _taken(label, row, currency)
        if label and label.price is not None:
            package["price"] = measures.price_per(label.price, measure, currency)
        if label and label.other_amount is not None:
            package["other_unit"] = shelf.OTHER_QUART[row["unit"]]
            key = "taken.use_liq" if row["unit"] == "qt_dry" else "taken.use_dry"
            held = measures.measured(label.other_amount, "mix", currency)
            package["other"] = text(key, amount=held)
        found.append(package)
    return found


def _taken(label, row, currency):
    if label is None:
        return text(measures.in_units("taken.wait", currency))
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
    return render("todo.html", text=text("summary.check", count=len(faults)))


def _standing(document, faults, answered):
    listed = [answer.fault_link(document, fault) for fault in faults[:MOST_FAULTS_LISTED]]
    return render("standing.html", todo=listed, count=len(faults), answered=answered)


def _units():
    kinds = [(units, text(f"units.{units}")) for units in (places.METRIC, places.US)]
    return render("units.html", kinds=kinds, shown=places.units())


def _bar(message):
    return render("bar.html", message=message)


def _undo(what, called):
    if what is None:
        return ""
    return render("undo.html", what=text(f"undo.{what}", what=called))
