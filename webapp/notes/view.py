"""The longer lists of the notes, and the list of the page's parts: each is shown when opened.

Formatting only. The build provides the list of parts and their licences in their own bundle.
"""

import json
from functools import cache
from pathlib import Path

from notes.words import CARE, METHOD, TRIAL
from page.markup import render
from page.origin import cautions
from pennyflat.trade import facts as tables
from reader.words import later, text
from work.messages import Refused

ABOUT = Path(__file__).parents[1] / "about"
"""Folder of the build's files about the page's parts."""

SBOM, LICENCES = "sbom.cdx.json", "licences.txt"
KINDS = ("published", "second-hand", "trade page", "computed", "common practice", "memory")
"""How well a figure is known, the best first."""

BIBLIOGRAPHY = ("sources", "columns")


def parts(work):
    """The fragments: id to (function, what it shows)."""
    makers = {"safety": _safety, "sources": _sources, "about": _about, "licences": _licences}
    shut = dict.fromkeys(("safety", "sources", "about"), (str,))
    return shut | {name: (make,) for name, make in makers.items() if name in work.opened}


def frame():
    """What the frame shows of the notes: keys of texts, by the heading above them."""
    return {"notes.method": [*METHOD], "notes.trial": [*TRIAL], "notes.care": [*CARE]}


def _safety():
    actions = dict.fromkeys(row["action"] for row in tables.rows("cautions"))
    return render("cautions.html", found=cautions(*actions))


def _sources():
    listed, used = tables.sources(), uses()
    return render(
        "notes-sources.html",
        intro=text("notes.sources_intro", count=str(len(listed))),
        kinds=[text(f"known.{kind}") for kind in KINDS],
        sources=[
            row
            | {
                "issued": ", ".join(filter(None, (row["publisher"], row["year"]))),
                "used": ", ".join(text(f"used.{table}") for table in used[source]),
            }
            for source, row in listed.items()
        ],
    )


@cache
def uses():
    """
    What each source is used for: {source_id: [name of a table]}, "checks" if no row cites it.

    Examples
    --------
    >>> uses()["nsw-health"], uses()["newcombe-1998"]
    (['cautions'], ['checks'])
    """
    found = {source: [] for source in tables.sources()}
    described = dict.fromkeys(row["table"] for row in tables.rows("columns"))  # no files to list
    for table in (name for name in described if name not in BIBLIOGRAPHY):
        rows = tables.rows(table)
        cited = {row.get(key) for row in rows for key in ("source_id", "percent_source_id")}
        for source in cited & found.keys():
            found[source].append(table)
    return {source: names or ["checks"] for source, names in found.items()}


def _about():
    try:
        bill = json.loads(_read(SBOM))
    except OSError:
        return render("line.html", text=text("about.missing"))
    return render("about.html", parts=list(_listed(bill["components"])))


def _listed(components, within=""):
    """All parts, nested ones included, each with what contains it."""
    for part in components:
        told = (one.get("expression") or one["license"]["id"] for one in part["licenses"])
        yield {"version": ""} | part | {"licence": ", ".join(told), "within": within}
        yield from _listed(part.get("components", ()), part["name"])


def _licences():
    try:
        return render("licences.html", licences=_read(LICENCES))
    except OSError:
        return render("line.html", text=text("about.missing"))


def _read(name):
    return (ABOUT / name).read_text("utf-8")


def _file(name, kind):
    """A function that returns one of the build's files for saving."""

    def made(work, desk):
        try:
            return {"name": f"pennyflat-{name}", "type": kind, "text": _read(name)}
        except OSError:
            raise Refused(later("about.missing")) from None

    return made


FILES = {
    "sbom": _file(SBOM, "application/vnd.cyclonedx+json"),
    "licences": _file(LICENCES, "text/plain;charset=utf-8"),
}
"""What can be saved as a file: the function that makes it, by kind."""
