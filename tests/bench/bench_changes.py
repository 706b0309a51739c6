"""Small changes to core/, one at a time: does a test notice each?

Run on a copy, which it changes and puts right again:
    git archive HEAD | tar -x -C COPY && cd COPY && python tests/bench/bench_changes.py

Each change meets the examples of its module and the tests that import it, until one fails. A line
of JSON for each: the exit code is 0 if no test failed, and null if it took too long.
"""

import argparse
import ast
import json
import os
import random
import re
import resource
import sys
from pathlib import Path

import highspy  # noqa: F401 - loaded once, for every run to have
import pytest
import scipy.optimize
import scipy.special
import scipy.stats  # noqa: F401

CORE = Path("core/pennyflat").resolve()
QUIET = ["-q", "-x", "-n0", "-p", "no:cacheprovider", "-m", "not long", "--hypothesis-seed=1"]
NOT_ASKED = "build build_table house wheel environment claims saying catalogues languages places"
"""Tests of texts, builds and other parts than the model."""
SWAPPED = {
    **{ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq},
    **{ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn},
    **{ast.NotIn: ast.In, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div},
    **{ast.Div: ast.Mult, ast.Pow: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.FloorDiv},
    **{ast.And: ast.Or, ast.Or: ast.And},
}
NAMES = {"max": "min", "min": "max", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}


def changes(source):
    """Every possible small change to a module: the node and its replacement."""
    found = []

    def look(node):
        new = _changed(node)
        if new:
            found.append((node, new))
        for field, below in ast.iter_fields(node):
            if field not in ("annotation", "returns", "decorator_list"):
                for each in below if isinstance(below, list) else [below]:
                    if isinstance(each, ast.AST) and not isinstance(each, ast.JoinedStr):
                        look(each)

    look(ast.parse(source))
    return found


def _changed(node):
    if not isinstance(node, ast.expr) or isinstance(node, ast.Starred | ast.Slice):
        return None
    new = ast.parse(ast.unparse(node), mode="eval").body
    match new:
        case ast.Compare() if type(new.ops[0]) in SWAPPED:
            new.ops[0] = SWAPPED[type(new.ops[0])]()
        case ast.BinOp() | ast.BoolOp() if type(new.op) in SWAPPED:
            new.op = SWAPPED[type(new.op)]()
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            new = new.operand
        case ast.IfExp():
            new.test = ast.UnaryOp(ast.Not(), new.test)
        case ast.Constant(value=int() as value) if not isinstance(value, bool):
            new.value = value + 1
        case ast.Constant(value=float() as value):
            new.value = value * 1.5 if value else 1.0
        case ast.Call(func=ast.Name(id=name)) if name in NAMES:
            new.func.id = NAMES[name]
        case ast.Call(func=ast.Attribute(attr=name)) if name in NAMES:
            new.func.attr = NAMES[name]
        case _:
            return None
    return ast.unparse(ast.fix_missing_locations(new))


def with_change(source, node, new):
    """The module's text, with one place of it changed."""
    lines = source.encode().splitlines(keepends=True)
    begin = sum(map(len, lines[: node.lineno - 1])) + node.col_offset
    end = sum(map(len, lines[: node.end_lineno - 1])) + node.end_col_offset
    whole = b"".join(lines)
    return (whole[:begin] + b"(" + new.encode() + b")" + whole[end:]).decode()


def tests_of(name):
    """The module's examples and the tests that import it; of those that import its users if none.

    Short files come first, for they tell soonest.
    """
    modules = {name}
    found = _importing(modules)
    if not found:
        modules = {str(path.relative_to(CORE)) for path in _importing(modules, CORE.rglob("*.py"))}
        found = _importing(modules)
    ordered = sorted(found, key=lambda path: path.stat().st_size)
    return [f"core/pennyflat/{name}", *(str(path) for path in ordered)]


def _importing(modules, places=None):
    """Files that import one of these modules."""
    if places is None:
        left_out = {f"test_{part}.py" for part in NOT_ASKED.split()}
        places = [path for path in Path("tests").rglob("test_*.py") if path.name not in left_out]
        places = [path for path in places if "browser" not in path.parts]
    names = [name.removesuffix(".py").replace("/", ".") for name in modules]
    pattern = re.compile("|".join(_import_of(name) for name in names))
    return [path for path in places if pattern.search(path.read_text())]


def _import_of(name):
    room, _, module = name.rpartition(".")
    whole = rf"pennyflat\.{re.escape(name)}\b"
    inside = rf"from pennyflat\.{re.escape(room)} import [^\n]*\b{module}\b"
    return f"{whole}|{inside}" if room else whole


def run(arguments, limit):
    """Exit code of pytest in its own process; None if it takes too long."""
    child = os.fork()
    if not child:
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1), os.dup2(silent, 2)
        os._exit(int(pytest.main([*QUIET, *arguments])))
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else None


def main():
    """Print one line of JSON for each change, and the share that was noticed."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--count", type=int, default=300)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--seconds", type=int, default=90, help="of the processor, for a change")
    options.add_argument("--only", type=int, nargs="*", help="numbers of changes to try again")
    options = options.parse_args()
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    every = [
        (str(path.relative_to(CORE)), *change)
        for path in sorted(CORE.rglob("*.py"))
        for change in changes(path.read_text())
    ]
    sample = random.Random(options.seed).sample(every, options.count)
    noticed = slow = tried = 0
    for number, (name, node, new) in enumerate(sample):
        if options.only and number not in options.only:
            continue
        path, tests = CORE / name, tests_of(name)
        source = path.read_text()
        path.write_text(with_change(source, node, new))
        try:
            code = run(tests, options.seconds)
        finally:
            path.write_text(source)
        tried += 1
        noticed += code not in (0, None)
        slow += code is None
        told = {"change": number, "file": name, "line": node.lineno, "was": ast.unparse(node)}
        print(json.dumps({**told, "now": new, "code": code}), flush=True)
    print(f"{noticed} of {tried} noticed, {slow} took too long, of {len(every)} possible changes")


if __name__ == "__main__":
    main()
