"""The longer lists of the notes, and the list of the page's parts: each is shown when opened.

Formatting only. The build provides the list of parts and their licences in their own bundle.
"""

import json
from functools import cache, partial
from pathlib import Path

from notes.words import CARE, METHOD, TRIAL
from page.markup import render
from page.origin import cautions, sentence
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
    shut = dict.fromkeys(("safety", "sources", "about"), (str,))
    made = {
        "safety": (_safety,),
        "sources": (_sources,),
        "about": (_built, SBOM, "about.html"),
        "licences": (_built, LICENCES, "licences.html"),
    }
    return shut | {name: part for name, part in made.items() if name in work.opened}


def frame():
    """What the frame shows of the notes: keys of texts, by the heading above them."""
    return {"notes.method": [*METHOD], "notes.trial": [*TRIAL], "notes.care": [*CARE]}


def _safety():
    actions = dict.fromkeys(row["action"] for row in tables.rows("cautions"))
    return render("cautions.html", found=cautions(*actions))


def _sources():
    used = {
        source: ", ".join(text(f"used.{table}") for table in cited_in)
        for source, cited_in in uses().items()
    }
    listed = {"sources": tables.sources(), "used": used}
    return render("notes-sources.html", kinds=KINDS, sentence=sentence, **listed)


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


def _built(name, template):
    """A file of the build in a template; a sentence where there is none."""
    try:
        return render(template, read=_read(name), listed=_listed)
    except OSError:
        return render("line.html", text=text("about.missing"))


def _listed(bill):
    """All parts of a list of parts, nested ones included, each with what contains it."""

    def listed(components, within=""):
        for part in components:
            told = (one.get("expression") or one["license"]["id"] for one in part["licenses"])
            yield {"version": ""} | part | {"licence": ", ".join(told), "within": within}
            yield from listed(part.get("components", ()), part["name"])

    return listed(json.loads(bill)["components"])


def _read(name):
    return (ABOUT / name).read_text("utf-8")


def _saved(name, kind, work, desk):
    try:
        return {"name": f"pennyflat-{name}", "type": kind, "text": _read(name)}
    except OSError:
        raise Refused(later("about.missing")) from None


FILES = {
    "sbom": partial(_saved, SBOM, "application/vnd.cyclonedx+json"),
    "licences": partial(_saved, LICENCES, "text/plain;charset=utf-8"),
}
"""What can be saved as a file: the function that makes it, by kind."""
