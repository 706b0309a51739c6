"""The build takes no byte that the lock does not name, and repeats itself bit for bit."""

import io
import os
import shutil
import subprocess
import sys
import tarfile
import urllib.error
from pathlib import Path

import pytest

from webapp.build import assemble, environment, fetch, files
from webapp.build.environment import Stop
from webapp.build.parts import bundle

SMALL = "pyodide.js"
RIGHT, WRONG = b"the right bytes", b"the wrong bytes"


@pytest.fixture
def runtime(tmp_path, monkeypatch):
    """An empty cache, and a lock that names one small file."""
    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    monkeypatch.setitem(fetch.RUNTIME, "sha256", {SMALL: files.sha256(RIGHT)})
    return fetch.folder_of(fetch.RUNTIME)


def release(monkeypatch, answer):
    """Put something in the place of Pyodide's release; the addresses that were asked for."""
    asked = []

    def urlopen(address, timeout):
        asked.append(address)
        if isinstance(answer, Exception):
            raise answer
        return io.BytesIO(answer)

    monkeypatch.setattr(fetch.urllib.request, "urlopen", urlopen)
    return asked


def npm(monkeypatch, data):
    """Put a package with one file in the place of npm's; the packages that were asked for."""
    asked = []

    def run(command, *, cwd, **_):
        asked.append(command[-1])
        with tarfile.open(Path(cwd, "some.tgz"), "w:gz") as archive:
            info = tarfile.TarInfo(f"package/{SMALL}")
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))
        return subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(environment.subprocess, "run", run)
    monkeypatch.setattr(fetch.shutil, "which", lambda name: name)
    return asked


def test_the_release_is_asked_first(runtime, monkeypatch):
    asked, packages = release(monkeypatch, RIGHT), npm(monkeypatch, WRONG)

    assert fetch.locked(fetch.RUNTIME) == {SMALL: RIGHT}
    assert len(asked) == 1 and packages == []
    assert fetch.RUNTIME["pyodide"] in asked[0] and asked[0].endswith(SMALL)


def test_the_npm_package_is_used_when_the_release_does_not_answer(runtime, monkeypatch):
    release(monkeypatch, urllib.error.URLError("no such host"))
    packages = npm(monkeypatch, RIGHT)

    assert fetch.locked(fetch.RUNTIME) == {SMALL: RIGHT}
    assert packages == [f"pyodide@{fetch.RUNTIME['pyodide']}"]


@pytest.mark.parametrize("source", ["release", "npm"])
def test_a_wrong_byte_stops_the_build_and_names_the_file(runtime, monkeypatch, source):
    npm(monkeypatch, WRONG)
    if source == "release":
        release(monkeypatch, WRONG)
    else:
        release(monkeypatch, urllib.error.URLError("no such host"))

    with pytest.raises(Stop, match=r"pyodide\.js is not the file that the lock names"):
        fetch.locked(fetch.RUNTIME)
    assert not (runtime / SMALL).exists()


def test_a_file_that_has_gone_bad_in_the_cache_is_fetched_again(runtime, monkeypatch):
    runtime.mkdir()
    (runtime / SMALL).write_bytes(WRONG)
    release(monkeypatch, RIGHT)

    assert fetch.locked(fetch.RUNTIME) == {SMALL: RIGHT}


def test_a_wrong_package_is_fetched_again_and_named_if_it_stays_wrong(tmp_path, monkeypatch):
    packages = tmp_path / "page-packages"
    name = "segno-1.6.6-py3-none-any.whl"

    def download(*_):
        packages.mkdir()
        (packages / name).write_bytes(b"another")

    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    monkeypatch.setattr(fetch.environment, "pip", download)

    with pytest.raises(Stop, match=f"{name} is not the file"):
        fetch.page_packages()


@pytest.mark.parametrize("damaged", [*fetch.SOLVER["sha256"], None])
def test_the_solver_is_fetched_once_and_held_to_its_sums(tmp_path, monkeypatch, damaged):
    fetched = []

    def from_npm(lock, names):
        fetched.append(lock["package"])
        return {name: b"wrong" if name == damaged else name.encode() for name in names}

    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    monkeypatch.setattr(fetch, "from_npm", from_npm)
    for name in fetch.SOLVER["sha256"]:
        monkeypatch.setitem(fetch.SOLVER["sha256"], name, files.sha256(name.encode()))

    if damaged:
        with pytest.raises(Stop, match=f"{damaged} is not the file"):
            fetch.locked(fetch.SOLVER)
    else:
        for _ in range(2):
            assert fetch.locked(fetch.SOLVER)["build/highs.js"] == b"build/highs.js"
    assert fetched == ["highs@{version}"]


