"""A price list from a CSV file or pasted from a spreadsheet, read as far as it can be understood.

Columns may be in any order. Their heads identify them or, without heads, their contents. Every row
is either recognised or set aside with the reason: only empty rows are dropped silently, and every
guess has a notice.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from pennyflat.scenario.checking import BAD, Faults, record
from pennyflat.scenario.kinds import text
from pennyflat.scenario.package import Package
from pennyflat.sentences import phrase, say
from pennyflat.trade.columns import LONGEST_CELL, find_columns, read_cells
from pennyflat.trade.label import (
    decimal_mark_in,
    leaves_mark_open,
    other_currency,
    read_number,
    read_size,
    signs_in,
)
from pennyflat.units import DIGITS, GRAMS, LITRES

_DEAL = re.compile(r"(\d{1,3})\s*(?:x\s*)?(?:for|à|=|/|@)\s*(\D{0,4}\d[\d.,]*\D{0,4})")


@dataclass(frozen=True, slots=True)
class PriceRow:
    """A row that was understood."""

    line: int
    """Line in the list, from 1."""
    item: str
    package: Package
    notices: tuple[str, ...] = ()
    """Assumptions made, as sentences."""
    other_sign: str = ""
    """The sign of a currency other than the requested one, if the price has one."""


@dataclass(frozen=True, slots=True)
class KeptAside:
    """A row that was not understood."""

    line: int
    text: str
    reason: str
    """A sentence."""


@dataclass(frozen=True, slots=True)
class PriceList:
    """The contents of a list."""

    rows: tuple[PriceRow, ...]
    aside: tuple[KeptAside, ...]


def read_price_list(source: str, *, store: str = "", currency: str = "") -> PriceList:
    """
    The packages in a price list.

    Parameters
    ----------
    source : str
        Text of a CSV file, or cells copied from a spreadsheet.
    store : str, default ""
        The shop that the list is from, for rows that name none.
    currency : str, default ""
        Code of the currency of the prices, to detect other signs. Empty accepts any.
        [ISO 4217]

    Raises
    ------
    ValueError
        If the text is too long, or no columns can be identified; `str` of it is a `Said`.

    Examples
    --------
    >>> lines = ["Price;Mix;Bag", "5,20;Fine mix;10 L", "9,90;Fine mix;a lot"]
    >>> found = read_price_list("\\n".join(lines), store="Lane")
    >>> [(row.item, row.package.size, row.package.unit, row.package.price) for row in found.rows]
    [('Fine mix', 10.0, 'L', 5.2)]
    >>> found.aside[0].reason
    'The size "a lot" is no number with a unit.'
    """
    table, separator = read_cells(source)
    found_mark = decimal_mark_in(cell for _, row in table for cell in row)
    mark, is_sure = found_mark or ".", found_mark is not None
    head_at, columns, unit = find_columns(table, mark, separator)
    width = len(table[head_at][1]) if head_at is not None else max(len(row) for _, row in table)
    head = "" if head_at is None else table[head_at][1][columns["price"]]
    reader = _Reader(columns, width, unit, mark, is_sure, store, currency, head)
    rows, aside = [], []
    seen: dict[tuple[Any, ...], int] = {}
    for place, (line, row) in enumerate(table):
        if place == head_at:
            continue
        shown = " | ".join(cell for cell in row if cell)[:200]
        try:
            if place < (head_at or 0):
                raise _Unclear(phrase("It stands above the heads of the columns."))
            found = reader.row(line, row)
            label = found.item, found.package.store, found.package.size, found.package.unit
            if label in seen:
                raise _Unclear(say("Line {line} has the same package already.", line=seen[label]))
            seen[label] = line
            rows.append(found)
        except _Unclear as unclear:
            aside.append(KeptAside(line, shown, unclear.args[0]))
    return PriceList(tuple(rows), tuple(aside))


def with_known_yield(package: Package, known: Iterable[Package]) -> Package:
    """
    A package without a yield, with that of a known one of the same goods, in proportion to size.

    It is unchanged if it has a yield, or none of the others has one.

    Examples
    --------
    >>> block = Package("Depot", 5, "kg", 13.0, yields_l=65)
    >>> with_known_yield(Package("Lane", 650, "g", 2.5), [block]).yields_l
    8.45
    """
    if package.yields_l is not None:
        return package
    known = tuple(known)
    for table in (LITRES, GRAMS):
        for other in known:
            if other.yields_l is not None and {package.unit, other.unit} <= table.keys():
                share = package.size * table[package.unit] / (other.size * table[other.unit])
                return replace(package, yields_l=float(f"{other.yields_l * share:.{DIGITS}g}"))
    return package


class _Unclear(ValueError):
    """Why a row is set aside."""


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads one row after another by the identified columns."""

    columns: dict[str, int]
    width: int
    unit: str
    mark: str
    is_sure: bool
    store: str
    currency: str
    price_head: str

    def row(self, line, cells):
        """The package in a row; raises `_Unclear`."""
        if any(cells[self.width :]):
            raise _Unclear(
                say(
                    "It has more than {most} cells; a number with a comma may need quotes.",
                    most=self.width,
                )
            )
        if any(len(cell) > LONGEST_CELL for cell in cells):
            raise _Unclear(say("A cell is longer than {most} characters.", most=LONGEST_CELL))
        named = {
            kind: cells[column] if column < len(cells) else ""
            for kind, column in self.columns.items()
        }
        item, size = self._item_and_size(named)
        price = self._number(named, "price")
        if price is None:
            raise _Unclear(phrase("There is no price."))
        store = named.get("store") or self.store
        if not store:
            raise _Unclear(phrase("There is no shop; say which shop the list is from."))
        document = {"store": store, "size": size.number, "unit": size.unit, "price": price}
        document |= self._more(named)
        faults = Faults()
        package = record(Package)(document, "", faults)
        name = text()(item, "item", faults)
        if package is BAD or name is BAD:
            raise _Unclear(say("{fault}.", fault=str(faults[0])))
        notices = [size.notice] if size.notice else []
        if not self.is_sure:
            notices += [
                say(
                    '"{cell}" read as {number:g}.',
                    cell=cell,
                    number=read_number(cell, decimal_mark=self.mark),
                )
                for kind in ("size", "price")
                if leaves_mark_open(cell := named.get(kind, ""))
            ]
        return PriceRow(line, item, package, tuple(notices), self._other_sign(named))

    def _other_sign(self, named):
        if not self.currency:
            return ""
        own = f"{named.get('price', '')} {named.get('deal', '')}"
        return other_currency(own if signs_in(own) else self.price_head, self.currency)

    def _item_and_size(self, named):
        item, label = named.get("item", ""), named.get("size", "")
        if "size" not in self.columns:
            match = re.fullmatch(r"(.*?\D)[\s,(]*(\d[\d.,/ ]*\s*\D[\w. ]*)\)?", item)
            if not match:
                raise _Unclear(phrase("There is no size."))
            item, label = match[1].strip(" ,;:-("), match[2]
        if not item:
            raise _Unclear(phrase("There is no name."))
        if not label:
            raise _Unclear(phrase("There is no size."))
        size = read_size(label, decimal_mark=self.mark)
        unit = named.get("unit") or self.unit
        if size is not None and not size.unit:
            if not unit:
                raise _Unclear(
                    say(
                        'The size "{size}" has no unit; write L, kg or another beside it.',
                        size=label,
                    )
                )
            size = read_size(f"{label} {unit}", decimal_mark=self.mark)
        if size is None:
            shown = f"{label} {unit}".strip()
            raise _Unclear(say('The size "{size}" is no number with a unit.', size=shown))
        return item, size

    def _number(self, named, kind):
        cell = named.get(kind, "")
        if not cell:
            return None
        number = read_number(cell, decimal_mark=self.mark)
        if number is None:
            raise _Unclear(_no_number(kind, cell))
        return number

    def _more(self, named):
        """Yield, limit and deal, if the list has them."""
        found = {
            kind: value
            for kind in ("yields_l", "limit")
            if (value := self._number(named, kind)) is not None
        }
        if named.get("deal"):
            match = _DEAL.search(named["deal"])
            pay = match and read_number(match[2], decimal_mark=self.mark)
            if pay is None:
                raise _Unclear(
                    say('The deal "{deal}" is not like "3 for 26.00".', deal=named["deal"])
                )
            found["deal"] = {"take": int(match[1]), "pay": pay}
        return found


def _no_number(kind, cell):
    if kind == "price":
        return say('The price "{cell}" is no number of at least 0.', cell=cell)
    if kind == "limit":
        return say('The limit "{cell}" is no number of at least 0.', cell=cell)
    return say('The yield "{cell}" is no number of at least 0.', cell=cell)
