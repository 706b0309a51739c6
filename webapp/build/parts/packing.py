"""Files as one file: bundles for the browser, wheels, zips and source archives.

A bundle is the length of an index (4 bytes, little-endian), the index as JSON
([[folder, [[name, start, length], …]], …]), and the bytes of all files in sequence. The page puts
it into Python's file system as it is, without unpacking.
"""

import json
import re
import tarfile
import zipfile


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
