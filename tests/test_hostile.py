"""
Links, files, price lists and trials that were tampered with: a sentence or an answer, soon.

Each goes through the page's own conversation, from the first message to the answer on the page.
"""

import copy
import json
import random
import resource
from time import process_time

import pytest

from conversation import Conversation
from pennyflat.demo import DEMO
from pennyflat.scenario.document import write
from reader.words import said as text_of
from tests.strategies import whole_scenario
from tests.test_link import HOSTILE, damaged, link_of, places
from tests.test_trial_report import FULL
from tests.times import TIMES

MOST_S, MOST_MB = 2.0, 300
"""What one of them may take. [s of processor time, MB] From the issue that asked for it."""

INPUTS = 50 * TIMES
"""Of each kind. [count]"""

PRICES = (
    "Item;Shop;Size;Price;Deal;Limit\nSeed starter mix;Garden centre;8 qt;5,90;;\n"
    "Bulk potting mix;Farm shop;2 cu ft;14.50;3 for 40;2\nCoir;Corner shop;5 kg;13,00;;4\n"
)
TABLE = "mix\tcrop\tsown\tday 5\tday 9\nSeed starter mix\ttomato\t10\t4\t9\nHome blend\t\t9\t2\t7\n"
WITH_TRIALS = DEMO | {"trials": [FULL]}
SIGNS = ["", " ", ",", ".", ";", "\t", "\n", '"', "0", "9", "-", "e9", "%", "/", "€", "<b>", "=",
         "\x00", "\u202e", "\ud800", "9" * 400, "1 " * 200, "A" * 5000]  # fmt: skip


def garbled(rng, text):
    """A text with pieces taken out, put in, and doubled."""
    for _ in range(rng.randint(1, 6)):
        start, end = sorted(rng.randint(0, len(text)) for _ in range(2))
        middle = rng.choice([rng.choice(SIGNS), text[start:end] * 2, ""])
        text = text[:start] + middle + text[rng.choice([start, end]) :]
    return text


def changed(rng):
    """A sound document with values of others' making; rows may come many times over."""
    document = copy.deepcopy(rng.choice([WITH_TRIALS, write(whole_scenario(rng))]))
    for _ in range(rng.randint(1, 2)):
        holder, key = rng.choice(list(places(document)))
        value = holder[key]
        if isinstance(value, list) and value and rng.random() < 0.8:
            holder[key] = many(rng, value)
        elif type(value) in (int, float) and rng.random() < 0.8:
            holder[key] = value * rng.choice([0, -1, 0.5, 0.9, 2, 2, 3, 50, 1e6])
        elif rng.random() < 0.2:
            del holder[key]
        else:
            holder[key] = copy.deepcopy(rng.choice(HOSTILE))
    return document


def many(rng, rows):
    """The rows many times over, each with its own name."""
    rows = [copy.deepcopy(row) for row in rows * rng.choice([2, 10, 40, 300])]
    for number, row in enumerate(rows):
        if isinstance(row, dict) and "name" in row and isinstance(row["name"], str):
            row["name"] += f" {number}" if number else ""
    return rows


def link(rng):
    whole = link_of(json.dumps(changed(rng)).encode())
    return {"do": "link", "text": rng.choice([whole, damaged(rng, whole)])}


def file(rng):
    text = json.dumps(changed(rng))
    return {"do": "file", "name": "a.json", "text": rng.choice([text, garbled(rng, text)])}


def prices(rng):
    return {"do": "prices", "text": garbled(rng, PRICES)}


def trials(rng):
    return {"do": "type", "path": "bench.pasted", "text": garbled(rng, TABLE)}


AFTER = {
    "link": [{"do": "take", "text": "look"}],
    "file": [{"do": "take", "text": "copy"}],
    "prices": [{"do": "prices-take"}],
    "type": [{"do": "trial-paste"}, {"do": "trial-show"}],
}


def visit(talk, message):
    """The messages of a user who accepts what arrived, and then wants to remove it."""
    yield message
    for told in AFTER[message["do"]]:
        if told["do"] != "trial-show" or not talk.work.is_example:
            yield told
    if talk.work.is_example:
        yield {"do": "dismiss"}
    else:
        yield from ({"do": "more"}, {"do": "forget-all"})


@pytest.mark.parametrize("kind", [link, file, prices, trials])
def test_whatever_comes_from_outside_is_answered_soon(kind, capsys):
    talk, before = Conversation(), most_mb()
    talk.answer({"do": "hello", "seq": 0})
    for seed in range(INPUTS):
        for told in visit(talk, kind(random.Random(f"{kind.__name__} {seed}"))):
            begun = process_time()
            answer = talk.answer(told)
            took = process_time() - begun

            assert "trouble" not in answer, (seed, told["do"], capsys.readouterr().err)
            assert took < MOST_S, (seed, told["do"])
    assert most_mb() - before < MOST_MB


def most_mb():
    """The most memory that this process has had. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def paths(value, path=""):
    """Every path in a JSON value."""
    for key, item in value.items() if isinstance(value, dict) else enumerate(value):
        found = f"{path}[{key}]" if isinstance(value, list) else f"{path}.{key}".lstrip(".")
        yield found
        if isinstance(item, dict | list):
            yield from paths(item, found)


def test_what_a_plan_must_have_is_not_removed():
    """A stored message may say anything: an outsider or an earlier version may have written it."""
    talk = Conversation()
    for path in paths(DEMO):
        for message in ({"do": "remove", "path": path}, {"do": "undo"}):
            answer = talk.answer(message)

            assert "trouble" not in answer, path
            assert talk.work.document.keys() >= DEMO.keys() - {"feed", "energy", "labour"}, path
    assert talk.work.document == DEMO


@pytest.mark.parametrize(("crops", "mixes"), [(600, 1), (1, 600), (61, 60)])
def test_a_plan_too_large_for_the_page_is_refused_in_a_sentence(crops, mixes):
    rows = {
        "media": [DEMO["media"][0] | {"name": f"{number}"} for number in range(mixes)],
        "sowings": [{**DEMO["sowings"][0], "seed_packets": []} for _ in range(crops)],
    }
    talk = Conversation()
    for take in ("link", "file"):
        document = DEMO | rows
        text = json.dumps(document)
        told = {"do": take, "name": "a.json", "text": text}
        talk.answer(told if take == "file" else told | {"text": link_of(text.encode())})

        assert talk.desk.offer is None
        assert "too large for this page" in text_of(talk.desk.notice)
