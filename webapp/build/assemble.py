"""Make site/: every file of the page, and SHA256SUMS over all of them."""

import html
import json
import re
from pathlib import Path

from webapp.build import bundle, catalogues, environment, fetch, single
from webapp.build.environment import ROOT
from webapp.build.fetch import LOCK, sha256
from webapp.build.say import say, step

SITE = ROOT / "site"
SHELL = ROOT / "webapp" / "shell"
SUMS = "SHA256SUMS"
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
    spoken = {
        f"{language}.bundle": {f"{bundle.HOME}webapp/catalogues/{language}.mo": data}
        for language, data in catalogues.compiled().items()
    }
    elsewhere = dict.fromkeys(late, REST)
    elsewhere |= {path: name for name, held in spoken.items() for path in held}
    own |= {path: data for held in spoken.values() for path, data in held.items()}
    files = {
        # in the order in which they are laid into Python's file system, the first before it starts
        "library.bundle": bundle.pack(library, elsewhere=elsewhere),
        "packages.bundle": bundle.pack(packages, elsewhere=elsewhere),
        "pennyflat.bundle": bundle.pack(own, elsewhere=elsewhere),
        REST: bundle.pack(late),
        **{name: bundle.pack(held) for name, held in spoken.items()},
        "runtime/stdlib.zip": bundle.zipped({}),
        "runtime/pyodide-lock.json": runtime_lock(),
    }
    for name, data in fetch.runtime_files().items():
        if name.startswith("pyodide."):
            files[f"runtime/{name}"] = data
    files |= browser_parts()

    for name in ("style.css", "surface.js", "keep.js", "favicon.svg"):
        files[name] = (SHELL / name).read_bytes()
    about = "const BUILD = " + json.dumps(what_to_load(files, [REST, *spoken]), indent=1) + ";\n"
    for name in ("page.js", "worker.js"):
        files[name] = (about + (SHELL / name).read_text("utf-8")).encode()
    front = front_page()
    with step("Writing everything into one file"):
        held = {"held.js": (SHELL / "held.js").read_bytes()}
        files[single.NAME] = single.one_file(files | held, front, about, POLICY)
    files["index.html"] = front.replace("{{ policy }}", written(POLICY)).encode()
    return files


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


def what_to_load(files, late):
    """What page.js and worker.js are told about the build; `late` bundles are for later."""
    bundles = [name for name in files if name.endswith(".bundle") and name not in late]
    loaded = bundles + [name for name in files if name.startswith("runtime/")]
    return {
        "bundles": bundles,
        "late": late,
        "bytes": {name: len(files[name]) for name in loaded},
    }


def written(policy):
    """A policy as the browser reads it."""
    return "; ".join(f"{name} {value}" for name, value in policy.items())


def front_page():
    """index.html with the demo's answer already in it, and the place for its policy."""
    texts = json.loads(
        environment.page_code("import json, sys, words; json.dump(words.of_scripts(), sys.stdout)")
    )
    parts = {
        "policy": "{{ policy }}",
        "scripts": "\n".join(
            f'<script src="{name}" defer></script>'
            for name in browser_parts()
            if name.endswith(".js")
        ),
        "page": demo_page(),
        "texts": html.escape(json.dumps(texts, ensure_ascii=False), quote=False),
    }
    parts |= {key: html.escape(found) for key, found in texts.items()}
    page = (SHELL / "index.html").read_text("utf-8")
    return re.sub(r"\{\{ ([\w.]+) \}\}", lambda found: parts[found[1]], page)


def demo_page():
    """The page's body for the demo, rendered by the same code that renders it in the browser."""
    with step("Rendering the example"):
        return environment.page_code("import sys, view; sys.stdout.write(view.render_page())")


def write(files):
    """Make site/ hold these files and no others."""
    listed = "".join(f"{sha256(files[name])}  {name}\n" for name in sorted(files))
    wanted = files | {SUMS: listed.encode()}
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
