"""Make site/: every file of the page, and SHA256SUMS over all of them."""

import json
from pathlib import Path

import bokeh

from webapp.build import environment, fetch
from webapp.build.environment import ROOT
from webapp.build.fetch import sha256
from webapp.build.parts import bundle, front, installable, single, solver, supply
from webapp.build.parts.packing import contents
from webapp.build.remembered import remembered
from webapp.build.say import say, step

SITE = ROOT / "site"
SHELL = ROOT / "webapp" / "shell"
SUMS = "SHA256SUMS"
RUNTIME = ("pyodide.js", "pyodide.asm.js", "pyodide.asm.wasm")

CHARTS_OF_APP = """
import json, sys
from bokeh.document import Document
from panel.io.state import set_curdoc
document = Document()
with set_curdoc(document):
    import app
made = document.to_json(deferred=False)
kept = {name: made[name] for name in ("version", "title", "roots")}
json.dump(kept, sys.stdout, separators=(",", ":"))
"""
WORDS_OF_SCRIPTS = (
    "import json, sys; from reader import words; json.dump(words.of_scripts(), sys.stdout)"
)
EXAMPLE = "import sys, view; sys.stdout.write(view.render_page())"


def make_site():
    """Bring site/ up to date, and report what was done."""
    before = version_of(sources()).encode()
    stamp = fetch.CACHE / "site-stamp"
    if stamp.exists() and stamp.read_bytes() == before and is_whole(SITE):
        say("site/ is up to date.")
        return
    files = site_files()
    with step("Writing site/"):
        write(files, SITE)
    fetch.keep(stamp, before)
    size = sum(map(len, files.values()))
    say(f"site/ holds {len(files)} files, {size / 1e6:.1f} MB. Any web server can hand it out.")


def sources(*endings):
    """What the site is made from, or only the files with these endings: {path: bytes}."""
    return {
        f"{folder}/{name}": data
        for folder in ("core", "webapp", "data")
        for name, data in files_in(ROOT / folder).items()
        if "__pycache__" not in name and name.endswith(endings or "")
    }


def site_files():
    """All files of the site except the list of sums: {path: bytes}."""
    parts = placed(bundle.python_parts() | browser_parts() | solver.parts())
    about = supply.files(parts)
    parts |= placed(supply.packed(about))
    around = installable.files((SHELL / "favicon.svg").read_text("utf-8"))
    text = shell() | {
        front.WORDS: said_by_page(WORDS_OF_SCRIPTS, "Collecting the words of the scripts"),
        front.CHARTS: said_by_page(CHARTS_OF_APP, "Making the charts"),
    }
    body, keeper = demo_page(), front.joined(text, ("sum.js", installable.WORKER))

    version = version_of(parts | around | {"page": repr((text, body)).encode()})
    loaded = what_to_load(parts, version)
    text["about.js"] = f"const BUILD = {json.dumps(loaded)};\n"
    files = {"index.html": front.served(text, body).encode()} | parts | around
    worker = installable.service_worker(files, loaded["bytes"], version, keeper)
    with step("Writing everything into one file"):
        alone = {single.NAME: single.one_file(text, body, parts | around).encode()}
    return files | {installable.WORKER: worker} | alone | about


def shell():
    """The page's template, style and scripts, and the service worker, by file name."""
    paths = sorted(path for end in ("html", "css", "js") for path in SHELL.glob(f"*.{end}"))
    return {path.name: path.read_text("utf-8") for path in paths}


def placed(files):
    """The same files, with each top-level file or folder moved into a folder named by its hash."""
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
    """The files with their sums, one per line."""
    return "".join(f"{sha256(files[name])}  {name}\n" for name in sorted(files))


def browser_parts():
    """The runtime and the script that draws the charts: {path: bytes}."""
    runtime = fetch.runtime_files()
    drawing = Path(bokeh.__file__).parent / "server" / "static" / "js" / front.DRAWING
    files = {f"runtime/{name}": runtime[name] for name in RUNTIME}
    return files | {front.DRAWING: drawing.read_bytes()}


def what_to_load(parts, version):
    """The build's data for page.js and worker.js."""

    def named(end, folder=""):
        return [name for name in parts if name.endswith(end) and f"{folder}/" in name]

    [memory] = named(bundle.MEMORY)
    late, drawing, scripts = named(".bundle"), named(front.DRAWING), named(".js", "/runtime")
    solving = named(".js", "/highs") + named(".wasm", "/highs")
    runtime = named("", "/runtime")
    loaded = [memory, *sorted(set(runtime) - set(scripts))]
    held = [memory, *runtime, *late, *drawing, *solving]
    return {
        "version": version,
        "info": fetch.LOCK["info"],
        "memory": memory,
        "runtime": runtime[0].rpartition("/")[0] + "/",
        "scripts": scripts,
        "drawing": drawing,
        "solver": solving,
        "bytes": {name: len(parts[name]) for name in loaded},
        "sums": {name: front.sum_of(parts[name]) for name in held},
        "late": {name: contents(parts[name]) for name in late},
    }


def demo_page():
    """The page's body for the demo, rendered by the same code that renders it in the browser."""
    return said_by_page(EXAMPLE, "Rendering the example")


def said_by_page(code, words):
    """The output of code that uses the page's modules, cached until one of them changes."""
    tools = environment.TOOLS.read_bytes()
    ingredients = code.encode() + tools + listing(sources(".py", ".html", ".csv")).encode()

    def make():
        with step(words):
            return environment.page_code(code).encode()

    return remembered("page", ingredients, make).decode()


def files_in(folder):
    """All files in a folder: {path: bytes}."""
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def write(files, folder):
    """Make a folder hold exactly these files and the list of their sums."""
    wanted = files | {SUMS: listing(files).encode()}
    for name, data in wanted.items():
        path = folder / name
        if not path.exists() or path.read_bytes() != data:
            fetch.keep(path, data)
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_file() and path.relative_to(folder).as_posix() not in wanted:
            path.unlink()
        elif path.is_dir() and not any(path.iterdir()):
            path.rmdir()


def is_whole(folder):
    """Whether a built folder holds exactly the files in its list of sums."""
    files = files_in(folder)
    return files.pop(SUMS, None) == listing(files).encode()
