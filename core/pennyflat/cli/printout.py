"""Reports as lines of text for people: the recommendation first, then tables and sums.

"each" always means money for one ready seedling, as used; "in all" is money for the whole number
wanted. A line below each sum says what it leaves out. `columns` is the width of the terminal, 0 for
lines of any length.
"""

from itertools import groupby
from math import fsum

from pennyflat.buying.shopping import ShoppingList
from pennyflat.cli.terminal import folded, table
from pennyflat.club.pool import Order
from pennyflat.comparing.comparison import Report
from pennyflat.scenario.package import TRAYS
from pennyflat.scenario.records import Scenario

PARTS = {
    "medium": "mix",
    "feed": "feed",
    "seed": "seed",
    "container": "tray",
    "energy": "power",
    "labour": "work",
}
"""Column heads for the parts of a cost."""

WITH_THE_REST = "With all that is not bought in packages"


def comparison_lines(scenario: Scenario, report: Report, columns: int = 0) -> list[str]:
    """
    The comparison, a report from `compare`, as lines of text.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.comparing.report import compare
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> lines = comparison_lines(demo, compare(demo))
    >>> for line in lines[lines.index("tomato: 60 wanted") :][:4]:
    ...     print(line)
    tomato: 60 wanted
    USD each, as used
    medium              total    mix   feed   seed   tray  power
    * Seed starter mix  0.193  0.045  0.001  0.096  0.013  0.038
    """
    lines = [scenario.title] if scenario.title else []
    first = recommendation_text(report)
    lines += ["", *first.splitlines()] if first else []
    media = len(scenario.media)
    for place, verdict in enumerate(report["verdicts"]):
        rows = report["comparisons"][place * media : (place + 1) * media]
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

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.comparing.report import compare
    >>> from pennyflat.scenario.document import read
    >>> for line in recommendation_text(compare(read(DEMO))).splitlines()[1:5]:
    ...     print(line)
    tomato: Seed starter mix, 77 cells, 77 seeds, 6 feedings; 0.193 USD each, as used
    lettuce: Seed starter mix, 156 cells, 156 seeds, 2 feedings; 0.062 USD each, as used
    marigold: Seed starter mix, 69 cells, 69 seeds, 8 feedings; 0.161 USD each, as used
    To pay 31.30 USD in all
    """
    found = report["recommendation"]
    if found is None:
        return ""
    currency = report["currency"]
    lines = [found["sentence"], *(_choice(row, currency) for row in found["plan"])]
    lines.append(f"To pay {found['to_pay']:.2f} {currency} in all")
    lines.append(f"{WITH_THE_REST} {found['with_the_rest']:.2f} {currency} in all")
    if found["per_ready_seedling"] is not None:
        lines[-1] += f", {found['per_ready_seedling']:.3f} {currency} each ready seedling"
    weighed = f"{found['weighed_cost']:.2f}"
    if weighed != f"{found['with_the_rest']:.2f}":
        lines.append(f"Less what is left over, as far as it counts: {weighed} {currency}")
    return "\n".join(lines + _not_counted(found) + _reservations(found, currency))


def shopping_lines(scenario: Scenario, report: ShoppingList, columns: int = 0) -> list[str]:
    """
    The shopping list, a report from `shop`, as lines of text.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.buying.shopping import shop
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> [line for line in shopping_lines(demo, shop(demo)) if line.startswith("To pay")]
    ['To pay 31.30 USD in all', 'To pay 31.30 USD in all']
    """
    currency = report["currency"]
    lines = [scenario.title, ""] if scenario.title else []
    lines += recommendation_text(report).splitlines()
    lines += _store_lines(report, columns)
    lines += ["", f"Packages {report['packages_paid']:.2f}, trips {report['trips_paid']:.2f}"]
    lines += [f"To pay {report['total']:.2f} {currency} in all"]
    lines += [f"{WITH_THE_REST} {report['with_the_rest']:.2f} {currency} in all"]
    if report["over_budget_by"]:
        lines.append(f"Over the budget by {report['over_budget_by']:.2f} {currency}")
    lines += _not_counted(report["recommendation"])
    lines += [
        f"Left over: {row['amount']:.3g} {row['measure']} of {row['item']}, worth"
        f" {row['worth']:.2f} {currency}"
        for row in report["left_over"]
    ]
    lines += [
        f"Cannot be had: {row['item']}, short by {row['short_by']:.3g} {row['measure']}"
        for row in report["unmet"]
    ]
    return folded(lines, columns)


def pool_lines(report: Order, columns: int = 0) -> list[str]:
    """
    The joint order, a report from `pool`, as lines of text.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.club.pool import pool
    >>> from pennyflat.scenario.document import read
    >>> pool_lines(pool([read(DEMO)], names=["Ann"]))[:2]
    ['Ann, tomato: Seed starter mix', 'Ann, lettuce: Seed starter mix']
    """
    currency = report["currency"]
    lines = [
        f"{row['member']}, {row['crop']}: {row['medium'] or _nothing_bought(row)}"
        for row in report["plan"]
    ]
    lines += [*_store_lines(report, columns), "", f"To pay {report['total']:.2f} {currency} in all"]
    lines += [*_not_counted(report["recommendation"]), ""]
    besides = ["besides"] if any(member["besides"] for member in report["members"]) else []
    keys = ["alone", *besides, "saving", "pays", "goods", "trips"]
    lines += table(
        ["member", *keys],
        [[member["name"], *_amounts(member, keys)] for member in report["members"]],
        columns,
    )
    lines += _not_counted(report["recommendation"])
    lines += ["", report["why_not"] or "Nobody pays more than alone."]
    lines += [row["sentence"] for row in (*report["better_alone"], *report["insists"])]
    lines += [report["split"]["sentence"], ""]
    lines += table(
        ["item", "member", "takes", "uses", "left over"],
        [[item["item"], member["name"],
          *(f"{amount:.1f} {item['measure']}" for amount in
            (item["taken"], item["needed"] - item["short_by"], item["left_over"]))]
         for member in report["members"] for item in member["items"]],
        columns,
        names=2,
    )  # fmt: skip
    return folded(lines + [f"Note: {notice}" for notice in report["notices"]], columns)


def _crop_lines(verdict, rows, currency, columns):
    """One crop: each and in all, for every mix, and the verdict."""
    names = [("* " if row["in_plan"] else "  ") + row["medium"] for row in rows]
    # A part that costs nothing in any mix has no column.
    parts = [part for part in PARTS if any((row["as_used"] or {}).get(part) for row in rows)]
    lines = [
        f"{verdict['crop']}: {verdict['wanted']} wanted",
        f"{currency} each, as used",
        *table(
            ["medium", "total", *(PARTS[part] for part in parts)],
            [[name, *_used(row["as_used"], parts)] for name, row in zip(names, rows, strict=True)],
            columns,
        ),
        f"{currency} in all, at the till, for {verdict['wanted']}",
        *table(
            ["medium", "cells", "seeds", "L mix", "pay", "trips", "left"],
            [[name, *_at_the_till(row)] for name, row in zip(names, rows, strict=True)],
            columns,
        ),
    ]  # fmt: skip
    for missing, group in groupby(rows, key=lambda row: row["not_counted"]):
        media = [row["medium"] for row in group]
        where = f" with {', '.join(media)}" if len(media) < len(rows) else ""
        lines += [f"Not counted{where}: {', '.join(missing)}"] if missing else []
    lines.append(verdict["sentence"])
    return lines + [f"{row['medium']}: {row['why_not']}" for row in rows if row["why_not"]]


def _used(used, parts):
    if not used:
        return ["not ready", *"-" * len(parts)]
    return [f"{used[part]:.3f}" for part in ("total", *parts)]


def _at_the_till(row):
    till = row["at_the_till"]
    amounts = [str(row["cells"]), str(row["seeds"]), f"{row['medium_litres']:.1f}"]
    if not till:
        return [*amounts, *"---"]
    worth = fsum(left["worth"] for left in till["left_over"])
    return [*amounts, _money(till["paid"]), _money(till["trips"]), _money(worth)]


def _nothing_bought(row):
    return f"nothing bought. {row['why_not']}"


def _choice(row, currency):
    """The plan's mix for one crop, with how much to sow."""
    if row["medium"] is None:
        return f"{row['crop']}: {_nothing_bought(row)}"
    said = f"{row['crop']}: {row['medium']}"
    for amount in ("cells", "seeds", "feedings"):
        said += f", {row[amount]:.12g} {amount}" if row[amount] else ""
    return f"{said}; {row['each_as_used']:.3f} {currency} each, as used"


def _reservations(found, currency):
    """What is not proven about a plan, and what would change it."""
    lines = []
    if not found["proven"]:
        least = found["at_least"]
        none = "" if least is None else f" None comes below {least:.2f} {currency}, leftovers off."
        lines.append("It is not proven that no other plan costs less." + none)
    return lines + [turn["sentence"] for turn in found["turns"]]


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
        lines += table(
            [" " * digits + "   item", "package", report["currency"]],
            [
                [f"{item['count']:{digits}} x {item['item']}", _size(item), f"{item['paid']:.2f}"]
                for item in store["items"]
            ],
            columns,
        )  # fmt: skip
    return lines


def _size(item):
    """Contents of a package; empty for a tray, whose name says it."""
    return "" if item["unit"] == TRAYS else f"{item['size']:g} {item['unit']}"


def _money(amount):
    return "-" if amount is None else f"{amount:.2f}"


def _amounts(member, keys):
    return (_money(member[key]) for key in keys)
