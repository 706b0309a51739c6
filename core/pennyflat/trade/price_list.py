"""A price list from a CSV file or pasted from a spreadsheet, read as far as it can be understood.

Columns may be in any order. Their heads identify them or, without heads, their contents. Every row
is either recognised or set aside with the reason: only empty rows are dropped silently, and every
guess has a notice.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from pennyflat.scenario.checking import Faults, record
from pennyflat.scenario.kinds import text
from pennyflat.scenario.package import Package
from pennyflat.sentences import say, unclear
from pennyflat.trade.columns import LONGEST_CELL, find_columns, read_cells
from pennyflat.trade.label import (
    decimal_mark_in,
    leaves_mark_open,
    other_currency,
    read_number,
    read_size,
)
from pennyflat.units import DIGITS, GRAMS

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
    The packages in a price list: the text of a CSV file, or cells copied from a spreadsheet.

    `store` is the shop that the list is from, for rows that name none; `currency` the ISO 4217 code
    of the prices, to detect other signs, or empty to accept any. ValueError if the text is too long
    or no columns can be identified; `str` of it is a `Said`.

    >>> lines = ["Price;Mix;Bag", "5,20;Fine mix;10 L", "9,90;Fine mix;a lot"]
    >>> found = read_price_list("\\n".join(lines), store="Lane")
    >>> [(row.item, row.package.size, row.package.unit, row.package.price) for row in found.rows]
    [('Fine mix', 10.0, 'L', 5.2)]
    >>> found.aside[0].reason
    '"a lot" is not a size with a unit.'
    """
    table, separator = read_cells(source)
    mark = decimal_mark_in(cell for _, row in table for cell in row)
    head_at, columns, unit = find_columns(table, mark or ".", separator)
    heads = None if head_at is None else table[head_at][1]
    width = len(heads) if heads else max(len(row) for _, row in table)
    price_head = heads[columns["price"]] if heads else ""
    reader = _Reader(columns, width, unit, mark, store, currency, price_head)
    rows, aside = [], []
    seen: dict[tuple[Any, ...], int] = {}
    for place, (line, row) in enumerate(table):
        if place == head_at:
            continue
        try:
            if place < (head_at or 0):
                raise unclear("It stands above the heads of the columns.")
            found = reader.row(line, row)
            label = found.item, found.package.store, found.package.size, found.package.unit
            first = seen.setdefault(label, line)
            if first != line:
                raise unclear("Line {line} has the same package already.", line=first)
            rows.append(found)
        except ValueError as error:
            shown = " | ".join(filter(None, row))[:200]
            aside.append(KeptAside(line, shown, error.args[0]))
    return PriceList(tuple(rows), tuple(aside))


def with_known_yield(package: Package, known: Iterable[Package]) -> Package:
    """
    A package without a yield, with that of a known one of the same goods.

    It is that of the same size, if any, else for a weight that of another in proportion. A volume
    of another size is unchanged: it may well be loose where the known one is compressed.

    >>> block = Package("Depot", 5, "kg", 13.0, yields_l=65)
    >>> with_known_yield(Package("Lane", 650, "g", 2.5), [block]).yields_l
    8.45
    """
    if package.yields_l is not None:
        return package
    found = [(one.size, one.unit, one.yields_l) for one in known if one.yields_l is not None]
    for size, unit, yields_l in found:
        if (size, unit) == (package.size, package.unit):
            return replace(package, yields_l=yields_l)
    for size, unit, yields_l in found if package.unit in GRAMS else ():
        if unit in GRAMS:
            share = package.size * GRAMS[package.unit] / (size * GRAMS[unit])
            return replace(package, yields_l=float(f"{yields_l * share:.{DIGITS}g}"))
    return package


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads one row after another by the identified columns; ValueError says what is unclear."""

    columns: dict[str, int]
    width: int
    unit: str
    mark: str | None
    """The decimal mark; None if the list does not tell."""
    store: str
    currency: str
    price_head: str

    def row(self, line, cells):
        """The package in a row."""
        if any(cells[self.width :]):
            raise unclear(
                "It has more than {most} cells; a number with a comma may need quotes.",
                most=self.width,
            )
        if any(len(cell) > LONGEST_CELL for cell in cells):
            raise unclear("A cell is longer than {most} characters.", most=LONGEST_CELL)
        cells = dict(enumerate(cells))
        named = {kind: cells.get(column, "") for kind, column in self.columns.items()}
        item, size = self._item_and_size(named)
        price = self._number(named, "price")
        if price is None:
            raise unclear("There is no price.")
        store = named.get("store") or self.store
        if not store:
            raise unclear("There is no shop; say which shop the list is from.")
        document = {"store": store, "size": size.number, "unit": size.unit, "price": price}
        document |= {kind: self._number(named, kind) for kind in ("yields_l", "limit")}
        faults = Faults()
        package = record(Package)(document | {"deal": self._deal(named)}, "", faults)
        text()(item, "item", faults)
        if faults:
            raise unclear("{fault}.", fault=str(faults[0]))
        notices = [size.notice] if size.notice else []
        for kind in () if self.mark else ("size", "price"):
            if leaves_mark_open(cell := named.get(kind, "")):
                notices.append(
                    say('"{cell}" read as {number:g}.', cell=cell, number=self._read(cell))
                )
        prices = f"{named['price']} {named.get('deal', '')}"
        other_sign = other_currency(self.currency, prices, self.price_head)
        return PriceRow(line, item, package, tuple(notices), other_sign)

    def _read(self, cell):
        return read_number(cell, decimal_mark=self.mark or ".")

    def _number(self, named, kind):
        """The number in a column, None if it is blank."""
        cell = named.get(kind)
        number = self._read(cell) if cell else None
        if number is not None or not cell:
            return number
        if kind == "price":
            raise unclear('"{cell}" is not a price.', cell=cell)
        if kind == "limit":
            raise unclear('"{cell}" is not a number of packages.', cell=cell)
        raise unclear('"{cell}" is not a number of litres.', cell=cell)

    def _item_and_size(self, named):
        item, label = named.get("item", ""), named.get("size", "")
        if "size" not in self.columns:
            match = re.fullmatch(r"(.*?\D)[\s,(]*(\d[\d.,/ ]*\s*\D[\w. ]*)\)?", item)
            if not match:
                raise unclear("There is no size.")
            item, label = match[1].strip(" ,;:-("), match[2]
        if not item:
            raise unclear("There is no name.")
        if not label:
            raise unclear("There is no size.")
        mark, unit = self.mark or ".", named.get("unit") or self.unit
        size = read_size(label, decimal_mark=mark)
        if size and not size.unit:
            if not unit:
                raise unclear(
                    'The size "{size}" has no unit; write L, kg or another beside it.',
                    size=label,
                )
            size = read_size(f"{label} {unit}", decimal_mark=mark)
        if size is None:
            shown = f"{label} {unit}".strip()
            raise unclear('"{size}" is not a size with a unit.', size=shown)
        return item, size

    def _deal(self, named):
        """The deal, None if the list has none."""
        deal = named.get("deal")
        if not deal:
            return None
        match = _DEAL.search(deal)
        pay = match and self._read(match[2])
        if pay is None:
            raise unclear('The deal "{deal}" is not like "3 for 26.00".', deal=deal)
        return {"take": int(match[1]), "pay": pay}
