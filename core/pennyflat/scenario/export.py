"""Reports as CSV for a spreadsheet, safe to open whatever the names in them.

A spreadsheet takes a cell that begins with = + - @ or a tab for a formula, and may run it. Such a
text gets an apostrophe in front; all cells are quoted, with quotes doubled. [OWASP Application
Security Verification Standard 5, requirement 1.2.10; line breaks and full-width forms of the signs
as in OWASP's page "CSV Injection", from memory.] Numbers stay numbers, even negative ones, with as
many digits as are meant: money to the minor unit, which has so many `decimals`, the cost of one
seedling to a hundredth of it, goods to a thousandth of their measure.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

MARK = "\ufeff"
"""Start of a file that tells spreadsheets it is UTF-8. [Unicode Standard, 23.8]"""

FORMULA_SIGNS = "=+-@\t\r\n\0＝＋－＠"
"""Characters that must not begin a text, after any spaces."""

_PARTS = ("medium", "feed", "seed", "container", "energy", "labour", "total")


def csv_text(rows: Iterable[Sequence[object]], *, decimal_mark: str = ".") -> str:
    """
    A table as CSV, whose lines end in CR LF. [RFC 4180]

    Parameters
    ----------
    rows : iterable of sequence
        Cells: text, numbers, or None for an empty cell. A `Decimal` keeps its digits.
    decimal_mark : {".", ","}, default "."
        With a comma, semicolons separate the cells, as spreadsheets then expect.

    Examples
    --------
    >>> csv_text([["mix", "price"], ["=1+1", -5.2]]).splitlines()
    ['"mix","price"', '"\\'=1+1","-5.2"']
    >>> csv_text([["mix", 5.2]], decimal_mark=",").strip()
    '"mix";"5,2"'
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if decimal_mark == "," else ",", quoting=csv.QUOTE_ALL)
    writer.writerows([_cell(cell, decimal_mark) for cell in row] for row in rows)
    return out.getvalue()


