"""The front page: the example's answer, and in it the page's own style and scripts.

They stand in the page, so that they come with it, at once and of one version; the page's policy
names each script by its sum. Everything else lies in a folder named by its sum: a page finds the
very files it was built with, or none.
"""

import base64
import hashlib
import html
import json
import re

POLICY = {
    "default-src": "'none'",  # whatever is not allowed below
    "script-src": "'self' 'wasm-unsafe-eval'",  # Python is WebAssembly
    # a worker from a blob is held to this policy too; 'self' is for the one that keeps the page
    "worker-src": "'self' blob:",
    "manifest-src": "'self'",
    "connect-src": "'self'",  # the worker fetches the runtime and the bundles from this folder
    "style-src": "'unsafe-inline' 'self'",  # BokehJS writes style elements into its charts
    "img-src": "'self' data:",  # BokehJS's tool icons are data: addresses
    "base-uri": "'none'",
    "form-action": "'none'",
    # what becomes HTML or a script has come through shell/trusted.js
    "require-trusted-types-for": "'script'",
    "trusted-types": "pennyflat",
}

EARLY = ("about.js", "trusted.js", "places.js", "picture.js")
"""What there is to load and may be written, which place is open, whether the example is seen."""

STARTS = ("drawing.js", "page.js", "watch.js", "plan.js")
"""Starts the worker; as early as can be."""

WORKER = ("about.js", "sum.js", "worker.js")

DRAWING = "bokeh.min.js"
"""Draws the charts by itself: they have nothing that the other scripts of BokehJS are for."""

CHARTS = "charts.json"
"""The document of the charts, which stands in the page."""

SOLVER = "solver.js"
"""Of another worker."""

WORDS = "words.json"
"""What the scripts say, by key; some of it stands in the page as it is handed out."""

LAST = ("surface.js", "files.js", "store.js", "keep.js")
"""Look for elements of the page, so they stand after them."""


def served(text, body):
    """
    The page as a server hands it out: str.

    text: the shell's files, by name; about.js, which says what there is to load; WORDS and CHARTS;
    body: the example's answer.
    """
    first, last = [joined(text, EARLY + STARTS)], [text[name] for name in LAST]
    inside = {"worker.js": joined(text, WORKER), CHARTS: text[CHARTS]}
    inside[SOLVER] = text[SOLVER]
    early = held(inside) + scripts(first)
    code = map(inert, first + last)
    return filled(text, body, POLICY, code, early=early, late=scripts(last))


def joined(text, names):
    """Several files as one script."""
    return "\n".join(text[name] for name in names)


def filled(text, body, policy, code, **parts):
    """
    index.html with all its places filled, its policy allowing this code as it is.

    The browser paints before it has read all of a page, but not while a script runs: so what is to
    run first stands behind the masthead, which is something to see.
    """
    masthead, end, rest = body.partition("</header>")
    parts |= {"masthead": masthead + end, "rest": rest}
    parts |= {"policy": written(allowing(policy, code)), "style": text["style.css"]}
    parts["words"] = html.escape(text[WORDS], quote=False)
    parts |= {key: html.escape(words) for key, words in json.loads(text[WORDS]).items()}
    return re.sub(r"\{\{ ([\w.]+) \}\}", lambda found: parts[found[1]], text["index.html"])


def held(files):
    """Files' texts as elements that the page's script takes them from."""
    return "".join(
        f'<script type="text/plain" data-file="{name}">{inert(files[name])}</script>\n'
        for name in files
    )


def scripts(code):
    """Scripts as elements."""
    return "\n".join(f"<script>{inert(script)}</script>" for script in code)


def inert(script):
    """A script as it may stand in HTML: it does not end there before its end."""
    return re.sub(r"<(?=/script|!--)", r"\\x3c", script, flags=re.IGNORECASE)


def allowing(policy, code):
    """A policy that allows these very scripts as well."""
    listed = " ".join(f"'{sum_of(script.encode())}'" for script in code)
    return policy | {"script-src": f"{listed} {policy['script-src']}"}


def written(policy):
    """A policy as the browser reads it."""
    return "; ".join(f"{name} {value}" for name, value in policy.items())


def sum_of(data):
    """The SHA-256 sum as browsers write it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(data).digest()).decode()
