"""Which texts of the trade's tables the page shows; `pennyflat` reads the tables."""

from pennyflat.trade.facts import FOLDER as DATA
from pennyflat.trade.facts import facts, records, rows, sources

__all__ = ["DATA", "facts", "records", "rows", "sources"]

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
"""Columns whose text the page shows, by table, with the quantities concerned. Sources are cited as
published."""


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
