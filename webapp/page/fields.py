"""An entry field as shown: its label, its text, its choices, and its faults."""

import re
from dataclasses import dataclass, replace

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
from pennyflat_display.money import currency_of
from pennyflat_display.places import DECIMALS
from reader import measures
from reader.words import data, said, text, text_or_none
from work import edits, picking
from work.entry import FIELDS, Field, path_of, place, steps, stocked, write_text

SURE = (None, 0.8, 0.9, 0.95, 0.99)
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
    "sowings[].tray": ("trays", "choose.no_tray"),
    "sowings[].pot_on.tray": ("trays", "choose.no_tray"),
    "sowings[].medium": ("media", "choose.any"),
}
"""Fields that choose from a list or may stay blank: the list, and the text of a blank."""

AT_BENCH = {"trials[].medium": "media", "trials[].crop": "crops", "bench.crop": "crops"}
"""Fields that choose from a list, and keep a name that is not in it."""

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
    def is_number(self):
        """Whether only a number can be typed; a chance may contain a slash, too."""
        return self.kind in ("number", "money", "percent")

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
        parts = steps(path)
        spot = place(parts)
        field = stocked(FIELDS[spot], self._choices.get("measure", "L"))
        value = self._value(parts, field)
        gaps = {"symbol": self._currency.symbol}
        if field.quantity:
            gaps["unit"] = measures.unit(field.quantity, self._currency)
        if spot.endswith("{}"):
            gaps["crop"] = parts[-1]
        needed = self._is_needed(spot, field, value)
        has_default = field.default and field.kind not in CHOSEN  # a blank never looks like a 0
        is_container = spot == "sowings[].container"
        shown = write_text(value, field, self._currency)
        return Shown(
            id=id_of(path),
            path=path,
            kind=field.kind,
            label=text(f"label.{spot}", **gaps),
            text=picking.chosen_container(self._row) if is_container else shown,
            options=self._options(spot, value),
            placeholder=write_text(field.default, field, self._currency) if has_default else "",
            hint=text_or_none(f"hint.{spot}") or "",
            fault="" if needed else self._fault(path, field, value),
            needed=needed and path in self._faults,
            is_required=field.needed,
            list="known-crops" if spot == "sowings[].crop" else "",
            origin=self._origin(spot, parts, value, field),
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

    def by_crop(self, key, crop):
        """The path of a crop's emergence or survival in this mix."""
        return path_of((*self._prefix, key, crop))

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

    def _origin(self, spot, parts, value, field):
        row = self._row if self._prefix else edits.at(self._row, parts[:1])
        if spot.startswith("trays[]"):
            row = edits.at(self._row, parts[:2])
        return origin(spot, row, value, field, self._currency)

    def _value(self, parts, field: Field):
        inside = parts[len(self._prefix) :]
        if field.kind == "name" and edits.TYPED in edits.at(self._row, inside[:-1], {}):
            return edits.at(self._row, inside[:-1])[edits.TYPED]
        missing = field.default if field.kind in CHOSEN else None
        found = edits.at(self._row, inside, missing)
        return missing if found is None and field.kind == "share" else found

    def _fault(self, path, field, value):
        fault = self._faults.get(path)
        if fault is None:
            return ""
        if field.kind == "name" and fault.value is value and "already" not in fault.message:
            return text("fault.name_taken" if value.strip() else "fault.name_empty")
        if isinstance(value, str) and field.kind in ("number", "money"):
            return text("fault.number", text=value, like=text("fault.like"))
        if field.kind == "weeks":
            return text("fault.weeks", text=value)
        if field.kind in ("percent", "chance"):
            return text(f"fault.{field.kind}", text=write_text(value, field, self._currency))
        return sentence(said(_as_typed(fault.message, value, field, self._currency)))

    def _options(self, spot, value):
        if spot.endswith("].unit"):
            return _units()
        if spot == "sowings[].remedy":
            return _plain((key, text(f"remedy.{key}")) for key in REMEDIES)
        if spot == "currency":
            known = [(code, f"{currency_of(code).name} ({code})") for code in DECIMALS]
            known.sort(key=lambda choice: choice[1])
            return _with_current(known, value)
        if spot == "assurance":
            return _with_current([(_sure_text(share), _sure_words(share)) for share in SURE], value)
        if spot == "left_over_counts":
            known = [(_sure_text(share), text(key)) for share, key in USED_UP.items()]
            return _with_current(known, value, "use.share")
        if spot in AT_BENCH:
            blank = [] if value else [("", text("choose.none"))]
            names = dict.fromkeys((*self._choices[AT_BENCH[spot]], *filter(None, [value])))
            return _plain([*blank, *_named(names)])
        if spot == "happened.sowings[].medium":
            return _with_current(list(_named(self._choices["media"])), value)
        if spot in LISTED:
            table, blank = LISTED[spot]
            return _with_current([("", text(blank)), *_named(self._choices[table])], value)
        if spot == "sowings[].container":
            return _containers(picking.chosen_container(self._row), self._row, self._currency)
        if spot == "trials[].looks[].leaves":
            leaves = [(leaf, text(f"leaves.{leaf}")) for leaf in LEAVES]
            return _plain([("", text("choose.none")), *leaves])
        if spot == "sowings[].shape.form":
            return _plain((form, text(f"form.{form}")) for form in FORMS)
        if spot == "media[].kind":
            kinds = [(kind, text_or_none(f"kind.{kind}") or data(kind)) for kind in picking.kinds()]
            return _with_current([("", text("choose.kind")), *kinds], value)
        listed = {".store": "stores", ".ingredient": "ingredients", "pot_on.medium": "media"}
        for ending, table in listed.items():
            if spot.endswith(ending):
                names = self._choices[table]
                blank = [] if value in names else [("", text("choose.none"))]
                return _with_current([*blank, *_named(names)], value)
        return ()


class LookedUp:
    """The fields of one look-up and their usable values."""

    def __init__(self, asked, currency):
        self._asked, faults = asked, []
        self.values = {}
        for key, value in asked.items():
            if key in LOOKED_UP and value is not None:
                value = LOOKED_UP[key](value, f"lookup.{key}", faults)
            self.values[key] = None if value is BAD else value
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
        return self.values.get(key)


def id_of(path):
    """The id of a field's or row's element; different paths have different ids."""
    return "f-" + re.sub(r"[^A-Za-z0-9]", _coded, path)


_ID_SIGNS = {".": "-", "[": "-", "]": "", "_": "_"}


def _coded(match):
    return _ID_SIGNS.get(match[0], f"-x{ord(match[0]):x}-")


def _plain(choices):
    return (("", tuple(choices)),)


def _named(names):
    return ((name, name) for name in names)


def _containers(chosen, row, currency):
    """The choices of containers, plus one for a volume that is not a published one."""
    first = [("", text("choose.none")), (picking.OWN_SHAPE, text("choose.own_shape"))]
    groups = [
        (
            text(f"holder.{holder}"),
            tuple((choice, _container(c.name, c.cell_ml, currency)) for choice, c in rows),
        )
        for holder, rows in picking.container_choices()
    ]
    known = {choice for _, rows in groups for choice, _ in rows} | {choice for choice, _ in first}
    if chosen not in known:
        first.append((chosen, _container(row["container"], row.get("cell_ml"), currency)))
    return (("", tuple(first)), *groups)


def _as_typed(message, value, field, currency):
    """A fault in a number, worded for the number as typed, in its units."""
    if not isinstance(message, Said) or not isinstance(value, int | float):
        return message
    gaps = {}
    for name, gap in message.gaps.items():
        if name == "value":
            gap = write_text(value, field, currency)
        elif isinstance(gap, int | float) and field.quantity:
            gap = measures.shown(gap, field.quantity, currency)
        gaps[name] = _as_typed(gap, value, field, currency)
    return Said(message.template, gaps)


def _container(name, cell_ml, currency):
    if not isinstance(cell_ml, int | float):
        return data(name)
    volume = measures.measured(cell_ml, "cell", currency)
    return text("choose.container", name=data(name), volume=volume)


def _with_current(choices, value, key="sure.of"):
    """The choices, plus one for a value not among them; `key` is for the text of a share."""
    if value is None or _sure_text(value) in [choice[0] for choice in choices]:
        return _plain(choices)
    gone = _sure_words(value, key) if isinstance(value, float) else text("choose.gone", name=value)
    return _plain([*choices, (_sure_text(value), gone)])


def _sure_text(value):
    if value is None:
        return "expected"
    return value if isinstance(value, str) else f"{value:.12g}"


def _sure_words(share, key="sure.of"):
    if share is None:
        return text("sure.expected")
    return text(key, value=places.write(share * 100, ".6g"))


def _units():
    return tuple(
        (text(f"units.{kind}"), tuple((unit, text(f"unit.{unit}")) for unit in table))
        for kind, table in (("volume", LITRES), ("weight", GRAMS))
    )
