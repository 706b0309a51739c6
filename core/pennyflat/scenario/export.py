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

    Cells are text, numbers, or None for an empty cell; a `Decimal` keeps its digits. Where
    `decimal_mark` is a comma, semicolons separate the cells, as spreadsheets then expect.

    >>> csv_text([["mix", "price"], ["=1+1", -5.2]], decimal_mark=",").splitlines()
    ['"mix";"price"', '"\\'=1+1";"-5,2"']
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if decimal_mark == "," else ",", quoting=csv.QUOTE_ALL)
    writer.writerows([_cell(cell, decimal_mark) for cell in row] for row in rows)
    return out.getvalue()


def comparison_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """A report from `compare`, one line per sowing and medium; `decimal_mark` as for `csv_text`."""
    currency = report["currency"]
    heads = ["crop", "wanted", "medium", "ready", "cells", "seeds", "medium [L]", "feedings"]
    heads += [f"{part} as used [{currency} each]" for part in _PARTS]
    heads += [f"at the till [{currency}]", f"at the till [{currency} each]", "left over [L]", "why"]
    rows: list[list[Any]] = [heads]
    media = len(report["comparisons"]) // max(1, len(report["verdicts"]))
    for place, row in enumerate(report["comparisons"]):
        used, till = row["as_used"] or {}, row["at_the_till"] or {}
        rows.append([
            row["crop"], report["verdicts"][place // media]["wanted"],
            row["medium"], "yes" if row["ready"] else "no", row["cells"], row["seeds"],
            _goods(row["medium_litres"]), row["feedings"],
            *(_rounded(used.get(part), decimals + 2) for part in _PARTS),
            _rounded(till.get("paid"), decimals), _rounded(till.get("per_seedling"), decimals + 2),
            _goods(till.get("left_over_litres")), row["why_not"],
        ])  # fmt: skip
    return csv_text(rows, decimal_mark=decimal_mark)


def shopping_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """
    A report from `shop` or `pool`, one line per package, then trips and the total.

    >>> from pennyflat import DEMO, read, shop
    >>> for line in shopping_csv(shop(read(DEMO))).splitlines():
    ...     print(line)
    "shop","item","size","unit","count","to pay [USD]"
    "Corner shop","Seed starter mix","16","qt_dry","1","9.80"
    "Corner shop","Soluble feed 20-20-20","8","oz","1","6.40"
    "Corner shop","seed of tomato","40","seeds","2","6.40"
    "Corner shop","seed of lettuce","500","seeds","1","2.60"
    "Corner shop","seed of marigold","80","seeds","1","2.90"
    "Corner shop","128 cells","1","trays","1","3.20"
    "","To pay","","","","31.30"
    """
    keys = ("item", "size", "unit", "count")
    rows: list[list[Any]] = [["shop", *keys, f"to pay [{report['currency']}]"]]
    for store in report["stores"]:
        paid = [[*(item[key] for key in keys), item["paid"]] for item in store["items"]]
        if store["trip_cost"]:
            paid.append(["Trip", None, None, None, store["trip_cost"]])
        rows += [[store["store"], *bought, _rounded(money, decimals)] for *bought, money in paid]
    rows.append([None, "To pay", None, None, None, _rounded(report["total"], decimals)])
    return csv_text(rows, decimal_mark=decimal_mark)


def payments_csv(report: Mapping[str, Any], *, decimal_mark: str = ".", decimals: int = 2) -> str:
    """Who pays how much of a club's order, a report from `pool`, one line per member."""
    keys = ("goods", "trips", "pays", "alone", "besides", "saving")
    rows: list[list[Any]] = [["member", *(f"{key} [{report['currency']}]" for key in keys)]]
    for member in (*report["members"], {"name": "Together", "pays": report["total"]}):
        rows.append([member["name"], *(_rounded(member.get(key), decimals) for key in keys)])
    return csv_text(rows, decimal_mark=decimal_mark)


def pick_up_csv(report: Mapping[str, Any], *, decimal_mark: str = ".") -> str:
    """What each member takes home of a club's order, a report from `pool`, one line per item."""
    rows = [["member", "item", "takes", "uses", "left over", "missing", "measure"]]
    for member in report["members"]:
        for row in member["items"]:
            used = row["needed"] - row["short_by"]
            amounts = map(_goods, (row["taken"], used, row["left_over"], row["short_by"]))
            rows.append([member["name"], row["item"], *amounts, row["measure"]])
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
    if not isinstance(cell, str):
        return f"{cell:{'f' if isinstance(cell, Decimal) else '.12g'}}".replace(".", decimal_mark)
    is_formula = cell.lstrip(" \u00a0")[:1] in FORMULA_SIGNS and cell.strip(" \u00a0")
    return f"'{cell}" if is_formula else cell
