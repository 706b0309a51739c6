"""HiGHS for the page: files of the npm package `highs`, each checked against its SHA-256 sum."""

import json

from webapp.build.environment import ROOT
from webapp.build.fetch import CACHE, checked, from_npm, is_right, keep

LOCK = json.loads((ROOT / "webapp" / "lock" / "highs.json").read_text())
FOLDER = CACHE / f"highs-{LOCK['version']}"
PLACE = "highs/"


def parts():
    """The solver's files, checked: {path: bytes}."""
    paths = {name: FOLDER / name.rpartition("/")[2] for name in LOCK["sha256"]}
    if not all(is_right(path, [LOCK["sha256"][name]]) for name, path in paths.items()):
        for name, data in from_npm(f"highs@{LOCK['version']}", list(paths)).items():
            keep(paths[name], checked(data, name, [LOCK["sha256"][name]]))
    return {PLACE + path.name: path.read_bytes() for path in paths.values()}


def to_load(placed):
    """The files of the site that plan.js loads, the script first: [path]."""
    return [name for end in (".js", ".wasm") for name in placed if is_part(name, end)]


def is_part(name, end=""):
    """Whether a file of the site belongs to the solver."""
    return f"/{PLACE}" in name and name.endswith(end)
