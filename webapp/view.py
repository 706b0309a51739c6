"""The state as HTML, one fragment for each part of the page that changes on its own, and as charts.

A fragment belongs to the element with its id. `Page.changed` returns only fragments that differ
from what the page has, and does not even render those with unchanged ingredients.
"""

import re
import struct

from buy import advice, questions
from buy import view as shopping
from compare import view as answer
from enter import view as entry_view
from grow import dates, season
from notes import view as notes_view
from page.fields import fault_link
from page.markup import render
from pennyflat.buying.highs import solve
from pennyflat_display import charts, places
from reader import languages, words
from reader.words import text
from share import view as desk_view
from share.desk import Desk
from trials import view as bench_view
from work import picking
from work.state import Work

MOST_FAULTS_LISTED = 5


class Page:
    """What the page shows of a `Work` and of a `Desk`, fragment by fragment."""

    def __init__(self, desk=None):
        self._desk = desk or Desk(self.all)
        self._made_from = {}
        self.shown = {}
        """Every fragment as last made, by the id of its element."""

    def all(self, work):
        """Every fragment, by the id of its element."""
        self.changed(work)
        return dict(self.shown)

    def changed(self, work, other=None):
        """
        The fragments that differ from the previous ones; containers before their contents.

        other: another page, whose fragments are reused if made from the same ingredients.
        """
        news, parts = {}, self._parts(work)
        reader = languages.spoken(), places.present(), places.units()
        for name, (make, *ingredients) in parts.items():
            made_from = (*reader, make, ingredients)
            if self._made_from.get(name) != made_from:
                is_made = other is not None and other._made_from.get(name) == made_from
                html = other.shown[name] if is_made else str(make(*ingredients))
                self._made_from[name] = made_from
                if self.shown.get(name) != html:
                    news[name] = self.shown[name] = html
        for gone in self.shown.keys() - parts.keys():
            del self.shown[gone], self._made_from[gone]
        return news

    def _parts(self, work):
        """Fragment id to (function, what it shows)."""
        faults, last = work.faults, work.removed[-1] if work.removed else None
        is_first = work.is_example and not self._desk.has_looked
        line = {"message": advice.headline(work), "is_behind": advice.recommended(work) is None}
        todo = [fault_link(work.document, fault) for fault in faults[:MOST_FAULTS_LISTED]]
        standing = {"todo": todo, "count": len(faults), "answered": work.answered is not None}
        gone = {"what": last and last[0], "called": _called(last[2]) if last else ""}
        parts = {
            "units": (render, "units.html", {"shown": places.units()}),
            "bar": (render, "bar.html", {**line, "to_pay": advice.to_pay(work)}),
            "first": (render, "first.html", {"shown": is_first}),
            **entry_view.parts(work),
            "standing": (render, "standing.html", standing),
        }
        for room in (advice, answer, dates, season, shopping, questions, bench_view):
            parts |= room.parts(work)
        parts |= desk_view.parts(work, self._desk) | notes_view.parts(work)
        if work.opened:
            from compare import labels  # not at the start: few visitors open one at once
            from grow import view as lookups

            parts |= lookups.parts(work) | labels.parts(work)
        return parts | {"undo": (render, "undo.html", gone)}


class Charts(charts.Charts):
    """The contents of the figures, kept up to date with a `Work`."""

    def __init__(self):
        super().__init__(words)

    def news(self, work):
        """Changes in the figures for the displayed sowing; the page hides all other figures."""
        trial, row, found = work.bench.shown(), work.row_shown, {}
        if trial:
            found["trial"] = trial, work.currency
        if row is not None:
            crop, curves = work.report["verdicts"][row]["crop"], work.curves()
            found["sowing"] = crop, work.compared(row), curves, work.answer_currency
            found["plans"] = dates.plans_of(work)
            if matters := work.errand.answers.get("matters"):
                found["matters"] = matters[1], work.errand.currency
        return super().news(self.shown(**found))


def initial_fragments():
    """The demo's fragments, by element id."""
    work = Work(solve=solve)
    work.handle({"do": "more"})
    for card in ("sights", "salts", "reckoner", "age", "two", "label"):
        work.handle({"do": "open", "text": card})
    return Page().all(work)


def render_page():
    """The inner HTML of the page's <body> for the demo."""
    return _filled(render_frame(), initial_fragments())


def render_frame():
    """The same without its fragments: the part that only the language changes."""
    return str(
        render(
            "page.html",
            known_crops=picking.crop_names(languages.spoken()),
            languages=languages.LANGUAGES,
            spoken=languages.spoken(),
            notes=notes_view.frame(),
            is_reviewed=languages.is_reviewed(),
        )
    )


_PLACE = re.compile(
    r'(?P<before><(\w+) [^<>]*\bid="(?P<id>[\w-]+)"[^<>]* data-fragment)(?P<after>[^<>]*>)(?=</\2>)'
)
"""The place of a fragment, still empty."""


def _filled(html, fragments):
    """HTML with fragments in their places, and their own nested fragments in theirs."""

    def filled(place):
        inner = fragments[place["id"]]
        marked = f'{place["before"]}="{_fingerprint(inner)}"{place["after"]}'
        return marked + _filled(inner, fragments)

    return _PLACE.sub(filled, html)


def _fingerprint(html):
    """Hash by which the page knows it already has a fragment; shell/picture.js has the same."""
    found = 0x811C9DC5
    for (unit,) in struct.iter_unpack("<H", html.encode("utf-16-le")):
        found = (found ^ unit) * 0x01000193 % 2**32
    return f"{found:x}"


def _called(row):
    """The name of a row in a sentence."""
    row = row if isinstance(row, dict) else {}
    name = next(filter(None, map(row.get, ("crop", "name", "ingredient"))), None)
    goods = "undo.package" if "size" in row else "undo.packet" if "seeds" in row else "undo.it"
    return name or text(goods)
