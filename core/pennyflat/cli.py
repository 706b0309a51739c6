"""The command line: reads a scenario file, prints a table for people or the report as JSON."""

import argparse
import json
import re
import sys
from pathlib import Path

from pennyflat.demo import DEMO
from pennyflat.export import csv_text
from pennyflat.link import LinkError, decode, encode
from pennyflat.plan import shop
from pennyflat.pool import PoolError, pool
from pennyflat.report import compare
from pennyflat.scenario import ScenarioError, parse, write
from pennyflat.trial_report import trial_report
from pennyflat.trial_rows import long_rows
from pennyflat.trial_words import trial_lines

BAD_SCENARIO = 2
"""Exit status for a scenario that cannot be used."""

DESCRIPTION = """\
What one transplant-ready seedling costs in each growing medium, and what to buy.

Start with an example, put your own shelf and crops into it, and compare:

  pennyflat example > spring.json
  pennyflat compare spring.json
  pennyflat shop spring.json

A scenario is a JSON file: what you are raising (sowings), what is on the shelf (media and their
packages, as on the label), the feed, and what else it takes. Units on packages: L, mL, m3, qt_dry
(the "quart" of bagged mix), qt_liq, gal_liq, bu, cu_in, cu_ft, cu_yd; g, kg, oz, lb. Shares are
fractions: 0.12 for 12 %."""

COMPARE = """\
Cost per transplant-ready seedling, for every sowing in every medium, on two bases:
as used (every litre, gram and seed at its price, whatever the size of the bag) and at the till
(whole packages for the number wanted)."""

SHOP = """\
The shopping list: whole packages of everything the sowings need together, at the least money,
shop by shop."""


LINK = """\
The whole scenario as a link that the page opens: it stands after the # of the page's address, which
no browser sends to a server."""

OPEN = """\
The scenario in a link, as JSON: the whole address, or what stands after its #."""

POOL = """\
One order for several members: everything their sowings need together at the least money, and who
pays and takes how much of it. Each pays by what they use, and nobody more than alone."""


TRIALS = """\
What the trials in a scenario show: emergence with its range, speed, when a mix ran out, whether
differences are real, and what that does to the cost of a ready seedling."""


PARTS = {
    "medium": "mix",
    "feed": "feed",
    "seed": "seed",
    "container": "tray",
    "energy": "power",
    "labour": "work",
}
"""Heads of the columns for the parts of a cost."""


def main(arguments=None):
    """
    Run the command line.

    Parameters
    ----------
    arguments : list of str, optional
        Without the program's name; those of the process if not given.

    Returns
    -------
    int
        Exit status: 0, or 2 for a scenario that cannot be used.
    """
    chosen = _parser().parse_args(arguments)
    try:
        print(_answer(chosen))
    except (ScenarioError, LinkError, PoolError) as error:
        print(error, file=sys.stderr)
        return BAD_SCENARIO
    except OSError as error:
        print(f"{error.filename}: {error.strerror}", file=sys.stderr)
        return BAD_SCENARIO
    return 0


def comparison_lines(scenario, report):
    """The comparison as lines of text."""
    currency = report["currency"]
    lines = [scenario.title] if scenario.title else []
    media = len(scenario.media)
    for place, sowing in enumerate(scenario.sowings):
        rows = report["comparisons"][place * media : (place + 1) * media]
        left_overs = report["left_overs"][place * media : (place + 1) * media]
        lines += [
            "",
            f"{sowing.crop}: {sowing.wanted} wanted",
            *_table(
                ["medium", "cells", "seeds", "L of mix", *PARTS.values(), f"{currency} each",
                 f"{currency} at the till", "L left", "worth"],
                [
                    _comparison_cells(row, left_over["worth"])
                    for row, left_over in zip(rows, left_overs, strict=True)
                ],
            ),
            report["verdicts"][place]["sentence"],
        ]  # fmt: skip
        lines += [f"{row['medium']}: {row['why_not']}" for row in rows if row["why_not"]]
    lines += [f"{rescue['medium']}: {rescue['sentence']}" for rescue in report["rescues"]]
    lines += [f"Note: {notice['text']}" for notice in report["notices"]]
    lines += [
        "",
        "mix to work: each ready seedling's share as used; at the till: whole packages of mix,"
        " additions and feed.",
    ]
    return lines


def shopping_lines(scenario, report):
    """The shopping list as lines of text."""
    currency = report["currency"]
    lines = [scenario.title, ""] if scenario.title else []
    lines += [
        f"{row['crop']}: {row['medium'] or 'nothing bought. ' + row['why_not']}"
        for row in report["plan"]
    ]
    lines += _store_lines(report)
    lines += ["", f"Packages {report['packages_paid']:.2f}, trips {report['trips_paid']:.2f}"]
    lines += [f"To pay {report['total']:.2f} {currency}"]
    lines += [
        f"With seed, containers, energy and labour as used {report['with_the_rest']:.2f} {currency}"
    ]
    if report["over_budget_by"]:
        lines.append(f"Over the budget by {report['over_budget_by']:.2f} {currency}")
    lines += [
        f"Left over: {row['amount']:.3g} {row['measure']} of {row['item']}, worth"
        f" {row['worth']:.2f} {currency}"
        for row in report["left_over"]
    ]
    lines += [
        f"Cannot be had: {row['item']}, short by {row['short_by']:.3g} {row['measure']}"
        for row in report["unmet"]
    ]
    return lines


