"""The command line: tables for people, reports as JSON, faults on standard error only."""

import io
import json

import pytest

from pennyflat import DEMO, compare, read, shop
from pennyflat.cli import main


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
