"""Just enough of WebDriver to open a page in an installed WebKitGTK and run scripts in it.

Playwright drives a WebKit of its own alone. Source: W3C, WebDriver, w3.org/TR/webdriver2. The
browser gets a screen that nobody sees (Xvfb).
"""

import json
import os
import shutil
import socket
import subprocess
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

from tests.browser.marionette import PATIENCE_S, Driven

DRIVER, SCREEN = shutil.which("WebKitWebDriver"), shutil.which("Xvfb")
BROWSER = next(iter(Path("/usr").glob("lib*/*/webkit2gtk-4.*/MiniBrowser")), None)
IS_INSTALLED = bool(DRIVER and SCREEN and BROWSER)


COMMANDS = {
    "open": "/url",
    "run": "/execute/sync",
    "find": "/element",
    "click": "/element/{id}/click",
    "type": "/element/{id}/value",
}


class WebKit(Driven):
    """A running WebKitGTK."""

    def __init__(self, port):
        self._session = f"http://127.0.0.1:{port}/session"
        options = {"binary": str(BROWSER), "args": ["--automation"]}
        wanted = {"alwaysMatch": {"webkitgtk:browserOptions": options}}
        self._session += f"/{self._call('', capabilities=wanted)['sessionId']}"

    def close(self):
        self._ask(urllib.request.Request(self._session, method="DELETE"))

    def _call(self, command, **parameters):
        address = self._session + COMMANDS.get(command, command).format(**parameters)
        return self._ask(urllib.request.Request(address, json.dumps(parameters).encode()))

    def _ask(self, request):
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as told:
                return json.load(told)["value"]
        except urllib.error.HTTPError as error:
            with error:
                raise RuntimeError(error.read().decode()) from None


def free_port():
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


@contextmanager
def webkit():
    """A WebKitGTK that keeps what it is given only as long as it runs."""
    port = free_port()
    with running([SCREEN, "-displayfd", "1"], stdout=subprocess.PIPE, text=True) as screen:
        shown = os.environ | {"DISPLAY": f":{screen.stdout.readline().strip()}"}
        with running([DRIVER, f"--port={port}"], stdout=subprocess.DEVNULL, env=shown):
            listening(port)
            page = WebKit(port)
            yield page
            page.close()


@contextmanager
def running(command, **options):
    """A program that is ended at the end."""
    with subprocess.Popen(command, stderr=subprocess.DEVNULL, **options) as process:
        try:
            yield process
        finally:
            process.terminate()


def listening(port):
    """Wait until something listens there."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        with socket.socket() as line:
            if line.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("WebKitWebDriver does not listen")
