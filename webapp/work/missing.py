"""What is still missing in the document, besides the faults the model finds."""

from pennyflat.scenario.checking import Fault
from reader.words import later
from work import edits


def waiting_names(document):
    """A fault for each name that was typed but cannot be accepted."""
    return [
        Fault(
            f"{table}[{i}].{key}",
            typed,
            later("missing.other_name" if typed.strip() else "missing.name"),
        )
        for table, key in edits.NAMES.items()
        for i, row in enumerate(document.get(table) or ())
        if (typed := row.get(edits.TYPED)) is not None
    ]


def nothing_to_compare(document):
    """A fault for each list that an answer requires."""
    return [
        Fault(table, [], later(f"missing.{table}"))
        for table in ("sowings", "media")
        if not document[table]
    ]
