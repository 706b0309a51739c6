"""Which Python runs the build, with which packages: a virtual environment in .venv/.

The packages are those of webapp/lock/tools.txt, each held to its SHA-256 sum.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

from webapp.build.say import Stop, say, step

ROOT = Path(__file__).resolve().parents[2]
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
TOOLS = ROOT / "webapp" / "lock" / "tools.txt"


def enter():
    """Make the environment if it is missing or out of date, and go on inside it."""
    if sys.version_info < (3, 11):  # noqa: UP036, somebody may well try
        raise SystemExit("Pennyflat needs Python 3.11 or newer; this is " + sys.version.split()[0])
    if not inside():
        make()
        sys.exit(run(*sys.argv))


def inside():
    """Whether this process already runs in the environment, and its packages are the lock's."""
    return Path(sys.prefix).resolve() == VENV.resolve() and stamp_of(sys.version_info) == stamp()


def make():
    """Make .venv/ with this Python and the locked packages, unless it is there already."""
    version = sys.version_info
    outer = getattr(sys, "_base_executable", sys.executable)  # not the one that is to be replaced
    if PYTHON.exists() and stamp() == stamp_of(version):
        return
    with step(f"Setting up .venv with Python {version[0]}.{version[1]} (once, about a minute)"):
        made = subprocess.run(
            [outer, "-m", "venv", "--clear", VENV], capture_output=True, text=True
        )
        if made.returncode:
            raise Stop(
                "Python could not make a virtual environment"
                " (on Debian and Ubuntu: apt install python3-venv).\n" + made.stdout + made.stderr
            )
        # Python translates what it imports when it does so; to translate all takes twice the time
        wheels = ("--only-binary", ":all:", "--require-hashes", "--no-compile")
        pip("install", *wheels, "-r", TOOLS)
        # pennyflat itself, from core/, so that its command is there too
        pip("install", "--no-deps", "--no-build-isolation", "--editable", ROOT)
        (VENV / "pennyflat-stamp").write_text(stamp_of(version))


def stamp():
    """What .venv/ was made from, "" if it was not finished."""
    path = VENV / "pennyflat-stamp"
    return path.read_text() if path.exists() else ""


def stamp_of(version):
    """What .venv/ would be made from now."""
    return f"{version[0]}.{version[1]} {hashlib.sha256(TOOLS.read_bytes()).hexdigest()}"


def pip(*arguments):
    """Run the environment's pip quietly; its own words are shown if it fails."""
    done = subprocess.run(
        [PYTHON, "-m", "pip", "--disable-pip-version-check", "-q", *arguments],
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise Stop(f"pip {arguments[0]} did not succeed:\n{done.stdout}{done.stderr}")


def run(*arguments):
    """Run the environment's Python in the project's folder; its exit code."""
    try:
        return subprocess.run([PYTHON, *arguments], cwd=ROOT).returncode
    except KeyboardInterrupt:
        say("")
        return 130


def page_code(code, *arguments):
    """Run Python code that imports the page's modules, in a process of its own; what it writes."""
    path = os.pathsep.join([str(ROOT / "webapp"), str(ROOT / "core")])
    done = subprocess.run(
        [PYTHON, "-c", code, *arguments],
        env=os.environ | {"PYTHONPATH": path, "PYTHONUTF8": "1", "PYTHONHASHSEED": "0"},
        capture_output=True,
        encoding="utf-8",
    )
    if done.returncode:
        raise Stop(done.stderr)
    return done.stdout
