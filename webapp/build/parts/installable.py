"""What makes the page installable: icons, a manifest, and the service worker."""

import json
import re

import resvg_py

from webapp.build.parts.front import sum_of

WORKER = "service.js"
MANIFEST = "manifest.webmanifest"
ICONS = {"icons/192.png": 192, "icons/512.png": 512}
MASK = "icons/mask.png"
FULL_BLEED = {"icons/touch.png": 180, MASK: 512}
"""Icons that the device crops to its own shape: colour up to the edge, the picture well inside."""

COLOUR = "#1f4d36"
PAPER = "#f3efe2"


def files(svg):
    """The icon, also in the sizes that devices request, and the manifest: {path: bytes}."""
    box = 'viewBox="0 0 32 32"'
    ground = re.search(r"<rect [^>]*/>", svg)[0]
    to_the_edge = f'<rect x="-4" y="-4" width="40" height="40" fill="{COLOUR}"/>'
    bleeding = svg.replace(box, 'viewBox="-4 -4 40 40"').replace(ground, to_the_edge)
    drawn = {path: png(svg, size) for path, size in ICONS.items()}
    drawn |= {path: png(bleeding, size) for path, size in FULL_BLEED.items()}
    return {"favicon.svg": svg.encode(), MANIFEST: manifest()} | drawn


def png(svg, size):
    """A square picture drawn from SVG, the same each time: bytes."""
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, width=size, height=size))


def manifest():
    """The web application manifest: bytes."""
    shown = [
        {"src": "favicon.svg", "sizes": "any", "type": "image/svg+xml"},
        *({"src": p, "sizes": f"{n}x{n}", "type": "image/png"} for p, n in ICONS.items()),
        {"src": MASK, "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ]
    told = {
        "name": "Pennyflat: what one seedling costs",
        "short_name": "Pennyflat",
        "start_url": "./",
        "scope": "./",
        "display": "standalone",
        "theme_color": COLOUR,
        "background_color": PAPER,
        "icons": shown,
    }
    return json.dumps(told, indent=1).encode()


def service_worker(files, start, version, script):
    """The service worker that caches these files; `start` are those checked there: bytes."""
    sums = {name: sum_of(files[name]) for name in sorted(files)}
    kept = {"version": version, "files": sums, "start": list(start)}
    return (f"const KEPT = {json.dumps(kept, indent=1)};\n" + script).encode()
