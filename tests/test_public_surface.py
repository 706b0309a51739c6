"""What the package offers, and that its documentation says what a caller needs to know."""

import ast
import importlib
import inspect
import json
import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import pennyflat

MODULES = [
    importlib.import_module(found.name)
    for found in pkgutil.walk_packages(pennyflat.__path__, "pennyflat.")
    if not found.ispkg
]


def is_function(found):
    """Whether it is a function, perhaps one whose outcomes are kept."""
    return inspect.isfunction(inspect.unwrap(found))


FUNCTIONS = [
    pytest.param(function, id=f"{module.__name__.removeprefix('pennyflat.')}.{name}")
    for module in MODULES
    for name, function in inspect.getmembers(module, is_function)
    if function.__module__ == module.__name__ and not name.startswith("_")
]

COMPUTING = {
    "base64", "binascii", "bisect", "collections", "csv", "dataclasses", "datetime", "decimal",
    "enum", "fractions", "functools", "hashlib", "heapq", "io", "itertools", "json", "math",
    "operator", "re", "statistics", "types", "typing", "unicodedata", "zlib",
}  # fmt: skip
"""Parts of the standard library that reach no file, clock or screen by themselves."""

BESIDES = {
    "pennyflat.__main__": {"sys"},
    "pennyflat.cli.command": {"argparse", "errno", "os", "pathlib", "shutil", "sys"},
    "pennyflat.cli.files": {"os", "pathlib", "sys"},
    "pennyflat.buying.highs": {"highspy"},  # loaded when called
    "pennyflat.notebook": {"pennyflat_display"},  # loaded when called
    "pennyflat.tables": {"pandas"},  # loaded when called
    "pennyflat.trade.facts": {"pathlib"},
}


def test_public_names_are_the_list():
    visible = {
        name
        for name, value in vars(pennyflat).items()
        if not name.startswith("_") and not inspect.ismodule(value)
    }

    assert visible == set(pennyflat.__all__)
    assert pennyflat.__all__ == sorted(pennyflat.__all__)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_it_says_what_it_does_and_with_which_types(function):
    assert inspect.getdoc(function)

    signature = inspect.signature(function)
    given = [p.annotation for p in signature.parameters.values()]

    assert inspect.Signature.empty not in (*given, signature.return_annotation)


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_core_knows_nothing_of_pages_or_files(module):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    imported = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            imported |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add(node.module.split(".")[0])

    assert not imported - COMPUTING - {"pennyflat"} - BESIDES.get(module.__name__, set())


@pytest.mark.parametrize("heavy", ["pandas", "numpy", "highspy", "panel", "pennyflat_display"])
def test_importing_the_package_does_not_import(heavy):
    code = f"import sys, pennyflat.buying.highs; sys.exit({heavy!r} in sys.modules)"

    core = str(Path(pennyflat.__file__).parents[1])
    ran = subprocess.run([sys.executable, "-c", code], env={"PYTHONPATH": core}, check=False)

    assert ran.returncode == 0


@pytest.mark.parametrize(
    "make",
    [
        pennyflat.compare,
        pennyflat.shop,
        pennyflat.trial_report,
        pennyflat.compare_table,
        pennyflat.shop_table,
        pennyflat.trials_table,
        pennyflat.view,
    ],
)
def test_a_document_that_was_not_read_is_refused_with_what_to_do(make):
    with pytest.raises(TypeError, match=r"takes a Scenario, not a dict: read\(document\)"):
        make(pennyflat.DEMO)


def test_members_that_were_not_read_are_refused():
    with pytest.raises(TypeError, match=r"pool\(\) takes a Scenario, not a str"):
        pennyflat.pool(pennyflat.DEMO)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_scenario_is_loaded_from_a_path_or_an_open_file(tmp_path, encoding):
    path = tmp_path / "spring.json"
    path.write_text(json.dumps(pennyflat.DEMO), encoding=encoding)
    expected = pennyflat.read(pennyflat.DEMO)

    assert pennyflat.load(path) == pennyflat.load(str(path)) == expected
    with open(path, "rb") as file:
        assert pennyflat.load(file) == expected
    with open(path, encoding=encoding) as file:
        assert pennyflat.load(file) == expected


def test_a_link_is_made_from_a_scenario_or_its_document():
    scenario = pennyflat.read(pennyflat.DEMO)

    assert pennyflat.encode_link(scenario) == pennyflat.encode_link(pennyflat.DEMO)
    assert pennyflat.decode_link(pennyflat.encode_link(scenario)) == scenario
