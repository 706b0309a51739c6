"""Reports as lines of text for people: the recommendation first, then tables and sums.

"each" always means money for one ready seedling, as used; "in all" is money for the whole number
wanted. A line below each sum says what it leaves out. `columns` is the width of the terminal, 0 for
lines of any length.
"""

from itertools import groupby
from math import fsum
from typing import Any

from pennyflat.buying.shopping import ShoppingList
from pennyflat.cli.terminal import folded, table
from pennyflat.club.pool import Order
from pennyflat.comparing.report import Report, rows_of
from pennyflat.scenario.package import TRAYS
from pennyflat.scenario.records import Scenario

PARTS = {"medium": "mix", "feed": "feed", "seed": "seed", "container": "tray", "energy": "power",
         "labour": "work"}  # fmt: skip
"""Column heads for the parts of a cost."""


def comparison_lines(scenario: Scenario, report: Report, columns: int = 0) -> list[str]:
    """The comparison, a report from `compare`, as lines of text."""
    lines = [scenario.title] if scenario.title else []
    if first := _recommendation(report):
        lines += ["", *first]
    for number, verdict in enumerate(report["verdicts"]):
        rows = rows_of(report, number)
        lines += ["", *_crop_lines(verdict, rows, report["currency"], columns)]
    lines += [f"{rescue['medium']}: {rescue['sentence']}" for rescue in report["rescues"]]
    lines += [
        "",
        "each: one ready seedling's share of what is used, whatever the size of the bag.",
        "in all: what is paid at the till for the number wanted, whole packages and the trips for"
        " them; left: what the leftovers are worth.",
    ]
    if any(row["in_plan"] for row in report["comparisons"]):
        lines.append("*: the mix that the plan chooses.")
    return folded(lines, columns)


def recommendation_text(report: Report | ShoppingList) -> str:
    """
    What to do, by a report from `compare` or `shop`: the plan, what to pay, what would change it.

    Lines of text; "" if there is no recommendation.
    """
    return "\n".join(_recommendation(report))


def _recommendation(report):
    found, currency = report["recommendation"], report["currency"]
    if found is None:
        return []
    lines = [found["sentence"]]
    for row in found["plan"]:
        said = f"{row['crop']}: {row['medium'] or _nothing_bought(row)}"
        if row["medium"] is not None:
            amounts = ((row[name], name) for name in ("cells", "seeds", "feedings"))
            said += "".join(f", {amount:.12g} {name}" for amount, name in amounts if amount)
            said += f"; {row['each_as_used']:.3f} {currency} each, as used"
        lines.append(said)
    lines += _sums(found["to_pay"], found["with_the_rest"], currency)
    if found["per_ready_seedling"] is not None:
        lines[-1] += f", {found['per_ready_seedling']:.3f} {currency} each ready seedling"
    if _money(found["weighed_cost"]) != _money(found["with_the_rest"]):
        weighed = _money(found["weighed_cost"])
        lines.append(f"Less what is left over, as far as it counts: {weighed} {currency}")
    lines += _not_counted(found)
    if not found["proven"]:
        least = found["at_least"]
        none = "" if least is None else f" None comes below {least:.2f} {currency}, leftovers off."
        lines.append("It is not proven that no other plan costs less." + none)
    return lines + [turn["sentence"] for turn in found["turns"]]


def shopping_lines(scenario: Scenario, report: ShoppingList, columns: int = 0) -> list[str]:
    """The shopping list, a report from `shop`, as lines of text."""
    currency = report["currency"]
    lines = [scenario.title, ""] if scenario.title else []
    lines += [*_recommendation(report), *_store_lines(report, columns)]
    lines += ["", f"Packages {report['packages_paid']:.2f}, trips {report['trips_paid']:.2f}"]
    lines += _sums(report["total"], report["with_the_rest"], currency)
    if report["over_budget_by"]:
        lines.append(f"Over the budget by {report['over_budget_by']:.2f} {currency}")
    lines += _not_counted(report["recommendation"])
    lines += [
        f"Left over: {_amount(row['amount'])} {row['measure']} of {row['item']}, worth"
        f" {row['worth']:.2f} {currency}"
        for row in report["left_over"]
    ]
    lines += [
        f"Cannot be had: {row['item']}, short by {_amount(row['short_by'])} {row['measure']}"
        for row in report["unmet"]
    ]
    return folded(lines, columns)


