"""An entry field as shown: its label, its text, its choices; and where the faults are."""

import re
from dataclasses import dataclass, replace
from operator import itemgetter

from markupsafe import Markup

from page.markup import entry
from page.origin import Origin, origin, sentence
from pennyflat.scenario import kinds
from pennyflat.scenario.checking import BAD
from pennyflat.scenario.records import FORMS, REMEDIES
from pennyflat.scenario.trial import LEAVES
from pennyflat.sentences import Said
from pennyflat.units import GRAMS, LITRES
from pennyflat_display import places
from pennyflat_display.money import currency_of, short
from pennyflat_display.places import DECIMALS
from reader import measures
from reader.words import data, field_name, said, text, text_or_none
from work import edits, picking
from work.entry import FIELDS, Field, place, steps, stocked, write_text

SURE = {None: "sure.expected", **dict.fromkeys((0.8, 0.9, 0.95, 0.99), "sure.of")}
"""Offered chances of having enough; None sows for the expected number."""

USED_UP = {0.0: "use.nothing", 0.5: "use.half", 1.0: "use.all"}
"""Offered shares of the leftovers, and their texts."""

_PERCENT = kinds.number(at_least=0, at_most=100)
LOOKED_UP = {
    **dict.fromkeys(("ec", "n", "p2o5", "k2o", "addition_n"), _PERCENT),
    **dict.fromkeys(("dose", "addition_g", "months"), kinds.number(at_least=0, at_most=1000)),
    "ppm_n": kinds.number(at_least=0, at_most=10_000),
    **dict.fromkeys(("price_a", "price_b"), kinds.number(at_least=0)),
    **dict.fromkeys(("wet", "other_wet"), kinds.number(above=0, at_most=10_000)),
}
"""Limits of each number that can be looked up."""

LISTED = {
    "trays[].store": ("stores", "choose.none"),
    **dict.fromkeys(("sowings[].tray", "sowings[].pot_on.tray"), ("trays", "choose.no_tray")),
    "sowings[].medium": ("media", "choose.any"),
    **dict.fromkeys(("packages[].store", "seed_packets[].store"), ("stores", "")),
    **dict.fromkeys(("parts[].ingredient", "additions[].ingredient"), ("ingredients", "")),
    "sowings[].pot_on.medium": ("media", ""),
}
"""Fields that choose from a list, and the text of a blank; "" if a name is required."""

AT_BENCH = {"trials[].medium": "media", "trials[].crop": "crops", "bench.crop": "crops"}
"""Fields that choose from a list, and keep a name that is not in it."""

OFFERED = {
    "currency": lambda: sorted(
        ((code, f"{currency_of(code).name} ({code})") for code in DECIMALS), key=itemgetter(1)
    ),
    "assurance": lambda: [(_typed(share), _share(key, share)) for share, key in SURE.items()],
    "left_over_counts": lambda: [(_typed(share), text(key)) for share, key in USED_UP.items()],
    "sowings[].remedy": lambda: _worded("remedy.{}", REMEDIES),
    "sowings[].shape.form": lambda: _worded("form.{}", FORMS),
    "trials[].looks[].leaves": lambda: [_blank("choose.none"), *_worded("leaves.{}", LEAVES)],
    "media[].kind": lambda: [_blank("choose.kind"), *_worded("kind.{}", picking.kinds())],
}
"""The choices of fields that always have the same ones: [(value, shown), …]."""

CHOSEN = ("choice", "yes", "sure", "share")
"""Kinds of field that always show a choice."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a field's template needs."""

    id: str
    path: str
    kind: str
    label: str
    text: str
    options: tuple = ()
    """(group, ((value, shown), …)), …; empty for a typed field."""
    placeholder: str = ""
    hint: str = ""
    fault: str = ""
    needed: bool = False
    """Whether it is blank and required for an answer."""
    is_required: bool = False
    list: str = ""
    """Id of the list of names suggested while typing."""
    origin: Origin | None = None
    """Where its figure comes from, if from a table."""

    @property
    def described(self):
        """The attribute that links hint and fault to the field."""
        ids = [f"{self.id}-hint"] if self.hint else []
        ids += [f"{self.id}-fault"] if self.fault or self.needed else []
        return Markup(' aria-describedby="{}"').format(" ".join(ids)) if ids else ""


