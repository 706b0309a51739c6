"""Bytes as a server sends them: with Brotli at its best quality, worked out once for each file."""

import brotli as brotli_library

from webapp.build.remembered import remembered


def brotli(data):
    """The bytes compressed."""

    def make():
        return brotli_library.compress(data, quality=11, lgwin=24)

    return remembered("brotli", data, make)
