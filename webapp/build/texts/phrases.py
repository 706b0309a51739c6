"""Every sentence template in the source, for the catalogues of other languages."""

import ast
from pathlib import Path

WHERE = {"say": slice(0, 1), "say_count": slice(1, 3), "phrase": slice(0, 1)}
"""Which arguments of the functions in `pennyflat.sentences` are templates."""


def templates_in(folder):
    """
    All templates in the Python files of a folder, in order: [(template, path in the folder)].

    Raises ValueError if a template is not a literal, so that a catalogue cannot contain it.
    """
    return [
        found
        for path in sorted(Path(folder).rglob("*.py"))
        for found in _templates(path.read_text("utf-8"), path.relative_to(folder).as_posix())
    ]


def _templates(source, file):
    tree = ast.parse(source)
    known = {
        alias.asname or alias.name: WHERE[alias.name]
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "pennyflat.sentences"
        for alias in node.names
        if alias.name in WHERE
    }
    calls = (
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in known
    )
    for call in sorted(calls, key=lambda node: (node.lineno, node.col_offset)):
        for template in call.args[known[call.func.id]]:
            if not (isinstance(template, ast.Constant) and isinstance(template.value, str)):
                raise ValueError(f"{file}:{call.lineno}: a template must be a literal.")
            yield template.value, file
