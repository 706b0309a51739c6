"""A whole scenario as the text after the # of an address, which no server ever sees.

The text is `pf1.` and base64url without padding [RFC 4648, section 5] of a CRC-32 in four bytes,
most significant first, and a raw DEFLATE stream [RFC 1951]. The stream holds the scenario's
shortest document (see `document.write`) as UTF-8 JSON in the order of the format, without spaces,
compressed with a preset dictionary, `WORDS`. The checksum is that of the stream.

Links must work forever: a change to `WORDS` or to the layout takes the next number after `pf`, and
the old number can still be read. New keys of the scenario need no new number. Another build of zlib
may give another text for the same scenario; every build reads both.

A link may come from anyone. Its size is checked before unpacking, unpacking stops at a limit, and
its nesting is checked before parsing.
"""

import base64
import json
import re
import zlib
from itertools import accumulate

from pennyflat.scenario.document import Document, ScenarioError, parse, read, with_floats, write
from pennyflat.scenario.records import Scenario
from pennyflat.sentences import Listed, phrase, say

VERSION = 1
"""Number in the link's tag."""

LONGEST_LINK = 100_000
"""Longest text written or read. [characters] Ours: some fifty times a typical scenario."""

MOST_BYTES = 1_000_000
"""Largest unpacked size. [bytes] Ours; the demo takes about two thousand."""

DEEPEST = 16
"""Deepest nesting of objects and lists. [count] Ours; a scenario needs six."""

FAULTS_NAMED = 3
"""Most faults of an unusable scenario that the sentence lists. [count] Ours."""

WORDS = (
    # Frozen: it belongs to version 1. The most common words are last, since nearer is cheaper.
    b'"presprout":true,"take":0.9,"budget":100,"assurance":null,"tax":0.19,'
    b'"labour":{"minutes_per_cell":0.5,"wage":12},"deal":{"take":3,"pay":"limit":2,"yields_l":65,'
    b'"stock":10,"keeps_seasons":2,"next_year_share":0.5,"pace":1.1,"remedy":"none",'
    b'"remedy":"pot_on","pot_on":{"medium":"cell_ml":350,"at_week":4,"g_per_litre":1,'
    b'"ml_per_litre":5,"unit":"mL","unit":"m3","unit":"qt_liq","unit":"gal_liq","unit":"bu",'
    b'"unit":"cu_in","unit":"cu_yd","unit":"oz","unit":"lb","unit":"g",VermiculiteCompostPeat moss'
    b"SandBark finesWorm castingsBone mealSeed starter mixFine sowing mixBulk potting mixHome blend"
    b"cucumberbroccolionioncelerykaleleekparsleycabbagepepperbasilmarigoldlettucetomato"
    b'{"format":"seedling-costs/1","title":"Plant sale at the garden club","currency":"USD",'
    b'"currency":"EUR","stores":[{"name":"Garden centre"},{"name":"Farm shop","trip_cost":4.5}],'
    b'"media":[{"name":"Potting mix","feeds_for_weeks":6,"packages":[{"store":"Garden centre",'
    b'"size":50,"unit":"L","price":9.9}],"emergence":{"lettuce":0.6}},{"name":"Seed mix",'
    b'"feeds_for_weeks":3,"fill_loss":0.12,"packages":[{"store":"","size":8,"unit":"qt_dry",'
    b'"price":5.9},{"store":"","size":2,"unit":"cu_ft","price":14.5}]},{"name":"Blend",'
    b'"feeds_for_weeks":5,"fill_loss":0.1,"emergence":{"lettuce":0.7},"shrink":0.08,"parts":['
    b'{"ingredient":"Coir","parts":2},{"ingredient":"Perlite","parts":1}],"additions":['
    b'{"ingredient":"Organic fertiliser","g_per_l":4}]}],"ingredients":[{"name":"Coir","packages":['
    b'{"store":"Garden centre","size":5,"unit":"kg","price":13,"yields_l":65}]},{"name":"Perlite",'
    b'"packages":[{"store":"Garden centre","size":20,"unit":"L","price":9.8}]}],"plantings":['
    b'{"crop":"lettuce","wanted":120,"cell_ml":25,"weeks":4,"germination":0.8,"seeds_per_cell":2,'
    b'"survival":0.95,"seed_price":0.02,"tray":{"price":3.6,"cells":128,"uses":4}},'
    b'{"crop":"tomato","wanted":60,"cell_ml":60,"weeks":6,"germination":0.85,"survival":0.95,'
    b'"seed_price":0.06,"tray":{"price":3.2,"cells":72,"uses":4},"medium":"Potting mix"}],"feed":{'
    b'"name":"Soluble feed","per_week":2,"ml_per_cell":15,"packages":[{"store":"Garden centre",'
    b'"size":500,"unit":"g","price":8.4}],"n_percent":20,"target_ppm_n":100},"energy":{'
    b'"light_watts":40,"hours_per_day":16,"mat_watts":20,"mat_days":7,"tariff":0.3,"cells":144}}'
)
"""Preset dictionary of version 1: the format's keys and units, and words common on such shelves."""

_CHECKSUM_BYTES = 4
_RAW_DEFLATE = -15

_CUT_OFF = phrase("This link is cut off; copy the whole of it and try again.")
_DAMAGED = phrase("This link is damaged, some of its characters have changed; copy it again.")


