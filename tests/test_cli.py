"""The command line: tables for people, reports as JSON, faults on standard error only."""

import io
import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import pennyflat
from pennyflat import DEMO, compare, read, shop
from pennyflat.cli.command import main

ROOT = Path(pennyflat.__file__).parents[2]

UNUSUAL = DEMO | {"title": "Frühjahr ☘ 春", "media": [DEMO["media"][0] | {"name": "Kókosz → 土"}]}
"""A scenario with names that no 8-bit encoding holds together."""


@pytest.fixture(autouse=True)
def no_terminal(monkeypatch):
    monkeypatch.delenv("COLUMNS", raising=False)


def run(*arguments, stdin=b"", **env):
    """The command line in its own process: (status, standard output, standard error)."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("LC_", "LANG"))
    }
    kept.pop("COLUMNS", None)
    done = subprocess.run(
        [sys.executable, "-m", "pennyflat", *arguments],
        input=stdin,
        capture_output=True,
        env=kept | {"PYTHONPATH": str(ROOT / "core")} | env,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def scenario_file(tmp_path):
    path = tmp_path / "spring.json"
    path.write_text(json.dumps(DEMO), encoding="utf-8")
    return str(path)


def test_example_is_a_scenario_to_start_from(capsys, tmp_path):
    assert main(["example"]) == 0
    path = tmp_path / "example.json"
    path.write_text(capsys.readouterr().out, encoding="utf-8")

    assert main(["compare", str(path)]) == 0


@pytest.mark.parametrize(("command", "make"), [("compare", compare), ("shop", shop)])
def test_json_is_the_report(capsys, scenario_file, command, make):
    assert main([command, scenario_file, "--json"]) == 0

    assert json.loads(capsys.readouterr().out) == make(read(DEMO))


def test_comparison_for_people(capsys, scenario_file):
    assert main(["compare", scenario_file]) == 0
    shown = capsys.readouterr().out

    report = compare(read(DEMO))
    for verdict in report["verdicts"]:
        assert verdict["sentence"] in shown
    for row in report["comparisons"]:
        assert f"{row['as_used']['total']:.3f}" in shown
        assert f"{row['at_the_till']['paid']:.2f}" in shown


def test_shopping_list_for_people(capsys, scenario_file):
    assert main(["shop", scenario_file]) == 0
    shown = capsys.readouterr().out

    report = shop(read(DEMO))
    assert f"To pay {report['total']:.2f} USD" in shown
    for store in report["stores"]:
        for item in store["items"]:
            assert item["item"] in shown


def test_mix_that_stalls_is_not_ready(capsys, tmp_path):
    document = DEMO | {"feed": None}
    path = tmp_path / "unfed.json"
    path.write_text(json.dumps(document), encoding="utf-8")

    assert main(["compare", str(path)]) == 0
    shown = capsys.readouterr().out
    assert "not ready" in shown
    assert "It stalls in week 3 of 6" in shown
    assert "Bulk potting mix from the start would do" in shown


def test_standard_input(capsys, monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(json.dumps(DEMO).encode()), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", stream)

    assert main(["compare", "-", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["currency"] == "USD"


@pytest.mark.parametrize("command", ["compare", "shop"])
@pytest.mark.parametrize("extra", [[], ["--json"]])
def test_bad_scenario(capsys, tmp_path, command, extra):
    document = DEMO | {"tax": 19, "colour": "red"}
    path = tmp_path / "bad.json"
    path.write_text(json.dumps(document), encoding="utf-8")

    assert main([command, str(path), *extra]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "tax: 19 is not a share" in shown.err
    assert "colour: unknown key" in shown.err


def test_no_such_file(capsys):
    assert main(["compare", "nowhere.json"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("nowhere.json: ")


def test_help_teaches(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["--help"])

    assert stopped.value.code == 0
    shown = capsys.readouterr().out
    for words in ("pennyflat example", "pennyflat compare", "pennyflat shop", "qt_dry"):
        assert words in shown


def test_unknown_command(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["grow"])

    assert stopped.value.code == 2
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    "env",
    [
        {},
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "cp1252"},
        {"PYTHONIOENCODING": "utf-16"},
        {"LANG": "C"},
        {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    ],
    ids=lambda env: " ".join(f"{name}={value}" for name, value in env.items()) or "as it is",
)
def test_output_is_utf_8_wherever_it_goes(env):
    source = json.dumps(UNUSUAL).encode()
    for command, extra in (("compare", []), ("shop", ["--json"])):
        status, out, err = run(command, "-", *extra, stdin=source, **env)

        assert (status, err) == (0, b"")
        assert "Kókosz → 土" in out.decode("utf-8")
        assert b"\r" not in out
    status, out, err = run(
        "compare", "-", stdin=json.dumps(UNUSUAL | {"fárba": "zöld"}).encode(), **env
    )
    assert (status, out) == (2, b"")
    assert err.decode("utf-8").startswith("fárba: unknown key")


def test_what_utf_8_cannot_hold_is_written_as_json_writes_it():
    # a file name that is not UTF-8 reaches Python as a lone surrogate
    status, out, err = run(os.fsdecode(b"compare"), os.fsdecode(b"caf\xe9.json"), LC_ALL="C.UTF-8")

    assert (status, out) == (2, b"")
    assert err == b"caf\\udce9.json: No such file or directory\n"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32"])
def test_a_file_with_a_byte_order_mark_is_read(capsys, tmp_path, encoding):
    mark = "\ufeff" if encoding.endswith("e") else ""
    path = tmp_path / "spring.json"
    path.write_bytes((mark + json.dumps(UNUSUAL, ensure_ascii=False)).encode(encoding))

    assert main(["compare", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == compare(read(UNUSUAL))
    assert main(["link", str(path)]) == 0
    link = capsys.readouterr().out
    path.write_bytes((mark + link).encode(encoding))
    status, out, _ = run("open", "-", stdin=path.read_bytes())
    assert (status, json.loads(out)["title"]) == (0, UNUSUAL["title"])


def test_a_file_that_breaks_off_inside_a_sign_is_refused(capsys, tmp_path):
    path = tmp_path / "spring.json"
    path.write_bytes(json.dumps(DEMO).encode("utf-16")[:-1])

    assert main(["compare", str(path)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == "begins as UTF-16 text but is not: truncated data\n"


def test_the_version_stands_in_one_place():
    status, out, err = run("--version")

    assert (status, out.decode(), err) == (0, f"pennyflat {pennyflat.__version__}\n", b"")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert project["project"]["dynamic"] == ["version"]
    attribute = project["tool"]["setuptools"]["dynamic"]["version"]["attr"]
    assert attribute == "pennyflat.__version__"


def test_python_m_is_the_command(capsys):
    assert main(["example"]) == 0
    assert run("example") == (0, capsys.readouterr().out.encode(), b"")


@pytest.mark.parametrize("arguments", [["example"], ["--help"], ["--version"]])
def test_a_closed_pipe_ends_quietly(arguments):
    reader, writer = os.pipe()
    os.close(reader)  # before anything is written, as by a `head` that has had enough
    with os.fdopen(writer, "wb") as pipe:
        done = subprocess.run(
            [sys.executable, "-m", "pennyflat", *arguments],
            stdout=pipe,
            stderr=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT / "core")},
            check=False,
        )

    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_an_answer_that_cannot_be_written_says_why():
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "pennyflat", "example"],
            stdout=full,
            stderr=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT / "core")},
            check=False,
        )

    assert done.returncode == 2
    assert done.stderr == b"standard output: No space left on device\n"


def test_what_is_printed_fits_the_terminal(scenario_file):
    status, out, _ = run("compare", scenario_file, COLUMNS="60")

    assert status == 0
    assert 50 < max(map(len, out.decode().splitlines())) <= 60
    assert json.loads(run("example", COLUMNS="60")[1]) == DEMO


def test_lines_are_whole_where_there_is_no_terminal(scenario_file):
    out = run("compare", scenario_file)[1].decode()

    assert compare(read(DEMO))["verdicts"][0]["sentence"] in out.splitlines()
