"""Bytes as a server sends them: with Brotli at its best quality, worked out once for each file."""

import brotli as brotli_library

from webapp.build.fetch import CACHE, keep, sha256


def brotli(data):
    """The bytes compressed."""
    known = CACHE / "brotli" / f"{sha256(data)}.br"
    if not known.exists():
        keep(known, brotli_library.compress(data, quality=11, lgwin=24))
    return known.read_bytes()
