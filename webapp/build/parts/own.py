"""What the page's own modules make for the build, in a process of their own."""

import json

from webapp.build.environment import TOOLS, page_code
from webapp.build.files import listing, remembered, sources
from webapp.build.say import step

CODE = """
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


def made():
    """
    All of it, cached until one of these modules changes.

    body: the page's body for the example, rendered as in the browser; charts: their document;
    words: the scripts' texts; solved: the solver's answers for the example's plan, in order;
    templates: the page's templates as Python modules, by name. JSON where it is not HTML.
    """

    def make():
        with step("Working out the example"):
            return page_code(CODE).encode()

    ingredients = TOOLS.read_bytes() + listing(sources(".py", ".html", ".csv")).encode()
    return json.loads(remembered("page", CODE.encode() + ingredients, make))
