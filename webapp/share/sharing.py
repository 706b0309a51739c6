"""Sending and receiving scenarios: links, QR codes, files, and other people's prices.

Anything from outside is read completely or rejected with one sentence, and nothing of the grower's
changes until they have chosen what to do with it.
"""

import json
from dataclasses import dataclass, replace

from markupsafe import Markup

from page.files import file_name
from pennyflat.scenario import document as scenario
from pennyflat.scenario import link
from pennyflat.trade.names import name_key
from reader.words import counted, later, said
from work import edits
from work.messages import Refused

LONGEST_FILE = 2_000_000
"""Longest file or pasted list that is read. [characters] Ours."""

LONGEST_QR = 2953
"""Capacity of a QR code. [bytes; ISO/IEC 18004, version 40, level L, byte mode]"""

MOST_ROWS, MOST_PAIRS = 500, 3600
"""Most rows with fields, and most pairs of crop and mix, accepted from outside. [count] Ours: with
either the first answer takes one to two seconds natively, four times that in a page."""

QUIET_ZONE = 4
"""White around a QR code. [modules; ISO/IEC 18004]"""

FAULTS_NAMED = 3
"""Most faults listed for an unusable file. [count] Ours."""

POT_ROWS = {"counts", "water", "looks", "fed_in_weeks", "photos"}
"""Lists in a pot of a trial."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A valid scenario from outside, waiting for the grower's choice."""

    document: dict
    source: str
    """"link" or "file"."""


@dataclass(frozen=True, slots=True)
class Merged:
    """A document with another's prices added, and what that changed."""

    document: dict
    changed: int = 0
    """Packages whose price or deal changed. [count]"""
    added: int = 0
    """Packages added. [count]"""
    unknown: tuple[str, ...] = ()
    """Things that are not on the reader's shelf and were skipped."""

    @property
    def said(self):
        """What was done, in words."""
        found = later("merge.done", changed=self.changed, added=self.added)
        if not self.unknown:
            return found
        unknown = later("merge.unknown", names=", ".join(self.unknown))
        return later("notice.two", one=found, other=unknown)


def address(document, page):
    """The page's address with the scenario after its #; `Refused` if that is too long."""
    try:
        return f"{page}#{link.encode(document)}"
    except link.LinkError as error:
        raise Refused(error.args[0]) from None


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code."""

    svg: Markup
    modules: int
    """Width with the quiet zone. [modules]"""


def qr_code(content):
    """The `Code` of a text, or None if the text is too long."""
    if len(content.encode()) > LONGEST_QR:
        return None
    import segno  # only loaded when someone asks for a code

    made = segno.make(content, error="l", micro=False)
    svg = made.svg_inline(omitsize=True, border=QUIET_ZONE, light="#fff", dark="#000")
    return Code(Markup(svg), made.symbol_size(border=QUIET_ZONE)[0])


def is_on_one_device(address):
    """Whether an address is a file's, which only opens on the device that has it."""
    return address.startswith("file:")


def scanned(address):
    """
    The content of a link's QR code: the link or, if no phone could open it, only its plan.

    >>> scanned("https://example.org/#pf1.abc"), scanned("file:///home/ann/page.html#pf1.abc")
    ('https://example.org/#pf1.abc', 'pf1.abc')
    """
    return address.partition("#")[2] if is_on_one_device(address) else address


def from_link(source):
    """The scenario in a link as an `Offer`; `Refused` if there is none."""
    try:
        return Offer(_not_too_large(scenario.write(link.decode(source))), "link")
    except link.LinkError as error:
        raise Refused(error.args[0]) from None


def from_file(name, source):
    """The scenario in a file's text as an `Offer`; `Refused` if there is none."""
    if source is None or len(source) > LONGEST_FILE:
        raise Refused(later("file.too_long", name=name, most=f"{LONGEST_FILE:,}"))
    try:
        return Offer(_not_too_large(scenario.write(scenario.parse(source))), "file")
    except scenario.ScenarioError as error:
        named = [" ".join(said(str(fault)).split()) for fault in error.faults[:FAULTS_NAMED]]
        gaps = {"name": name, "faults": "; ".join(named)}
        if more := len(error.faults[FAULTS_NAMED:]):
            raise Refused(counted("file.unusable_more", more, **gaps)) from None
        raise Refused(later("file.unusable", **gaps)) from None
    except OverflowError:
        raise Refused(later("file.unusable", name=name, faults=later("file.number"))) from None


