"""Text that fits a terminal: tables with wrapped names, and lines folded between words.

A terminal's width is in columns; 0 columns means any length.
"""

import re
import unicodedata
from collections.abc import Iterable
from itertools import zip_longest

LEAST_COLUMNS = 60
"""Narrowest terminal that tables are fitted to; narrower ones are treated as this wide. [columns]
"""

LEAST_NAME = 12
"""Columns a name keeps before a table is split in two; longer names wrap. [columns]"""

NAME_GOES_ON = "    "
"""Indent of a wrapped name."""


def table(
    heads: list[str], rows: list[list[str]], columns: int = 0, *, names: int = 1
) -> list[str]:
    """
    Columns side by side: names on the left, figures on the right.

    A name that is too long wraps; if that is not enough, the figures are split over several tables
    that repeat the names. The first `names` columns hold names. [count]

    >>> for line in table(["mix", "each", "in all"], [["Fine mix", "0.2", "12.30"]]):
    ...     print(line)
    mix       each  in all
    Fine mix   0.2   12.30
    """
    widths = [max(map(width, column)) for column in zip(heads, *rows, strict=True)]
    most = max(LEAST_COLUMNS, columns) if columns else sum(widths) + 2 * len(widths)
    named, figures = widths[:names], widths[names:]
    room = most - sum(2 + figure for figure in figures) - 2 * (names - 1)
    while sum(named) > max(room, LEAST_NAME * names):
        named[named.index(max(named))] -= 1
    taken = sum(named) + 2 * (names - 1)
    blocks: list[list[int]] = [[]]
    for column, figure in enumerate(figures, names):
        held = taken + sum(2 + widths[other] for other in blocks[-1])
        if blocks[-1] and held + 2 + figure > most:
            blocks.append([])
        blocks[-1].append(column)
    lines = []
    for block in blocks:
        for row in [heads, *rows]:
            lines += _row_lines(row, named, [(column, widths[column]) for column in block])
    return lines


def folded(lines: Iterable[str], columns: int = 0) -> list[str]:
    """
    Lines that fit the terminal, broken between words.

    >>> folded(["Seed starter mix costs least as used, and at the till until 105 are wanted."], 60)
    ['Seed starter mix costs least as used, and at the till until', '105 are wanted.']
    """
    if not columns:
        return list(lines)
    most = max(LEAST_COLUMNS, columns)
    return [
        part for line in lines for part in ([line] if width(line) <= most else _fold(line, most))
    ]


def width(text: str) -> int:
    """
    Columns that a text takes on a terminal: two for wide East Asian characters, none for combining
    marks. [Unicode Standard Annex 11, East Asian Width]
    """
    return sum(
        0
        if unicodedata.category(sign) in ("Mn", "Me", "Cf")
        else 1 + (unicodedata.east_asian_width(sign) in "WF")
        for sign in text
    )


def _row_lines(row, named, figures):
    """One row of a table: its names on as many lines as they need, its figures on the first."""
    parts = [
        _fold(cell, most, NAME_GOES_ON) for cell, most in zip(row[: len(named)], named, strict=True)
    ]
    lines = []
    for at, names in enumerate(zip_longest(*parts, fillvalue="")):
        cells = [name + " " * (most - width(name)) for name, most in zip(names, named, strict=True)]
        if at == 0:
            cells += [" " * (most - width(row[at])) + row[at] for at, most in figures]
        lines.append("  ".join(cells).rstrip())
    return lines


def _fold(text, most, hang=""):
    """A text in lines of at most `most` columns; a word is broken only if necessary."""
    lines, line = [], ""
    for piece in re.findall(r" *[^ ]+", text):
        if line and width(line + piece) > most:
            lines.append(line)
            line, piece = hang, piece.lstrip(" ")
        line += piece
        while width(line) > most:
            fits = next(end for end in range(len(line), 0, -1) if width(line[:end]) <= most)
            lines.append(line[:fits])
            line = hang + line[fits:]
    return [*lines, line]
