"""The front page: the example's answer, with the page's own style and scripts embedded.

They are embedded so that they arrive at once and in one version; the page's policy lists each
script by its hash.
"""

import base64
import hashlib
import html
import json
import re

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

EARLY = ("about.js", "trusted.js", "places.js", "picture.js")
"""What to load, what is trusted, which place is open, and whether to show the example."""

STARTS = ("drawing.js", "page.js", "watch.js", "plan.js")
"""Start the worker, as early as possible."""

LAST = ("surface.js", "files.js", "store.js", "keep.js")
"""They need the markup, so they follow it."""

WORKER = ("about.js", "sum.js", "trusted.js", "worker.js")
SOLVER = "solver.js"  # runs in another worker

DRAWING = "bokeh.min.js"
"""Draws the charts on its own: they need none of BokehJS's other scripts."""

CHARTS = "charts.json"  # their document, embedded in the page
WORDS = "words.json"  # the scripts' texts by key


def served(text, body):
    """
    The page as a server sends it: str.

    text: the shell's files, about.js, WORDS and CHARTS, by name; body: the example's answer.
    """
    first, last = [joined(text, EARLY + STARTS)], [text[name] for name in LAST]
    early = held(inside(text, WORKER)) + scripts(first)
    code = map(inert, first + last)
    return filled(text, body, POLICY, code, early=early, late=scripts(last))


def inside(text, worker):
    """What the page's scripts read from the page, the worker made of these files: {name: str}."""
    return {"worker.js": joined(text, worker), CHARTS: text[CHARTS], SOLVER: text[SOLVER]}


def joined(text, names):
    """Several files as one script."""
    return "\n".join(text[name] for name in names)


def filled(text, body, policy, code, **parts):
    """index.html with all its placeholders filled and this code allowed by its policy."""
    masthead, end, rest = body.partition("</header>")
    sums = " ".join(f"'{sum_of(script.encode())}'" for script in code)
    policy = policy | {"script-src": f"{sums} {policy['script-src']}"}
    parts |= {
        "masthead": masthead + end,
        "rest": rest,
        "policy": "; ".join(f"{name} {value}" for name, value in policy.items()),
        "style": text["style.css"],
        "words": html.escape(text[WORDS], quote=False),
    }
    parts |= {key: html.escape(words) for key, words in json.loads(text[WORDS]).items()}
    return re.sub(r"\{\{ ([\w.]+) \}\}", lambda found: parts[found[1]], text["index.html"])


def held(files):
    """Texts of files as elements that the page's script reads them from."""
    return "".join(
        f'<script type="text/plain" data-file="{name}">{inert(files[name])}</script>\n'
        for name in files
    )


def scripts(code):
    """Scripts as elements."""
    return "\n".join(f"<script>{inert(script)}</script>" for script in code)


def inert(script):
    """A script made safe to embed in HTML: nothing in it ends the element early."""
    return re.sub(r"<(?=/script|!--)", r"\\x3c", script, flags=re.IGNORECASE)


def sum_of(data):
    """The SHA-256 sum as browsers write it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(data).digest()).decode()