def test_what_is_remembered_is_made_again_when_it_has_gone_bad(tmp_path, monkeypatch):
    made = []
    monkeypatch.setattr(files, "CACHE", tmp_path)

    def again():
        return files.remembered("some", b"ingredients", lambda: made.append(1) or b"made")

    assert again() == again() == b"made" and len(made) == 1
    [kept] = tmp_path.rglob("some/*")
    kept.write_bytes(kept.read_bytes()[:-1] + b"?")
    assert again() == b"made" and len(made) == 2


def test_every_package_of_the_page_has_sums_and_the_version_of_the_tools():
    def versions(path):
        lines = [line for line in path.read_text().splitlines() if "==" in line]
        return {tuple(line.split(" ;")[0].split(" \\")[0].split("==")) for line in lines}

    page = versions(fetch.PAGE)

    assert page
    assert page <= versions(environment.TOOLS)
    for block in fetch.PAGE.read_text().split("\n\n"):
        assert "--hash=sha256:" in block


ELSEWHERE = """
import sys
from webapp.build import environment
environment.PYTHON = sys.executable
from webapp.build import assemble
assemble.make_site()
"""


def test_another_checkout_in_another_folder_builds_the_same_bytes(tmp_path):
    assemble.make_site()
    copy = tmp_path / "a checkout elsewhere"
    without = shutil.ignore_patterns("__pycache__")
    for folder in ("core", "webapp", "data"):
        shutil.copytree(assemble.ROOT / folder, copy / folder, ignore=without)
    shutil.copy(assemble.ROOT / "LICENSE", copy)
    fetched = shutil.ignore_patterns("made", "site-stamp", "mypy", "access", "wheel")
    shutil.copytree(files.CACHE, copy / ".cache", ignore=fetched)
    paths = os.pathsep.join([str(copy), str(copy / "core")])

    subprocess.run(
        [sys.executable, "-c", ELSEWHERE],
        cwd=copy,
        env=os.environ | {"PYTHONPATH": paths},
        check=True,
    )

    for path in (copy / "site").rglob("*"):
        assert path.is_dir() or str(copy).encode() not in path.read_bytes(), path
    sums = (copy / "site" / files.SUMS).read_text()
    assert sums == (assemble.SITE / files.SUMS).read_text()


@pytest.mark.parametrize("name", ["b/c.txt", "new.txt", files.SUMS])
def test_a_changed_file_is_found(tmp_path, name):
    assert not files.is_whole(tmp_path)
    files.write({"a.txt": b"a", "b/c.txt": b"c"}, tmp_path)
    assert files.is_whole(tmp_path)

    (tmp_path / name).write_bytes(b"C")

    assert not files.is_whole(tmp_path)


def test_a_missing_file_is_found(tmp_path):
    files.write({"a.txt": b"a", "b/c.txt": b"c"}, tmp_path)

    (tmp_path / "a.txt").unlink()

    assert not files.is_whole(tmp_path)


def test_writing_a_site_takes_away_what_no_longer_belongs(tmp_path):
    files.write({"old/gone.txt": b"", "stays.txt": b"1"}, tmp_path)

    files.write({"stays.txt": b"2"}, tmp_path)

    assert sorted(p.name for p in tmp_path.rglob("*")) == ["SHA256SUMS", "stays.txt"]


def test_a_file_that_changes_gets_another_name_and_no_other_file_does():
    parts = {"a.bundle": b"a", "runtime/x.js": b"x", "runtime/y.wasm": b"y"}

    before, after = assemble.placed(parts), assemble.placed(parts | {"runtime/x.js": b"X"})

    assert {name for name in before if name.endswith("a.bundle")} <= after.keys()
    assert len(before.keys() & after.keys()) == 1
    assert {name.split("/", 2)[2] for name in after} == parts.keys()


def test_a_bundle_can_be_read_back():
    parts = {"/a/x.py": b"one", "/a/b/y.so": b"", "/a/z": b"three", "memory": b"four"}

    packed = files.pack(parts)

    assert files.unpack(packed) == parts
    assert ["/a", [["x.py", 3], ["z", 5]]] in files.contents(packed)


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("icalendar/cal/calendar.py", True),
        ("icalendar/tests/test_parsing.py", False),
        ("segno/cli.py", False),
        ("segno/__init__.pyi", False),
        ("segno-1.6.6.dist-info/METADATA", False),
    ],
)
def test_only_what_can_be_of_use_goes_into_the_browser(name, kept):
    assert bundle.needed(name) is kept