def _not_too_large(document):
    rows = _rows(document)
    pairs = len(document["sowings"]) * len(document["media"])
    if rows > MOST_ROWS or pairs > MOST_PAIRS:
        counts = {"rows": rows, "pairs": pairs, "most_rows": MOST_ROWS, "most_pairs": MOST_PAIRS}
        raise Refused(later("offer.too_large", **{k: f"{count:,}" for k, count in counts.items()}))
    return document


def _rows(value):
    """The rows that the page shows for a document, except those shown inline in each pot."""
    if isinstance(value, dict):
        return sum(_rows(item) for key, item in value.items() if key not in POT_ROWS)
    return len(value) + sum(map(_rows, value)) if isinstance(value, list) else 0


def as_file(work):
    """The last complete entries as a file: name, type and text."""
    if work.answered is None:
        raise Refused(later("share.nothing"))
    document = scenario.without_noise(scenario.write(scenario.read(work.answered)))
    source = json.dumps(document, ensure_ascii=False, indent=1) + "\n"
    return {"name": file_name(document, "json"), "type": "application/json", "text": source}


def merged(mine, theirs):
    """
    A document with another's packages and prices for everything with the same name in both,
    ignoring capitals, hyphens, spaces and plurals; `Refused` if the prices are in another currency.

    A package of the same size, unit and shop gets the other's price and deal; a new one is added,
    with its shop. Nothing is removed. `theirs` is a document or any part of one that has packages.
    """
    if theirs.get("currency", mine["currency"]) != mine["currency"]:
        currencies = {"mine": mine["currency"], "theirs": theirs["currency"]}
        raise Refused(later("merge.currency", **currencies))
    found = Merged(mine)
    for table in ("media", "ingredients"):
        places = {name_key(row["name"]): (table, i) for i, row in enumerate(mine[table])}
        for row in theirs.get(table, ()):
            found = _with_packages(found, places.get(name_key(row["name"])), row)
    if theirs.get("feed"):
        feed, row = mine.get("feed"), theirs["feed"]
        is_same = feed and name_key(str(feed.get("name"))) == name_key(row["name"])
        found = _with_packages(found, ("feed",) if is_same else None, row)
    return replace(found, document=with_stores(found.document, theirs))


def with_stores(document, theirs):
    """A document with every shop that its packages name, at the other's trip costs."""
    known = {store["name"]: store for store in theirs.get("stores", ())}
    owners = (*document["media"], *document["ingredients"], document.get("feed") or {})
    named = (package.get("store") for owner in owners for package in owner.get("packages", ()))
    listed = edits.names(document, "stores")
    new = [name for name in dict.fromkeys(named) if name and name not in listed]
    rows = [known.get(name, {"name": name}) for name in new]
    return document | {"stores": [*document["stores"], *rows]} if rows else document


def _with_packages(found, place, row):
    if "packages" not in row:
        return found
    own = place and edits.at(found.document, (*place, "packages"))
    if not own:
        return replace(found, unknown=(*found.unknown, row["name"]))
    packages, changed, added = list(own), 0, 0
    for package in row["packages"]:
        at = next((i for i, one in enumerate(packages) if _label(one) == _label(package)), None)
        if at is None:
            packages.append(package)
            added += 1
        elif _money(packages[at]) != _money(package):
            packages[at] = {k: v for k, v in packages[at].items() if k != "deal"} | {
                key: package[key] for key in ("price", "deal") if key in package
            }
            changed += 1
    document = edits.with_value(found.document, (*place, "packages"), packages)
    return replace(
        found, document=document, changed=found.changed + changed, added=found.added + added
    )


def _label(package):
    return tuple(package.get(key) for key in ("store", "size", "unit"))


def _money(package):
    return package.get("price"), package.get("deal")
