"""Python's files: the standard library, the packages and our own, as bytecode, and a snapshot of
Python's memory with all of them loaded.

The page starts from the snapshot and then has no files. Anything imported or read later is in
bundles: LATE for what only links and calendars need, and one for each language.
"""

import io
import json
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import fetch
from webapp.build.environment import ROOT, page_code
from webapp.build.parts import node
from webapp.build.parts.packing import pack, source_archive, unpack, wheel
from webapp.build.remembered import remembered
from webapp.build.say import step
from webapp.build.texts import catalogues

LIBRARY = "/lib/python{}.{}/".format(*fetch.LOCK["info"]["python"].split("."))
SITE_PACKAGES = LIBRARY + "site-packages/"
HOME = "/pennyflat/"
"""The project's folder in the browser, laid out as here."""

ROOMS = ("reader", "work", "page", "enter", "compare", "buy", "grow", "trials", "notes", "share")
"""Folders of webapp/ whose Python runs in the browser."""

MEMORY = "python.memory"
LATE = "late.bundle"

SOLVED = """
import json, sys
from conversation import Conversation
from pennyflat.buying.highs import solve
answers = []
def solved(program):
    answers.append(solve(program))
    return answers[-1]
Conversation().prepare(solved)
json.dump(answers, sys.stdout)
"""
"""Records how the example's plan is solved, for the page to start with."""

LATE_PACKAGES = ("segno", "icalendar", "dateutil")
"""Go into LATE whole, with the modules of the standard library that they import."""

STEPS = {
    "library": ("bytecode", "Translating the standard library and the packages"),
    "own": ("bytecode", "Translating the calculator"),
    "memory": ("picture", "Taking the picture of Python's memory"),
}

NO_USE = ("/tests/", "/test_", "/fuzzing/", "/__main__.", "/cli.", "/plugins/")


def python_parts():
    """Python's memory and the bundles of files read later: {name: bytes}."""
    library = made_of("library", library_files())
    own = made_of("own", our_own())
    made = made_of("memory", library | own)
    read_late = set(json.loads(made["late"]))
    folders = tuple(f"{SITE_PACKAGES}{package}/" for package in LATE_PACKAGES)
    late = {p: data for p, data in library.items() if p in read_late or p.startswith(folders)}
    spoken = {
        f"{language}.bundle": pack({f"{HOME}webapp/catalogues/{language}.mo": data})
        for language, data in catalogues.compiled().items()
    }
    return {MEMORY: made["memory"], LATE: pack(late)} | spoken


def made_of(kind, files):
    """The output of a step of python.mjs, cached for the next build: {path: bytes}."""
    packed = pack(files)
    task, words = STEPS[kind]

    def make():
        with step(words):
            return pack(node.run(task, packed))

    how = node.SCRIPT.read_bytes() + json.dumps(fetch.LOCK).encode()
    return unpack(remembered(kind, packed + how, make))


def library_files():
    """The standard library, and the packages' files that the browser needs: {path: bytes}."""
    standard = wheel(io.BytesIO(fetch.runtime_files()["python_stdlib.zip"]))
    files = {LIBRARY + name: data for name, data in standard.items()}
    for path in fetch.page_packages():
        inside = wheel(path) if path.suffix == ".whl" else source_archive(path)
        files |= {SITE_PACKAGES + name: data for name, data in inside.items() if needed(name)}
    return files


def our_own():
    """The calculator's files, in the same folders as in the project: {path: bytes}."""
    paths = [
        *ROOT.glob("core/pennyflat/**/*.py"),
        *ROOT.glob("core/pennyflat_display/*.py"),  # its folders need Bokeh and Panel
        *(path for folder in ROOMS for path in ROOT.glob(f"webapp/{folder}/*.py")),
        *ROOT.glob("webapp/*.py"),
        *ROOT.glob("data/*.csv"),
    ]
    files = {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in paths}
    del files["webapp/app.py"]  # with Panel and Bokeh
    files["webapp/bridge.py"] = (ROOT / "webapp/shell/bridge.py").read_bytes()
    files["webapp/solved.json"] = page_code(SOLVED).encode()
    return {HOME + name: data for name, data in (files | templates()).items()}


def templates():
    """The page's templates as Python modules, and empty files with their names: {path: bytes}."""
    with TemporaryDirectory() as folder:
        page_code("import sys; from page import markup; markup.compile_into(sys.argv[1])", folder)
        modules = Path(folder).glob("*.py")
        compiled = {f"webapp/templates/compiled/{m.name}": m.read_bytes() for m in modules}
    pages = ROOT.glob("webapp/templates/*.html")
    return compiled | {f"webapp/templates/{page.name}": b"" for page in pages}


def needed(name):
    """Whether the browser may need a package's file."""
    return name.endswith(".py") and not any(part in name for part in NO_USE)
