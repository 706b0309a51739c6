"""What Python makes for the page: of the example, its HTML, its charts and its plan; of Python's
files (the standard library, the packages, our own), bytecode and a snapshot of the memory with all
of them loaded.

The page starts from the snapshot and then has no files. Anything imported or read later is in
bundles: LATE for what only links and calendars need, and one for each language.
"""

import json
import zipfile
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.build import environment, fetch
from webapp.build.environment import ROOT, TOOLS, page_code, step
from webapp.build.files import CACHE, installed, listing, members, pack, remembered, sources, unpack
from webapp.build.texts import catalogues

LIBRARY = "/lib/python{}.{}/".format(*fetch.RUNTIME["info"]["python"].split("."))
SITE_PACKAGES = LIBRARY + "site-packages/"
HOME = "/pennyflat/"
"""The project's folder in the browser, laid out as here."""

ROOMS = ("reader", "work", "page", "enter", "compare", "buy", "grow", "trials", "notes", "share")
"""Folders of webapp/ whose Python runs in the browser."""

MEMORY = "python.memory"
LATE = "late.bundle"
LATE_PACKAGES = ("segno", "icalendar", "dateutil")
"""Go into LATE whole, with the modules of the standard library that they import."""

SCRIPT = Path(__file__).with_name("python.mjs")
NO_USE = ("/tests/", "/test_", "/fuzzing/", "/__main__.", "/cli.", "/plugins/")

EXAMPLE = """
import json, sys
from pathlib import Path
from tempfile import TemporaryDirectory
from conversation import Conversation
from pennyflat.buying.highs import solve

solved = []
Conversation().prepare(lambda program: solved.append(solve(program)) or solved[-1])

from bokeh.document import Document
from panel.io.state import set_curdoc
charts = Document()
with set_curdoc(charts):
    import app
charts = charts.to_json(deferred=False)
charts = {name: charts[name] for name in ("version", "title", "roots")}

import view
from page import markup
from reader import words
with TemporaryDirectory() as folder:
    markup.compile_into(folder)
    templates = {path.name: path.read_text("utf-8") for path in Path(folder).iterdir()}
made = {
    "body": view.render_page(),
    "charts": json.dumps(charts, separators=(",", ":")),
    "words": json.dumps(words.of_scripts()),
    "solved": json.dumps(solved),
    "templates": templates,
}
json.dump(made, sys.stdout)
"""


def worked_out():
    """
    What the page's own modules make of the example, cached until one of them changes.

    body: the page's body for the example, rendered as in the browser; charts: their document;
    words: the scripts' texts; solved: the solver's answers for the example's plan, in order;
    templates: the page's templates as Python modules, by name. JSON where it is not HTML.
    """

    def make():
        with step("Working out the example"):
            return page_code(EXAMPLE).encode()

    ingredients = TOOLS.read_bytes() + listing(sources(".py", ".html", ".csv")).encode()
    return json.loads(remembered("page", EXAMPLE.encode() + ingredients, make))


def python_parts():
    """Python's memory and the bundles of files read later: {name: bytes}."""
    library = made_of("library", "bytecode", library_files())
    calculator = made_of("calculator", "bytecode", our_own())
    memory = made_of("memory", "picture", library | calculator)
    read_late = set(json.loads(memory["late"]))
    folders = tuple(f"{SITE_PACKAGES}{package}/" for package in LATE_PACKAGES)
    late = {p: data for p, data in library.items() if p in read_late or p.startswith(folders)}
    spoken = {
        f"{language}.bundle": pack({f"{HOME}webapp/catalogues/{language}.mo": data})
        for language, data in catalogues.compiled().items()
    }
    return {MEMORY: memory["memory"], LATE: pack(late)} | spoken


def made_of(kind, task, files):
    """What a task of SCRIPT makes of files, with the browser's Python under Node: {path: bytes}."""
    files, lock = pack(files), fetch.RUNTIME
    no_packages = json.dumps({"info": lock["info"], "packages": {}})  # to be loaded later

    def make():
        fetch.locked(lock)
        with step(f"Making the {task} of the {kind}"), TemporaryDirectory(dir=CACHE) as folder:
            Path(folder, "files.bundle").write_bytes(files)
            zipfile.ZipFile(Path(folder, "none.zip"), "w").close()
            command = [fetch.node(), SCRIPT, fetch.folder_of(lock), task, folder, no_packages]
            environment.run(command, f"Python under Node did not succeed ({task})")
            return Path(folder, "made.bundle").read_bytes()

    how = SCRIPT.read_bytes() + json.dumps(lock).encode()
    return unpack(remembered(kind, files + how, make))


def library_files():
    """The standard library, and the packages' files that the browser needs: {path: bytes}."""
    standard = members(BytesIO(fetch.locked(fetch.RUNTIME)["python_stdlib.zip"]))
    files = {LIBRARY + name: data for name, data in standard.items()}
    for path in fetch.page_packages():
        inside = installed(path).items()
        files |= {SITE_PACKAGES + name: data for name, data in inside if needed(name)}
    return files


def needed(name):
    """Whether the browser may need a package's file."""
    return name.endswith(".py") and not any(part in name for part in NO_USE)


def our_own():
    """The calculator's files, in the same folders as in the project: {path: bytes}."""
    paths = [
        *ROOT.glob("core/pennyflat/**/*.py"),
        *ROOT.glob("core/pennyflat_display/*.py"),  # its folders need Bokeh and Panel
        *(path for folder in ROOMS for path in ROOT.glob(f"webapp/{folder}/*.py")),
        *ROOT.glob("webapp/*.py"),
        *ROOT.glob("data/*.csv"),
    ]
    files = {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in paths}
    del files["webapp/app.py"]  # with Panel and Bokeh
    files["webapp/bridge.py"] = (ROOT / "webapp/shell/bridge.py").read_bytes()
    made = worked_out()
    files["webapp/solved.json"] = made["solved"].encode()
    for name, module in made["templates"].items():
        files[f"webapp/templates/compiled/{name}"] = module.encode()
    for page in ROOT.glob("webapp/templates/*.html"):  # only their names are read
        files[f"webapp/templates/{page.name}"] = b""
    return {HOME + name: data for name, data in files.items()}
