"""Scenario files as shells and editors save them."""

import sys
from os import PathLike
from pathlib import Path
from typing import IO

from pennyflat.scenario.checking import Fault
from pennyflat.scenario.document import ScenarioError, parse
from pennyflat.scenario.records import Scenario

MARKS = {
    b"\xff\xfe\0\0": "utf-32",
    b"\0\0\xfe\xff": "utf-32",
    b"\xff\xfe": "utf-16",
    b"\xfe\xff": "utf-16",
    b"\xef\xbb\xbf": "utf-8-sig",
}
"""Encodings by the byte-order mark a file begins with; a shell on Windows writes UTF-16."""


def load(source: str | PathLike[str] | IO[str] | IO[bytes]) -> Scenario:
    """
    The scenario in a file: the path of one, or one open for reading.

    It is JSON in UTF-8, or the encoding of its byte-order mark. OSError if it cannot be read,
    ScenarioError, with everything that is wrong, if it holds no valid scenario.

    >>> import io, json
    >>> from pennyflat.demo import DEMO
    >>> load(io.StringIO(json.dumps(DEMO))).currency
    'USD'
    """
    if isinstance(source, str | PathLike):
        return parse(decoded(Path(source).read_bytes()))
    read = source.read()
    return parse(read if isinstance(read, str) else decoded(read))


def text_of(name: str) -> bytes:
    """Text of a file named on the command line, as from `decoded`; "-" is standard input."""
    return decoded(sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes())


def decoded(source: bytes) -> bytes:
    """A file's text in UTF-8; ScenarioError if it is not in the encoding of its byte-order mark."""
    for mark, encoding in MARKS.items():
        if source.startswith(mark):
            try:
                return source.decode(encoding).encode()
            except UnicodeDecodeError as error:
                wrong = f"begins as {encoding.removesuffix('-sig').upper()} text but is not:"
                raise ScenarioError([Fault("", None, f"{wrong} {error.reason}")]) from None
    return source
