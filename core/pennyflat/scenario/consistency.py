"""Do the parts of a scenario document fit together?

Names are unique and refer to something; a medium is bought or mixed; each package can be counted in
the measure it is needed in; a feed has one dose. The rule for a single value is beside its field in
`records`; what takes a readable record to tell is in that record's `faults_at`.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import islice

from pennyflat.scenario import records
from pennyflat.scenario.checking import BAD, Fault, Faults, join, show
from pennyflat.scenario.package import Package, contents, label_of
from pennyflat.sentences import Listed, phrase, say

NAMES_SHOWN = 12
"""Most names that a fault offers in place of an unknown one. [count] Ours."""

REFERENCES = {
    "store": (records.Store, (Package, records.SeedPacket, records.Tray)),
    "medium": (records.Medium, (records.Sowing, records.PotOn)),
    "ingredient": (records.Ingredient, (records.Part, records.Addition)),
    "tray": (records.Tray, (records.Sowing, records.PotOn)),
}
"""What has a name of its own, and what refers to it, by the key that does."""

USED_BY = {records.Part: "L", records.Addition: "g"}
"""The measure in which an ingredient is used."""

DOSES = ("target_ppm_n", "g_per_litre", "ml_per_litre")
"""The keys of a feed, one of which gives its dose."""

CONTENTS_OF_PACKET = (["seeds"], ["grams", "seeds_per_gram"])
"""The keys of a packet, one or two of which give its contents."""


def inconsistencies(found: Faults) -> Iterator[Fault]:
    """Faults between the parts of a document, from all objects `met` on reading it into `found`."""
    for key, (named, referring) in REFERENCES.items():
        yield from _of_names(found.met, key, named, referring)
    for cls, path, row, record in found.met:
        for kind, key, is_wrong, message in RULES:
            if cls is kind and is_wrong(row):
                yield Fault(join(path, key), row.get(key), message)
        if cls is records.Feed and len(given := _given(row, *DOSES)) > 1:
            message = say("only one dose; {given} is given already", given=given[0])
            yield from (Fault(join(path, name), row[name], message) for name in given[1:])
        if hasattr(record, "faults_at"):
            yield from record.faults_at(path)
    yield from _of_measures(found.met)


def _of_names(met, key, named, referring):
    """Names that two rows have, and those that none has."""
    owners = {}
    for cls, path, row, _ in met:
        if cls is named and isinstance(name := row.get("name"), str):
            owner = owners.setdefault(name, path)
            if owner != path:
                message = _name_taken(key, name=show(name), owner=owner)
                yield Fault(join(path, "name"), name, message)
    known = tuple(map(show, islice(owners, NAMES_SHOWN)))
    there = Listed(known, ",") if known else phrase("none yet")
    for cls, path, row, _ in met:
        if cls in referring and isinstance(name := row.get(key), str) and name not in owners:
            yield Fault(join(path, key), name, _nothing_called(key, name=show(name), known=there))


def _name_taken(key, **gaps):
    if key == "store":
        return say("{name} is already the name of {owner}; give each shop its own", **gaps)
    if key == "medium":
        return say("{name} is already the name of {owner}; give each mix its own", **gaps)
    if key == "tray":
        return say("{name} is already the name of {owner}; give each tray its own", **gaps)
    return say("{name} is already the name of {owner}; give each ingredient its own", **gaps)


def _nothing_called(key, **gaps):
    if key == "store":
        return say("no shop is called {name}; there are {known}", **gaps)
    if key == "medium":
        return say("no mix is called {name}; there are {known}", **gaps)
    if key == "tray":
        return say("no tray is called {name}; there are {known}", **gaps)
    return say("no ingredient is called {name}; there are {known}", **gaps)


def _of_measures(met):
    """Packages that cannot be counted in the measure that their owner is needed in."""
    # An owner is met before its packages, and all media before the ingredients.
    uses, measure = defaultdict(set), None
    for cls, path, row, record in met:
        if cls in USED_BY and isinstance(row.get("ingredient"), str):
            uses[row["ingredient"]].add(USED_BY[cls])
        elif cls is records.Medium:
            measure = "L"
        elif cls is records.Feed:
            measure = "g" if row.get("ml_per_litre") is None else "mL"
        elif cls is records.Ingredient:
            used = uses[name] if isinstance(name := row.get("name"), str) else set()
            measure = "g" if "g" in used else "L" if used else None
            if len(used) > 1:
                message = say(
                    "{name} is used by volume in a blend's parts and by weight in additions; list"
                    " it twice under two names, once for each",
                    name=show(name),
                )
                yield Fault(join(path, "name"), name, message)
        elif cls is Package and record is not BAD and measure not in (None, *contents(record)):
            message = say(
                "{label} is a volume; it is used by weight: give g, kg, oz or lb"
                if measure == "g"
                else "missing; a package of {label} is sold by weight, so give the volume it makes"
                " once loosened",
                label=label_of(record),
            )
            at, value = ("unit", record.unit) if measure == "g" else ("yields_l", None)
            yield Fault(join(path, at), value, message)


def _given(row, *names):
    return [name for name in names if row.get(name) is not None]


RULES = [
    (records.Medium, "parts", lambda mix: "packages" in mix and "parts" in mix,
     phrase("a mix is either bought, with packages, or blended, with parts; leave one out")),
    (records.Medium, "packages", lambda mix: "packages" not in mix and "parts" not in mix,
     phrase("missing; give the packages it is sold in, or the parts it is mixed from")),
    (records.Medium, "shrink", lambda mix: mix.get("shrink") and "parts" not in mix,
     phrase("only for a blend, which has parts")),
    (records.Medium, "additions", lambda mix: mix.get("additions") and "parts" not in mix,
     phrase("only for a blend, which has parts")),
    (records.Feed, "target_ppm_n", lambda feed: not _given(feed, *DOSES),
     phrase("missing; give target_ppm_n with n_percent, or g_per_litre, or ml_per_litre")),
    (records.Feed, "n_percent", lambda feed: _given(feed, *DOSES, "n_percent") == ["target_ppm_n"],
     phrase("missing; target_ppm_n needs it")),
    (records.Tray, "store", lambda tray: _given(tray, "have", "store") == ["have"],
     phrase("missing; trays that may have to be bought need a shop")),
    (records.SeedPacket, "seeds",
     lambda packet: _given(packet, "seeds", "grams", "seeds_per_gram") not in CONTENTS_OF_PACKET,
     phrase("give the seeds in a packet, or its grams and the seeds in a gram")),
    (records.Sowing, "pot_on",
     lambda row: row.get("remedy") == "pot_on" and not isinstance(row.get("pot_on"), dict),
     phrase("missing; the remedy pot_on needs it")),
]  # fmt: skip
"""What is wrong with an object by itself, whatever its values are: the key at fault, and when."""
