"""HiGHS for the page: files of the npm package `highs`, each checked against its SHA-256 sum."""

import json

from webapp.build.environment import ROOT
from webapp.build.fetch import CACHE, from_npm, locked

LOCK = json.loads((ROOT / "webapp" / "lock" / "highs.json").read_text())
FOLDER = CACHE / f"highs-{LOCK['version']}"
PLACE = "highs/"


def parts():
    """The solver's files: {path: bytes}."""

    def fetched(names):
        return from_npm(f"highs@{LOCK['version']}", names)

    files = locked(FOLDER, LOCK["sha256"], fetched)
    return {PLACE + name.rpartition("/")[2]: data for name, data in files.items()}
