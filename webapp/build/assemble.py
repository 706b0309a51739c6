"""Make site/: every file of the page, and SHA256SUMS over all of them."""

import json
import re
from pathlib import Path

from webapp.build import bundle, catalogues, environment, fetch, front, installable, single, solver
from webapp.build.environment import ROOT
from webapp.build.fetch import LOCK, sha256
from webapp.build.say import say, step

SITE = ROOT / "site"
SHELL = ROOT / "webapp" / "shell"
SUMS = "SHA256SUMS"
ASKED = "asked.bundle"
"""What only whoever takes a link, a calendar or another file along needs; fetched then."""

REST = "rest.bundle"
"""What nobody should need; fetched when something in it is."""

AT_START = ("library.bundle", "pennyflat.bundle")
"""In the order in which they are laid into Python's file system, the first before it starts."""

CHARTS = ("compiled.bundle", "charts.bundle")
"""The packages that the charts are made with, compiled parts first. The page answers without."""

TEXTS = (
    "index.html", "style.css", "picture.js", "warm.js", "page.js", "plan.js", "surface.js",
    "keep.js", "sum.js", "snapshot.js", "worker.js", "solver.js", "held.js", "service.js",
)  # fmt: skip
"""What of the shell stands in the page itself, and the worker that keeps it."""

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


def site_files(*, put_all_off=False):
    """
    All files of the site but the list of sums: {path: bytes}.

    put_all_off: whether all of Python's files lie in the rest, as if the start read none.
    """
    at_start = when_asked = frozenset()
    if not put_all_off:
        at_start, when_asked = map(bundle.listed, (bundle.AT_START, bundle.WHEN_ASKED))
    parts = placed(python_parts(at_start, when_asked) | browser_parts() | solver.parts())
    icon = (SHELL / "favicon.svg").read_text("utf-8")
    around = {"favicon.svg": icon.encode(), installable.MANIFEST: installable.manifest()}
    around |= installable.icons(icon)
    text = shell() | {front.WORDS: script_words()}
    body, keeper = demo_page(), front.joined(text, ("sum.js", installable.WORKER))

    version = version_of(parts | around | {"page": repr((text, body)).encode()})
    text["about.js"] = f"const BUILD = {json.dumps(what_to_load(parts, version), indent=1)};\n"
    files = {"index.html": front.served(text, body).encode()} | parts | around
    kept = {installable.WORKER: installable.service_worker(files, version, keeper)}
    with step("Writing everything into one file"):
        alone = {single.NAME: single.one_file(text, body, parts | around).encode()}
    return files | kept | alone


def shell():
    """The texts that the page is put together from, by their file's name."""
    return {name: (SHELL / name).read_text("utf-8") for name in TEXTS}


def python_parts(at_start, when_asked):
    """The runtime and what is laid into Python's file system: {path: bytes}; see `site_files`."""
    library = {bundle.LIBRARY + k: v for k, v in bundle.standard_library().items()}
    charts = {bundle.SITE_PACKAGES + k: v for k, v in bundle.packages().items()}
    for path in [path for path in charts if bundle.answers(path)]:
        library[path] = charts.pop(path)
    compiled = {path: charts.pop(path) for path in list(charts) if path.endswith(".so")}
    with step("Preparing the calculator's own files"):
        own = {bundle.HOME + k: v for k, v in bundle.our_own().items()}
    packages = library | charts | compiled
    rest = {path: data for path, data in packages.items() if path not in at_start}
    asked = {path: rest.pop(path) for path in when_asked & rest.keys()}
    spoken = {
        f"{language}.bundle": {f"{bundle.HOME}webapp/catalogues/{language}.mo": data}
        for language, data in catalogues.compiled().items()
    }
    elsewhere = dict.fromkeys(rest, REST) | dict.fromkeys(asked, ASKED)
    elsewhere |= {path: name for name, held in spoken.items() for path in held}
    own |= {path: data for held in spoken.values() for path, data in held.items()}
    files = {
        **{
            name: bundle.pack(held, elsewhere=elsewhere)
            for name, held in zip(AT_START + CHARTS, (library, own, compiled, charts), strict=True)
        },
        ASKED: bundle.pack(asked),
        REST: bundle.pack(rest),
        **{name: bundle.pack(held) for name, held in spoken.items()},
        "runtime/stdlib.zip": bundle.zipped({}),
        "runtime/pyodide-lock.json": runtime_lock(),
    }
    for name, data in fetch.runtime_files().items():
        if name.startswith("pyodide."):
            files[f"runtime/{name}"] = data
    return files


def placed(files):
    """The same files, each file or folder at the top moved into a folder named by its sum."""
    tops = {}
    for name, data in files.items():
        tops.setdefault(name.partition("/")[0], {})[name] = data
    return {
        f"parts/{version_of(group)}/{name}": data
        for group in tops.values()
        for name, data in group.items()
    }


def version_of(files):
    """A name for exactly these files."""
    return sha256(listing(files).encode())[:12]


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


def what_to_load(parts, version):
    """What page.js and worker.js are told about the build."""
    of_name = {path.rpartition("/")[2]: path for path in parts if path.endswith(".bundle")}
    bundles = [of_name.pop(name) for name in AT_START]
    charts = [of_name.pop(name) for name in CHARTS]
    late = of_name
    [runtime] = {f"{name.rpartition('/')[0]}/" for name in parts if "/runtime/" in name}
    [panel] = {f"{name.partition('/panel/')[0]}/panel/" for name in parts if "/panel/" in name}
    loaded = [*bundles, *charts, *(name for name in parts if name.startswith(runtime))]
    solving = solver.to_load(parts)
    drawing = [name for name in parts if name.endswith(".js") and name not in [*loaded, *solving]]
    return {
        "version": version,
        "bundles": bundles,
        "charts": charts,
        "late": late,
        "runtime": runtime,
        "panel": panel,
        "drawing": drawing,
        "solver": solving,
        "bytes": {name: len(parts[name]) for name in loaded},
        "sums": {
            name: front.sum_of(parts[name])
            for name in [*loaded, *late.values(), *drawing, *solving]
        },
    }


def script_words():
    """What the page's scripts say, in English, by key."""
    return environment.page_code(
        "import json, sys, words; json.dump(words.of_scripts(), sys.stdout)"
    )


def demo_page():
    """The page's body for the demo, rendered by the same code that renders it in the browser."""
    with step("Rendering the example"):
        return environment.page_code("import sys, view; sys.stdout.write(view.render_page())")


def write(files, folder=None):
    """Make a folder, site/ unless another is given, hold these files and no others."""
    folder = folder or SITE
    wanted = files | {SUMS: listing(files).encode()}
    for name, data in wanted.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists() or path.read_bytes() != data:
            fetch.keep(path, data)
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_file() and path.relative_to(folder).as_posix() not in wanted:
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
