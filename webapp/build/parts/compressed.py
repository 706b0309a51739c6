"""Bytes as a server sends them: Brotli at its best quality, cached for each file."""

import brotli as brotli_library

from webapp.build.remembered import remembered


def brotli(data):
    """The bytes compressed."""

    def make():
        return brotli_library.compress(data, quality=11, lgwin=24)

    return remembered("brotli", data, make)
