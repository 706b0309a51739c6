"""Runs the browser's own Python under Node, for the steps of python.mjs."""

import json
import re
import shutil
import subprocess
import zipfile
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import fetch
from webapp.build.parts.packing import unpack
from webapp.build.say import Stop

SCRIPT = Path(__file__).with_name("python.mjs")
LEAST = 18  # the oldest version of Node that the runtime supports
NO_PACKAGES = {"info": fetch.LOCK["info"], "packages": {}}
"""What the runtime asks for when it starts: the list of packages that it may load."""


def run(task, packed):
    """The files that a task of python.mjs makes of a bundle: {path: bytes}."""
    fetch.runtime_files()
    with TemporaryDirectory(dir=fetch.CACHE) as folder:
        Path(folder, "files.bundle").write_bytes(packed)
        Path(folder, "lock.json").write_text(json.dumps(NO_PACKAGES))
        zipfile.ZipFile(Path(folder, "none.zip"), "w").close()
        done = subprocess.run(
            [program(), SCRIPT, fetch.RUNTIME, task, folder], capture_output=True, encoding="utf-8"
        )
        made = Path(folder, "made.bundle")
        if done.returncode or not made.exists():
            raise Stop(f"Python under Node did not succeed ({task}):\n{done.stdout}{done.stderr}")
        return unpack(made.read_bytes())


@cache
def program():
    """The path of a recent enough Node, from PATH or else from the package that includes npm."""
    found = shutil.which("node") or "node"
    try:
        told = subprocess.run([found, "--version"], capture_output=True, text=True).stdout
    except OSError:
        told = ""  # there is none, or it does not run on this machine
    version = re.match(r"v(\d+)", told)
    return found if version and int(version[1]) >= LEAST else fetch.node()