class Fields:
    """The fields of one row of the working document."""

    def __init__(self, prefix, row, faults, currency, **choices):
        self._prefix, self._row, self._currency = prefix, row, currency
        self._faults = {fault.path: fault for fault in faults}
        self._choices = choices

    def field(self, path):
        """The field at a path of the whole document."""
        parts, currency = steps(path), self._currency
        spot = place(parts)
        field = stocked(FIELDS[spot], self._choices.get("measure", "L"))
        value = self._value(parts, field)
        unit = measures.unit(field.quantity, currency) if field.quantity else ""
        needed = self._is_needed(spot, field, value)
        has_default = field.default and field.kind not in CHOSEN  # a blank never looks like a 0
        is_container = spot == "sowings[].container"
        shown = write_text(value, field, currency)
        depth = 2 if spot.startswith("trays[]") else 1
        row = self._row if self._prefix else edits.at(self._row, parts[:depth])
        return Shown(
            id=id_of(path),
            path=path,
            kind=field.kind,
            label=text(f"label.{spot}", symbol=currency.symbol, unit=unit, crop=parts[-1]),
            text=picking.chosen_container(self._row) if is_container else shown,
            options=self._options(spot, value),
            placeholder=write_text(field.default, field, currency) if has_default else "",
            hint=text_or_none(f"hint.{spot}") or "",
            fault="" if needed else self._fault(path, field, value),
            needed=needed and path in self._faults,
            is_required=field.needed,
            list="known-crops" if spot == "sowings[].crop" else "",
            origin=origin(spot, row, value, field, currency),
        )

    def entries(self, at, *keys):
        """The entry fields of these keys at a place, "" for the whole document, as markup."""
        paths = (f"{at}.{key}" if at else key for key in keys)
        return Markup().join(entry(self.field(path)) for path in paths)

    def _is_needed(self, spot, field, value):
        """Whether a required field is blank; a row keeps its last name in the meantime."""
        if field.kind == "name":
            return value == "" == self._row.get(edits.NAMES.get(spot.partition("[]")[0]))
        return value is None and (field.needed or spot == "feed.n_percent")

    def name(self):
        """The row's name as last typed."""
        return self._row.get(edits.TYPED) or self._row.get("crop") or self._row.get("name") or "…"

    def shown(self, key):
        """The text of a field of the row itself, "…" if it is blank."""
        field = FIELDS[place((*self._prefix, key))]
        return write_text(self._row.get(key), field, self._currency) or "…"

    def measured(self, key):
        """The text of such a field with its unit, not as exact as typed in the other units."""
        value, quantity = self._row.get(key), FIELDS[place((*self._prefix, key))].quantity
        if isinstance(value, int | float):
            return measures.measured(value, quantity, self._currency)
        return f"{self.shown(key)} {measures.unit(quantity, self._currency)}"

    def _value(self, parts, field: Field):
        inside = parts[len(self._prefix) :]
        if self._is_waiting(parts, field):
            return edits.at(self._row, inside[:-1])[edits.TYPED]
        missing = field.default if field.kind in CHOSEN else None
        found = edits.at(self._row, inside, missing)
        return missing if found is None and field.kind == "share" else found

    def _is_waiting(self, parts, field):
        """Whether a name was typed that cannot be accepted yet."""
        owner = edits.at(self._row, parts[len(self._prefix) : -1], {})
        return field.kind == "name" and edits.TYPED in owner

    def _fault(self, path, field, value):
        fault = self._faults.get(path)
        if fault is None:
            return ""
        if field.kind == "name" and fault.value is value and not value.strip():
            return text("fault.name_empty")
        if fault.value is value and self._is_waiting(steps(path), field):
            return text("fault.name_taken")
        if isinstance(value, str) and field.kind in ("number", "money"):
            return text("fault.number", text=value, like=text("fault.like"))
        if field.kind == "weeks":
            return text("fault.weeks", text=value)
        if path.startswith("feed.packages") and path.endswith(".unit"):
            return self._feed_by_volume()
        if field.kind in ("percent", "chance"):
            key = "fault.below_100" if value == 1 else f"fault.{field.kind}"
            least = write_text(fault.message.gaps.get("least", 0), field, self._currency)
            return text(key, text=write_text(value, field, self._currency), least=least)
        return sentence(said(_as_typed(fault.message, value, field, self._currency)))

    def _feed_by_volume(self):
        """What to do where a feed that is dosed by weight is sold by volume."""
        dose = measures.unit("liquid_dose", self._currency)
        return text(
            "fault.feed_volume",
            dose=text("label.feed.ml_per_litre", unit=dose),
            where=text("feed.dose"),
            strength=text("label.feed.target_ppm_n"),
        )

    def _options(self, spot, value):
        """The choices by group, plus one for a value not among them; none for a typed field."""
        if spot.endswith("].unit"):
            tables = (("units.volume", LITRES), ("units.weight", GRAMS))
            return tuple((text(key), _worded("unit.{}", table)) for key, table in tables)
        if spot == "sowings[].container":
            return _containers(picking.chosen_container(self._row), self._row, self._currency)
        if spot in OFFERED:
            choices = OFFERED[spot]()
        elif spot in LISTED:
            table, blank = LISTED[spot]
            choices = _named(self._choices[table])
            if blank or (value, value) not in choices:
                choices.insert(0, _blank(blank or "choose.none"))
        elif spot in AT_BENCH:
            names = dict.fromkeys((*self._choices[AT_BENCH[spot]], *filter(None, [value])))
            choices = [*([] if value else [_blank("choose.none")]), *_named(names)]
        elif spot == "happened.sowings[].medium":
            choices = _named(self._choices["media"])
        else:
            return ()
        if value is not None and _typed(value) not in map(itemgetter(0), choices):
            key = "use.share" if spot == "left_over_counts" else "sure.of"
            is_share = isinstance(value, float)
            gone = _share(key, value) if is_share else text("choose.gone", name=value)
            choices = [*choices, (_typed(value), gone)]
        return (("", tuple(choices)),)


