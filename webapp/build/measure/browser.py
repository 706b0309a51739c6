"""A Chromium browser that cannot reach any other host, for tests and measurements."""

import os
import shutil
import subprocess
import sys
from contextlib import contextmanager

from playwright.sync_api import sync_playwright

BROWSERS = [
    *map(shutil.which, ["chromium", "chromium-browser", "google-chrome", "microsoft-edge"]),
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
]
SHELL = shutil.which("chromium-headless-shell")
"""The same browser without windows of its own: a page starts with a sixth less processor time."""

FIREFOX = [
    *map(shutil.which, ["firefox-esr", "firefox"]),
    "/Applications/Firefox.app/Contents/MacOS/firefox",
]
ARGUMENTS = [
    "--disable-quic",
    "--disable-background-networking",
    "--no-first-run",
    # parts of the browser's own window that it draws as pages, in a slow process
    "--disable-features=PreloadTopChromeWebUI,WebUIOmniboxPopup,WebUIOmniboxAimPopup,"
    "OmniboxPopupWebUI",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]


@contextmanager
def launched(*arguments, first=None):
    """A browser, `first` if it is there or else as `installed`, with additional arguments."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(**installed(*arguments, first=first))
        yield running
        running.close()


@contextmanager
def at_home(profile, **options):
    """The same with a folder for its profile, like a user's own browser: a context."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch_persistent_context(profile, **installed(), **options)
        yield running
        running.close()


def installed(*arguments, first=None):
    """Path of an installed browser, or of Playwright's own, and how to start it."""
    found = next((path for path in (first, *BROWSERS) if path and os.path.exists(path)), None)
    if not found:
        subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=True)
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return {"executable_path": found, "args": [*ARGUMENTS, *root, *arguments]}
