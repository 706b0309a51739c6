"""What the build runs in: a virtual environment in .venv/, and a terminal, which it tells all.

The environment's packages are those of webapp/lock/tools.txt, each checked against its SHA-256
sum; those of tests.txt, which only tests and measurements need, are installed when these run.
"""

import hashlib
import os
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
TOOLS, TESTS = (ROOT / "webapp" / "lock" / name for name in ("tools.txt", "tests.txt"))
VERSION = "{}.{}".format(*sys.version_info)
"""Of this Python, such as "3.11"."""

STAMP = "pennyflat-stamp"
"""A file in .venv/ that records what is installed, with a line for each lock file."""

NO_VENV = "Python could not make a virtual environment (on Debian: apt install python3-venv)"


def enter(*, tests=False):
    """Make the environment if it is missing or out of date, and continue inside it."""
    if sys.version_info < (3, 11):  # noqa: UP036, someone may try
        raise SystemExit("Pennyflat needs Python 3.11 or newer; this is " + sys.version.split()[0])
    locks = (TOOLS, TESTS) if tests else (TOOLS,)
    if Path(sys.prefix).resolve() != VENV.resolve() or missing(locks):
        make(locks)
        become(str(ROOT / "build.py"), *sys.argv[1:])


def make(locks):
    """Make .venv/ with this Python and the packages of some lock files, unless it has them."""
    if VENV.is_symlink():
        raise Stop(
            f".venv is a link to {VENV.resolve()}, which the build would clear."
            " Remove the link; the build makes a .venv of its own."
        )
    for lock, line in missing(locks).items():
        # Python compiles modules when it imports them; compiling all of them takes twice the time
        wheels = ("--only-binary", ":all:", "--require-hashes", "--no-compile", "-r", lock)
        if lock == TOOLS:
            with step(f"Setting up .venv with Python {VERSION} (once, about a minute)"):
                outer = getattr(sys, "_base_executable", sys.executable)  # not the one replaced
                run([outer, "-m", "venv", "--clear", VENV], NO_VENV)
                pip("install", *wheels)
                # pennyflat itself, from core/, to install its command
                pip("install", "--no-deps", "--no-build-isolation", "--editable", ROOT)
        else:
            with step("Adding what the tests need to .venv (once)"):
                pip("install", *wheels)
        with open(VENV / STAMP, "ab") as stamp:
            stamp.write(line)


def missing(locks):
    """The lock files whose packages are not all in .venv/, made anew for TOOLS: {lock: line}."""
    stamp = VENV / STAMP
    made = stamp.read_bytes() if stamp.exists() and PYTHON.exists() else b""
    installed = made.splitlines(keepends=True)
    sums = {lock: hashlib.sha256(lock.read_bytes()).hexdigest() for lock in locks}
    lines = {lock: f"{VERSION} {sums[lock]}\n".encode() for lock in locks}
    is_new = lines[TOOLS] not in installed
    return {lock: line for lock, line in lines.items() if is_new or line not in installed}


def pip(task, *arguments):
    """Run the environment's pip quietly."""
    command = [PYTHON, "-m", "pip", "--disable-pip-version-check", "-q", task, *arguments]
    run(command, f"pip {task} did not succeed")


def page_code(code, *arguments, cwd=None):
    """The output of Python code that imports the page's modules, run in a process of its own."""
    path = os.pathsep.join([str(ROOT / "webapp"), str(ROOT / "core")])
    env = os.environ | {"PYTHONPATH": path, "PYTHONUTF8": "1", "PYTHONHASHSEED": "0"}
    return run([PYTHON, "-c", code, *arguments], "The page's own code failed", cwd=cwd, env=env)


def run(command, failed, **options):
    """The output of a command; if it fails, Stop with what failed and all that it wrote."""
    done = subprocess.run(command, capture_output=True, encoding="utf-8", **options)
    if done.returncode:
        raise Stop(f"{failed}:\n{done.stdout}{done.stderr}")
    return done.stdout


def become(*arguments):
    """Continue as the environment's Python in the project's folder; this process ends."""
    if os.name == "nt":  # which cannot replace a process
        sys.exit(subprocess.run([PYTHON, *arguments], cwd=ROOT).returncode)
    os.chdir(ROOT)
    os.execv(PYTHON, [str(PYTHON), *arguments])


class Stop(SystemExit):
    """The build cannot continue; the text says why and what to do."""


def say(text):
    """Print one line immediately."""
    print(text, flush=True)


@contextmanager
def step(text):
    """Print what starts and how long it took; on a terminal, also the time so far."""
    begin, over = time.monotonic(), threading.Event()

    def tick():
        while sys.stdout.isatty() and not over.wait(1):
            print(f"\r{text} … {time.monotonic() - begin:.0f} s", end="", flush=True)

    print(f"{text} … ", end="", flush=True)
    ticking = threading.Thread(target=tick, daemon=True)
    ticking.start()
    outcome = "stopped"
    try:
        yield
        outcome = f"{time.monotonic() - begin:.1f} s"
    finally:
        over.set()
        ticking.join()
        say(f"\r{text} … {outcome}" if sys.stdout.isatty() else outcome)
