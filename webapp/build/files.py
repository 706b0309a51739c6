"""Files, {path: bytes}: of folders with a list of their sums, archives, bundles, and a cache.

A bundle, for the browser, is the length of an index (4 bytes, little-endian), the index as JSON
([[folder, [[name, start, length], …]], …]), and the bytes of all files in sequence. The page puts
it into Python's file system as it is, without unpacking.
"""

import hashlib
import json
import re
import tarfile
import zipfile

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


def members(path):
    """All files of a source archive, or of a wheel or another zip: {path: bytes}."""
    if str(path).endswith(".tar.gz"):
        with tarfile.open(path) as archive:
            return {m.name: archive.extractfile(m).read() for m in archive if m.isfile()}
    with zipfile.ZipFile(path) as archive:
        return {i.filename: archive.read(i) for i in archive.infolist() if not i.is_dir()}


def installed(path):
    """
    The files of a package as they are installed: {path: bytes}.

    Of a source archive these are the Python files under src/ or lib/: its compiled part only adds
    speed, and without it the package falls back to pure Python.
    """
    inside = re.compile(r"[^/]+/(?:src|lib)/(.+\.py)" if path.suffix == ".gz" else "(.+)")
    found = ((inside.fullmatch(name), data) for name, data in members(path).items())
    return {match[1]: data for match, data in found if match}


def pack(files):
    """One bundle of files, {path: bytes}."""
    folders, start = {}, 0
    for path in sorted(files):
        folder, _, name = path.rpartition("/")
        folders.setdefault(folder, []).append([name, start, len(files[path])])
        start += len(files[path])
    index = json.dumps(list(folders.items()), separators=(",", ":")).encode()
    return b"".join([len(index).to_bytes(4, "little"), index, *map(files.get, sorted(files))])


def unpack(packed):
    """The files of a bundle: {path: bytes}."""
    index, body = opened(packed)
    return {
        f"{folder}/{name}" if folder else name: packed[body + start : body + start + length]
        for folder, entries in index
        for name, start, length in entries
    }


def contents(packed):
    """Contents of a bundle: [[folder, [[name, length], …]], …]."""
    index, _ = opened(packed)
    return [[folder, [[name, size] for name, _, size in entries]] for folder, entries in index]


def opened(packed):
    """The index of a bundle, and where the files begin in it."""
    body = 4 + int.from_bytes(packed[:4], "little")
    return json.loads(packed[4:body]), body