def comparison_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """
    A report from `compare`, one line per sowing and medium; `decimal_mark` as for `csv_text`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.comparing.report import compare
    >>> from pennyflat.scenario.document import read
    >>> comparison_csv(compare(read(DEMO))).splitlines()[1][:60]
    '"tomato","60","Seed starter mix","yes","77","77","5.163","6"'
    """
    currency, per_sowing = report["currency"], 1
    if report["verdicts"]:
        per_sowing = len(report["comparisons"]) // len(report["verdicts"])
    heads = ["crop", "wanted", "medium", "ready", "cells", "seeds", "medium [L]", "feedings"]
    heads += [f"{part} as used [{currency} each]" for part in _PARTS]
    heads += [f"at the till [{currency}]", f"at the till [{currency} each]", "left over [L]", "why"]
    rows: list[list[Any]] = [heads]
    for place, row in enumerate(report["comparisons"]):
        used, till = row["as_used"] or {}, row["at_the_till"] or {}
        rows.append(
            [
                row["crop"],
                report["verdicts"][place // per_sowing]["wanted"],
                row["medium"],
                "yes" if row["ready"] else "no",
                row["cells"],
                row["seeds"],
                _goods(row["medium_litres"]),
                row["feedings"],
                *(_rounded(used.get(part), decimals + 2) for part in _PARTS),
                _rounded(till.get("paid"), decimals),
                _rounded(till.get("per_seedling"), decimals + 2),
                _goods(till.get("left_over_litres")),
                row["why_not"],
            ]
        )
    return csv_text(rows, decimal_mark=decimal_mark)


def shopping_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """
    A report from `shop` or `pool`, one line per package, then trips and the total.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> from pennyflat.buying.shopping import shop
    >>> for line in shopping_csv(shop(read(DEMO))).splitlines():
    ...     print(line)
    "shop","item","size","unit","count","to pay [USD]"
    "Corner shop","Seed starter mix","16","qt_dry","1","9.80"
    "Corner shop","Soluble feed 20-20-20","8","oz","1","6.40"
    "Corner shop","tomato seed","40","seeds","2","6.40"
    "Corner shop","lettuce seed","500","seeds","1","2.60"
    "Corner shop","marigold seed","80","seeds","1","2.90"
    "Corner shop","128 cells","1","trays","1","3.20"
    "","To pay","","","","31.30"
    """
    rows: list[list[Any]] = [
        ["shop", "item", "size", "unit", "count", f"to pay [{report['currency']}]"]
    ]
    for store in report["stores"]:
        for item in store["items"]:
            bought = (item[key] for key in ("item", "size", "unit", "count"))
            rows.append([store["store"], *bought, _rounded(item["paid"], decimals)])
        if store["trip_cost"]:
            trip = _rounded(store["trip_cost"], decimals)
            rows.append([store["store"], "Trip", None, None, None, trip])
    rows.append([None, "To pay", None, None, None, _rounded(report["total"], decimals)])
    return csv_text(rows, decimal_mark=decimal_mark)


def payments_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """
    Who pays how much of a club's order, a report from `pool`.

    >>> member = {"name": "Ann", "goods": 4.0, "trips": 1.0, "pays": 5.0}
    >>> member |= {"alone": 6.0, "besides": 0.0, "saving": 1.0}
    >>> report = {"currency": "EUR", "members": [member], "total": 5.0}
    >>> for line in payments_csv(report).splitlines():
    ...     print(line)
    "member","goods [EUR]","trips [EUR]","pays [EUR]","alone [EUR]","besides [EUR]","saving [EUR]"
    "Ann","4.00","1.00","5.00","6.00","0.00","1.00"
    "Together","","","5.00","","",""
    """
    keys = ("goods", "trips", "pays", "alone", "besides", "saving")
    rows: list[list[Any]] = [["member", *(f"{key} [{report['currency']}]" for key in keys)]]
    rows += [
        [member["name"], *(_rounded(member[key], decimals) for key in keys)]
        for member in report["members"]
    ]
    total = _rounded(report["total"], decimals)
    rows.append(["Together", None, None, total, None, None, None])
    return csv_text(rows, decimal_mark=decimal_mark)


def pick_up_csv(report: Mapping[str, Any], *, decimal_mark: str = ".") -> str:
    """
    What each member takes home of a club's order, a report from `pool`.

    >>> item = {"item": "Mix", "measure": "L", "needed": 10.0, "taken": 12.5, "left_over": 2.5}
    >>> member = {"name": "Ann", "items": [item | {"short_by": 0.0}]}
    >>> for line in pick_up_csv({"members": [member]}).splitlines():
    ...     print(line)
    "member","item","takes","uses","left over","missing","measure"
    "Ann","Mix","12.5","10","2.5","0","L"
    """
    rows = [["member", "item", "takes", "uses", "left over", "missing", "measure"]]
    rows += [
        [
            member["name"],
            row["item"],
            _goods(row["taken"]),
            _goods(row["needed"] - row["short_by"]),
            _goods(row["left_over"]),
            _goods(row["short_by"]),
            row["measure"],
        ]
        for member in report["members"]
        for row in member["items"]
    ]
    return csv_text(rows, decimal_mark=decimal_mark)


def _rounded(value, places):
    """A number rounded to so many decimals; None stays None."""
    return None if value is None else Decimal(f"{value:.{places}f}")


def _goods(amount):
    """An amount of goods rounded to a thousandth, a millilitre of mix; None stays None. Ours."""
    return None if amount is None else round(amount, 3)


def _cell(cell, decimal_mark):
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}".replace(".", decimal_mark)
    if isinstance(cell, int | float):
        return f"{cell:.12g}".replace(".", decimal_mark)
    is_formula = cell.lstrip(" \u00a0")[:1] in FORMULA_SIGNS and cell.strip(" \u00a0")
    return f"'{cell}" if is_formula else cell
