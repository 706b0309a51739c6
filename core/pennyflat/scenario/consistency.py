"""Do the parts of a scenario document fit together?

Names are unique and refer to something; a medium is bought or mixed; each package can be counted in
the measure it is needed in; a feed has one dose. The rule for a single value is beside its field in
`records`.
"""

from collections.abc import Iterator

from pennyflat.scenario.checking import (
    BAD,
    MOST_ROWS,
    Document,
    Fault,
    join,
    read_record,
    show,
)
from pennyflat.scenario.happened import Happened
from pennyflat.scenario.happened import inconsistencies as faults_of_season
from pennyflat.scenario.package import LEAST, MOST, Package, amount_in, label_of, measures_of
from pennyflat.scenario.trial import Trial, inconsistencies_of
from pennyflat.sentences import Listed, phrase, say

NAMES_SHOWN = 12
"""Most names that a fault offers in place of an unknown one. [count] Ours."""

TABLES = {"store": "stores", "medium": "media", "ingredient": "ingredients", "tray": "trays"}
"""The list in which a name is looked up, by the key that refers to it."""

DOSES = ("target_ppm_n", "g_per_litre", "ml_per_litre")
"""The keys of a feed, one of which gives its dose."""


def inconsistencies(document: Document) -> Iterator[Fault]:
    """
    Faults between the parts of a parsed `document`, whose unreadable parts are skipped.

    >>> for fault in inconsistencies({"media": [{"name": "Fine mix"}]}):
    ...     print(fault)
    media[0].packages: missing; give the packages it is sold in, or the parts it is mixed from
    """
    names: dict[str, dict[str, str]] = {}
    for key in TABLES:
        names[key] = {}
        yield from _of_names(document, key, names[key])
    by_volume, by_weight = set(), set()
    for path, medium in _rows(document, "media"):
        yield from _of_medium(path, medium, names)
        by_volume |= _used(medium, "parts")
        by_weight |= _used(medium, "additions")
    for path, ingredient in _rows(document, "ingredients"):
        yield from _of_ingredient(path, ingredient, by_volume, by_weight, names)
    feed = document.get("feed")
    if isinstance(feed, dict):
        yield from _of_dose(feed)
        measure = "mL" if feed.get("ml_per_litre") is not None else "g"
        yield from _of_packages("feed", feed, measure, names)
    for path, tray in _rows(document, "trays"):
        yield from _of_reference(path, tray, "store", names)
        if tray.get("have") is not None and tray.get("store") is None:
            message = phrase("missing; trays that may have to be bought need a shop")
            yield Fault(join(path, "store"), None, message)
    for path, sowing in _rows(document, "sowings"):
        yield from _of_sowing(path, sowing, names)
    for path, row in _rows(document, "trials"):
        trial = read_record(Trial, row, path, [])
        if trial is not BAD:
            yield from inconsistencies_of(trial, path)
    happened = read_record(Happened, document.get("happened"), "happened", [])
    if happened is not BAD:
        yield from faults_of_season(happened)


def _rows(parent, name, path=""):
    """(path, row) of each row that is an object, in the list `name`."""
    rows = parent.get(name)
    place = join(path, name)
    if not isinstance(rows, list) or len(rows) > MOST_ROWS:
        return []
    return [(f"{place}[{i}]", row) for i, row in enumerate(rows) if isinstance(row, dict)]


def _of_names(document, key, found):
    """Faults in the names of a table; `found` receives the path of each name."""
    for path, row in _rows(document, TABLES[key]):
        name = row.get("name")
        if not isinstance(name, str):
            continue
        if name in found:
            message = _name_taken(key, name=show(name), owner=found[name])
            yield Fault(join(path, "name"), name, message)
        else:
            found[name] = path


def _name_taken(key, **gaps):
    if key == "store":
        return say("{name} is already the name of {owner}; give each shop its own", **gaps)
    if key == "medium":
        return say("{name} is already the name of {owner}; give each mix its own", **gaps)
    if key == "tray":
        return say("{name} is already the name of {owner}; give each tray its own", **gaps)
    return say("{name} is already the name of {owner}; give each ingredient its own", **gaps)


def _of_reference(path, row, key, names):
    name = row.get(key)
    if isinstance(name, str) and name not in names[key]:
        known = tuple(show(name) for name in list(names[key])[:NAMES_SHOWN])
        there = Listed(known, ",") if known else phrase("none yet")
        yield Fault(join(path, key), name, _nothing_called(key, name=show(name), known=there))


def _nothing_called(key, **gaps):
    if key == "store":
        return say("no shop is called {name}; there are {known}", **gaps)
    if key == "medium":
        return say("no mix is called {name}; there are {known}", **gaps)
    if key == "tray":
        return say("no tray is called {name}; there are {known}", **gaps)
    return say("no ingredient is called {name}; there are {known}", **gaps)


