"""Files, {path: bytes}: the project's, those of folders with a list of their sums, and a cache."""

import hashlib

from webapp.build.environment import ROOT

CACHE = ROOT / ".cache"
SUMS = "SHA256SUMS"
MOST = {"calculator": 2, "library": 2, "memory": 2, "page": 2}
"""Most results cached per kind; a hundred for all other kinds."""


def sha256(data):
    """The sum in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def listing(files):
    """The files with their sums, one per line."""
    return "".join(f"{sha256(files[name])}  {name}\n" for name in sorted(files))


def version_of(files):
    """A name for exactly these files."""
    return sha256(listing(files).encode())[:12]


def sources(*endings):
    """What the site is made from, or only the files with these endings."""
    return {
        f"{folder}/{name}": data
        for folder in ("core", "webapp", "data")
        for name, data in files_in(ROOT / folder).items()
        if "__pycache__" not in name and name.endswith(endings or "")
    }


def files_in(folder):
    """All files in a folder."""
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def keep(path, data):
    """Write a file atomically."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(path.name + ".part")
    unfinished.write_bytes(data)
    unfinished.replace(path)


def write(files, folder):
    """Make a folder hold exactly these files and the list of their sums."""
    wanted = files | {SUMS: listing(files).encode()}
    for name, data in wanted.items():
        path = folder / name
        if not path.exists() or path.read_bytes() != data:
            keep(path, data)
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_file() and path.relative_to(folder).as_posix() not in wanted:
            path.unlink()
        elif path.is_dir() and not any(path.iterdir()):
            path.rmdir()


def is_whole(folder):
    """Whether a folder holds exactly the files in its list of sums."""
    files = files_in(folder)
    return files.pop(SUMS, None) == listing(files).encode()


def remembered(kind, ingredients, make):
    """The bytes that `make()` returns for these ingredients, cached after their own sum."""
    folder = CACHE / "made" / kind
    path = folder / sha256(ingredients)[:24]
    kept = path.read_bytes() if path.exists() else b""
    if kept[:64] != sha256(kept[64:]).encode():
        made = make()
        kept = sha256(made).encode() + made
        keep(path, kept)
        latest = sorted(folder.iterdir(), key=lambda old: old.stat().st_mtime, reverse=True)
        for old in latest[MOST.get(kind, 100) :]:
            old.unlink()
    path.touch()
    return kept[64:]
