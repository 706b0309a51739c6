"""Which column of a price list holds what.

Columns may be in any order. Their heads identify them or, without heads, their contents.
"""

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence

from pennyflat.sentences import unclear
from pennyflat.trade.label import read_number, read_size, read_unit

MOST_CHARACTERS = 2_000_000
"""Longest list that is read. [characters] Ours."""

MOST_ROWS = 20_000
"""Most rows that are read. [count] Ours."""

LONGEST_CELL = 300
"""Longest cell of a row that is read. [characters] Ours."""

SEPARATORS = ("\t", ";", "|", ",")
"""Possible separators between columns; the first wins if several fit equally well."""

HEADS = {
    "price": "price, cost, pays, eur, usd, gbp, chf, €, $, £",
    "deal": "deal, offer, special, multibuy",
    "limit": "limit, max, maximum",
    "yields_l": "yields, yield, loosened, expanded, soaked",
    "store": "store, shop, supplier, seller, vendor, retailer, source, where",
    "size": "size, volume, content, contents, quantity, amount, weight, pack, package, bag",
    "unit": "unit, units, uom, measure",
    "item": "item, product, article, description, name, medium, mix, ingredient, goods, what",
}
"""Words in a column's head, by what the column holds; the first match counts."""

MOST_LOOKED_AT = 1000
"""Most rows examined to identify columns without heads, spread over the list. [count] Ours."""

_PER_MEASURE = re.compile(r"(per|/)\s*(l|litre|liter|kg|g|100|oz|lb|qt|quart|unit of)\b")
_SIGN = re.compile(r"[€$£¥]|\b[A-Z]{3}\b")
_KEYS = {word: kind for kind, words in HEADS.items() for word in words.split(", ")}
_MOST_HEAD_ROWS = 60
_ROWS_TRIED = 30
_IS_FIGURE = re.compile(r"\W{0,4}(?:[A-Z]{3})?\W{0,3}\d[\d.,'’ ]*\W{0,4}(?:[A-Z]{3})?\W{0,2}")


def read_cells(source: str) -> tuple[list[tuple[int, list[str]]], str]:
    """
    Line, from 1, and cells of every row of a list that is not empty, and what separates them.

    ValueError if the text is too long or has no columns; `str` of it is a `Said`.

    >>> read_cells("Mix;Price\\n\\nFine mix;5,20")
    ([(1, ['Mix', 'Price']), (3, ['Fine mix', '5,20'])], ';')
    """
    source = source.removeprefix("\ufeff")
    if len(source) > MOST_CHARACTERS:
        raise unclear(
            "The list is longer than {most:,} characters; take a part of it.",
            most=MOST_CHARACTERS,
        )
    tables = [(_rows(source, mark), mark) for mark in SEPARATORS if mark in source]
    table, separator = max(tables, key=lambda found: _alike(found[0]), default=([], ""))
    if not _alike(table):
        raise unclear(
            "No columns can be made out; set them apart by tabs, semicolons or commas, one"
            " package a line."
        )
    if len(table) > MOST_ROWS:
        raise unclear("The list has more than {most:,} rows; take a part of it.", most=MOST_ROWS)
    return table, separator


def _alike(table):
    """How many rows have the same number of cells, more than one. [count]"""
    widths = Counter(len(row) for _, row in table if len(row) > 1)
    return max(widths.values(), default=0)


def _rows(source, separator):
    reader = csv.reader(io.StringIO(source, newline=""), delimiter=separator)
    try:
        found = [(reader.line_num, [_cell(cell) for cell in row]) for row in reader]
    except csv.Error as error:
        raise unclear(
            "Line {line} cannot be read: {reason}.", line=reader.line_num, reason=str(error)
        ) from None
    return [(line, row) for line, row in found if any(row)]


def _cell(cell):
    """On one line, without the apostrophe that stops a spreadsheet from reading it as a formula."""
    cell = " ".join(cell[: 2 * LONGEST_CELL].split())
    return cell[1:] if re.match(r"'[=+\-@]", cell) else cell


