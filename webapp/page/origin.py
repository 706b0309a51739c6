"""Where a field's figure comes from: the rows of the table behind it, and whether it still matches.

Formatting only; `picking.suggestion` decides what a table suggests.
"""

from dataclasses import dataclass

from pennyflat.trade import facts as tables
from pennyflat.trade.facts import widest
from pennyflat_display.money import short, with_percent_sign
from pennyflat_display.places import US
from reader import measures
from reader.words import CATALOGUE, counted, data, text
from work import picking
from work.entry import FIELDS, Field, exact_text, write_text

QUANTITIES = {"L": "mix", "mL": "cell", "cm": "length", "degC": "temperature", "K": "warming"}
"""The quantities of those units of the tables that a reader may want in other units."""

LIQUIDS = {"ml_per_cell": "liquid", "litres_per_tray": "solution"}
"""The quantities of facts that have their own."""


@dataclass(frozen=True, slots=True)
class Row:
    """One statement of a source."""

    figure: str
    who: str
    place: str
    known: str
    note: str
    used: bool = False


@dataclass(frozen=True, slots=True)
class Origin:
    """What is shown under a field that a table knows about."""

    state: str
    """"table", "yours", or "blank" if nothing is entered."""
    gist: str
    """The figure, or the range over all sources."""
    put: str
    """The suggested value as written."""
    exact: str
    """The suggested value as typed for full precision."""
    rows: tuple[Row, ...]
    is_figure: bool = False
    """Whether the gist is a figure or a range, not words."""


def origin(spot, row, value, field: Field, currency):
    """The origin of a field at a place in `entry.FIELDS`, or None if no table covers it."""
    if field.kind == "yes":
        return _advice(row, currency) if spot == "sowings[].presprout" else None
    found = picking.suggestion(spot, row)
    return found and of_suggestion(found, value, field, currency)


def _advice(row, currency):
    """The table's advice on sprouting a crop's seed first; not a value to start from."""
    facts = picking.presprout(row.get("crop") or "")
    if not facts:
        return None
    key = "origin.advised" if facts[0].value else "origin.seldom"
    words = (sentence(data(fact.text)).removesuffix(".") for fact in facts)  # not their figures
    rows = (row_of(fact, currency, shown=said) for fact, said in zip(facts, words, strict=True))
    return Origin("table", text(key, crop=row["crop"]), "", "", tuple(rows))


def of_suggestion(found, value, field: Field, currency):
    """The same for a given suggestion."""
    first, facts, gist, same = found.value, found.facts, "", value == found.value
    if isinstance(value, int | float) and isinstance(first, int | float):
        same = abs(value - first) < 1e-9
    if facts and isinstance(first, str):
        gist = data(first)
    elif ends := widest(facts):
        gist = _range(None, *ends, facts[0], currency)
    several = len(facts) > 1
    return Origin(
        "blank" if value is None else "table" if same else "yours",
        gist,
        write_text(first, field, currency),
        exact_text(first, field, currency),
        tuple(row_of(fact, currency, used=several and fact is facts[0]) for fact in facts),
        is_figure=bool(gist) and not isinstance(first, str),
    )


def yields_of(row, name, currency):
    """
    What a package of this name, sold compressed or by weight, may yield, by source: (row to show,
    volume as written, volume as typed).
    """
    field, unit = FIELDS["packages[].yields_l"], measures.unit("mix", currency)
    shown = []
    for one in picking.yields(row, name):
        key = "origin.yield_one" if one.low == one.high else "origin.yield"
        low, high = (measures.plain(end, "mix", currency) for end in (one.low, one.high))
        said_range = text(key, low=low, high=high, unit=unit)
        said = text("origin.of", what=data(one.subject), figure=said_range)
        take = (float(f"{one.usual:.3g}"), field, currency)
        found = row_of(one, currency, shown=said)
        shown.append((found, write_text(*take), exact_text(*take)))
    return shown


def row_of(fact, currency, *, shown=None, used=False):
    """One fact as listed, with other words in place of its figure if `shown` is given."""
    who, known = who_says(fact.source_id, fact.place), text(f"known.{fact.kind}")
    return Row(shown or figure(fact, currency), *who, known, sentence(data(fact.note)), used)


def who_says(source_id, place=""):
    """A source in words, the place in it, and where it was read; blank for common practice."""
    if source_id == "common-practice":
        return "", ""
    source = tables.sources()[source_id]
    year = source["year"].replace("undated", "")
    who = ", ".join(filter(None, (source["title"], source["publisher"], year)))
    return who, "; ".join(filter(None, (place, source["where"])))


def cautions(*actions):
    """Precautions for some kinds of work: (action, rows of the table with their source)."""
    rows = [(row["action"], _with_source(row)) for row in tables.rows("cautions")]
    return [(data(one), [row for action, row in rows if action == one]) for one in actions]


def bag_checks():
    """What to check on a bag before paying, row by row, with the source."""
    return [_with_source(row) for row in tables.rows("bag_checks")]


def _with_source(row):
    who, place = who_says(row["source_id"], row["place"])
    own = {column: data(words) for column, words in row.items()}
    return own | {"who": who, "read": place, "known": text(f"known.{row['kind']}")}


def figure(fact, currency):
    """A fact's figure or range with its unit, or its words."""
    shown = _range(fact.value, fact.low, fact.high, fact, currency)
    return " – ".join(filter(None, (shown, data(fact.text))))


def sentence(words):
    """Words with a capital and a full stop."""
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _range(value, low, high, fact, currency):
    """A figure or a range with its unit; percentages for shares."""
    value = low if value is None and low == high else value
    count = value if value is not None else low if high is None else high
    if count is None:
        return ""
    quantity = LIQUIDS.get(fact.quantity) or QUANTITIES.get(fact.unit)

    def figure(one):
        if one is None:
            return ""
        if quantity and currency.units == US:
            return measures.plain(one, quantity, currency, 2 if fact.unit == "degC" else 3)
        return short(one * 100 if fact.unit == "share" else one, currency, 6)

    key = "origin.at_least" if high is None else "origin.at_most" if low is None else "origin.range"
    figures = figure(value) or text(key, low=figure(low), high=figure(high))
    if fact.unit in ("share", "percent"):
        return with_percent_sign(figures, currency)
    if quantity:
        unit = measures.unit(quantity, currency)
    else:
        key = f"of.{fact.unit}"
        unit = counted(key, count) if isinstance(CATALOGUE[key], tuple) else text(key)
    return text("origin.of_unit", figure=figures, unit=unit)
