"""Python's files for the browser: the standard library, the packages, our own, and the rest.

A bundle is one file: the length of an index (4 bytes, little-endian), the index as JSON
([[folder, [[name, start, length], …]], …]), and the files' bytes one after the other. The page lays
it into Python's file system as it is, without unpacking. Of a file that lies in the rest, a bundle
has only name and length, and for its start the name of the bundle in which it lies: Python sees it,
and that bundle is fetched when it is read. Each language's catalogue is a bundle of its own. Which
files the start reads stands in webapp/lock/start.txt, and in asked.txt those read for whoever takes
a link, a calendar or another file along; `build.py trace` writes both.

The files are bytecode where that can be made. pyodide-build makes it (`pyodide py-compile`), which
needs the runtime's own Python 3.12. Without one the bundles carry sources, and the browser
translates them at every start.
"""

import io
import json
import os
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import fetch
from webapp.build.environment import PYTHON, ROOT, RUNTIME_PYTHON
from webapp.build.fetch import CACHE, keep, sha256
from webapp.build.say import Stop, say, step

LIBRARY = "/lib/python3.12/"
SITE_PACKAGES = LIBRARY + "site-packages/"
HOME = "/pennyflat/"
"""Where the project lies in the browser, with the same folders as here."""

AT_START = ROOT / "webapp" / "lock" / "start.txt"
WHEN_ASKED = AT_START.with_name("asked.txt")

ANSWERING = ("jinja2", "markupsafe", "param", "segno", "icalendar", "dateutil")
"""The packages that Python needs to answer whatever is asked; the others draw the charts."""

BYTECODE = sys.version_info[:2] == RUNTIME_PYTHON

NOT_IN_THE_BROWSER = (
    # served as files of the site, or not at all
    "panel/dist/", "bokeh/server/static/",
    # tests, and tools for building and serving
    "panel/tests/", "numpy/f2py/", "numpy/distutils/", "numpy/testing/tests/", "bokeh/sphinxext/",
    # for people who write code with it
    "typings/", "numpy/_core/include/", "numpy/_core/lib/",
)  # fmt: skip
NOT_IN_A_PACKAGE = ("/tests/", ".data/")
NO_USE_AT_RUN_TIME = (
    ".pyi", ".c", ".h", ".pxd", ".pyx", ".pxi", ".a", ".f", ".f90", ".build", ".template", ".orig",
    ".ts", ".tsx", ".less", ".typed", ".rst", ".md", ".mp3", ".mp4", ".ini", ".pc", ".sh",
    "package-lock.json",
)  # fmt: skip


def packages():
    """The installed packages' files as the browser needs them: {path: bytes}."""
    archives = fetch.page_packages()
    runtime = fetch.runtime_files()
    lock = (fetch.PAGE_LOCK.read_text() + json.dumps(fetch.LOCK)).encode()
    key = sha256(lock + Path(__file__).read_bytes() + repr(BYTECODE).encode())[:16]
    made = CACHE / f"packages-{key}.zip"
    if not made.exists():
        files = {}
        for name, data in runtime.items():
            if name.endswith(".whl"):
                files |= wheel(io.BytesIO(data))
        for path in archives:
            files |= wheel(path) if path.suffix == ".whl" else source_archive(path)
        files = {name: data for name, data in files.items() if needed(name)}
        with step(f"Preparing {len(files)} files of the page's Python packages"):
            for old in CACHE.glob("packages-*.zip"):
                old.unlink()
            keep(made, zipped(translated(files)))
    return unzipped(made.read_bytes())


def standard_library():
    """The standard library's files: {path: bytes}."""
    source = fetch.runtime_files()["python_stdlib.zip"]
    made = CACHE / f"stdlib-{sha256(source + repr(BYTECODE).encode())[:16]}.zip"
    if not made.exists():
        with step("Preparing the standard library"):
            keep(made, zipped(translated(unzipped(source))))
    return unzipped(made.read_bytes())


def answers(path):
    """
    Whether a file in site-packages belongs to a package that the page answers with.

    What is said of a package is left out: the runtime takes those it sees at its start for its own.
    """
    return path.removeprefix(SITE_PACKAGES).startswith(ANSWERING) and ".dist-info/" not in path


def listed(path):
    """The paths in a list, AT_START or WHEN_ASKED, as Python has them here: set."""
    lines = path.read_text().splitlines()
    paths = {line for line in lines if not line.startswith("#")}
    return paths if BYTECODE else {re.sub(r"\.pyc$", ".py", path) for path in paths}


