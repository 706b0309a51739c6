"""The trials as a CSV file for the visitor to save."""

from page.files import csv_file, file_name
from pennyflat.scenario.export import csv_text
from pennyflat.trials.table import long_rows


def save_trials(work):
    """The trials in the last complete entries: name, media type and text."""
    rows = long_rows(work.scenario.trials if work.answered else ())
    text = csv_text(rows, decimal_mark=work.currency.place.decimal)
    return csv_file(file_name(work.document, "csv", "trials"), text)
