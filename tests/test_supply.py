"""What the site is made of is listed whole, with licences; the archive is the same each time."""

import csv
import gzip
import hashlib
import io
import json
import re
import tarfile

import pytest
from cyclonedx.model.bom import Bom
from license_expression import get_spdx_licensing

from notes import view
from tests.test_data import DATA, TABLES, rows
from webapp.build import assemble, fetch, files
from webapp.build.environment import ROOT
from webapp.build.parts import supply
from work.state import Work

SITE = [
    "index.html",
    "parts/1/python.memory",
    "parts/2/late.bundle",
    "parts/3/runtime/pyodide.asm.wasm",
    "parts/4/highs/highs.wasm",
    "parts/5/bokeh.min.js",
]


@pytest.fixture(scope="module")
def about():
    return supply.files(SITE)


@pytest.fixture(scope="module")
def bill(about):
    return Bom.from_json(json.loads(about[supply.SBOM]))


@pytest.fixture
def shipped(about, tmp_path, monkeypatch):
    """The files of the build where the page has them."""
    for name, data in about.items():
        (tmp_path / name).write_bytes(data)
    monkeypatch.setattr(view, "ABOUT", tmp_path)


def every(components):
    for part in components:
        yield part
        yield from every(part.components)


def test_every_part_of_the_lock_is_listed_at_its_version(bill):
    lines = re.findall(r"^([\w-]+)==(\S+)", fetch.PAGE.read_text(), re.MULTILINE)
    runtime = json.loads((ROOT / "webapp/lock/runtime.json").read_text())
    tools = (ROOT / "webapp/lock/tools.txt").read_text()
    expected = dict(lines) | {
        "pyodide": runtime["pyodide"],
        "highs": json.loads((ROOT / "webapp/lock/highs.json").read_text())["version"],
        "@bokeh/bokehjs": re.search(r"^bokeh==(\S+)", tools, re.MULTILINE)[1],
        "CLDR": re.search(r"version (\d+)", rows("places")[0]["place"])[1],
    }
    inner = {part.name: part.version for part in every(bill.components)}

    assert {part.name: part.version for part in bill.components} == expected
    assert inner["CPython"] == runtime["info"]["python"]
    assert runtime["info"]["platform"] == "emscripten_" + inner["Emscripten"].replace(".", "_")


def test_every_part_has_a_licence_and_its_text_travels_along(about, bill):
    spdx, text = get_spdx_licensing(), about[supply.LICENCES].decode()
    parts = list(every(bill.components))

    assert len(parts) > len(bill.components) > 0
    for part in parts:
        [licence] = part.licenses
        named = getattr(licence, "id", None) or licence.value
        assert spdx.validate(named).errors == [], part.name
        assert re.search(rf"^{re.escape(part.name)}\b.*: {re.escape(named)}", text, re.M), part.name
    for kept in (ROOT / "webapp/lock/licences").iterdir():
        assert kept.read_text("utf-8").strip() in text, f"{kept.name} belongs to no part"


def test_a_part_without_a_licence_stops_the_build(monkeypatch):
    monkeypatch.delitem(supply.PARTS["jinja2"], "licence")

    with pytest.raises(supply.Stop, match="jinja2 has no licence"):
        supply.found()


def test_a_package_that_is_not_listed_stops_the_build(monkeypatch):
    monkeypatch.delitem(supply.PARTS, "segno")

    with pytest.raises(supply.Stop, match=r"segno goes into the page and is not in"):
        supply.found()


def test_the_list_says_where_in_the_site_each_part_is(bill):
    found = {place.location for part in bill.components for place in part.evidence.occurrences}

    assert found == set(SITE) - {"index.html"}


def test_the_list_depends_on_the_parts_alone(about):
    told = json.loads(about[supply.SBOM])

    assert all(supply.files(SITE[::-1]) == about for _ in range(5))
    assert "timestamp" not in told["metadata"]
    other = json.loads(supply.files(SITE[:-1])[supply.SBOM])
    assert other["serialNumber"] != told["serialNumber"]


def test_an_archive_is_the_same_each_time_and_has_only_the_files():
    files = {"b.txt": b"two", "a/c.txt": b"one"}

    made = assemble.archive(files)

    assert made == assemble.archive(dict(reversed(files.items())))
    with tarfile.open(fileobj=io.BytesIO(gzip.decompress(made))) as archive:
        kept = {entry.name: archive.extractfile(entry).read() for entry in archive}
        assert {(entry.mode, entry.uid, entry.uname) for entry in archive} == {(0o644, 0, "")}
    assert kept == {f"{assemble.ARCHIVE}/{name}": data for name, data in files.items()}


def test_a_release_has_the_sum_of_its_archive(tmp_path, monkeypatch):
    monkeypatch.setattr(assemble, "RELEASE", tmp_path / "release")
    monkeypatch.setattr(assemble, "SITE", tmp_path / "site")
    files.write({"index.html": b"page"}, tmp_path / "site")

    assemble.release()

    archive = (tmp_path / "release" / f"{assemble.ARCHIVE}.tar.gz").read_bytes()
    told = (tmp_path / "release" / "SHA256SUMS").read_text()
    assert told == f"{hashlib.sha256(archive).hexdigest()}  {assemble.ARCHIVE}.tar.gz\n"


def opened(*names):
    work = Work()
    for name in names:
        work.handle({"do": "open", "text": name})
    return {name: str(make(*what)) for name, (make, *what) in view.parts(work).items()}


def test_every_source_that_is_cited_is_in_the_notes_with_what_it_is_used_for():
    shown = opened("sources")["sources"]
    entries = re.findall(r"<li><strong.*?</li>", shown, re.DOTALL)

    assert len(entries) == len(rows("sources"))
    by_title = {row["title"]: row["source_id"] for row in rows("sources")}
    uses = view.uses()
    for table in TABLES:
        for row in rows(table):
            assert table in uses[row["source_id"]], (table, row["source_id"])
    for row, entry in zip(rows("sources"), entries, strict=True):
        assert by_title[row["title"]] == row["source_id"]
        for said in (
            () if row["source_id"] == "common-practice" else (row["publisher"], row["year"])
        ):
            assert said.replace("'", "&#39;").replace("&", "&amp;").replace("&amp;#", "&#") in entry


def test_every_table_has_words_for_what_it_is_used_for():
    with open(DATA / "columns.csv", encoding="utf-8", newline="") as file:
        tables = {row["table"] for row in csv.DictReader(file)} - set(view.BIBLIOGRAPHY)

    assert tables == set(TABLES)
    assert {f"used.{table}" for table in tables} <= view.text.__globals__["CATALOGUE"].keys()


def test_the_page_shows_the_parts_and_hands_them_on(shipped, about):
    shown = opened("about", "licences")

    for part in json.loads(about[supply.SBOM])["components"]:
        assert f">{part['name']}</th><td>{part['version']}</td>" in shown["about"]
    assert "Mozilla Public License" in shown["licences"]
    for what, name in (("sbom", supply.SBOM), ("licences", supply.LICENCES)):
        assert view.FILES[what](None, None)["text"].encode() == about[name]


def test_a_list_that_cannot_be_fetched_is_said_in_words():
    assert "could not be fetched" in opened("about")["about"]
    with pytest.raises(view.Refused):
        view.FILES["sbom"](None, None)


def test_nothing_is_made_before_it_is_opened():
    assert set(opened().values()) == {""}