class LookedUp:
    """The fields of one look-up and their usable values."""

    def __init__(self, asked, currency):
        self._values, faults = dict(asked), []
        for key, value in asked.items():
            if key in LOOKED_UP and value is not None:
                read = LOOKED_UP[key](value, f"lookup.{key}", faults)
                self._values[key] = None if read is BAD else read
        self._fields = Fields(("lookup",), asked, faults, currency)

    def field(self, key, *, options=(), placeholder=""):
        """One field with its choices; the first is chosen by default."""
        made = self._fields.field(f"lookup.{key}")
        options = (("", tuple(options)),) if options else ()
        return replace(made, options=options, placeholder=placeholder)

    def entries(self, *keys):
        """The entry fields of these keys, as markup."""
        return self._fields.entries("lookup", *keys)

    def __getitem__(self, key):
        return self._values.get(key)


def row_of(path):
    """
    The row or top object that a fault belongs to, as the key of its card.

    Examples
    --------
    >>> row_of("media[0].packages[1].price"), row_of("feed.packages"), row_of("tax")
    (('media', 0), ('feed',), ('tax',))
    """
    try:
        parts = steps(path)
    except ValueError:
        return ("",)
    return parts[: 2 if parts[0] in ("sowings", "media", "ingredients", "trials") else 1]


def by_row(faults):
    """Faults by the row, or the scenario's object or field, that they belong to."""
    found = {}
    for fault in faults:
        key = row_of(fault.path)
        found[key] = (*found.get(key, ()), fault)
    return found


def are_blank(faults):
    """Whether nothing that was entered is wrong: things are only still to be filled in."""
    return all(fault.value in (None, "", []) for fault in faults)


def fault_link(document, fault):
    """The place of a fault in words, and the id of its field or None."""
    key, naming = row_of(fault.path), ("crop", "name")
    if key == ("happened",):
        key, naming = steps(fault.path)[:3], ("crop", "medium")
    row, spot = edits.at(document, key), key != ("",) and place(steps(fault.path))
    name = isinstance(row, dict) and next(filter(None, map(row.get, naming)), None)
    is_field = spot in FIELDS
    what = field_name(spot) if is_field else said(fault.message)
    where = text("fault.at", name=name, what=what) if name else what
    return {"id": id_of(fault.path) if is_field else None, "where": where}


def id_of(path):
    """The id of a field's or row's element; different paths have different ids."""
    signs = {".": "-", "[": "-", "]": "", "_": "_"}
    others = r"[^A-Za-z0-9]"
    return "f-" + re.sub(others, lambda at: signs.get(at[0], f"-x{ord(at[0]):x}-"), path)


def _blank(key):
    return "", text(key)


def _named(names):
    return [(name, name) for name in names]


def _worded(key, values):
    """Values with their texts; kinds of mix may only have their name in the table."""
    return tuple((value, text_or_none(key.format(value)) or data(value)) for value in values)


def _typed(choice):
    return write_text(choice, FIELDS["assurance"], None)


def _containers(chosen, row, currency):
    """The choices of containers, plus one for a volume that is not a published one."""
    first = [_blank("choose.none"), (picking.OWN_SHAPE, text("choose.own_shape"))]
    groups = [("", first)]
    for holder, rows in picking.container_choices():
        shown = [(choice, _container(c.subject, c.usual, currency)) for choice, c in rows]
        groups.append((text(f"holder.{holder}"), shown))
    if chosen not in {choice for _, rows in groups for choice, _ in rows}:
        first.append((chosen, _container(row["container"], row.get("cell_ml"), currency)))
    return tuple((group, tuple(rows)) for group, rows in groups)


def _as_typed(message, value, field, currency):
    """A fault in a number, worded for the number as typed, in its units."""
    if not isinstance(message, Said) or not isinstance(value, int | float):
        return message
    gaps = {}
    for name, gap in message.gaps.items():
        if name == "value":
            typed = write_text(value, field, currency)
            gap = typed if field.quantity else short(value, currency, 15)
        elif isinstance(gap, int | float) and field.quantity:
            gap = measures.shown(gap, field.quantity, currency)
        gaps[name] = _as_typed(gap, value, field, currency)
    return Said(message.template, gaps)


def _container(name, cell_ml, currency):
    if not isinstance(cell_ml, int | float):
        return data(name)
    volume = measures.measured(cell_ml, "cell", currency)
    return text("choose.container", name=data(name), volume=volume)


def _share(key, share):
    return text(key, value=places.write((share or 0) * 100, ".6g"))
