"""The whole site as one HTML file that opens by double click, without server or network.

All its scripts stand in the page. What the worker would fetch stands there too, compressed and
written as text; see webapp/shell/held.js.
"""

import base64
import gzip
import re

from webapp.build import front

NAME = "pennyflat.html"
WORKER = ("about.js", "held.js", "pyodide.js", "pyodide.asm.js", *front.WORKER[1:])
"""The worker's scripts, among them those of the runtime."""
TYPES = {".svg": "image/svg+xml", ".png": "image/png"}

POLICY = front.POLICY | {
    "script-src": front.POLICY["script-src"].replace("'self' ", ""),
    "style-src": "'unsafe-inline'",
    "worker-src": "blob:",
    "manifest-src": "'none'",
    "connect-src": "'none'",
    "img-src": "data:",
}
"""Nothing is fetched."""

LEVEL = 6
"""Of compression; 9 takes four times as long and saves one part in a hundred."""


def one_file(text, body, files):
    """
    The page with everything in it: str.

    text, body: as in front.served; files: all others of the site, {path: bytes}.
    """
    runtime = {name: data for name, data in files.items() if "/runtime/" in name}
    python = {
        name.rpartition("/")[2]: data.decode() for name, data in runtime.items() if is_script(name)
    }
    inside = {
        name: base64.b64encode(gzip.compress(data, LEVEL, mtime=0)).decode()
        for name, data in files.items()
        if fetched(name)
    }
    inside |= {"worker.js": front.joined(text | python, WORKER), front.CHARTS: text[front.CHARTS]}
    drawing = [files[name].decode() for name in files if is_script(name) and name not in runtime]
    early, last = [front.joined(text, front.EARLY)], [text[name] for name in front.LAST]
    code = [front.joined(text, front.STARTS), *drawing]  # the first starts the worker
    # the page is seen and typed into while all that is held is still being read
    late = "\n".join([front.scripts(last), front.held(inside), front.scripts(code)])
    code = early + last + code
    html = front.filled(text, body, POLICY, code, early=front.scripts(early), late=late)
    html = re.sub(r'<link rel="manifest"[^>]*>\n?', "", html)
    return re.sub(
        r'(<link rel="[\w-]*icon" href=)"([^"]+)"',
        lambda found: f'{found[1]}"{in_place(files, found[2])}"',
        html,
    )


def is_script(name):
    """Whether a file of the site is JavaScript."""
    return name.endswith(".js")


def fetched(name):
    """Whether the worker fetches a file of the site."""
    return name.endswith((".bundle", ".wasm", ".memory"))


def in_place(files, name):
    """A small file as an address that holds it."""
    kind = TYPES[name[name.rindex(".") :]]
    return f"data:{kind};base64,{base64.b64encode(files[name]).decode()}"
