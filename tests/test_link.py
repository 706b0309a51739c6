"""Links: what goes in comes out, old ones work forever, bad ones say what is wrong with them."""

import base64
import copy
import json
import random
import re
import time
import zlib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pennyflat.demo import DEMO
from pennyflat.scenario.checking import MOST_FAULTS
from pennyflat.scenario.document import ScenarioError, read
from pennyflat.scenario.link import LONGEST_LINK, MOST_BYTES, WORDS, LinkError, decode, encode
from pennyflat.scenario.records import Scenario

GOLDEN = json.loads((Path(__file__).parent / "golden" / "links.json").read_text(encoding="utf-8"))

LINK = GOLDEN[0]["link"]

TYPICAL_LENGTH = 1800
"""A typical scenario's link must be shorter. [characters]"""


def link_of(source, version=1):
    """A link to any bytes, made as its format says and not by the code under test."""
    squeeze = zlib.compressobj(6, wbits=-15, zdict=WORDS)
    return sealed(squeeze.compress(source) + squeeze.flush(), version)


def sealed(stream, version=1):
    payload = zlib.crc32(stream).to_bytes(4, "big") + stream
    return f"pf{version}." + base64.urlsafe_b64encode(payload).decode().rstrip("=")


def refusal(text):
    with pytest.raises(LinkError) as caught:
        decode(text)
    return str(caught.value)


NAMING = ("title", "name", "store", "ingredient", "crop", "tray")


def renamed(value, spoken):
    """The JSON value with every name in another alphabet, so that the dictionary helps no name."""
    if isinstance(value, list):
        return [renamed(item, spoken) for item in value]
    if not isinstance(value, dict):
        return value
    return {
        key: spoken.setdefault(item, f"Ж{len(spoken) * 7919 % 9973:04x} ügyű {len(spoken)}")
        if key in NAMING
        else renamed(item, spoken)
        for key, item in value.items()
    }


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["name"])
def test_links_made_before_open_to_the_same(golden):
    assert decode(golden["link"]) == read(golden["document"])


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["name"])
def test_what_goes_in_comes_out(golden):
    assert decode(encode(golden["document"])) == read(golden["document"])


def test_the_dictionary_of_version_1_never_changes():
    assert (len(WORDS), zlib.crc32(WORDS)) == (2230, 0x12CEC65)


@pytest.mark.parametrize(
    "document", [DEMO, *(golden["document"] for golden in GOLDEN if golden["typical"])]
)
def test_a_typical_link_is_short(document):
    assert len(encode(document)) < TYPICAL_LENGTH


def test_a_link_is_short_in_words_that_the_dictionary_lacks():
    document = copy.deepcopy(DEMO)
    document["media"][1].pop("emergence", None)
    document["media"][2].pop("emergence", None)
    strange = renamed(document, {})

    assert len(encode(strange)) < TYPICAL_LENGTH


@pytest.mark.parametrize(
    "around",
    ["{}", "#{}", "https://example.org/a/?x=1#{}", "file:///C:/a%20b/index.html#{}", "<{}>",
     "https://example.org/%23{}", " \n{}\n"],
)  # fmt: skip
def test_a_link_opens_with_what_stands_around_it(around):
    assert decode(around.format(LINK)) == decode(LINK)


def test_a_link_broken_into_lines_by_mail_opens():
    assert decode("=\n".join([LINK[:76], LINK[76:]]).replace("=\n", "\r\n")) == decode(LINK)


def test_a_link_needs_no_escaping_in_an_address():
    assert re.fullmatch(r"[A-Za-z0-9._-]+", LINK)


@pytest.mark.parametrize(
    "text", ["", "#", "   ", "answer", "https://example.org/#top", "pf1", "pf"]
)
def test_not_ours(text):
    assert refusal(text) == "This is no link to a plan, which has #pf1. and more in it."


def test_later_version():
    assert refusal(link_of(b"{}", version=2)).startswith("This link is of version 2 and only")


def test_every_cut_is_called_one():
    assert {refusal(LINK[:end]) for end in range(5, len(LINK))} == {
        "This link is cut off; copy the whole of it and try again."
    }


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["name"])
def test_every_other_character_is_noticed(golden):
    link = golden["link"]
    for place in range(4, len(link)):
        for other in {"A", "a", "0", "-", "_", "!", chr(ord(link[place]) + 1)} - {link[place]}:
            said = refusal(link[:place] + other + link[place + 1 :])
            assert re.match("This link (is damaged|is cut off|is longer|unpacks)", said)


