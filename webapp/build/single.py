"""The whole site as one HTML file that opens by double click, without server or network.

Its scripts stand in the page, each named by its sum in the page's policy. What the worker would
fetch stands there too, compressed and written as text; see webapp/shell/held.js.
"""

import base64
import gzip
import hashlib
import re

NAME = "pennyflat.html"
WORKER = ("held.js", "runtime/pyodide.js", "runtime/pyodide.asm.js", "worker.js")
TYPES = {".svg": "image/svg+xml", ".png": "image/png"}

LEVEL = 6
"""Of compression; 9 takes four times as long and saves one part in a hundred."""


def one_file(files, html, about, policy):
    """
    The page with everything in it: bytes.

    files: the site and held.js, {path: bytes}; html: the front page without policy, with its links;
    about: what stands before worker.js and page.js; policy: {directive: sources} of the site.
    """
    text = {name: data.decode() for name, data in files.items() if name.endswith((".js", ".css"))}
    text["worker.js"] = text["worker.js"].removeprefix(about)
    worker = about + "\n".join(text[name] for name in WORKER)
    held = {name: data for name, data in files.items() if fetched(name)}
    held_text = {
        name: base64.b64encode(gzip.compress(data, LEVEL, mtime=0)).decode()
        for name, data in held.items()
    }
    held_text |= {
        name: css
        for name, css in text.items()
        if name.startswith("panel/") and name.endswith(".css")
    }
    held_text["worker.js"] = worker

    scripts = re.findall(r'<script src="([^"]+)"[^>]*></script>\n?', html)
    html = re.sub(r"<script src=[^>]*></script>\n?", "", html)
    html = html.replace(
        '<link rel="stylesheet" href="style.css">', f"<style>\n{text['style.css']}</style>"
    )
    html = re.sub(r'<link rel="manifest"[^>]*>\n?', "", html)
    html = re.sub(
        r'(<link rel="[\w-]*icon" href=)"([^"]+)"',
        lambda m: f'{m[1]}"{in_place(files, m[2])}"',
        html,
    )
    # the page's own script first: it starts the worker
    code = [inert(text[name]) for name in sorted(scripts, key=lambda name: name != "page.js")]
    parts = [
        *(
            f'<script type="text/plain" data-file="{name}">{inert(held_text[name])}</script>'
            for name in held_text
        ),
        *(f"<script>{script}</script>" for script in code),
    ]
    html = html.replace("</body>", "\n".join(parts) + "\n</body>")
    return html.replace(
        "{{ policy }}", "; ".join(map(" ".join, allowing(policy, code).items()))
    ).encode()


def fetched(name):
    """Whether the worker fetches a file of the site."""
    return name.endswith((".bundle", ".wasm", ".zip", "-lock.json"))


def in_place(files, name):
    """A small file as an address that holds it."""
    kind = TYPES[name[name.rindex(".") :]]
    return f"data:{kind};base64,{base64.b64encode(files[name]).decode()}"


def inert(script):
    """A script as it may stand in HTML: it does not end there before its end."""
    return re.sub(r"<(?=/script|!--)", r"\\x3c", script, flags=re.IGNORECASE)


def allowing(policy, code):
    """The site's policy, with these very scripts in place of the folder's, and nothing to fetch."""
    sums = [base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() for script in code]
    listed = " ".join(f"'sha256-{sum_}'" for sum_ in sums)
    return policy | {
        "script-src": policy["script-src"].replace("'self'", listed),
        "style-src": "'unsafe-inline' blob:",  # Panel's style sheets are handed out as blobs
        "connect-src": "'none'",
        "img-src": "data:",
        "worker-src": "blob:",
        "manifest-src": "'none'",
    }
