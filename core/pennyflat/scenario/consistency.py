"""Do the parts of a scenario document fit together?

Names are unique and refer to something; a medium is bought or mixed; each package can be counted in
the measure it is needed in; a feed has one dose. The rule for a single value is beside its field in
`records`.
"""

from pennyflat.scenario.checking import (
    BAD,
    MOST_ROWS,
    Document,
    Fault,
    Faults,
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


def inconsistencies(document: Document) -> list[Fault]:
    """
    Faults between the parts of a document.

    Parameters
    ----------
    document : dict
        A parsed JSON object. Unreadable parts are skipped.

    Returns
    -------
    list of Fault

    Examples
    --------
    >>> for fault in inconsistencies({"media": [{"name": "Fine mix"}]}):
    ...     print(fault)
    media[0].packages: missing; give the packages it is sold in, or the parts it is mixed from
    """
    faults = Faults()
    media = _rows(document, "media")
    ingredients = _rows(document, "ingredients")
    stores = _rows(document, "stores")
    feed = document.get("feed")
    names = {
        "stores": _names(stores, "shop", faults),
        "media": _names(media, "medium", faults),
        "ingredients": _names(ingredients, "ingredient", faults),
        "trays": _names(_rows(document, "trays"), "tray", faults),
    }
    by_volume, by_weight = set(), set()
    for path, medium in media:
        _check_medium(path, medium, names["ingredients"], faults)
        by_volume |= _used(medium, "parts")
        by_weight |= _used(medium, "additions")
        _check_packages(path, medium, "L", names["stores"], faults)
    for path, ingredient in ingredients:
        name = ingredient.get("name")
        if _is_in(name, by_volume) and _is_in(name, by_weight):
            faults.append(
                Fault(
                    join(path, "name"),
                    name,
                    say(
                        "{name} is used by volume in a blend's parts and by weight in additions;"
                        " list it twice under two names, once for each",
                        name=show(name),
                    ),
                )
            )
        measure = "g" if _is_in(name, by_weight) else "L" if _is_in(name, by_volume) else None
        _check_packages(path, ingredient, measure, names["stores"], faults)
    if isinstance(feed, dict):
        _check_dose(feed, faults)
        measure = "mL" if feed.get("ml_per_litre") is not None else "g"
        _check_packages("feed", feed, measure, names["stores"], faults)
    for path, tray in _rows(document, "trays"):
        _check_known(join(path, "store"), tray.get("store"), names["stores"], "shop", faults)
        if tray.get("have") is not None and tray.get("store") is None:
            message = phrase("missing; trays that may have to be bought need a shop")
            faults.append(Fault(join(path, "store"), None, message))
    for path, sowing in _rows(document, "sowings"):
        _check_sowing(path, sowing, names, faults)
    for path, row in _rows(document, "trials"):
        trial = read_record(Trial, row, path, [])
        if trial is not BAD:
            faults += inconsistencies_of(trial, path)
    if document.get("happened") is not None:
        happened = read_record(Happened, document["happened"], "happened", [])
        if happened is not BAD:
            faults += faults_of_season(happened)
    return faults


def _rows(parent, name, path=""):
    """(path, row) of each row that is an object, in the list `name`."""
    rows = parent.get(name)
    place = join(path, name)
    if not isinstance(rows, list) or len(rows) > MOST_ROWS:
        return []
    return [(f"{place}[{i}]", row) for i, row in enumerate(rows) if isinstance(row, dict)]


def _names(rows, what, faults):
    found = {}
    for path, row in rows:
        name = row.get("name")
        if not isinstance(name, str):
            continue
        if name in found:
            message = _name_taken(what, name=show(name), owner=found[name])
            faults.append(Fault(join(path, "name"), name, message))
        else:
            found[name] = path
    return found


def _name_taken(what, **gaps):
    if what == "shop":
        return say("{name} is already the name of {owner}; give each shop its own", **gaps)
    if what == "medium":
        return say("{name} is already the name of {owner}; give each mix its own", **gaps)
    if what == "tray":
        return say("{name} is already the name of {owner}; give each tray its own", **gaps)
    return say("{name} is already the name of {owner}; give each ingredient its own", **gaps)


def _used(medium, kind):
    return {
        row["ingredient"]
        for _, row in _rows(medium, kind)
        if isinstance(row.get("ingredient"), str)
    }


def _is_in(name, names):
    return isinstance(name, str) and name in names


def _check_known(path, name, names, what, faults):
    if isinstance(name, str) and name not in names:
        known = tuple(show(name) for name in list(names)[:NAMES_SHOWN])
        there = Listed(known, ",") if known else phrase("none yet")
        faults.append(Fault(path, name, _nothing_called(what, name=show(name), known=there)))


def _nothing_called(what, **gaps):
    if what == "shop":
        return say("no shop is called {name}; there are {known}", **gaps)
    if what == "medium":
        return say("no mix is called {name}; there are {known}", **gaps)
    if what == "tray":
        return say("no tray is called {name}; there are {known}", **gaps)
    return say("no ingredient is called {name}; there are {known}", **gaps)


def _check_medium(path, medium, ingredients, faults):
    has_packages, has_parts = "packages" in medium, "parts" in medium
    if has_packages and has_parts:
        faults.append(
            Fault(
                join(path, "parts"),
                None,
                phrase(
                    "a mix is either bought, with packages, or blended, with parts; leave one out"
                ),
            )
        )
    if not has_packages and not has_parts:
        faults.append(
            Fault(
                join(path, "packages"),
                None,
                phrase("missing; give the packages it is sold in, or the parts it is mixed from"),
            )
        )
    if not has_parts:
        for name in ("shrink", "additions"):
            if medium.get(name):
                message = phrase("only for a blend, which has parts")
                faults.append(Fault(join(path, name), medium[name], message))
    for kind in ("parts", "additions"):
        for place, row in _rows(medium, kind, path):
            where = join(place, "ingredient")
            _check_known(where, row.get("ingredient"), ingredients, "ingredient", faults)


def _check_packages(path, owner, measure, stores, faults):
    """Shops exist, and each package can be counted in the measure it is needed in."""
    for place, row in _rows(owner, "packages", path):
        _check_known(join(place, "store"), row.get("store"), stores, "shop", faults)
        package = read_record(Package, row, place, [])
        if package is BAD:
            continue
        _check_size(place, package, faults)
        if measure is None or measure in measures_of(package):
            continue
        label = label_of(package)
        if measure == "g":
            message = say(
                "{label} is a volume; it is used by weight: give g, kg, oz or lb", label=label
            )
            faults.append(Fault(join(place, "unit"), package.unit, message))
        else:
            message = say(
                "missing; a package of {label} is sold by weight, so give the litres it yields once"
                " loosened",
                label=label,
            )
            faults.append(Fault(join(place, "yields_l"), None, message))


def _check_size(path, package, faults):
    """The contents of a package are within `LEAST` and `MOST`."""
    for measure in LEAST.keys() & measures_of(package):
        amount = amount_in(package, measure)
        if LEAST[measure] <= amount <= MOST[measure]:
            continue
        field = "yields_l" if measure == "L" and package.yields_l is not None else "size"
        gaps = {"label": label_of(package), "least": LEAST[measure], "most": MOST[measure]}
        if measure == "L":
            message = say("a package of {label} must hold {least:g} L to {most:,.0f} L", **gaps)
        else:
            message = say("a package of {label} must hold {least:g} g to {most:,.0f} g", **gaps)
        faults.append(Fault(join(path, field), getattr(package, field), message))


def _check_dose(feed, faults):
    given = [
        name
        for name in ("target_ppm_n", "g_per_litre", "ml_per_litre")
        if feed.get(name) is not None
    ]
    if len(given) > 1:
        for name in given[1:]:
            message = say("only one dose; {given} is given already", given=given[0])
            faults.append(Fault(join("feed", name), feed[name], message))
    elif not given:
        message = phrase(
            "missing; give target_ppm_n with n_percent, or g_per_litre, or ml_per_litre"
        )
        faults.append(Fault("feed.target_ppm_n", None, message))
    if given == ["target_ppm_n"] and feed.get("n_percent") is None:
        faults.append(Fault("feed.n_percent", None, phrase("missing; target_ppm_n needs it")))


def _check_sowing(path, sowing, names, faults):
    _check_known(join(path, "medium"), sowing.get("medium"), names["media"], "medium", faults)
    _check_known(join(path, "tray"), sowing.get("tray"), names["trays"], "tray", faults)
    for place, packet in _rows(sowing, "seed_packets", path):
        _check_known(join(place, "store"), packet.get("store"), names["stores"], "shop", faults)
        by_weight = [packet.get(name) is not None for name in ("grams", "seeds_per_gram")]
        if (packet.get("seeds") is not None) + any(by_weight) != 1 or any(by_weight) != all(
            by_weight
        ):
            message = phrase("give the seeds in a packet, or its grams and the seeds in a gram")
            faults.append(Fault(join(place, "seeds"), packet.get("seeds"), message))
    pot_on = sowing.get("pot_on")
    if isinstance(pot_on, dict):
        where = join(path, "pot_on")
        _check_known(join(where, "medium"), pot_on.get("medium"), names["media"], "medium", faults)
        _check_known(join(where, "tray"), pot_on.get("tray"), names["trays"], "tray", faults)
    elif sowing.get("remedy") == "pot_on":
        message = phrase("missing; the remedy pot_on needs it")
        faults.append(Fault(join(path, "pot_on"), None, message))
