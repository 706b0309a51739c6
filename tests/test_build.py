"""The build takes no byte that the lock does not name, and repeats itself bit for bit."""

import io
import urllib.error

import pytest

from webapp.build import assemble, bundle, environment, fetch, solver
from webapp.build.say import Stop

SMALL = "pyodide.js"


@pytest.fixture
def runtime(tmp_path, monkeypatch):
    """An empty cache, and a lock that names one small file."""
    monkeypatch.setattr(fetch, "RUNTIME", tmp_path / "runtime")
    monkeypatch.setitem(fetch.LOCK, "sha256", {SMALL: fetch.sha256(b"the right bytes")})
    return fetch.RUNTIME


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


def test_the_release_is_asked_first(runtime, monkeypatch):
    asked = release(monkeypatch, b"the right bytes")
    monkeypatch.setattr(fetch, "from_carrier", lambda names: pytest.fail("the carrier was used"))

    assert fetch.runtime_files() == {SMALL: b"the right bytes"}
    assert len(asked) == 1
    assert fetch.LOCK["pyodide"] in asked[0] and asked[0].endswith(SMALL)


def test_the_carrier_is_used_when_the_release_does_not_answer(runtime, monkeypatch):
    release(monkeypatch, urllib.error.URLError("no such host"))
    monkeypatch.setattr(
        fetch, "from_carrier", lambda names: (runtime / names[0]).write_bytes(b"the right bytes")
    )

    assert fetch.runtime_files() == {SMALL: b"the right bytes"}


@pytest.mark.parametrize("source", ["release", "carrier", "cache"])
def test_a_wrong_byte_stops_the_build_and_names_the_file(runtime, monkeypatch, source):
    def put(names):
        runtime.mkdir(exist_ok=True)
        (runtime / SMALL).write_bytes(b"the wrong bytes")

    if source == "release":
        release(monkeypatch, b"the wrong bytes")
    else:
        release(monkeypatch, urllib.error.URLError("no such host"))
    monkeypatch.setattr(fetch, "from_carrier", put)
    if source == "cache":
        put([SMALL])

    with pytest.raises(Stop, match=r"pyodide\.js is not the file that the lock names"):
        fetch.runtime_files()


def test_a_wrong_package_stops_the_build_and_is_named(tmp_path, monkeypatch):
    (tmp_path / "linkify_it_py-2.2.0-py3-none-any.whl").write_bytes(b"another")
    (tmp_path / "complete").write_text(fetch.sha256(fetch.PAGE_LOCK.read_bytes()))
    monkeypatch.setattr(fetch, "PACKAGES", tmp_path)

    with pytest.raises(Stop, match=r"linkify_it_py-2.2.0-py3-none-any.whl is not the file"):
        fetch.page_packages()


@pytest.mark.parametrize("damaged", [*solver.LOCK["sha256"], None])
def test_the_solver_is_fetched_once_and_held_to_its_sums(tmp_path, monkeypatch, damaged):
    fetched = []

    def from_npm(package, names):
        fetched.append(package)
        return {name: b"wrong" if name == damaged else name.encode() for name in names}

    monkeypatch.setattr(solver, "FOLDER", tmp_path / "highs")
    monkeypatch.setattr(solver, "from_npm", from_npm)
    for name in solver.LOCK["sha256"]:
        monkeypatch.setitem(solver.LOCK["sha256"], name, fetch.sha256(name.encode()))

    for _ in range(2):
        if damaged:
            with pytest.raises(Stop, match=f"{damaged.rpartition('/')[2]} is not the file"):
                solver.parts()
        else:
            assert solver.parts()["highs/highs.js"] == b"build/highs.js"
    assert fetched == [f"highs@{solver.LOCK['version']}"]


def test_every_package_of_the_page_has_sums_and_the_version_of_the_tools():
    def versions(path):
        lines = [line for line in path.read_text().splitlines() if "==" in line]
        return {tuple(line.split(" ;")[0].split(" \\")[0].split("==")) for line in lines}

    page = versions(fetch.PAGE_LOCK)

    assert page
    assert page <= versions(environment.TOOLS)
    for block in fetch.PAGE_LOCK.read_text().split("\n\n"):
        assert "--hash=sha256:" in block


def test_two_builds_are_the_same_bit_for_bit(tmp_path, monkeypatch):
    assemble.make_site()
    monkeypatch.setattr(bundle, "CACHE", tmp_path)  # translate everything again

    again = assemble.site_files()

    assert list(tmp_path.iterdir())
    for name, data in again.items():
        assert (assemble.SITE / name).read_bytes() == data, name


def test_a_changed_file_is_found(tmp_path, monkeypatch):
    monkeypatch.setattr(assemble, "SITE", tmp_path)
    assemble.write({"a.txt": b"a", "b/c.txt": b"c"})
    assert assemble.damaged(tmp_path) == []

    (tmp_path / "b" / "c.txt").write_bytes(b"C")
    (tmp_path / "new.txt").write_bytes(b"")

    assert assemble.damaged(tmp_path) == ["b/c.txt", "new.txt"]


def test_writing_a_site_takes_away_what_no_longer_belongs(tmp_path, monkeypatch):
    monkeypatch.setattr(assemble, "SITE", tmp_path)
    assemble.write({"old/gone.txt": b"", "stays.txt": b"1"})

    assemble.write({"stays.txt": b"2"})

    assert sorted(p.name for p in tmp_path.rglob("*")) == ["SHA256SUMS", "stays.txt"]


def test_a_file_that_changes_gets_another_name_and_no_other_file_does():
    files = {"a.bundle": b"a", "runtime/x.js": b"x", "runtime/y.wasm": b"y"}

    before, after = assemble.placed(files), assemble.placed(files | {"runtime/x.js": b"X"})

    assert {name for name in before if name.endswith("a.bundle")} <= after.keys()
    assert len(before.keys() & after.keys()) == 1
    assert {name.split("/", 2)[2] for name in after} == files.keys()


def test_a_bundle_can_be_read_back():
    files = {"/a/x.py": b"one", "/a/b/y.so": b"", "/a/z": b"three"}

    packed = bundle.pack(files)

    size = int.from_bytes(packed[:4], "little")
    index = bundle.json.loads(packed[4 : 4 + size])
    body = packed[4 + size :]
    assert files == {
        f"{folder}/{name}": body[start : start + length]
        for folder, entries in index
        for name, start, length in entries
    }


def test_a_bundle_names_the_one_in_which_a_file_lies():
    packed = bundle.pack({"/a/x": b"one", "/a/y": b"three"}, elsewhere={"/a/y": "late.bundle"})

    size = int.from_bytes(packed[:4], "little")
    assert bundle.json.loads(packed[4 : 4 + size]) == [
        ["/a", [["x", 0, 3], ["y", "late.bundle", 5]]]
    ]
    assert packed[4 + size :] == b"one"


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("panel/reactive.py", True),
        ("panel/io/location.py", True),
        ("bokeh/core/_templates/file.html", True),
        ("numpy/_core/_multiarray_umath.cpython-312-wasm32-emscripten.so", True),
        ("panel-1.9.4.dist-info/METADATA", True),
        ("panel-1.9.4.dist-info/RECORD", False),
        ("panel/dist/panel.min.js", False),
        ("numpy/linalg/tests/test_linalg.py", False),
        ("numpy/__init__.pyi", False),
    ],
)
def test_only_what_can_be_of_use_goes_into_the_browser(name, kept):
    assert bundle.needed(name) is kept
