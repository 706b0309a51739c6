"""The command line for links and for a club's order."""

import io
import json

import pytest

from pennyflat import DEMO, read, write
from pennyflat.cli.command import main
from pennyflat.club.pool import pool
from pennyflat.scenario.link import decode, encode


@pytest.fixture
def club(tmp_path):
    """Files of one member for each sowing of the demo."""
    paths = []
    for name, sowing in zip(("Ann", "Ben", ""), DEMO["sowings"], strict=True):
        path = tmp_path / f"{name or 'cy'}.json"
        document = DEMO | {"title": name, "sowings": [sowing]}
        path.write_text(json.dumps(document), encoding="utf-8")
        paths.append(str(path))
    return paths


def test_a_link_opens_to_what_went_in(capsys, club):
    assert main(["link", club[0]]) == 0
    link = capsys.readouterr().out
    assert main(["open", link]) == 0

    with open(club[0], encoding="utf-8") as file:
        document = json.load(file)
    assert json.loads(capsys.readouterr().out) == write(read(document))


def test_a_link_stands_after_the_address_of_the_page(capsys, club):
    assert main(["link", club[0], "--page", "https://example.org/club/"]) == 0

    address = capsys.readouterr().out.strip()
    assert address.startswith("https://example.org/club/#pf1.")
    assert decode(address).title == "Ann"


def test_a_link_is_opened_from_standard_input(capsys, monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(f"  {encode(DEMO)}\n".encode()), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", stream)

    assert main(["open", "-"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == DEMO["title"]


@pytest.mark.parametrize("link", ["", "nonsense", "https://example.org/", encode(DEMO)[:-20]])
def test_a_bad_link_is_refused_in_one_sentence(capsys, link):
    assert main(["open", link]) == 2

    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("This ")
    assert printed.err.count("\n") == 1


def test_an_unsound_file_makes_no_link(capsys, tmp_path):
    path = tmp_path / "bad.json"
    path.write_text(json.dumps(DEMO | {"tax": 19}), encoding="utf-8")

    assert main(["link", str(path)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("tax: 19 is not a share")


def test_an_order_for_people(capsys, club):
    assert main(["pool", *club]) == 0
    shown = capsys.readouterr().out

    members = [read(DEMO | {"sowings": [sowing]}) for sowing in DEMO["sowings"]]
    report = pool(members, names=["Ann", "Ben", "cy"])
    assert f"To pay {report['total']:.2f} USD" in shown
    assert "Nobody pays more than alone." in shown
    for member in report["members"]:
        row = next(line for line in shown.splitlines() if line.startswith(member["name"] + " "))
        assert row.split()[1:] == [
            f"{member[key]:.2f}" for key in ("alone", "saving", "pays", "goods", "trips")
        ]


def test_who_goes_to_a_shop_is_said_where_the_trip_costs(capsys, tmp_path):
    paths = []
    for name, cost in (("Ann", 5), ("Ben", 3.5)):
        path = tmp_path / f"{name}.json"
        stores = [DEMO["stores"][0], DEMO["stores"][1] | {"trip_cost": cost}]
        sowings = [DEMO["sowings"][0] | {"medium": "Bulk potting mix"}]
        document = DEMO | {"title": name, "stores": stores, "sowings": sowings}
        path.write_text(json.dumps(document), encoding="utf-8")
        paths.append(str(path))

    assert main(["pool", *paths]) == 0
    assert "Farm counter: 14.50 USD, trip 3.50 (Ben)" in capsys.readouterr().out


def test_an_order_as_json_from_files_and_links(capsys, club):
    assert main(["link", club[1]]) == 0
    link = capsys.readouterr().out.strip()
    assert main(["pool", "--json", club[0], link]) == 0
    mixed = json.loads(capsys.readouterr().out)
    assert main(["pool", "--json", club[0], club[1]]) == 0

    assert json.loads(capsys.readouterr().out) == mixed
    assert [member["name"] for member in mixed["members"]] == ["Ann", "Ben"]


def test_faults_of_an_order_name_the_file(capsys, club, tmp_path):
    path = tmp_path / "bad.json"
    path.write_text("{}", encoding="utf-8")

    assert main(["pool", club[0], str(path), "#pf1.AAAA"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert f"{str(path)[:60]}: format: missing; it is required" in printed.err
    assert "#pf1.AAAA: This link is cut off" in printed.err


def test_members_who_differ_are_told_where(capsys, club, tmp_path):
    path = tmp_path / "dear.json"
    path.write_text(json.dumps(DEMO | {"title": "Di", "currency": "EUR"}), encoding="utf-8")

    assert main(["pool", club[0], str(path)]) == 2
    assert capsys.readouterr().err == (
        "The members differ in currency: EUR, USD; an order needs one.\n"
    )


def test_a_missing_file(capsys, club):
    assert main(["pool", club[0], "nowhere.json"]) == 2

    assert tuple(capsys.readouterr()) == ("", "nowhere.json: No such file or directory\n")
