"""The Python end of the line between the page and the calculator.

worker.js imports this before anything of Panel's and calls it; nothing else does. The messages are
those of Panel's own converter, whose functions do the work: see panel/io/pyodide.py and
panel/_templates/pyodide_worker.js.
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


def load_panel():
    """Import what takes longest."""
    sys.meta_path.insert(0, OnDemand())
    importlib.import_module("panel.reactive")  # first: it and panel.io.datamodel use each other
    importlib.import_module("panel.io.pyodide")


async def build_document():
    """Run the app; the document, its render items and the ids of its roots, each as JSON."""
    from panel.io.pyodide import init_doc, write_doc

    init_doc()
    importlib.import_module("app")
    made = await write_doc()
    gc.freeze()
    gc.enable()
    return made


def prepare():
    """Work out what the page asks for once the document is drawn, while it is being drawn."""
    sys.modules["app"].surface.prepare()


def answer():
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


def refresh():
    """Make new what a snapshot must not repeat; the hashes of texts stay as they were in it."""
    random.seed()
    if "numpy.random" in sys.modules:
        sys.modules["numpy.random"].seed()


def link(send_patch):
    """From now on send what changes in Python: send_patch(patch, buffers, message id)."""
    from panel.io.pyodide import _link_docs_worker
    from panel.io.state import state

    _link_docs_worker(state.curdoc, send_patch, setter="js")


def apply(patch):
    """Take over what changed on the page."""
    from panel.io.pyodide import _convert_json_patch
    from panel.io.state import state

    state.curdoc.apply_json_patch(_convert_json_patch(patch), setter="js")


def locate(location):
    """Take over where the page is: its location as JSON, of which the app may read the hash."""
    from panel.io.state import state
    from panel.util import edit_readonly

    if state.location:
        told = json.loads(location)
        with edit_readonly(state.location):
            state.location.param.update(
                {name: value for name, value in told.items() if name in state.location.param}
            )
