"""The command line: reads a scenario file, prints a table for people or the report as JSON."""

import argparse
import errno
import json
import os
import re
import shutil
import sys
from pathlib import Path

from pennyflat import __version__
from pennyflat.buying.shopping import shop
from pennyflat.cli.files import text_of
from pennyflat.cli.printout import comparison_lines, pool_lines, shopping_lines
from pennyflat.cli.terminal import folded
from pennyflat.club.pool import PoolError, pool
from pennyflat.club.split import SPLITS
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.scenario.document import ScenarioError, parse, without_noise, write
from pennyflat.scenario.export import csv_text
from pennyflat.scenario.link import LinkError, decode, encode
from pennyflat.trials.report import trial_report
from pennyflat.trials.rows import long_rows
from pennyflat.trials.words import trial_lines

BAD_SCENARIO = 2
"""Exit status for an unusable scenario."""

CLOSED_PIPE = (errno.EPIPE, errno.EINVAL)
"""Errors from writing to a closed pipe; the second on Windows."""

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
One order for several members: mixes and packages for all their sowings together at the least money,
and who pays and takes how much of it. What that saves is divided by what each adds to the cost (the
Shapley value), or equally."""


TRIALS = """\
What the trials in a scenario show: emergence with its range, speed, when a mix ran out, whether
differences are real, and what that does to the cost of a ready seedling."""


def main(arguments: list[str] | None = None) -> int:
    """
    Run the command line.

    Output is UTF-8 with plain line ends, whatever encoding the terminal reports. A reader that
    stops early, like `head`, is not an error.

    Parameters
    ----------
    arguments : list of str, optional
        Without the program's name; the process's own by default.

    Returns
    -------
    int
        Exit status: 0, or 2 for an unusable scenario or an answer that cannot be written.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # Lone surrogates, as in a file name that is not UTF-8, are escaped as in JSON.
            stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="")
    try:
        try:
            return _run(arguments)
        finally:
            if sys.stdout:
                sys.stdout.flush()
    except OSError as error:
        # Otherwise the interpreter tries once more at exit, and complains.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if error.errno in CLOSED_PIPE:
            return 0
        print(f"standard output: {error.strerror}", file=sys.stderr)
        return BAD_SCENARIO


def _run(arguments):
    chosen = _parser().parse_args(arguments)
    try:
        answer = _answer(chosen)
    except (ScenarioError, LinkError, PoolError) as error:
        print(error, file=sys.stderr)
        return BAD_SCENARIO
    except OSError as error:
        print(f"{error.filename or 'standard input'}: {error.strerror}", file=sys.stderr)
        return BAD_SCENARIO
    print(answer)
    return 0


def _answer(chosen):
    """The command's output."""
    # Width of the terminal, or COLUMNS; 0 without either, as in a file or a pipe.
    columns = shutil.get_terminal_size((0, 0)).columns
    if chosen.command == "example":
        return _json(DEMO)
    if chosen.command == "link":
        return chosen.page + "#" + encode(parse(text_of(chosen.file)))
    if chosen.command == "open":
        link = text_of("-").decode("utf-8", "replace") if chosen.link == "-" else chosen.link
        return _json(without_noise(write(decode(link))))
    if chosen.command == "pool":
        scenarios = _members(chosen.files)
        members = zip(scenarios, chosen.files, strict=True)
        names = [scenario.title or Path(file).stem for scenario, file in members]
        report = pool(scenarios, names=names, split=chosen.split)
        return _json(report) if chosen.json else "\n".join(pool_lines(report, columns))
    scenario = parse(text_of(chosen.file))
    if chosen.command == "trials" and chosen.csv:
        return csv_text(long_rows(scenario.trials)).rstrip()
    make, lines = REPORTS[chosen.command]
    report = make(scenario)
    return _json(report) if chosen.json else "\n".join(lines(scenario, report, columns))


REPORTS = {
    "compare": (compare, comparison_lines),
    "shop": (shop, shopping_lines),
    "trials": (trial_report, lambda _, report, columns: folded(trial_lines(report), columns)),
}
"""What makes the report on a scenario, and its lines of text, by command."""


def _members(names):
    """The scenarios in files or links, or every fault in any of them."""
    scenarios, faults = [], []
    for name in names:
        try:
            is_link = re.search(r"(^|#)pf\d+\.", name)
            scenarios.append(decode(name) if is_link else parse(text_of(name)))
        except (ScenarioError, LinkError) as error:
            faults += [f"{name[:60]}: {line}" for line in str(error).splitlines()]
    if faults:
        raise PoolError(faults)
    return scenarios


def _json(value):
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)


def _parser():
    raw = {"formatter_class": argparse.RawDescriptionHelpFormatter}
    file = {"metavar": "FILE", "help": "scenario file; - for standard input"}
    as_json = {"action": "store_true", "help": "print the report as JSON"}
    parser = argparse.ArgumentParser(prog="pennyflat", description=DESCRIPTION, **raw)
    parser.add_argument("--version", action="version", version=f"pennyflat {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, summary, text in (
        ("compare", "cost per transplant-ready seedling", COMPARE),
        ("shop", "the shopping list", SHOP),
    ):
        command = commands.add_parser(name, help=summary, description=text, **raw)
        command.add_argument("file", **file)
        command.add_argument("--json", **as_json)
    commands.add_parser("example", help="print a scenario to start from")
    link = commands.add_parser("link", help="the scenario as a link", description=LINK)
    link.add_argument("file", **file)
    link.add_argument("--page", default="", metavar="ADDRESS", help="address to put before the #")
    opened = commands.add_parser("open", help="the scenario in a link", description=OPEN)
    opened.add_argument("link", metavar="LINK", help="link; - for standard input")
    joint = commands.add_parser("pool", help="one order for several members", description=POOL)
    joint.add_argument("files", metavar="FILE", nargs="+", help="a member's scenario file or link")
    joint.add_argument("--split", choices=SPLITS, default=SPLITS[0], help="what is saved, divided")
    joint.add_argument("--json", **as_json)
    trials = commands.add_parser("trials", help="what side-by-side trials show", description=TRIALS)
    trials.add_argument("file", **file)
    trials.add_argument("--json", **as_json)
    trials.add_argument("--csv", action="store_true", help="print what was written down as CSV")
    return parser
