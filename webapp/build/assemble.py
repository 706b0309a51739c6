"""Make site/: every file of the page, and SHA256SUMS over all of them."""

import json
import re
from pathlib import Path

from webapp.build import bundle, environment, fetch, single
from webapp.build.environment import ROOT
from webapp.build.fetch import LOCK, sha256
from webapp.build.say import say, step

SITE = ROOT / "site"
SHELL = ROOT / "webapp" / "shell"
SUMS = "SHA256SUMS"
SCRIPTS = {"page.js": ("warm.js", "page.js"), "worker.js": ("snapshot.js", "worker.js")}
"""Scripts put together from several files of the shell."""
REST = "rest.bundle"
"""What no start needs; fetched when something in it is."""

POLICY = {
    "default-src": "'none'",  # whatever is not allowed below
    # blob: Panel makes a module of a component's source; 'wasm-unsafe-eval': Python is WebAssembly
    "script-src": "'self' blob: 'wasm-unsafe-eval'",
    "worker-src": "blob:",  # a worker from a blob is held to this policy too
    "connect-src": "'self'",  # the worker fetches the runtime and the bundles from this folder
    "style-src": "'self' 'unsafe-inline'",  # BokehJS writes style elements into its charts
    "img-src": "'self' data:",  # BokehJS's tool icons are data: addresses
    "base-uri": "'none'",
    "form-action": "'none'",
}

BOKEH_SCRIPTS = ["bokeh", "bokeh-widgets", "bokeh-tables"]
"""Panel's script does not start without the tables, though the page has none."""


def make_site():
    """Bring site/ up to date, and say what was done."""
    bundle.say_which()
    before = inputs()
    stamp = fetch.CACHE / "site-stamp"
    if stamp.exists() and stamp.read_text() == before and not damaged(SITE):
        say("site/ is up to date.")
        return
    files = site_files()
    with step("Writing site/"):
        write(files)
    stamp.parent.mkdir(exist_ok=True)
    stamp.write_text(before)
    size = sum(map(len, files.values()))
    say(f"site/ holds {len(files)} files, {size / 1e6:.1f} MB. Any web server can hand it out.")


def inputs():
    """A sum over all that the site is made from."""
    folders = ["core/pennyflat", "webapp", "data"]
    paths = sorted(p for folder in folders for p in (ROOT / folder).rglob("*") if p.is_file())
    own = [p for p in paths if "__pycache__" not in p.parts]
    lines = [f"{p.relative_to(ROOT).as_posix()} {sha256(p.read_bytes())}" for p in own]
    return sha256("\n".join([repr(bundle.BYTECODE), *lines]).encode())


def site_files(at_start=None):
    """
    All files of the site but the list of sums: {path: bytes}.

    at_start: the files that Python reads at its start, unless they are those of the list.
    """
    library = {bundle.LIBRARY + k: v for k, v in bundle.standard_library().items()}
    packages = {bundle.SITE_PACKAGES + k: v for k, v in bundle.packages().items()}
    with step("Preparing the calculator's own files"):
        own = {bundle.HOME + k: v for k, v in bundle.our_own().items()}
    wanted = bundle.at_start() if at_start is None else at_start
    late = {path: data for path, data in (library | packages).items() if path not in wanted}
    files = {
        # in the order in which they are laid into Python's file system, the first before it starts
        "library.bundle": bundle.pack(library, only=wanted),
        "packages.bundle": bundle.pack(packages, only=wanted),
        "pennyflat.bundle": bundle.pack(own),
        REST: bundle.pack(late),
        "runtime/stdlib.zip": bundle.zipped({}),
        "runtime/pyodide-lock.json": runtime_lock(),
    }
    for name, data in fetch.runtime_files().items():
        if name.startswith("pyodide."):
            files[f"runtime/{name}"] = data
    files |= browser_parts()

    for name in ("style.css", "surface.js", "keep.js", "favicon.svg"):
        files[name] = (SHELL / name).read_bytes()
    code = {
        name: "".join((SHELL / part).read_text("utf-8") for part in parts)
        for name, parts in SCRIPTS.items()
    }
    version = version_of(files | {name: text.encode() for name, text in code.items()})
    about = f"const BUILD = {json.dumps(what_to_load(files, version), indent=1)};\n"
    files |= {name: (about + text).encode() for name, text in code.items()}
    html = front_page()
    with step("Writing everything into one file"):
        held = {"held.js": (SHELL / "held.js").read_bytes()}
        files[single.NAME] = single.one_file(files | held, html, about, POLICY)
    files["index.html"] = html.replace("{{ policy }}", written(POLICY)).encode()
    return files


