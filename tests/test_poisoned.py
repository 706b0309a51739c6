"""One scenario with hostile names through everything that is written: it stays text."""

import csv
import io
import json
import re
from html.parser import HTMLParser

import pytest

from conversation import Conversation
from pennyflat.buying.highs import solve
from pennyflat.cli.command import main
from pennyflat.demo import DEMO
from pennyflat.scenario.document import check
from pennyflat.scenario.export import FORMULA_SIGNS
from share.sharing import FILES
from work.state import Work

MARKUP = '<img src=x onerror="window.reached=1"><script>window.reached=1</script>\'{{7*7}}'
POISON = f"=cmd|'/C calc'!A0{MARKUP}\u202e../../x;ATTACH:file,\\n%0A"
"""A formula, markup, a template, text that runs backwards, a path, and a line of a calendar."""

NAMED = {"title", "name", "store", "ingredient", "crop", "medium", "tray", "label", "notes"}


def poisoned(value=DEMO, key=""):
    """The scenario with the poison in front of every name."""
    if isinstance(value, dict):
        return {each: poisoned(item, each) for each, item in value.items()}
    if isinstance(value, list):
        return [poisoned(item) for item in value]
    return POISON + value if key in NAMED and isinstance(value, str) else value


SCENARIO = poisoned() | {"last_frost": "2027-05-15"}
for medium in SCENARIO["media"]:
    for by_crop in ("emergence", "survival"):
        if by_crop in medium:
            medium[by_crop] = {POISON + crop: share for crop, share in medium[by_crop].items()}


class Tags(HTMLParser):
    """What there is besides text: tags that could do something, and their attributes."""

    def __init__(self):
        super().__init__()
        self.found, self.text = [], ""

    def handle_starttag(self, tag, attrs):
        if tag in ("img", "script", "iframe", "object") or any(
            k.startswith("on") for k, _ in attrs
        ):
            self.found.append((tag, attrs))
        for name, value in attrs:
            if name in ("href", "src") and not re.match(r"#|https://", value or ""):
                self.found.append((tag, value))

    def handle_data(self, data):
        self.text += data


@pytest.fixture(scope="module")
def answers():
    """All that the page is sent when it opens the scenario and asks for everything."""
    talk = Conversation(Work(solve=solve), solve)
    page = "https://example.invalid/"
    walk = [
        {"do": "hello", "seq": 0},
        {"do": "file", "name": f"{POISON}.json", "text": json.dumps(SCENARIO)},
        {"do": "file", "name": f"{POISON}.json", "text": "{"},
        {"do": "file", "name": f"{POISON}.json", "text": json.dumps(SCENARIO)},
        {"do": "take", "text": "copy"},
        {"do": "trial-example"},
        {"do": "trial-show"},
        *({"do": "open", "text": card} for card in ("calendar", "sights", "salts", "reckoner")),
        *({"do": "open", "text": card} for card in ("age", "two", "label")),
        *({"do": "ask", "question": name, "text": "yes"} for name in ("matters", "beat", "week")),
        {"do": "more"},
        {"do": "more"},
        {"do": "order-own"},
        {"do": "more"},
        {"do": "print", "text": "order", "page": page},
        {"do": "print", "text": "handout", "page": page},
        *({"do": "save", "text": kind} for kind in FILES),
        {"do": "type", "path": "media[0].packages[0].price", "text": POISON},
        {"do": "remove", "path": "media[0]"},
    ]  # fmt: skip
    return [talk.answer(message) for message in walk]


def test_it_is_a_sound_scenario():
    assert not check(SCENARIO)


def test_on_the_page_and_on_paper_it_is_text(answers):
    assert not [answer for answer in answers if "trouble" in answer]
    html = "".join(part for answer in answers for part in answer.get("fragments", {}).values())
    read = Tags()
    read.feed(html)

    assert read.found == []
    assert MARKUP in read.text and "49" not in re.findall(r"x'(\d+)", read.text)
    assert any("sheet" in answer.get("fragments", {}) for answer in answers)


def test_in_the_files_it_is_text_and_their_names_are_names(answers):
    files = {answer["file"]["name"]: answer["file"] for answer in answers if answer.get("file")}

    assert {name.rpartition(".")[2] for name in files} == {"json", "csv", "ics"}
    assert len(files) >= 5
    for name, file in files.items():
        assert re.fullmatch(r"[\w-]{1,200}\.(json|csv|ics)", name)
        if name.endswith(".csv"):
            cells = [cell for row in csv.reader(io.StringIO(file["text"])) for cell in row]
            assert any(MARKUP in cell for cell in cells)
            assert not [c for c in cells if c.strip() and c.strip()[0] in FORMULA_SIGNS
                        and not re.fullmatch(r"-?[\d.,]+", c)]  # fmt: skip
        if name.endswith(".ics"):
            lines = file["text"].replace("\r\n ", "").split("\r\n")
            assert not [line for line in lines if line.startswith(("ATTACH", "ALARM"))]
            assert any("ATTACH:file" in line for line in lines)
            assert not [line for line in lines if line and not re.match(r"[A-Z-]+[;:]", line)]


@pytest.mark.parametrize("command", ["compare", "shop"])
def test_on_a_terminal_it_is_text(command, tmp_path, capsys):
    for title in (POISON, POISON + "\x1b]0;owned\x07\x1b[2J"):
        path = tmp_path / "x.json"
        path.write_text(json.dumps(SCENARIO | {"title": title}), "utf-8")
        main([command, str(path)])

        told = "".join(capsys.readouterr())
        assert "onerror" in told or "title" in told
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", told)