def our_own():
    """The calculator's files, in the same folders as in the project: {path: bytes}."""
    paths = [
        *ROOT.glob("core/pennyflat/**/*.py"),
        *ROOT.glob("webapp/*.py"),
        *ROOT.glob("data/*.*"),
    ]
    files = {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in sorted(paths)}
    files["webapp/bridge.py"] = (ROOT / "webapp/shell/bridge.py").read_bytes()
    return translated(files | templates())


def templates():
    """The page's templates as Python modules: {path: bytes}."""
    path = os.pathsep.join([str(ROOT / "webapp"), str(ROOT / "core")])
    with TemporaryDirectory() as folder:
        command = [PYTHON, "-c", "import sys, markup; markup.compile_into(sys.argv[1])", folder]
        done = subprocess.run(
            command, env=os.environ | {"PYTHONPATH": path}, capture_output=True, text=True
        )
        if done.returncode:
            raise Stop(f"The templates could not be compiled:\n{done.stderr}")
        modules = sorted(Path(folder).glob("*.py"))
        return {f"webapp/templates/compiled/{m.name}": m.read_bytes() for m in modules}


def wheel(path):
    """The files in a wheel: {path: bytes}."""
    with zipfile.ZipFile(path) as archive:
        return {i.filename: archive.read(i) for i in archive.infolist() if not i.is_dir()}


def source_archive(path):
    """
    The Python files of a package whose compiled part is only there for speed: {path: bytes}.

    Takes what lies under src/ or lib/; without the rest such a package falls back to pure Python.
    """
    files = {}
    with tarfile.open(path) as archive:
        for member in archive:
            _, _, name = member.name.partition("/")
            folder, _, inside = name.partition("/")
            if member.isfile() and folder in ("src", "lib") and inside.endswith(".py"):
                files[inside] = archive.extractfile(member).read()
    if not files:
        raise Stop(f"{path.name} holds no Python files under src/ or lib/.")
    return files


def needed(name):
    """Whether a package's file can be of use in the browser."""
    if ".dist-info/" in name:
        return name.endswith("/METADATA")
    return not (
        name.startswith(NOT_IN_THE_BROWSER)
        or any(part in name for part in NOT_IN_A_PACKAGE)
        or name.endswith(NO_USE_AT_RUN_TIME)
    )


def translated(files):
    """The same files with a .pyc in place of each .py, if this Python writes such bytecode."""
    if not BYTECODE:
        return files
    with TemporaryDirectory() as folder:
        archive = Path(folder, "files.zip")
        archive.write_bytes(zipped(files))
        pyodide = PYTHON.with_name("pyodide")
        command = [pyodide, "py-compile", "--silent", "--compression-level", "0", archive]
        # with a date given, bytecode names the source's hash instead of the time, so it repeats
        fixed = {"SOURCE_DATE_EPOCH": "315532800", "PYTHONHASHSEED": "0"}
        done = subprocess.run(command, env=os.environ | fixed, capture_output=True, text=True)
        if done.returncode:
            raise Stop(f"pyodide py-compile did not succeed:\n{done.stdout}{done.stderr}")
        return unzipped(archive.read_bytes())


def say_which():
    """Tell what the page will carry, and what that costs."""
    if BYTECODE:
        say("Bytecode: yes (this is Python 3.12, as in the browser).")
    else:
        version = f"{sys.version_info[0]}.{sys.version_info[1]}"
        say(
            f"Bytecode: no, sources, for this is Python {version}. The browser's Python 3.12 has to"
            " translate them at every start,\nwhich then takes about 1.6 times as long."
            " A Python 3.12 on PATH or under pyenv is used if there is one."
        )


def pack(files, *, elsewhere=None):
    """One bundle of files, {absolute path: bytes}; `elsewhere` has those that lie in others."""
    folders, blobs, start = {}, [], 0
    for path in sorted(files):
        folder, _, name = path.rpartition("/")
        entries = folders.setdefault(folder, [])
        if elsewhere and path in elsewhere:
            entries.append([name, elsewhere[path], len(files[path])])
            continue
        entries.append([name, start, len(files[path])])
        blobs.append(files[path])
        start += len(files[path])
    index = json.dumps(list(folders.items()), separators=(",", ":")).encode()
    return b"".join([len(index).to_bytes(4, "little"), index, *blobs])


def zipped(files):
    """A zip without compression whose bytes depend on the files alone."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), files[name])
    return out.getvalue()


def unzipped(data):
    """The files of a zip: {path: bytes}."""
    return wheel(io.BytesIO(data))
