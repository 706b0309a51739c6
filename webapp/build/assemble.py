"""Make site/: every file of the page, and SHA256SUMS over all of them; and archives of it."""

import gzip
import json
import re
import tarfile
from io import BytesIO
from pathlib import Path

import bokeh
import resvg_py

from pennyflat import __version__
from pennyflat.buying.highs import OPTIONS
from webapp.build import fetch, files
from webapp.build.environment import ROOT, say, step
from webapp.build.parts import bundle, front, supply

SITE, RELEASE = ROOT / "site", ROOT / "release"
SHELL = ROOT / "webapp" / "shell"
MANIFEST, ICON = "manifest.webmanifest", "favicon.svg"
TOUCH = {"src": "icons/touch.png", "sizes": "180x180", "purpose": "maskable"}
"""Named in index.html instead of in the manifest."""

SERVICE = "service.js"  # caches a version of the page, each file checked by its sum
RUNTIME = ("pyodide.js", "pyodide.asm.js", "pyodide.asm.wasm")
ARCHIVE = f"pennyflat-{__version__}"
DAY = 946_684_800  # of everything in an archive: 1 January 2000 [seconds since 1970]


def make_site():
    """Bring site/ up to date, and report what was done."""
    before = files.version_of(files.sources()).encode()
    stamp = files.CACHE / "site-stamp"
    if stamp.exists() and stamp.read_bytes() == before and files.is_whole(SITE):
        say("site/ is up to date.")
        return
    made = site_files()
    with step("Writing site/"):
        files.write(made, SITE)
    files.keep(stamp, before)
    size = sum(map(len, made.values()))
    say(f"site/ holds {len(made)} files, {size / 1e6:.1f} MB. Any web server can hand it out.")


def site_files():
    """All files of the site except the list of sums: {path: bytes}."""
    parts = placed(bundle.python_parts() | browser_parts())
    about = supply.files(parts)
    shown = {f"{bundle.HOME}webapp/about/{name}": data for name, data in about.items()}
    parts |= placed({"about.bundle": files.pack(shown)})
    around, made = installable(), bundle.worked_out()
    text = shell() | {front.WORDS: made["words"], front.CHARTS: made["charts"]}
    body, keeper = made["body"], front.joined(text, ("buffers.js", SERVICE))

    version = files.version_of(parts | around | {"page": repr((text, body)).encode()})
    loaded = what_to_load(parts, version)
    text["about.js"] = f"const BUILD = {json.dumps(loaded)};\n"
    cached = {"index.html": front.served(text, body).encode()} | parts | around
    sums = {name: front.sum_of(cached[name]) for name in sorted(cached)}
    kept = {"version": version, "files": sums, "start": list(loaded["bytes"])}
    service = {SERVICE: f"const KEPT = {json.dumps(kept, indent=1)};\n{keeper}".encode()}
    with step("Writing everything into one file"):
        alone = {front.ALONE: front.one_file(text, body, parts | around).encode()}
    return cached | service | alone | about


def shell():
    """The page's template, style and scripts, and the service worker, by file name."""
    paths = sorted(path for path in SHELL.iterdir() if path.suffix in (".html", ".css", ".js"))
    return {path.name: path.read_text("utf-8") for path in paths}


def installable():
    """The page's manifest, and its icon, also in the sizes that devices request: {path: bytes}."""
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


def placed(parts):
    """The same files, with each top-level file or folder moved into a folder named by its hash."""
    tops = {}
    for name, data in parts.items():
        tops.setdefault(name.partition("/")[0], {})[name] = data
    return {
        f"parts/{files.version_of(group)}/{name}": data
        for group in tops.values()
        for name, data in group.items()
    }


def browser_parts():
    """The runtime, the solver and the script that draws the charts: {path: bytes}."""
    runtime, solver = fetch.locked(fetch.RUNTIME), fetch.locked(fetch.SOLVER)
    drawing = Path(bokeh.__file__).parent / "server" / "static" / "js" / front.DRAWING
    found = {f"runtime/{name}": runtime[name] for name in RUNTIME}
    found[front.DRAWING] = drawing.read_bytes()
    return found | {f"highs/{Path(name).name}": data for name, data in solver.items()}


def what_to_load(parts, version):
    """The build's data for page.js and worker.js."""

    def named(end, folder=""):
        return [name for name in parts if name.endswith(end) and f"{folder}/" in name]

    [memory] = named(bundle.MEMORY)
    late, drawing, scripts = named(".bundle"), named(front.DRAWING), named(".js", "/runtime")
    solving = named(".js", "/highs") + named(".wasm", "/highs")
    runtime = named("", "/runtime")
    loaded = [memory, *sorted(set(runtime) - set(scripts))]
    held = [memory, *runtime, *late, *drawing, *solving]
    (_, [[_, head]]), *_, (_, [[length, _]]) = files.contents(parts[memory])
    return {
        "version": version,
        "info": fetch.RUNTIME["info"],
        "memory": memory,
        "snapshot": {"head": head, "length": int(length)},
        "runtime": runtime[0].rpartition("/")[0] + "/",
        "scripts": scripts,
        "drawing": drawing,
        "solver": solving,
        "options": {name: set_to for name, set_to in OPTIONS.items() if name != "threads"},
        "bytes": {name: len(parts[name]) for name in loaded},
        "sums": {name: front.sum_of(parts[name]) for name in held},
        "late": {name: files.contents(parts[name]) for name in late},
    }


def release():
    """Put the built site into release/, which then holds only an archive of it and its sum."""
    data = archive(files.files_in(SITE))
    files.write({f"{ARCHIVE}.tar.gz": data}, RELEASE)
    say(f"release/ holds {ARCHIVE}.tar.gz, {len(data) / 1e6:.1f} MB, and its sum.")


def archive(inside):
    """Files in a folder of the archive's name, compressed, the same each time: bytes."""
    out = BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=tarfile.USTAR_FORMAT) as tar:
        for name in sorted(inside):
            entry = tarfile.TarInfo(f"{ARCHIVE}/{name}")
            entry.size, entry.mtime = len(inside[name]), DAY
            tar.addfile(entry, BytesIO(inside[name]))
    return gzip.compress(out.getvalue(), 9, mtime=0)
