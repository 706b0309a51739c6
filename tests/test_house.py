"""The order of core's packages, the types of what they offer, and the size of rooms and modules."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CORE = ROOT / "core" / "pennyflat"
DISPLAY = ROOT / "core" / "pennyflat_display"
WEBAPP = ROOT / "webapp"

MOST_MODULES = 12
MOST_LINES = 400


def checked(*command):
    """What a checker of the source says; empty if all is well."""
    path = os.pathsep.join(
        [str(ROOT / "core"), str(ROOT / "webapp"), os.environ.get("PYTHONPATH", "")]
    )
    ran = subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": path, "PYTHONWARNINGS": "ignore"},
        capture_output=True,
        text=True,
    )
    return "" if ran.returncode == 0 else ran.stdout + ran.stderr


def test_packages_import_only_those_below():
    """By the contracts in pyproject.toml."""
    lint = "import sys; from importlinter.cli import lint_imports as lint; sys.exit(lint({}))"

    assert checked("-c", lint.format("no_cache=True")) == ""


def test_types_are_sound():
    assert checked("-m", "mypy") == ""


HOUSES = (CORE, DISPLAY, WEBAPP)
ROOMS = [room for house in HOUSES for room in (house, *house.rglob("*")) if room.is_dir()]


@pytest.mark.parametrize("folder", ROOMS, ids=lambda room: room.relative_to(ROOT).as_posix())
def test_rooms_and_modules_stay_small(folder):
    modules = [path for path in folder.glob("*.py") if path.name != "__init__.py"]

    assert len(modules) <= MOST_MODULES
    for module in modules:
        assert len(module.read_text(encoding="utf-8").splitlines()) <= MOST_LINES, module
