"""The wheel, installed away from the checkout: the model, its types, tables and charts."""

import json
import os
import re
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import highspy
import pytest

ROOT = Path(__file__).parents[1]
PARTS = ["core", "data", "pyproject.toml", "README.md", "LICENSE", ".gitignore"]
"""What the wheel is made from."""

KNOWS = """
import json
import pennyflat
from pennyflat.trade import facts
print(json.dumps({
    "from": pennyflat.__file__,
    "version": pennyflat.__version__,
    "crops": [fact.subject for fact in facts.facts("crops")],
    "mixes": [fact.subject for fact in facts.facts("media")],
    "seen": [row["observation"] for row in facts.rows("symptoms")],
    "sources": len(facts.sources()),
}))
"""


def run(*command, cwd):
    """What a command prints, with nothing of the checkout on its path."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    ran = subprocess.run(command, cwd=cwd, env=plain, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """A clean checkout of what the wheel is made from, with the wheel in dist/ beside it."""
    home = tmp_path_factory.mktemp("wheel")
    checkout = home / "checkout"
    checkout.mkdir()
    for name in PARTS:
        if (ROOT / name).is_dir():
            unmade = shutil.ignore_patterns("__pycache__", "*.egg-info")
            shutil.copytree(ROOT / name, checkout / name, ignore=unmade)
        else:
            shutil.copy(ROOT / name, checkout / name)
    run("git", "init", "-q", cwd=checkout)
    run("git", "add", "-A", cwd=checkout)
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "-q", "wheel")
    offline = ("--no-index", "--no-deps", "--no-build-isolation")
    run(*pip, *offline, "-w", str(home / "dist"), str(checkout), cwd=home)
    return checkout


@pytest.fixture(scope="module")
def wheel(project):
    (made,) = (project.parent / "dist").iterdir()
    return made


@pytest.fixture(scope="module")
def python(wheel, tmp_path_factory):
    """The Python of a new environment with the wheel, and with the solver that it depends on."""
    home = tmp_path_factory.mktemp("environment")
    venv.create(home, with_pip=False)
    found = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "-q")
    run(*pip, "--python", str(found), "install", "--no-index", "--no-deps", str(wheel), cwd=home)
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    packages = Path(run(str(found), "-c", where, cwd=home).strip())
    (packages / "solver.pth").write_text(str(Path(highspy.__file__).parents[1]))
    return found


def test_building_it_leaves_nothing_that_git_would_take(project):
    assert run("git", "ls-files", "--others", "--exclude-standard", cwd=project) == ""
    assert run("git", "diff", "--name-only", cwd=project) == ""


def test_it_holds_all_of_the_model_and_every_table(wheel):
    inside = set(zipfile.ZipFile(wheel).namelist())
    model = {path.relative_to(ROOT / "core").as_posix() for path in ROOT.glob("core/**/*.py")}
    tables = {f"pennyflat/data/{path.name}" for path in ROOT.glob("data/*.csv")}

    assert model | tables | {"pennyflat/py.typed"} == {
        name for name in inside if ".dist-info/" not in name
    }


def test_installed_elsewhere_it_knows_the_trade(python, tmp_path):
    known = json.loads(run(str(python), "-c", KNOWS, cwd=tmp_path))

    assert not Path(known["from"]).is_relative_to(ROOT)
    assert "tomato" in known["crops"]
    assert known["mixes"] and known["seen"] and known["sources"]


def test_installed_elsewhere_its_command_shops(python, tmp_path):
    command = python.with_name("pennyflat")
    (tmp_path / "spring.json").write_text(run(str(command), "example", cwd=tmp_path))

    assert "To pay" in run(str(command), "shop", "spring.json", cwd=tmp_path)


def test_tables_without_pandas_say_what_to_install(python, tmp_path):
    code = (
        "import sys, pennyflat\n"
        "sys.modules['pandas'] = None\n"
        "try:\n    pennyflat.compare_table(pennyflat.read(pennyflat.DEMO))\n"
        "except ImportError as error:\n    print(error)\n"
    )

    assert "pip install pennyflat[notebook]" in run(str(python), "-c", code, cwd=tmp_path)


def test_a_view_without_panel_says_what_to_install(python, tmp_path):
    code = (
        "import sys, pennyflat\n"
        "sys.modules['panel'] = None\n"
        "try:\n    pennyflat.view(pennyflat.read(pennyflat.DEMO))\n"
        "except ImportError as error:\n    print(error)\n"
    )

    assert "pip install 'pennyflat[notebook]'" in run(str(python), "-c", code, cwd=tmp_path)


def test_a_view_with_it_is_drawn_by_what_the_wheel_brings(python, tmp_path):
    """Panel is not installed there, but found where the solver is."""
    code = (
        "import pennyflat, pennyflat_display\n"
        "shown = pennyflat.view(pennyflat.read(pennyflat.DEMO))\n"
        "shown.__panel__()\n"
        "print(pennyflat_display.__file__)\nprint(shown.tried.answer.to_pay)\n"
    )
    found, to_pay = run(str(python), "-c", code, cwd=tmp_path).splitlines()

    assert not Path(found).is_relative_to(ROOT)
    assert float(to_pay) == 31.3


def test_its_version_is_the_one_of_the_notes(wheel):
    notes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")

    assert wheel.name.split("-")[1] == re.search(r"^## (\S+)", notes, re.M).group(1)