def pool_lines(report):
    """The joint order as lines of text."""
    currency = report["currency"]
    lines = [
        f"{member['name']}, {row['crop']}: {row['medium'] or 'nothing bought. ' + row['why_not']}"
        for member in report["members"]
        for row in member["plan"]
    ]
    lines += [*_store_lines(report), "", f"To pay {report['bill']:.2f} {currency}", ""]
    lines += _table(
        ["member", "pays", "alone", "saves"],
        [[member["name"], *(_money(member[key]) for key in ("pays", "alone", "saves"))]
         for member in report["members"]],
    )  # fmt: skip
    lines += ["", report["why_not"] or "Nobody pays more than alone.", ""]
    lines += _table(
        ["item", "member", "takes", "uses", "left over"],
        [[item["item"], member["name"],
          *(f"{amount:.1f} {item['measure']}" for amount in
            (item["taken"], item["needed"] - item["short_by"], item["left_over"]))]
         for member in report["members"] for item in member["items"]],
    )  # fmt: skip
    return lines + [f"Note: {notice}" for notice in report["notices"]]


def _answer(chosen):
    """What the command prints."""
    if chosen.command == "example":
        return _json(DEMO)
    if chosen.command == "link":
        return chosen.page + "#" + encode(write(parse(_source(chosen.file))))
    if chosen.command == "open":
        link = _source("-").decode("utf-8", "replace") if chosen.link == "-" else chosen.link
        return _json(write(decode(link)))
    if chosen.command == "pool":
        scenarios = _members(chosen.files)
        titles = [scenario.title for scenario in scenarios]
        names = [title or Path(name).stem for title, name in zip(titles, chosen.files, strict=True)]
        report = pool(scenarios, names=names)
        return _json(report) if chosen.json else "\n".join(pool_lines(report))
    scenario = parse(_source(chosen.file))
    if chosen.command == "trials":
        if chosen.csv:
            return csv_text(long_rows(scenario.trials)).rstrip()
        report = trial_report(scenario)
        return _json(report) if chosen.json else "\n".join(trial_lines(report))
    make, lines = {"compare": (compare, comparison_lines), "shop": (shop, shopping_lines)}[
        chosen.command
    ]
    report = make(scenario)
    return _json(report) if chosen.json else "\n".join(lines(scenario, report))


def _members(names):
    """The scenarios in files or links, or every fault in any of them."""
    scenarios, faults = [], []
    for name in names:
        try:
            is_link = re.search(r"(^|#)pf\d+\.", name)
            scenarios.append(decode(name) if is_link else parse(_source(name)))
        except (ScenarioError, LinkError) as error:
            faults += [f"{name[:60]}: {line}" for line in str(error).splitlines()]
    if faults:
        raise PoolError(faults)
    return scenarios


def _json(value):
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)


def _money(amount):
    return "-" if amount is None else f"{amount:.2f}"


def _store_lines(report):
    """The bags to buy, store by store."""
    lines = []
    for store in report["stores"]:
        goers = f" ({' or '.join(store['goes'])})" if "goes" in store else ""
        trip = f", trip {store['trip_cost']:.2f}{goers}" if store["trip_cost"] else ""
        lines += ["", f"{store['store']}: {store['subtotal']:.2f} {report['currency']}{trip}"]
        lines += _table(
            ["", "item", "package", report["currency"]],
            [
                [f"{item['count']} x", item["item"], f"{item['size']:g} {item['unit']}",
                 f"{item['paid']:.2f}"]
                for item in store["items"]
            ],
        )  # fmt: skip
    return lines


def _comparison_cells(row, worth):
    used, till = row["as_used"], row["at_the_till"]
    return [
        row["medium"],
        str(row["cells"]),
        str(row["seeds"]),
        f"{row['medium_litres']:.1f}",
        *(f"{used[part]:.3f}" if used else "-" for part in PARTS),
        f"{used['total']:.3f}" if used else "not ready",
        f"{till['paid']:.2f}" if till else "-",
        f"{till['left_over_litres']:.1f}" if till else "-",
        f"{worth:.2f}" if till else "-",
    ]


def _table(heads, rows):
    """Columns side by side: the first text left, figures right."""
    widths = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(heads))]
    figures = [all(not c[:1].isalpha() or c == "not ready" for c in col[1:]) for col in
               zip(heads, *rows, strict=True)]  # fmt: skip
    return [
        "  ".join(
            cell.rjust(width) if figure else cell.ljust(width)
            for cell, width, figure in zip(row, widths, figures, strict=True)
        ).rstrip()
        for row in [heads, *rows]
    ]


def _source(name):
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def _parser():
    parser = argparse.ArgumentParser(
        prog="pennyflat",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, text in (("compare", COMPARE), ("shop", SHOP)):
        command = commands.add_parser(
            name,
            help=text.split(":")[0].split(",")[0].lower().replace("\n", " "),
            description=text,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.add_argument("file", metavar="FILE", help="scenario file; - for standard input")
        command.add_argument("--json", action="store_true", help="print the report as JSON")
    commands.add_parser("example", help="print a scenario to start from")
    link = commands.add_parser("link", help="the scenario as a link", description=LINK)
    link.add_argument("file", metavar="FILE", help="scenario file; - for standard input")
    link.add_argument("--page", default="", metavar="ADDRESS", help="address to put before the #")
    opened = commands.add_parser("open", help="the scenario in a link", description=OPEN)
    opened.add_argument("link", metavar="LINK", help="link; - for standard input")
    joint = commands.add_parser("pool", help="one order for several members", description=POOL)
    joint.add_argument("files", metavar="FILE", nargs="+", help="a member's scenario file or link")
    joint.add_argument("--json", action="store_true", help="print the report as JSON")
    trials = commands.add_parser("trials", help="what side-by-side trials show", description=TRIALS)
    trials.add_argument("file", metavar="FILE", help="scenario file; - for standard input")
    trials.add_argument("--json", action="store_true", help="print the report as JSON")
    trials.add_argument("--csv", action="store_true", help="print what was written down as CSV")
    return parser