def version_of(files):
    """A name for exactly these files."""
    return sha256(listing(files).encode())[:16]


def listing(files):
    """The files with their sums, a line for each."""
    return "".join(f"{sha256(files[name])}  {name}\n" for name in sorted(files))


def runtime_lock():
    """The list of packages that the runtime asks for at its start: none, the bundles hold them."""
    info = {
        "arch": "wasm32",
        "platform": LOCK["platform"],
        "version": LOCK["pyodide"],
        "python": LOCK["python"],
        "abi_version": LOCK["abi"],
    }
    return json.dumps({"info": info, "packages": {}}).encode()


def browser_parts():
    """BokehJS, Panel's script and its style sheets, from the very packages that Python uses."""
    archives = {path.name.partition("-")[0]: path for path in fetch.page_packages()}
    bokeh, panel = bundle.wheel(archives["bokeh"]), bundle.wheel(archives["panel"])
    files = {
        f"bokeh/{name}.min.js": bokeh[f"bokeh/server/static/js/{name}.min.js"]
        for name in BOKEH_SCRIPTS
    }
    # Panel looks for its files in a folder of its version
    version = json.loads(panel["panel/package.json"])["version"]
    wanted = re.compile(r"panel/(dist/(panel\.min\.js|css/\w+\.css|bundled/theme/\w+\.css))")
    found = filter(None, map(wanted.fullmatch, panel))
    return files | {f"panel/{version}/{match[1]}": panel[match[0]] for match in found}


def what_to_load(files, version):
    """What page.js and worker.js are told about the build."""
    bundles = [name for name in files if name.endswith(".bundle") and name != REST]
    loaded = bundles + [name for name in files if name.startswith("runtime/")]
    return {
        "version": version,
        "bundles": bundles,
        "rest": REST,
        "bytes": {name: len(files[name]) for name in loaded},
    }


def written(policy):
    """A policy as the browser reads it."""
    return "; ".join(f"{name} {value}" for name, value in policy.items())


def front_page():
    """index.html with the demo's answer already in it, and the place for its policy."""
    parts = {
        "policy": "{{ policy }}",
        "scripts": "\n".join(
            f'<script src="{name}" defer></script>'
            for name in browser_parts()
            if name.endswith(".js")
        ),
        "page": demo_page(),
    }
    html = (SHELL / "index.html").read_text("utf-8")
    return re.sub(r"\{\{ (\w+) \}\}", lambda found: parts[found[1]], html)


def demo_page():
    """The page's body for the demo, rendered by the same code that renders it in the browser."""
    with step("Rendering the example"):
        return environment.page_code("import sys, view; sys.stdout.write(view.render_page())")


def write(files):
    """Make site/ hold these files and no others."""
    wanted = files | {SUMS: listing(files).encode()}
    for name, data in wanted.items():
        path = SITE / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists() or path.read_bytes() != data:
            fetch.keep(path, data)
    for path in sorted(SITE.rglob("*"), reverse=True):
        if path.is_file() and path.relative_to(SITE).as_posix() not in wanted:
            path.unlink()
        elif path.is_dir() and not any(path.iterdir()):
            path.rmdir()


def damaged(folder):
    """What is missing, changed or too much in a built folder, by the list of sums in it: [path]."""
    listing = Path(folder, SUMS)
    if not listing.exists():
        return [SUMS]
    lines = [line.partition("  ") for line in listing.read_text().splitlines()]
    expected = {name: sum_ for sum_, _, name in lines}
    found = {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes())
        for path in Path(folder).rglob("*")
        if path.is_file() and path != listing
    }
    names = expected.keys() | found.keys()
    return sorted(name for name in names if expected.get(name) != found.get(name))
