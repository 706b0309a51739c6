"""A browser to test and to measure with."""

import os
import shutil
import subprocess
import sys

INSTALLED = [
    *map(shutil.which, ["chromium", "chromium-browser", "google-chrome", "microsoft-edge"]),
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
]
FIREFOX = [
    *map(shutil.which, ["firefox-esr", "firefox"]),
    "/Applications/Firefox.app/Contents/MacOS/firefox",
]
ARGUMENTS = [
    "--disable-quic",
    "--disable-background-networking",
    "--no-first-run",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]
"""The browser can look up no host but this machine."""


def chromium():
    """The path of an installed browser of the Chromium family; None after Playwright's was fetched."""
    found = next((path for path in INSTALLED if path and os.path.exists(path)), None)
    if not found:
        subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=True)
    return found


def launch(playwright, **options):
    """A running browser of the Chromium family."""
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS + root, **options)
