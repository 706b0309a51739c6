"""The front page: the example's answer, with the page's own style and scripts embedded.

They are embedded so that they arrive at once and in one version; the page's policy lists each
script by its hash. There are two: the page that a server sends, and the whole site as one file that
opens with a double click. In the latter, everything that the page and its worker would fetch is
embedded, too, compressed and written as text, which shell/packed.js reads.
"""

import base64
import gzip
import hashlib
import html
import json
import mimetypes
import re

import numpy as np

from webapp.build.files import remembered

POLICY = {
    "default-src": "'none'",  # anything not allowed below
    # BokehJS and the runtime's scripts are in this folder; Python is WebAssembly
    "script-src": "'self' 'wasm-unsafe-eval'",
    # a worker from a blob obeys this policy too; 'self' is for the service worker
    "worker-src": "'self' blob:",
    "manifest-src": "'self'",  # what a browser reads to install the page
    "connect-src": "'self'",  # the worker fetches the runtime and the bundles from this folder
    "style-src": "'unsafe-inline' 'self'",  # BokehJS writes style elements into its charts
    "img-src": "'self' data:",  # BokehJS's tool icons are data: addresses
    "base-uri": "'none'",
    "form-action": "'none'",
    # everything that becomes HTML or a script must pass through shell/trusted.js
    "require-trusted-types-for": "'script'",
    "trusted-types": "pennyflat",
}
POLICY_ALONE = POLICY | {
    "script-src": "'wasm-unsafe-eval'",
    "style-src": "'unsafe-inline'",
    "worker-src": "blob:",
    "manifest-src": "'none'",
    "connect-src": "'none'",
    "img-src": "data:",
}
"""That of the single file, which fetches nothing."""

EARLY = ("about.js", "trusted.js", "places.js", "picture.js")
"""What to load, what is trusted, which place is open, and whether to show the example."""

STARTS = ("buffers.js", "fetched.js", "drawing.js", "page.js", "watch.js", "plan.js")
"""Start the worker, as early as possible."""

LAST = ("surface.js", "files.js", "store.js", "keep.js")
"""They need the markup, so they follow it."""

WORKER = ("about.js", "given.js", "buffers.js", "trusted.js", "worker.js")
WORKER_ALONE = ("about.js", "packed.js", "held.js", *WORKER[2:])
SOLVER = "solver.js"  # runs in another worker

DRAWING = "bokeh.min.js"
"""Draws the charts on its own: they need none of BokehJS's other scripts."""

CHARTS = "charts.json"  # their document, embedded in the page
WORDS = "words.json"  # the scripts' texts by key
ALONE = "pennyflat.html"  # the single file

INSTEAD = {0: "À", 13: "Á", ord("<"): "Â"}
"""Replacements for characters that HTML changes."""


def served(text, body):
    """
    The page as a server sends it: str.

    text: the shell's files, about.js, WORDS and CHARTS, by name; body: the example's answer.
    """
    early = held(text, WORKER) + script(text, *EARLY, *STARTS)
    return filled(text, body, POLICY, early, scripts(text, LAST))


def one_file(text, body, files):
    """The page with everything embedded: str; files: all other files of the site, {path: bytes}."""
    parts = {name: packed(data) for name, data in files.items() if name.startswith("parts/")}
    # the page can be seen and typed into while the embedded files are still being read
    starts = held(text, WORKER_ALONE, parts) + "\n" + script(text, "packed.js", *STARTS)
    late = scripts(text, LAST) + "\n" + starts
    # page.js reads it from the page and runs it unchanged
    [drawing] = [files[name].decode() for name in parts if name.endswith(DRAWING)]
    page = filled(text, body, POLICY_ALONE, script(text, *EARLY), late, drawing)
    page = re.sub(r'<link rel="manifest"[^>]*>\n?', "", page)

    def in_place(found):
        kind, _ = mimetypes.guess_type(found[2])
        return f'{found[1]}"data:{kind};base64,{base64.b64encode(files[found[2]]).decode()}"'

    return re.sub(r'(<link rel="[\w-]*icon" href=)"([^"]+)"', in_place, page)


def filled(text, body, policy, early, late, *loaded):
    """index.html with its placeholders filled, and its scripts and loaded ones in its policy."""
    masthead, end, rest = body.partition("</header>")
    code = [*re.findall("<script>(.*?)</script>", early + late, re.DOTALL), *loaded]
    sums = " ".join(f"'{sum_of(script.encode())}'" for script in code)
    policy = policy | {"script-src": f"{sums} {policy['script-src']}"}
    parts = {key: html.escape(words) for key, words in json.loads(text[WORDS]).items()} | {
        "masthead": masthead + end,
        "rest": rest,
        "early": early,
        "late": late,
        "policy": "; ".join(f"{name} {value}" for name, value in policy.items()),
        "style": text["style.css"],
        "words": html.escape(text[WORDS], quote=False),
    }
    return re.sub(r"\{\{ ([\w.]+) \}\}", lambda found: parts[found[1]], text["index.html"])


def held(text, worker, parts=()):
    """What page.js reads from the page: parts, the worker of these files, charts and solver."""
    own = {"worker.js": joined(text, worker), CHARTS: text[CHARTS], SOLVER: text[SOLVER]}
    return "".join(
        f'<script type="text/plain" data-file="{name}">{inert(data)}</script>\n'
        for name, data in (dict(parts) | own).items()
    )


def scripts(text, names):
    """Files as scripts of their own."""
    return "\n".join(script(text, name) for name in names)


def script(text, *names):
    """Files as one script."""
    return f"<script>{inert(joined(text, names))}</script>"


def joined(text, names):
    """The code of several files."""
    return "\n".join(text[name] for name in names)


def inert(script):
    """A script made safe to embed in HTML: nothing in it ends the element early."""
    return re.sub(r"<(?=/script|!--)", r"\\x3c", script, flags=re.IGNORECASE)


def sum_of(data):
    """The SHA-256 sum as browsers write it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(data).digest()).decode()


def packed(data):
    """Bytes compressed and written as text, seven bits to a character; base64 has only six."""

    def make():
        bits = np.unpackbits(np.frombuffer(gzip.compress(data, 9, mtime=0), np.uint8))
        bits = np.append(bits, np.zeros(-len(bits) % 7, np.uint8)).reshape(-1, 7)
        letters = np.packbits(bits, axis=1)[:, 0] >> 1
        return letters.tobytes().decode("ascii").translate(INSTEAD).encode()

    return remembered("packed", data, make).decode()
