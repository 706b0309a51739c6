"""The whole site as one HTML file that opens with a double click, without server or network.

Everything that the page and its worker would fetch is embedded, compressed and written as text.
shell/packed.js reads it, and shell/held.js passes it to the worker.
"""

import base64
import gzip
import mimetypes
import re

import numpy as np

from webapp.build.files import remembered
from webapp.build.parts import front

NAME = "pennyflat.html"
WORKER = ("about.js", "packed.js", "held.js", *front.WORKER[1:])
INSTEAD = {0: "À", 13: "Á", ord("<"): "Â"}
"""Replacements for characters that HTML changes."""

POLICY = front.POLICY | {
    "script-src": "'wasm-unsafe-eval'",
    "style-src": "'unsafe-inline'",
    "worker-src": "blob:",
    "manifest-src": "'none'",
    "connect-src": "'none'",
    "img-src": "data:",
}
"""Nothing is fetched."""


def one_file(text, body, files):
    """
    The page with everything embedded: str.

    text, body: as in front.served; files: all other files of the site, {path: bytes}.
    """
    parts = [name for name in files if name.startswith("parts/")]
    inside = {name: packed(files[name]) for name in parts} | front.inside(text, WORKER)
    early = front.script(text, *front.EARLY)
    # the page can be seen and typed into while the embedded files are still being read
    starts = front.script(text, "packed.js", *front.STARTS)
    late = "\n".join([front.scripts(text, front.LAST), front.held(inside), starts])
    # page.js reads it from the page and runs it unchanged
    [drawing] = [files[name].decode() for name in parts if name.endswith(front.DRAWING)]
    html = front.filled(text, body, POLICY, early, late, drawing)
    html = re.sub(r'<link rel="manifest"[^>]*>\n?', "", html)

    def in_place(found):
        kind, _ = mimetypes.guess_type(found[2])
        return f'{found[1]}"data:{kind};base64,{base64.b64encode(files[found[2]]).decode()}"'

    return re.sub(r'(<link rel="[\w-]*icon" href=)"([^"]+)"', in_place, html)


def packed(data):
    """Bytes compressed and written as text, seven bits to a character; base64 has only six."""

    def make():
        bits = np.unpackbits(np.frombuffer(gzip.compress(data, 9, mtime=0), np.uint8))
        bits = np.append(bits, np.zeros(-len(bits) % 7, np.uint8)).reshape(-1, 7)
        letters = np.packbits(bits, axis=1)[:, 0] >> 1
        return letters.tobytes().decode("ascii").translate(INSTEAD).encode()

    return remembered("packed", data, make).decode()
