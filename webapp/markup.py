"""The page's templates, filled in with every value escaped."""

import functools
from pathlib import Path

import jinja2
from markupsafe import Markup

import origin
from words import text

FOLDER = Path(__file__).parent / "templates"
COMPILED = FOLDER.with_name("compiled")
"""Where the build puts the templates as Python modules, which the browser need not translate."""


@functools.cache
def environment():
    """The templates' settings."""
    found = jinja2.Environment(
        loader=jinja2.ModuleLoader(COMPILED)
        if COMPILED.exists()
        else jinja2.FileSystemLoader(FOLDER),
        autoescape=True,
        auto_reload=False,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
    )
    found.globals["t"] = text
    found.globals["cautions"] = origin.cautions
    found.globals["bag_checks"] = origin.bag_checks
    return found


def render(template, **values):
    """A template of that file name filled in, as markup that is not escaped again."""
    return Markup(environment().get_template(template).render(values))