def find_columns(
    table: Sequence[tuple[int, list[str]]], mark: str, separator: str
) -> tuple[int | None, dict[str, int], str]:
    """
    What each column of a list from `read_cells` holds, for a decimal mark.

    Returns the place of the row of heads in the table, None without one; the column of each kind, a
    key of `HEADS`; and the unit in the head of sizes, empty without one. ValueError if commas could
    be decimal marks or separators; `str` of it is a `Said`.

    >>> find_columns([(1, ["Mix", "Size (L)", "Price"]), (2, ["Fine mix", "10", "5.20"])], ".", ";")
    (0, {'item': 0, 'size': 1, 'price': 2}, 'l')
    """
    rows = [row for _, row in table]
    place, heads, prices = _heads(rows, mark)
    columns = {} if prices else _by_content(rows, mark)
    if heads and not {"item", "price"} <= columns.keys():
        return place, heads, _unit_in(rows[place][heads["size"]]) if "size" in heads else ""
    if separator == "," and _is_torn(rows, columns):
        raise unclear(
            "It cannot be told whether 5,20 is one number here or two; set the columns apart by"
            " tabs or semicolons, or put the numbers in quotes."
        )
    return None, columns, ""


def _heads(rows, mark):
    """Place and columns of the row that is most likely the heads, and how many prices follow it."""
    found = [(0, {}, 0)]
    for place, row in enumerate(rows[:_MOST_HEAD_ROWS]):
        if any(_IS_FIGURE.fullmatch(cell) or read_size(cell, decimal_mark=mark) for cell in row):
            continue
        columns = _by_head(row)
        if "price" in columns and len(columns) > 1:
            price, below = columns["price"], rows[place + 1 : place + 1 + _ROWS_TRIED]
            cells = [row[price] for row in below if len(row) > price]
            prices = sum(read_number(cell, decimal_mark=mark) is not None for cell in cells)
            found.append((place, columns, prices))
    # The last of those with the most prices: anything above it is about the whole list.
    return max(found, key=lambda heads: (len(heads[1]), heads[2], heads[0]))


def _by_head(row):
    found = {}
    for column, cell in enumerate(row):
        head = cell.casefold()
        if _PER_MEASURE.search(head) or (re.search(r"\d", head) and _SIGN.search(cell)):
            continue
        words = re.findall(r"[^\W_]+|[€$£]", head)
        kinds = {_KEYS[word] for word in words if word in _KEYS}
        if not kinds and _unit_in(head):
            kinds = {"size"}
        if kinds:
            found.setdefault(min(kinds, key=list(HEADS).index), column)
    return found


def _unit_in(head):
    """The unit in the head of a column, as in "Size (L)" or "litres"."""
    head = head.casefold()
    return next(filter(read_unit, (*re.findall(r"\(([^)]*)\)", head), head, *head.split())), "")


def _by_content(rows, mark):
    """Columns of a list without heads, identified by more than half of their cells."""
    filled = Counter(count for row in rows if (count := sum(map(bool, row))) > 1)
    usual = filled.most_common(1)[0][0] if filled else 1
    rows = [row for row in rows if sum(map(bool, row)) >= usual - 1] or rows
    rows = rows[:: 1 + len(rows) // MOST_LOOKED_AT]
    width = max(map(len, rows))
    cells = [[row[column] for row in rows if len(row) > column] for column in range(width)]

    def columns(looks_right):
        return [
            column
            for column in range(width)
            if sum(map(bool, map(looks_right, cells[column]))) * 2 > len(rows)
        ]

    def is_size(cell):
        size = read_size(cell, decimal_mark=mark)
        return size and size.unit

    found = {}
    sizes, units = columns(is_size), columns(read_unit)
    numbers = [c for c in columns(re.compile(r"\D{0,4}\d\S*\D{0,4}").fullmatch) if c not in sizes]
    signed = [c for c in columns(_SIGN.search) if c in numbers]
    bare = [c for c in numbers if c not in signed]
    if sizes:
        found["size"] = sizes[0]
    elif units and bare:
        found["unit"] = units[0]
        found["size"] = min(bare, key=lambda c: (abs(c - units[0]), c))
    if prices := signed or [c for c in numbers if c != found.get("size")]:
        found["price"] = prices[-1]
    texts = [c for c in columns(re.compile(r"[^\W\d]{2}").search) if c not in found.values()]
    texts.sort(key=lambda c: (-len(set(cells[c])), c))
    return found | dict(zip(("item", "store"), texts, strict=False))


def _is_torn(rows, columns):
    """Whether the prices look like cents cut off at a decimal comma."""
    price = columns.get("price", 0)
    return price > 0 and all(
        re.fullmatch(r"\d\d", row[price]) and re.fullmatch(r"\D*\d+", row[price - 1])
        for row in rows
        if len(row) > price
    )
