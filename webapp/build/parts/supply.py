"""What the site is made of: a bill of materials (CycloneDX) and the licences of all its parts.

webapp/lock/parts.json lists the parts and what they were built with; versions come from the lock
files, licences of packages from their own archives. Neither file contains a time. The site has
them as files and the page, which shows them even without network, as a bundle.
"""

import json
import re
import uuid
from email.parser import HeaderParser
from pathlib import Path

import bokeh
from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model import ExternalReference, ExternalReferenceType, HashAlgorithm, HashType, XsUri
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.model.component_evidence import ComponentEvidence, Occurrence
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL

from pennyflat import __version__
from webapp.build import fetch
from webapp.build.environment import ROOT, Stop
from webapp.build.fetch import LOCKS, RUNTIME, SOLVER
from webapp.build.files import members, sha256

PARTS = json.loads((LOCKS / "parts.json").read_text("utf-8"))
SBOM, LICENCES = "sbom.cdx.json", "licences.txt"
NAME = "pennyflat"
VCS = ExternalReferenceType.VCS


def files(site):
    """The bill of materials and the licences of a site with these files: {name: bytes}."""
    parts = found()
    return {SBOM: bill(parts, site), LICENCES: texts(parts).encode()}


def found():
    """Every part by name, with its version, licence, licence texts, sum and parts."""
    versions = {"@bokeh/bokehjs": bokeh.__version__}
    versions |= {"pyodide": RUNTIME["pyodide"], "highs": SOLVER["version"]}
    given = {name: {"version": versions.get(name)} | entry for name, entry in PARTS.items()}
    for path in fetch.page_packages():
        name, own = of_archive(path)
        if name not in given:
            raise Stop(f"{name} goes into the page and is not in webapp/lock/parts.json.")
        given[name] |= own
    return {name: whole(name, given[name]) for name in sorted(given)}


def of_archive(path):
    """A package's name, and its archive's own metadata."""
    inside = {name: data.decode(errors="replace") for name, data in members(path).items()}
    own_data = r"[^/]+\.dist-info/METADATA|[^/]+/PKG-INFO"
    [told] = [text for name, text in inside.items() if re.fullmatch(own_data, name)]
    told = HeaderParser().parsestr(told)
    name, licence = told["Name"].lower(), told["License-Expression"]
    own = {
        "version": told["Version"],
        "purl": f"pkg:pypi/{name}",
        "read": [inside[path] for path in sorted(inside) if re.search(r"/LICENSE[.\w]*$", path)],
        "sha256": [sha256(path.read_bytes())],
    }
    return name, own | ({"licence": licence} if licence else {})


def whole(name, entry):
    """A part with the texts of its licence; Stop if there are none."""
    elsewhere = {
        "of bokeh": Path(bokeh.__file__).with_name("LICENSE.txt"),
        "of highs": fetch.folder_of(SOLVER) / "LICENSE",
    }
    texts = [elsewhere.get(text, LOCKS / "licences" / text) for text in entry.get("texts", ())]
    read = entry.get("read") or [path.read_text("utf-8") for path in texts]
    if not (entry.get("licence") and read and all(read)):
        raise Stop(f"{name} has no licence in webapp/lock/parts.json, or no text of it.")
    version = (entry.get("version") or "").format(python=RUNTIME["info"]["python"])
    inner = {inner: whole(inner, own) for inner, own in entry.get("parts", {}).items()}
    return entry | {"version": version, "read": read, "parts": inner}


def bill(parts, site):
    """The bill of materials as JSON: bytes."""
    listed = [component(name, part, site) for name, part in parts.items()]
    mit, kind = [LicenseFactory().make_from_string("MIT")], ComponentType.APPLICATION
    page = Component(name=NAME, version=__version__, type=kind, bom_ref=NAME, licenses=mit)
    bom = Bom(components=listed)
    bom.metadata.component, bom.metadata.timestamp = page, None
    bom.register_dependency(page, listed)
    bom.serial_number = uuid.uuid5(uuid.NAMESPACE_URL, NAME)
    bom.serial_number = uuid.uuid5(bom.serial_number, written(bom))
    return written(bom).encode()


def written(bom):
    """A bill of materials as text."""
    return JsonV1Dot6(bom).output_as_string(indent=1) + "\n"


def component(name, part, site=(), within=""):
    """A part as a CycloneDX component."""
    reference = f"{within}{name}@{part['version']}".removesuffix("@")
    purl, source = part.get("purl"), part.get("source")
    inner = part["parts"].items()
    places = [path for path in sorted(site) for end in part.get("files", ()) if end in f"/{path}"]
    # each with its own reference: the library's order would otherwise vary
    seen = [Occurrence(location=at, bom_ref=f"{reference} in {at}") for at in places]
    sums = [HashType(alg=HashAlgorithm.SHA_256, content=sum_) for sum_ in part.get("sha256", ())]
    return Component(
        name=name,
        version=part["version"] or None,
        bom_ref=reference,
        licenses=[LicenseFactory().make_from_string(part["licence"])],
        description=part.get("note"),
        purl=PackageURL.from_string(f"{purl}@{part['version']}") if purl else None,
        hashes=sums,
        external_references=[ExternalReference(type=VCS, url=XsUri(source))] if source else (),
        components=[component(called, own, within=f"{reference}/") for called, own in inner],
        evidence=ComponentEvidence(occurrences=seen) if seen else None,
    )


def texts(parts):
    """The licences of the site and all its parts, each text once: str."""
    whose = {(ROOT / "LICENSE").read_text("utf-8"): [f"{NAME} {__version__}: MIT"]}
    for label, read in labelled(parts):
        for text in read:
            whose.setdefault(text, []).append(label)
    rule = "=" * 30
    return "\n\n".join(
        "\n".join([rule, *labels, rule, "", text.strip(), ""]) for text, labels in whose.items()
    )


def labelled(parts, within=""):
    """Every part, nested ones included: (its label, licence texts)."""
    for name, part in parts.items():
        called = f"{name} {part['version']}".strip()
        source = f", source: {part['source']}" if "source" in part else ""
        yield f"{called}{within}: {part['licence']}{source}", part["read"]
        yield from labelled(part["parts"], f" (in {called}{within})")
