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
from pennyflat.trials.table import long_rows
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


def main(arguments: list[str] | None = None) -> int:
    """
    Run the command line with `arguments`, without the program's name; the process's by default.

    Returns the exit status: 0, or 2 for an unusable scenario or an answer that cannot be written.
    Output is UTF-8 with plain line ends, whatever encoding the terminal reports. A reader that
    stops early, like `head`, is not an error.
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
    # Width of the terminal, or COLUMNS; 0 without either, as in a file or a pipe.
    columns = shutil.get_terminal_size((0, 0)).columns
    try:
        answer = chosen.answer(chosen, columns)
    except (ScenarioError, LinkError, PoolError) as error:
        print(error, file=sys.stderr)
        return BAD_SCENARIO
    except OSError as error:
        print(f"{error.filename or 'standard input'}: {error.strerror}", file=sys.stderr)
        return BAD_SCENARIO
    if isinstance(answer, dict):
        answer = [json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False)]
    print("\n".join(answer))
    return 0


# Each command's answer: a JSON value or lines of text. The docstrings are the commands' help.


def _compare(chosen, columns):
    """
    Cost per transplant-ready seedling, for every sowing in every medium, on two bases: as used
    (every litre, gram and seed at its price, whatever the size of the bag) and at the till (whole
    packages for the number wanted).
    """
    scenario = parse(text_of(chosen.file))
    report = compare(scenario)
    return report if chosen.json else comparison_lines(scenario, report, columns)


def _shop(chosen, columns):
    """
    The shopping list: whole packages of everything the sowings need together, at the least money,
    shop by shop.
    """
    scenario = parse(text_of(chosen.file))
    report = shop(scenario)
    return report if chosen.json else shopping_lines(scenario, report, columns)


def _link(chosen, columns):
    """
    The whole scenario as a link that the page opens: it stands after the # of the page's address,
    which no browser sends to a server.
    """
    return [chosen.page + "#" + encode(parse(text_of(chosen.file)))]


def _open(chosen, columns):
    """The scenario in a link, as JSON: the whole address, or what stands after its #."""
    link = text_of("-").decode("utf-8", "replace") if chosen.link == "-" else chosen.link
    return without_noise(write(decode(link)))


def _pool(chosen, columns):
    """
    One order for several members: mixes and packages for all their sowings together at the least
    money, and who pays and takes how much of it. What that saves is divided by what each adds to
    the cost (the Shapley value), or equally.
    """
    scenarios, faults = [], []
    for name in chosen.files:
        try:
            is_link = re.search(r"(^|#)pf\d+\.", name)
            scenarios.append(decode(name) if is_link else parse(text_of(name)))
        except (ScenarioError, LinkError) as error:
            faults += [f"{name[:60]}: {line}" for line in str(error).splitlines()]
    if faults:
        raise PoolError(faults)
    members = zip(scenarios, chosen.files, strict=True)
    names = [scenario.title or Path(file).stem for scenario, file in members]
    report = pool(scenarios, names=names, split=chosen.split)
    return report if chosen.json else pool_lines(report, columns)


def _trials(chosen, columns):
    """
    What the trials in a scenario show: emergence with its range, speed, when a mix ran out, whether
    differences are real, and what that does to the cost of a ready seedling.
    """
    scenario = parse(text_of(chosen.file))
    if chosen.csv:
        return [csv_text(long_rows(scenario.trials)).rstrip()]
    report = trial_report(scenario)
    return report if chosen.json else folded(trial_lines(report), columns)


_FILE = ("file", {"metavar": "FILE", "help": "scenario file; - for standard input"})
_JSON = ("--json", {"action": "store_true", "help": "print the report as JSON"})

COMMANDS = {
    "compare": (_compare, "cost per transplant-ready seedling", _FILE, _JSON),
    "shop": (_shop, "the shopping list", _FILE, _JSON),
    "example": (lambda chosen, columns: DEMO, "print a scenario to start from"),
    "link": (_link, "the scenario as a link", _FILE,
             ("--page", {"default": "", "metavar": "ADDRESS",
                         "help": "address to put before the #"})),
    "open": (_open, "the scenario in a link",
             ("link", {"metavar": "LINK", "help": "link; - for standard input"})),
    "pool": (_pool, "one order for several members",
             ("files", {"metavar": "FILE", "nargs": "+",
                        "help": "a member's scenario file or link"}),
             ("--split", {"choices": SPLITS, "default": SPLITS[0],
                          "help": "what is saved, divided"}),
             _JSON),
    "trials": (_trials, "what side-by-side trials show", _FILE, _JSON,
               ("--csv", {"action": "store_true", "help": "print what was written down as CSV"})),
}  # fmt: skip
"""What answers each command, a summary of it, and its arguments."""


def _parser():
    parser = argparse.ArgumentParser(
        prog="pennyflat",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"pennyflat {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for name, (answer, summary, *arguments) in COMMANDS.items():
        command = commands.add_parser(name, help=summary, description=answer.__doc__)
        command.set_defaults(answer=answer)
        for argument, settings in arguments:
            command.add_argument(argument, **settings)
    return parser
