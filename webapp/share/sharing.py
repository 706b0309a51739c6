"""Sending and receiving scenarios: links, QR codes, files, and other people's prices; and whatever
else can be saved as a file.

Anything from outside is read completely or rejected with one sentence, and nothing of the grower's
changes until they have chosen what to do with it.
"""

import json
from collections import namedtuple

from markupsafe import Markup

from grow.dates import save_calendar
from notes import view as about
from page.files import csv_file, file_name
from pennyflat.scenario import document as scenario
from pennyflat.scenario import link
from pennyflat.trade.merging import with_prices
from pennyflat_display.money import currency_of
from reader.words import counted, later, said
from trials.view import save_trials
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

Offer = namedtuple("Offer", "document source")
"""A valid scenario from a "link" or a "file", waiting for the grower's choice."""

Code = namedtuple("Code", "svg modules")
"""A QR code, and its width with the quiet zone. [modules]"""


def complete(work):
    """The last complete entries; `Refused` if there are none."""
    if work.answered is None:
        raise Refused(later("share.nothing"))
    return work.answered


def address(document, page):
    """The page's address with the scenario after its #; `Refused` if that is too long."""
    try:
        return f"{page}#{link.encode(document)}"
    except link.LinkError as error:
        raise Refused(error.args[0]) from None


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
        return _offered(link.decode(source), "link")
    except link.LinkError as error:
        raise Refused(error.args[0]) from None


def from_file(name, source):
    """The scenario in a file's text as an `Offer`; `Refused` if there is none."""
    if source is None or len(source) > LONGEST_FILE:
        raise Refused(later("file.too_long", name=name, most=f"{LONGEST_FILE:,}"))
    try:
        return _offered(scenario.parse(source), "file")
    except scenario.ScenarioError as error:
        named = [" ".join(said(str(fault)).split()) for fault in error.faults[:FAULTS_NAMED]]
        gaps = {"name": name, "faults": "; ".join(named)}
        if more := len(error.faults[FAULTS_NAMED:]):
            raise Refused(counted("file.unusable_more", more, **gaps)) from None
        raise Refused(later("file.unusable", **gaps)) from None
    except OverflowError:
        raise Refused(later("file.unusable", name=name, faults=later("file.number"))) from None


def _offered(read, source):
    document = scenario.write(read)
    rows, pairs = _rows(document), len(document["sowings"]) * len(document["media"])
    if rows > MOST_ROWS or pairs > MOST_PAIRS:
        counts = {"rows": rows, "pairs": pairs, "most_rows": MOST_ROWS, "most_pairs": MOST_PAIRS}
        raise Refused(later("offer.too_large", **{k: f"{count:,}" for k, count in counts.items()}))
    return Offer(document, source)


def _rows(value):
    """The rows that the page shows for a document, except those shown inline in each pot."""
    if isinstance(value, dict):
        return sum(_rows(item) for key, item in value.items() if key not in POT_ROWS)
    return len(value) + sum(map(_rows, value)) if isinstance(value, list) else 0


def as_file(work):
    """The last complete entries as a file: name, type and text."""
    document = scenario.without_noise(scenario.write(scenario.read(complete(work))))
    source = json.dumps(document, ensure_ascii=False, indent=1) + "\n"
    return {"name": file_name(document, "json"), "type": "application/json", "text": source}


def merged(mine, theirs):
    """Like `with_prices`, for two documents; `Refused` if they are in different currencies."""
    if theirs["currency"] != mine["currency"]:
        currencies = {"mine": mine["currency"], "theirs": theirs["currency"]}
        raise Refused(later("merge.currency", **currencies))
    return with_prices(mine, theirs)


def _csv(what, writer, of):
    """A function that makes the CSV file of a report."""

    def made(work, desk):
        from pennyflat.scenario import export

        report = of(work, desk)
        if report is None:
            raise Refused(later("share.nothing"))
        currency = currency_of(report["currency"])
        options = {"decimal_mark": currency.place.decimal}
        if writer != "pick_up_csv":
            options["decimals"] = currency.decimals
        name = file_name(work.document, "csv", what)
        return csv_file(name, getattr(export, writer)(report, **options))

    return made


def _bill(work, desk):
    complete(work)
    work.catch_up()
    return work.errand.bill


def _pooled(work, desk):
    return desk.order.report


FILES = {
    "plan": lambda work, desk: as_file(work),
    "results": _csv("comparison", "comparison_csv", lambda work, desk: work.report),
    "shopping": _csv("shopping", "shopping_csv", _bill),
    "order": _csv("order", "shopping_csv", _pooled),
    "payments": _csv("payments", "payments_csv", _pooled),
    "pick-up": _csv("pick-up", "pick_up_csv", _pooled),
    "calendar": lambda work, desk: save_calendar(work, None if desk.looking else desk.keeping.id),
    "trials": lambda work, desk: save_trials(work),
    **about.FILES,
}
"""What can be saved as a file: the function that makes it, by kind."""
