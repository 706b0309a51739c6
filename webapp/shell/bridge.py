"""The Python end of the line between the page and the calculator.

worker.js imports this before anything else and calls it; nothing else does. First the page is
answered, without Panel; what draws the charts is loaded later, in steps. The charts' document and
its changes are as Panel's own converter sends them, whose functions do the work: see
panel/io/pyodide.py and panel/_templates/pyodide_worker.js.
"""

import gc
import importlib
import importlib.machinery
import importlib.util
import json
import random
import sys
import types

import js
import pyodide.code
import pyodide.ffi

# Hundreds of thousands of objects are made at the start and none of them goes away again.
gc.disable()

# Panel turns the text of one JavaScript function into that function. The page forbids that (it is
# eval); worker.js has the function ready.
pyodide.code.run_js = lambda source: js.toObject

if not hasattr(pyodide.ffi, "jsnull"):
    # Panel asks whether a value is JavaScript's null, which this runtime has turned into None.
    pyodide.ffi.jsnull = object()

# Nothing is fetched from Python. Without this stand-in Panel loads pandas, to repair its fetching.
sys.modules["pyodide_http"] = types.SimpleNamespace(patch_all=lambda: None)


# Panel's packages import all of their parts. The page uses one component, so of these packages only
# the parts that are asked for are imported, and what is in their part named base, until somebody
# asks for anything else: then all of it is.
ON_DEMAND = {
    "panel",
    "panel.layout",
    "panel.pane",
    "panel.template",
    "panel.theme",
    "panel.widgets",
}


def part(package, name):
    """The module of that name in a package; None if it has none."""
    whole = f"{package.__name__}.{name}"
    try:
        return importlib.import_module(whole)
    except ModuleNotFoundError as error:
        if error.name != whole:
            raise


class OnDemand:
    """Finds and loads those packages: runs what is in them only once it is needed."""

    def find_spec(self, name, path, target=None):
        if name not in ON_DEMAND:
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        spec.loader_state, spec.loader = spec.loader, self
        return spec

    def create_module(self, spec):
        """The usual kind of module."""

    def exec_module(self, package):
        def missing(name):
            if name.startswith("__"):
                raise AttributeError(name)
            if part(package, name):
                return package.__dict__[name]
            base = part(package, "base")
            if base and name in base.__dict__:
                return base.__dict__[name]
            if package.__dict__.pop("__getattr__", None):
                package.__spec__.loader_state.exec_module(package)
            return getattr(package, name)

        package.__getattr__ = missing


sys.meta_path.insert(0, OnDemand())


def begin():
    """From now on the page can be answered."""
    from conversation import Conversation

    Line.conversation = Conversation()


def answer(text):
    """The answer to a message of the page; both as JSON."""
    return json.dumps(Line.conversation.answer(json.loads(text)))


class Line:
    """Whom the page talks to, and what it sees of it."""

    conversation = None
    charts = None
    """Once they are on the page."""


DRAWING = ("numpy", "bokeh.plotting", "panel.reactive", "panel.io.pyodide")
"""What draws the charts, in steps. Panel's parts use each other: reactive must go first."""


def load(name):
    """Import one step of DRAWING."""
    importlib.import_module(name)


async def build_document():
    """Make the charts; their document, its render items and the ids of its roots, each as JSON."""
    from panel.io.pyodide import init_doc, write_doc

    init_doc()
    importlib.import_module("app")
    made = await write_doc()
    gc.freeze()
    gc.enable()
    return made


def begin_anew():
    """
    Go on from a snapshot, as if nobody had said anything yet.

    Made new is what a snapshot must not repeat; the hashes of texts stay as they were in it.
    """
    Line.conversation = sys.modules["app"].example
    random.seed()
    if "numpy.random" in sys.modules:
        sys.modules["numpy.random"].seed()


def example():
    """
    What the example comes to, worked out anew from its file: a text with every figure in it.

    A Python that comes to the same text as before can read files, import and calculate.
    """
    from pennyflat.report import compare
    from pennyflat.scenario import read

    folder = sys.modules["pennyflat"].__path__
    spec = importlib.machinery.PathFinder.find_spec("pennyflat.demo", folder)
    fresh = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(fresh)
    return json.dumps(compare(read(fresh.DEMO)))


def link(send_patch):
    """The charts are on the page: send what changes in them, send_patch(patch, buffers, id)."""
    from panel.io.pyodide import _link_docs_worker
    from panel.io.state import state

    _link_docs_worker(state.curdoc, send_patch, setter="js")
    Line.charts = sys.modules["app"].charts
    redraw()


def redraw():
    """Make the charts show what was answered last, unless that goes on."""
    if Line.charts and not Line.conversation.work.is_left_off:
        Line.charts.show(Line.conversation)
