"""The page's templates, filled in with every value escaped."""

import functools
from pathlib import Path

import jinja2
from markupsafe import Markup

from page import origin
from pennyflat_display.charts import interval, range_of
from pennyflat_display.money import amount, each, number, percent, short, whole_percent
from reader import languages, words
from reader.measures import goods, line_said, measure_said, measured, plain, price_per, unit
from reader.words import counted, data, said, text

FOLDER = Path(__file__).parents[1] / "templates"
COMPILED = FOLDER / "compiled"
"""In the page the templates are Python modules: the build calls `compile_into`."""

WRITERS = (amount, each, number, percent, short, measured, plain, unit, goods, line_said)
WRITERS += (measure_said, price_per, whole_percent)
"""What writes numbers for the reader: each is a filter, which takes the template's `currency`."""


def compile_into(folder):
    """Write each template as a Python module into a folder, to avoid compiling at start."""
    _environment().compile_templates(folder, zip=None, ignore_errors=False)


@functools.cache
def _environment():
    is_compiled = COMPILED.is_dir()
    found = jinja2.Environment(
        loader=jinja2.ModuleLoader(COMPILED) if is_compiled else jinja2.FileSystemLoader(FOLDER),
        autoescape=True,
        auto_reload=False,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        finalize=said,  # translates the model's sentences
    )
    found.globals |= {"t": text, "tn": counted, "d": data, "entry": entry}
    found.globals |= {"cautions": origin.cautions, "bag_checks": origin.bag_checks}
    found.filters |= {write.__name__: _for_reader(write) for write in WRITERS}
    found.filters["whole"] = _for_reader(functools.partial(number, decimals=0))
    for write in (interval, range_of):
        found.filters[write.__name__] = _for_reader(functools.partial(write, words=words))
    macros = vars(found.get_template("macros.html").module)
    found.globals |= {name: macro for name, macro in macros.items() if callable(macro)}
    return found


def _for_reader(write):
    @jinja2.pass_context
    def written(context, value, *more, **named):
        return write(value, *more, currency=context["currency"], **named)

    return written


def load_all():
    """Load every template, so that none has to be read later."""
    for path in FOLDER.glob("*.html"):
        _environment().get_template(path.name)


def render(template, values=(), **more):
    """The template of that file name filled in, as markup that is not escaped again."""
    return Markup(_environment().get_template(template).render(values, **more))


def entry(field):
    """An entry field, made once for as long as it stays the same."""
    return _entry_in(languages.spoken(), field)


@functools.lru_cache(maxsize=4096)
def _entry_in(language, field):
    return render("field.html", f=field)