def pool_lines(report: Order, columns: int = 0) -> list[str]:
    """The joint order, a report from `pool`, as lines of text."""
    lines = [
        f"{row['member']}, {row['crop']}: {row['medium'] or _nothing_bought(row)}"
        for row in report["plan"]
    ]
    lines += [*_store_lines(report, columns), ""]
    lines += [f"To pay {report['total']:.2f} {report['currency']} in all"]
    lines += [*_not_counted(report["recommendation"]), ""]
    members: list[Any] = report["members"]
    besides = ["besides"] if any(member["besides"] for member in members) else []
    keys = ["alone", *besides, "saving", "pays", "goods", "trips"]
    rows = [[member["name"], *(_money(member[key]) for key in keys)] for member in members]
    lines += table(["member", *keys], rows, columns)
    lines += _not_counted(report["recommendation"])
    lines += ["", report["why_not"] or "Nobody pays more than alone."]
    lines += [row["sentence"] for row in (*report["better_alone"], *report["insists"])]
    lines += [report["split"]["sentence"], ""]
    rows = []
    for member in members:
        for item in member["items"]:
            used = item["needed"] - item["short_by"]
            amounts = (item["taken"], used, item["left_over"])
            cells = [f"{amount:.1f} {item['measure']}" for amount in amounts]
            rows.append([item["item"], member["name"], *cells])
    lines += table(["item", "member", "takes", "uses", "left over"], rows, columns, names=2)
    return folded(lines + [f"Note: {notice}" for notice in report["notices"]], columns)


def _crop_lines(verdict, rows, currency, columns):
    """One crop: each and in all, for every mix, and the verdict."""
    names = [("* " if row["in_plan"] else "  ") + row["medium"] for row in rows]
    costs = [row["as_used"] or {} for row in rows]
    # A part that costs nothing in any mix has no column.
    parts = [part for part in PARTS if any(used.get(part) for used in costs)]
    each = [
        [name, *(f"{used[part]:.3f}" for part in ("total", *parts))]
        if used
        else [name, "not ready", *"-" * len(parts)]
        for name, used in zip(names, costs, strict=True)
    ]
    in_all = []
    for name, row in zip(names, rows, strict=True):
        till, paid = row["at_the_till"], "---"
        if till:
            worth = fsum(left["worth"] for left in till["left_over"])
            paid = map(_money, (till["paid"], till["trips"], worth))
        sown = str(row["cells"]), str(row["seeds"]), f"{row['medium_litres']:.1f}"
        in_all.append([name, *sown, *paid])
    lines = [
        f"{verdict['crop']}: {verdict['wanted']} wanted",
        f"{currency} each, as used",
        *table(["medium", "total", *(PARTS[part] for part in parts)], each, columns),
        f"{currency} in all, at the till, for {verdict['wanted']}",
        *table(["medium", "cells", "seeds", "L mix", "pay", "trips", "left"], in_all, columns),
    ]
    for missing, group in groupby(rows, key=lambda row: row["not_counted"]):
        media = [row["medium"] for row in group]
        where = f" with {', '.join(media)}" if len(media) < len(rows) else ""
        lines += [f"Not counted{where}: {', '.join(missing)}"] if missing else []
    lines.append(verdict["sentence"])
    return lines + [f"{row['medium']}: {row['why_not']}" for row in rows if row["why_not"]]


def _nothing_bought(row):
    return f"nothing bought. {row['why_not']}"


def _sums(to_pay, with_the_rest, currency):
    return [
        f"To pay {to_pay:.2f} {currency} in all",
        f"With all that is not bought in packages {with_the_rest:.2f} {currency} in all",
    ]


def _not_counted(found):
    """The line below a sum that says what it leaves out."""
    names = found.get("not_counted")
    return [f"Not counted: {', '.join(names)}"] if names else []


def _store_lines(report, columns):
    """The bags to buy, store by store."""
    lines = []
    for store in report["stores"]:
        goers = f" ({' or '.join(store['goes'])})" if "goes" in store else ""
        trip = f", trip {store['trip_cost']:.2f}{goers}" if store["trip_cost"] else ""
        lines += ["", f"{store['store']}: {store['subtotal']:.2f} {report['currency']}{trip}"]
        digits = max((len(str(item["count"])) for item in store["items"]), default=1)
        rows = [
            [f"{item['count']:{digits}} x {item['item']}", _size(item), _money(item["paid"])]
            for item in store["items"]
        ]
        lines += table([" " * digits + "   item", "package", report["currency"]], rows, columns)
    return lines


def _size(item):
    """Contents of a package; empty for a tray, whose name says it."""
    return "" if item["unit"] == TRAYS else f"{item['size']:g} {item['unit']}"


def _amount(amount):
    """An amount to three digits, or all of a whole number with more."""
    return f"{amount:.0f}" if amount >= 99.95 else f"{amount:.3g}"


def _money(amount):
    return "-" if amount is None else f"{amount:.2f}"
