"""The catalogues of the page's languages: webapp/catalogues/XX.po, in gettext's format.

`build.py catalogues` synchronises them with the code: it adds new entries, drops old ones, and
marks translations of changed English as fuzzy, which counts as untranslated. An entry's context is
the key of a text in words.py, "model" for a sentence of the model, "data" for a text of the trade's
tables, or "example" for a name in the example.
"""

import ast
import io
import json
from difflib import get_close_matches
from string import Formatter

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from pennyflat.trade.facts import rows
from webapp.build.environment import ROOT, page_code, say

FOLDER = ROOT / "webapp" / "catalogues"
LANGUAGES = {"es": "Spanish", "fr": "French", "de": "German"}
"""The languages with a catalogue, by code. [BCP 47]"""

HEADER = """\
# Texts of the page in {name}. `python3 build.py catalogues` keeps this file up to date with the
# code; README.md beside it says how to translate. Set X-Reviewed to yes once a grower who speaks
# the language has read all of it on the page."""

ALIKE = 0.6
"""How similar two English texts must be, from 0 to 1, for the translation of one to serve as a
draft for the other. Ours."""

TEMPLATES = {
    "say": slice(0, 1),
    "say_count": slice(1, 3),
    "phrase": slice(0, 1),
    "unclear": slice(0, 1),
}
"""Which arguments of the functions in `pennyflat.sentences` are templates."""

SAME_EVERYWHERE = set(" \u00a0.,;()/×–-…")
"""Characters used alike in all languages."""

COLLECT = """
import json, sys
from reader import languages, words
json.dump([words.CATALOGUE, languages.names()], sys.stdout)
"""

EVERY = None
"""Means every quantity of a table."""

_KINDS, _GOODS = ("feeds_for_weeks", "fill_loss"), ("litres_per_kg", "loose_per_compressed")
_FEEDING = ("target_ppm_n", "feedings_per_week", "ml_per_cell", "released_share_8_weeks")
_HABITS = ("take", "uses_thin_wall", "fill_loss", "shrink", "hours_per_day", "watts", "hours")
_CROPS = (
    "weeks_to_transplant", "minimum_germination", "expected_germination", "seeds_per_cell",
    "tray_cells", "presprout", "germination_temperature", "weeks_from_last_frost",
    "salt_threshold", "salt_slope", "salt_rating",
)  # fmt: skip

SHOWN = {
    "crops": {"text": _CROPS, "note": _CROPS},
    "media": {"subject": EVERY, "text": _KINDS, "note": _KINDS},
    "compressed": {"subject": _GOODS, "text": _GOODS, "note": _GOODS},
    "containers": {"subject": EVERY, "text": EVERY, "note": EVERY},
    "feeds": {"subject": ("n_percent",), "text": _FEEDING, "note": _FEEDING},
    "practice": {"text": _HABITS, "note": _HABITS},
    "ec_bands": {"reading": EVERY},
    "symptoms": dict.fromkeys(("observation", "cause", "tell_apart", "remedy", "doubt"), EVERY),
    "cautions": dict.fromkeys(("action", "advice", "why"), EVERY),
    "bag_checks": dict.fromkeys(("look_for", "why", "if_not"), EVERY),
}
"""Columns of the trade's tables whose text the page shows, by table, with the quantities concerned.
Sources are cited as published."""


class Sheet(Catalog):
    """A catalogue whose header has only what is needed and no dates: it depends on its texts."""

    def __init__(self, language, reviewed, **options):
        super().__init__(language, fuzzy=False, **options)
        self.reviewed = reviewed

    @property
    def mime_headers(self):
        return [
            ("Language", str(self.locale)),
            ("Plural-Forms", self.plural_forms),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
            ("X-Reviewed", self.reviewed),
        ]


def update():
    """Update every catalogue, and report its progress."""
    for language in LANGUAGES:
        sheet = updated(language)
        path(language).write_bytes(as_po(sheet))
        every = [message for message in sheet if message.id]
        done, fuzzy = sum(map(is_done, every)), sum(message.fuzzy for message in every)
        counts = f"{len(every)} entries, {done} translated, {fuzzy} fuzzy"
        say(f"{path(language).relative_to(ROOT).as_posix()}: {counts}")


def path(language):
    """The file of a language's catalogue."""
    return FOLDER / f"{language}.po"


def entries():
    """
    The entries to translate, in order: [(context, message, hint where it is used)].

    A message is a str, or a pair for one thing and for any other number.
    """
    texts, names = json.loads(page_code(COLLECT))
    found = [(key, one if isinstance(one, str) else tuple(one), "") for key, one in texts.items()]
    said = {}
    for template, file in templates_in(ROOT / "core" / "pennyflat"):
        said.setdefault(template, file)
    found += [("model", template, file) for template, file in said.items()]
    found += [("data", words, where) for words, where in texts_shown().items()]
    found += [("example", name, "") for name in names]
    return [entry for entry in found if any(map(_has_words, _listed(entry[1])))]


