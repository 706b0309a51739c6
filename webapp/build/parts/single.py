"""The whole site as one HTML file that opens with a double click, without server or network.

Everything that the page and its worker would fetch is embedded, compressed and written as text.
shell/packed.js reads it, and shell/held.js passes it to the worker.
"""

import base64
import gzip
import re

import numpy as np

from webapp.build.parts import front
from webapp.build.remembered import remembered

NAME = "pennyflat.html"
WORKER = ("about.js", "packed.js", "held.js", *front.WORKER[1:])
STARTS = ("packed.js", *front.STARTS)
INSTEAD = {0: "À", 13: "Á", ord("<"): "Â"}
"""Replacements for characters that HTML changes."""

TYPES = {".svg": "image/svg+xml", ".png": "image/png"}

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
    inside = {
        name: remembered("packed", data, lambda data=data: packed(data).encode()).decode()
        for name, data in files.items()
        if name.startswith("parts/")
    }
    inside |= front.inside(text, WORKER)
    early, last = [front.joined(text, front.EARLY)], [text[name] for name in front.LAST]
    starts = [front.joined(text, STARTS)]
    # the page can be seen and typed into while the embedded files are still being read
    late = "\n".join([front.scripts(last), front.held(inside), front.scripts(starts)])
    # page.js reads it from the page and runs it unchanged
    drawing = [data.decode() for name, data in files.items() if name.endswith(front.DRAWING)]
    code = [*map(front.inert, early + last + starts), *drawing]
    html = front.filled(text, body, POLICY, code, early=front.scripts(early), late=late)
    html = re.sub(r'<link rel="manifest"[^>]*>\n?', "", html)

    def in_place(found):
        name = found[2]
        data = base64.b64encode(files[name]).decode()
        return f'{found[1]}"data:{TYPES[name[name.rindex(".") :]]};base64,{data}"'

    return re.sub(r'(<link rel="[\w-]*icon" href=)"([^"]+)"', in_place, html)


def packed(data):
    """Bytes compressed and written as text, seven bits to a character; base64 has only six."""
    bits = np.unpackbits(np.frombuffer(gzip.compress(data, 9, mtime=0), np.uint8))
    bits = np.append(bits, np.zeros(-len(bits) % 7, np.uint8)).reshape(-1, 7)
    letters = np.packbits(bits, axis=1)[:, 0] >> 1
    return letters.tobytes().decode("ascii").translate(INSTEAD)