def _of_medium(path, medium, names):
    has_packages, has_parts = "packages" in medium, "parts" in medium
    if has_packages and has_parts:
        message = phrase(
            "a mix is either bought, with packages, or blended, with parts; leave one out"
        )
        yield Fault(join(path, "parts"), None, message)
    if not has_packages and not has_parts:
        message = phrase("missing; give the packages it is sold in, or the parts it is mixed from")
        yield Fault(join(path, "packages"), None, message)
    for name in ("shrink", "additions"):
        if medium.get(name) and not has_parts:
            message = phrase("only for a blend, which has parts")
            yield Fault(join(path, name), medium[name], message)
    for kind in ("parts", "additions"):
        for place, row in _rows(medium, kind, path):
            yield from _of_reference(place, row, "ingredient", names)
    yield from _of_packages(path, medium, "L", names)


def _used(medium, kind):
    """Names of the ingredients in a blend's parts or additions."""
    names = (row.get("ingredient") for _, row in _rows(medium, kind))
    return {name for name in names if isinstance(name, str)}


def _of_ingredient(path, ingredient, by_volume, by_weight, names):
    name = ingredient.get("name")
    uses = [
        measure
        for measure, used in (("g", by_weight), ("L", by_volume))
        if isinstance(name, str) and name in used
    ]
    if len(uses) > 1:
        message = say(
            "{name} is used by volume in a blend's parts and by weight in additions; list it twice"
            " under two names, once for each",
            name=show(name),
        )
        yield Fault(join(path, "name"), name, message)
    yield from _of_packages(path, ingredient, uses[0] if uses else None, names)


def _of_packages(path, owner, measure, names):
    """Shops exist, and each package can be counted in the measure it is needed in."""
    for place, row in _rows(owner, "packages", path):
        yield from _of_reference(place, row, "store", names)
        package = read_record(Package, row, place, [])
        if package is BAD:
            continue
        yield from _of_size(place, package)
        if measure is None or measure in measures_of(package):
            continue
        label = label_of(package)
        if measure == "g":
            message = say(
                "{label} is a volume; it is used by weight: give g, kg, oz or lb", label=label
            )
            yield Fault(join(place, "unit"), package.unit, message)
        else:
            message = say(
                "missing; a package of {label} is sold by weight, so give the litres it yields once"
                " loosened",
                label=label,
            )
            yield Fault(join(place, "yields_l"), None, message)


def _of_size(path, package):
    """The contents of a package are within `LEAST` and `MOST`."""
    for measure in LEAST.keys() & measures_of(package):
        if LEAST[measure] <= amount_in(package, measure) <= MOST[measure]:
            continue
        field = "yields_l" if measure == "L" and package.yields_l is not None else "size"
        gaps = {"label": label_of(package), "least": LEAST[measure], "most": MOST[measure]}
        if measure == "L":
            message = say("a package of {label} must hold {least:g} L to {most:,.0f} L", **gaps)
        else:
            message = say("a package of {label} must hold {least:g} g to {most:,.0f} g", **gaps)
        yield Fault(join(path, field), getattr(package, field), message)


def _of_dose(feed):
    given = [name for name in DOSES if feed.get(name) is not None]
    for name in given[1:]:
        message = say("only one dose; {given} is given already", given=given[0])
        yield Fault(join("feed", name), feed[name], message)
    if not given:
        message = phrase(
            "missing; give target_ppm_n with n_percent, or g_per_litre, or ml_per_litre"
        )
        yield Fault("feed.target_ppm_n", None, message)
    if given == ["target_ppm_n"] and feed.get("n_percent") is None:
        yield Fault("feed.n_percent", None, phrase("missing; target_ppm_n needs it"))


def _of_sowing(path, sowing, names):
    yield from _of_reference(path, sowing, "medium", names)
    yield from _of_reference(path, sowing, "tray", names)
    for place, packet in _rows(sowing, "seed_packets", path):
        yield from _of_reference(place, packet, "store", names)
        seeds, *by_weight = (
            packet.get(name) is not None for name in ("seeds", "grams", "seeds_per_gram")
        )
        if any(by_weight) != all(by_weight) or any(by_weight) == seeds:
            message = phrase("give the seeds in a packet, or its grams and the seeds in a gram")
            yield Fault(join(place, "seeds"), packet.get("seeds"), message)
    pot_on = sowing.get("pot_on")
    if isinstance(pot_on, dict):
        where = join(path, "pot_on")
        yield from _of_reference(where, pot_on, "medium", names)
        yield from _of_reference(where, pot_on, "tray", names)
    elif sowing.get("remedy") == "pot_on":
        yield Fault(join(path, "pot_on"), None, phrase("missing; the remedy pot_on needs it"))