def texts_shown():
    """Every text of the tables that the page shows, with its place, such as "cautions.why"."""
    found = {}
    for table, columns in SHOWN.items():
        for row in rows(table):
            for column, quantities in columns.items():
                is_seen = quantities is EVERY or row["quantity"] in quantities
                if is_seen and any(map(str.isalpha, row[column])):
                    found.setdefault(row[column], f"{table}.{column}")
    return found


def templates_in(folder):
    """
    All templates in the Python files of a folder, in order: [(template, path in the folder)].

    Raises ValueError if a template is not a literal, so that a catalogue cannot contain it.
    """
    found = []
    for path in sorted(folder.rglob("*.py")):
        file = path.relative_to(folder).as_posix()
        nodes = list(ast.walk(ast.parse(path.read_text("utf-8"))))
        calls = [node for node in nodes if isinstance(getattr(node, "func", None), ast.Name)]
        known = {
            alias.asname or alias.name: TEMPLATES[alias.name]
            for node in nodes
            if isinstance(node, ast.ImportFrom) and node.module == "pennyflat.sentences"
            for alias in node.names
            if alias.name in TEMPLATES
        }
        for call in sorted(calls, key=lambda node: (node.lineno, node.col_offset)):
            for given in call.args[known.get(call.func.id, slice(0))]:
                for template in _choices(given):
                    if not isinstance(getattr(template, "value", None), str):
                        raise ValueError(f"{file}:{call.lineno}: a template must be a literal.")
                    found.append((template.value, file))
    return found


def _choices(template):
    """What a call chooses its template from: `"…" if … else "…"`, or `{key: "…"}[…]`."""
    if isinstance(template, ast.IfExp):
        return _choices(template.body) + _choices(template.orelse)
    if isinstance(template, ast.Subscript) and isinstance(template.value, ast.Dict):
        return [choice for value in template.value.values for choice in _choices(value)]
    return [template]


def _has_words(template):
    """Whether a text contains anything that another language may write differently."""
    literals = (literal for literal, *_ in Formatter().parse(template))
    return any(set(literal) - SAME_EVERYWHERE for literal in literals)


def updated(language):
    """A language's catalogue with its existing translations and the required entries."""
    old, reviewed = read(language)
    sheet = Sheet(language, reviewed, header_comment=HEADER.format(name=LANGUAGES[language]))
    wanted = entries()
    known = {(message.context, message.id): message for message in old}
    kept = {(context, message) for context, message, _ in wanted}
    gone = [entry for key, entry in known.items() if key not in kept and any(entry.string)]
    for context, message, where in wanted:
        found = known.get((context, message))
        draft = found or _draft(gone, context, message)
        added = sheet.add(
            message,
            draft.string if draft else "",
            context=context,
            auto_comments=[where] if where else (),
            user_comments=draft.user_comments if draft else (),
        )
        if draft and any(draft.string) and (found is None or found.fuzzy):
            added.flags.add("fuzzy")
            added.previous_id = draft.previous_id if found else _listed(draft.id)
    return sheet


def _draft(gone, context, message):
    """The obsolete entry that a new one most probably replaces, or None; a plural for a plural."""
    forms = {
        "\n".join(_listed(one.id)): one
        for one in gone
        if one.context == context and isinstance(one.id, str) == isinstance(message, str)
    }
    if context not in ("model", "data"):
        return next(iter(forms.values()), None)
    close = get_close_matches("\n".join(_listed(message)), forms, 1, ALIKE)
    return forms[close[0]] if close else None


def _listed(message):
    return [message] if isinstance(message, str) else list(message)


def read(language):
    """A language's catalogue as in its file: its entries, and whether it is reviewed."""
    source = path(language).read_text("utf-8") if path(language).exists() else ""
    found = read_po(io.StringIO(source), locale=language)
    reviewed = "yes" if '"X-Reviewed: yes\\n"' in source else "no"
    return [message for message in found if message.id], reviewed


def as_po(sheet):
    """A catalogue as the bytes of its file."""
    return _written(write_po, sheet, width=100)


def is_done(message):
    """Whether a message is translated in all its forms."""
    return all(_listed(message.string)) and not message.fuzzy


def compiled():
    """The translated entries of the catalogues, for the page: {language: bytes}."""
    return {language: as_mo(language, *read(language)) for language in LANGUAGES}


def as_mo(language, messages, reviewed):
    """A catalogue in gettext's binary format: bytes."""
    sheet = Sheet(language, reviewed)
    for message in filter(is_done, messages):
        sheet.add(message.id, message.string, context=message.context)
    return _written(write_mo, sheet)


def _written(write, sheet, **options):
    out = io.BytesIO()
    write(out, sheet, **options)
    return out.getvalue()