class LinkError(ValueError):
    """A text that contains no scenario; `str` of it, a `Said`, tells why in one sentence."""


def encode(scenario: Scenario | Document) -> str:
    """
    The text for a scenario or its document, to go after the # of an address.

    It has letters, digits, `-`, `_` and one full stop. ScenarioError if a document is invalid,
    LinkError if it is too long for a link; it can still be kept as a file.

    >>> from pennyflat.demo import DEMO
    >>> text = encode(DEMO)
    >>> text[:4], len(text) < 1800
    ('pf1.', True)
    """
    sound = scenario if isinstance(scenario, Scenario) else read(scenario)
    # 6.0 is written as 6
    shortest = with_floats(write(sound), lambda x: int(x) if x.is_integer() else x)
    source = json.dumps(shortest, ensure_ascii=False, separators=(",", ":")).encode()
    squeeze = zlib.compressobj(zlib.Z_BEST_COMPRESSION, wbits=_RAW_DEFLATE, zdict=WORDS)
    stream = squeeze.compress(source) + squeeze.flush()
    found = f"pf{VERSION}.{_base64url(_checksum(stream) + stream)}"
    if len(found) > LONGEST_LINK or len(source) > MOST_BYTES:
        why = say(
            "This plan is too long for a link of {most:,} characters; save it as a file and send"
            " that.",
            most=LONGEST_LINK,
        )
        raise LinkError(why)
    return found


def decode(text: str) -> Scenario:
    """
    The scenario in a link: a whole address, or the part after its #.

    Spaces and line breaks from mail programs are ignored. LinkError, and nothing else, if it is not
    ours, or is of a later version, cut off, damaged, too large, or holds no valid scenario.

    >>> from pennyflat.demo import DEMO
    >>> decode("https://example.org/seedlings/#" + encode(DEMO)).currency
    'USD'
    """
    source = _unpacked(_body(text))
    if _is_deeper(source, DEEPEST):
        raise LinkError(phrase("This link holds no plan: what is in it is nested too deeply."))
    try:
        return parse(source)
    except ScenarioError as error:
        named = Listed(tuple(map(str, error.faults[:FAULTS_NAMED])), ";")
        more = len(error.faults) + error.more - FAULTS_NAMED
        if more <= 0:
            why = say("This link holds no plan that can be used: {faults}.", faults=named)
        else:
            why = say(
                "This link holds no plan that can be used: {faults}; and {more} more.",
                faults=named,
                more=more,
            )
        raise LinkError(why) from error


def _body(text):
    """What follows the tag in a link's text: checksum and stream in base64url."""
    if len(text) > LONGEST_LINK:
        why = say(
            "This link is longer than {most:,} characters, so it was not opened; ask for the plan"
            " as a file.",
            most=LONGEST_LINK,
        )
        raise LinkError(why)
    fragment = "".join(text.split()).replace("%23", "#").rpartition("#")[2]
    found = re.fullmatch(r"pf(\d{1,9})\.([A-Za-z0-9_-]*)", fragment.strip("<>()[]\"'.,;"), re.A)
    if not found and re.match(r"pf\d{1,9}\.", fragment, re.A):
        raise LinkError(_DAMAGED)
    if not found:
        why = say(
            "This is no link to a plan, which has #pf{version}. and more in it.", version=VERSION
        )
        raise LinkError(why)
    version, body = int(found[1]), found[2]
    if version != VERSION:
        why = say(
            "This link is of version {version} and only version {known} can be opened here; get the"
            " newest program, or ask for the plan as a file.",
            version=version,
            known=VERSION,
        )
        raise LinkError(why)
    return body


def _unpacked(body):
    """The JSON in a link, as bytes."""
    if len(body) % 4 == 1 or len(body) * 3 // 4 <= _CHECKSUM_BYTES:
        raise LinkError(_CUT_OFF)
    payload = base64.urlsafe_b64decode(body + "=" * (-len(body) % 4))
    checksum, stream = payload[:_CHECKSUM_BYTES], payload[_CHECKSUM_BYTES:]
    unpack = zlib.decompressobj(_RAW_DEFLATE, WORDS)
    try:
        source = unpack.decompress(stream, MOST_BYTES + 1)
    except zlib.error:
        raise LinkError(_DAMAGED) from None
    if len(source) > MOST_BYTES:
        why = say(
            "This link unpacks to more than {most:,} bytes, so it was not opened.", most=MOST_BYTES
        )
        raise LinkError(why)
    if not unpack.eof:
        raise LinkError(_CUT_OFF)
    if unpack.unused_data or _checksum(stream) != checksum or _base64url(payload) != body:
        raise LinkError(_DAMAGED)
    return source


def _is_deeper(source, deepest):
    """Whether brackets outside strings are nested deeper than `deepest`."""
    outside = re.sub(rb'"(?:[^"\\]++|\\.)*+"?|[^\[\]{}"]++', b"", source, flags=re.S)
    depths = accumulate(1 if bracket in b"[{" else -1 for bracket in outside)
    return any(depth > deepest for depth in depths)


def _checksum(stream):
    return zlib.crc32(stream).to_bytes(_CHECKSUM_BYTES, "big")


def _base64url(payload):
    return base64.urlsafe_b64encode(payload).rstrip(b"=").decode("ascii")
