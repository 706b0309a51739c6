"""What makes the page installable: a manifest and icons; the service worker is in shell/."""

import json
import re

import resvg_py

from webapp.build.environment import ROOT

SHELL = ROOT / "webapp" / "shell"
MANIFEST = "manifest.webmanifest"
ICON = "favicon.svg"
TOUCH = {"src": "icons/touch.png", "sizes": "180x180", "purpose": "maskable"}
"""Named in index.html instead of in the manifest."""


def files():
    """The manifest, and the icon, also in the sizes that devices request: {path: bytes}."""
    made = {name: (SHELL / name).read_bytes() for name in (MANIFEST, ICON)}
    told = json.loads(made[MANIFEST])
    whole = made[ICON].decode()
    # devices crop a maskable icon to their own shape: colour up to the edge, the picture inside
    ground = f'<rect x="-4" y="-4" width="40" height="40" fill="{told["theme_color"]}"/>'
    wider = whole.replace('viewBox="0 0 32 32"', 'viewBox="-4 -4 40 40"')
    cropped = re.sub("<rect [^>]*/>", ground, wider, count=1)
    for icon in (*told["icons"], TOUCH):
        if icon["src"] != ICON:
            svg = cropped if icon.get("purpose") == "maskable" else whole
            width, height = map(int, icon["sizes"].split("x"))
            drawn = resvg_py.svg_to_bytes(svg_string=svg, width=width, height=height)
            made[icon["src"]] = bytes(drawn)
    return made
