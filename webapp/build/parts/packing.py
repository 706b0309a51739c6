"""Files as one file: bundles for the browser, wheels, zips and source archives.

A bundle is the length of an index (4 bytes, little-endian), the index as JSON
([[folder, [[name, start, length], …]], …]), and the bytes of all files in sequence. The page puts
it into Python's file system as it is, without unpacking.
"""

import io
import json
import tarfile
import zipfile

from webapp.build.say import Stop


def members(path):
    """All files of a wheel or source archive: {path: bytes}."""
    if str(path).endswith(".whl"):
        return wheel(path)
    with tarfile.open(path) as archive:
        return {m.name: archive.extractfile(m).read() for m in archive if m.isfile()}


def wheel(path):
    """The files in a wheel or another zip: {path: bytes}."""
    with zipfile.ZipFile(path) as archive:
        return {i.filename: archive.read(i) for i in archive.infolist() if not i.is_dir()}


def source_archive(path):
    """
    The Python files of a package whose compiled part only adds speed: {path: bytes}.

    Takes the files under src/ or lib/; without the others such a package falls back to pure Python.
    """
    files = {}
    with tarfile.open(path) as archive:
        for member in archive:
            _, _, name = member.name.partition("/")
            folder, _, inside = name.partition("/")
            if member.isfile() and folder in ("src", "lib") and inside.endswith(".py"):
                files[inside] = archive.extractfile(member).read()
    if not files:
        raise Stop(f"{path.name} holds no Python files under src/ or lib/.")
    return files


def pack(files):
    """One bundle of files, {path: bytes}."""
    folders, blobs, start = {}, [], 0
    for path in sorted(files):
        folder, _, name = path.rpartition("/")
        folders.setdefault(folder, []).append([name, start, len(files[path])])
        blobs.append(files[path])
        start += len(files[path])
    index = json.dumps(list(folders.items()), separators=(",", ":")).encode()
    return b"".join([len(index).to_bytes(4, "little"), index, *blobs])


def unpack(packed):
    """The files of a bundle: {path: bytes}."""
    body = 4 + int.from_bytes(packed[:4], "little")
    return {
        f"{folder}/{name}" if folder else name: packed[body + start : body + start + length]
        for folder, entries in json.loads(packed[4:body])
        for name, start, length in entries
    }


def contents(packed):
    """Contents of a bundle: [[folder, [[name, length], …]], …]."""
    folders = {}
    for path, data in unpack(packed).items():
        folder, _, name = path.rpartition("/")
        folders.setdefault(folder, []).append([name, len(data)])
    return list(map(list, folders.items()))


def zipped(files):
    """A zip without compression whose bytes depend only on the files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), files[name])
    return out.getvalue()