def test_more_after_the_end_is_noticed():
    assert "damaged" in refusal(LINK + "AAAA")


@pytest.mark.parametrize("filler", [b" ", b"[", b"{", b'"\\"', b'{"a":', b"[],", b"0", b"\xff"])
def test_what_unpacks_to_more_than_the_cap_is_refused_at_once(filler):
    bomb = link_of(filler * (50_000_000 // len(filler)))
    assert len(bomb) < LONGEST_LINK

    begun = time.process_time()
    said = refusal(bomb)
    assert time.process_time() - begun < 1
    assert said == f"This link unpacks to more than {MOST_BYTES:,} bytes, so it was not opened."


@pytest.mark.parametrize("filler", [b" ", b"[", b"{", b'"\\"', b'{"a":', b"[],", b"0", b"\xff"])
def test_what_unpacks_to_just_the_cap_takes_no_long_time(filler):
    link = link_of(filler * (MOST_BYTES // len(filler)))

    begun = time.process_time()
    refusal(link)
    assert time.process_time() - begun < 3


def test_too_long_a_text_is_not_even_looked_at():
    assert refusal("pf1." + "A" * 50_000_000).startswith("This link is longer than 100,000")


@pytest.mark.parametrize("depth", [17, 500, 100_000])
def test_deep_nesting(depth):
    said = refusal(link_of(b'{"title":' + b"[" * depth + b"]" * depth + b"}"))

    assert said == "This link holds no plan: what is in it is nested too deeply."


BARE = (
    b'{"format":"seedling-costs/2","title":"","currency":"EUR","stores":[],"media":[],'
    b'"ingredients":[],"sowings":[]'
)


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (b"", "the file is empty"),
        (b"null", "null is not an object"),
        (b"[]", "a list of 0 is not an object"),
        (b"{", "not JSON at line 1"),
        (b"\xff\xfe", "not UTF-8"),
        (BARE + b',"tax":NaN}', "tax: nan is not a share"),
        (BARE + b',"tax":1e308}', "tax: 1e+308 is not a share"),
        (BARE + b',"tax":' + b"9" * 400 + b"}", "a number"),
        (BARE + b',"tax":' + b"9" * 9000 + b"}", "too many digits"),
        (BARE + b',"tax":1,"tax":0}', 'the key "tax" stands 2 times'),
        (BARE.replace(b"/2", b"/3") + b"}", 'format: "seedling-costs/3" is not one of'),
        (BARE + b',"__class__":1}', "__class__: unknown key"),
    ],
)
def test_no_sound_scenario(source, said):
    sentence = refusal(link_of(source))

    assert sentence.startswith("This link holds no plan that can be used: ")
    assert said in sentence
    assert "\n" not in sentence


def test_few_of_many_faults_are_named_and_all_are_kept():
    with pytest.raises(LinkError) as caught:
        decode(link_of(json.dumps({f"key {n}": n for n in range(9_000)}).encode()))

    assert str(caught.value).endswith("; and 9004 more.")
    assert len(caught.value.__cause__.faults) == MOST_FAULTS
    assert len(str(caught.value)) < 1500


def test_an_unsound_document_is_not_linked():
    with pytest.raises(ScenarioError):
        encode(DEMO | {"tax": 19})


@pytest.mark.parametrize("spread", [0, 7919])
def test_a_huge_scenario_is_sent_as_a_file(spread):
    """Too long as a link where every size is another; where all are the same, once unpacked."""

    def bags(first):
        return [
            {"store": "A" * 20, "size": 1 + n * spread % 1000003 / 11, "unit": "L", "price": 1}
            for n in range(first, first + 100)
        ]

    huge = DEMO | {
        "stores": [*DEMO["stores"], {"name": "A" * 20}],
        "media": DEMO["media"]
        + [{"name": f"{n}", "feeds_for_weeks": 3, "packages": bags(100 * n)} for n in range(190)],
    }
    with pytest.raises(LinkError, match="too long for a link of 100,000 characters"):
        encode(huge)


MARKUP = "<script>alert(1)</script>\"'&{{7*7}}=cmd|' /C calc'!A0"


def test_markup_in_names_is_carried_as_the_text_it_is():
    document = DEMO | {"title": MARKUP}

    assert decode(encode(document)).title == MARKUP


# Fuzzing. Whatever the text, decode returns a scenario or raises LinkError: anything else that is
# raised fails the test: 20,000 cases.


def fuzz(cases):
    return settings(
        max_examples=cases,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )


HOSTILE = [
    None, True, False, 0, -1, 1e308, -1e308, 5e-324, float("nan"), float("inf"), -0.0, 10**18,
    10**400, "", " ", "\x00", "\u202e", "\ud800", "a" * 201, MARKUP, "1", "NaN", [], {}, [[]],
    [None], {"": None}, {"__class__": 1}, [[[[[[[[[[]]]]]]]]]], [{}] * 201, "tomato", "feed",
    "pot_on", "qt_dry", 1, 0.5, 2,
]  # fmt: skip


def open_or_refuse(text):
    try:
        found = decode(text)
    except LinkError as error:
        assert str(error) and "\n" not in str(error)
        return None
    assert isinstance(found, Scenario)
    return found


@fuzz(4000)
@given(st.sampled_from(["", "#", "pf1.", "pf2.", "#pf1.", "pf1.eJx"]), st.text(), st.booleans())
def test_any_text(tag, text, base64_only):
    if base64_only:
        text = base64.urlsafe_b64encode(text.encode("utf-8", "surrogatepass")).decode()
    open_or_refuse(tag + text)


seeds = st.integers(0, 2**48).map(random.Random)


def damaged(rng, link):
    for _ in range(rng.randint(1, 4)):
        place, end = sorted((rng.randint(0, len(link)), rng.randint(0, len(link))))
        link = rng.choice(
            [
                link[:end],
                link[:place] + link[end:],
                link[:place] + link[place + 1 :],
                link[:place] + rng.choice("AZaz09-_.#%+/= é") + link[place:],
                link[:place] + rng.choice("AZaz09-_.#%+/= é") + link[place + 1 :],
                link[:end] + link[place:],
            ]
        )
    return link


@fuzz(4000)
@given(seeds)
def test_damaged_links(rng):
    open_or_refuse(damaged(rng, rng.choice(GOLDEN)["link"]))


@fuzz(4000)
@given(st.binary(max_size=300))
def test_any_bytes_well_packed(source):
    assert open_or_refuse(link_of(source)) is None


@fuzz(4000)
@given(seeds)
def test_flipped_bits_under_a_right_checksum(rng):
    payload = base64.urlsafe_b64decode(rng.choice(GOLDEN)["link"][4:] + "==")
    stream = bytearray(payload[4:])
    for _ in range(rng.randint(1, 5)):
        stream[rng.randrange(len(stream))] ^= 1 << rng.randrange(8)
    open_or_refuse(sealed(bytes(stream)))


keys = st.sampled_from(["title", "media", "name", "packages", "size", "format", "sowings"])
hostile = st.sampled_from(HOSTILE) | st.floats() | st.integers()
json_values = hostile | st.dictionaries(
    keys, hostile | st.lists(st.dictionaries(keys, hostile, max_size=2), max_size=2), max_size=4
)


@fuzz(2000)
@given(json_values)
def test_any_json_well_packed(value):
    assert open_or_refuse(link_of(json.dumps(value).encode())) is None


def places(value):
    """(holder, key) of every value inside a JSON value."""
    for key, item in value.items() if isinstance(value, dict) else enumerate(value):
        yield value, key
        if isinstance(item, dict | list):
            yield from places(item)


DOCUMENTS = [json.dumps(golden["document"]) for golden in GOLDEN]


@fuzz(2000)
@given(seeds)
def test_a_scenario_with_hostile_values_well_packed(rng):
    document = json.loads(rng.choice(DOCUMENTS))
    for _ in range(rng.randint(1, 3)):
        holder, key = rng.choice(list(places(document)))
        what = rng.choice(["value", "value", "drop", "double"])
        if what == "drop":
            del holder[key]
        else:
            holder[key] = (
                copy.deepcopy(rng.choice(HOSTILE)) if what == "value" else [holder[key]] * 2
            )
    source = json.dumps(document)
    found = open_or_refuse(link_of(source.encode()))
    if found is not None:
        assert found == read(json.loads(source))
