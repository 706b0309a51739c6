"""Just enough of WebDriver to open a page in an installed WebKitGTK and run scripts in it.

Source: W3C, WebDriver, w3.org/TR/webdriver2. The browser has no window of its own to hide, so it is
given a screen that nobody sees (Xvfb).
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

PATIENCE_S = 60
DRIVER, SCREEN = shutil.which("WebKitWebDriver"), shutil.which("Xvfb")
BROWSER = next(iter(sorted(Path("/usr").glob("lib*/*/webkit2gtk-4.*/MiniBrowser"))), None)
IS_INSTALLED = bool(DRIVER and SCREEN and BROWSER)


class WebKit:
    """A running WebKitGTK."""

    def __init__(self, port):
        self._session = f"http://127.0.0.1:{port}/session"
        options = {"binary": str(BROWSER), "args": ["--automation"]}
        wanted = {"alwaysMatch": {"webkitgtk:browserOptions": options}}
        found = self._call("POST", "", capabilities=wanted)
        self._session += f"/{found['sessionId']}"

    def open(self, address):
        """Load a page and wait until it is parsed."""
        self._call("POST", "/url", url=address)

    def run(self, script):
        """What a function with this body returns in the page."""
        return self._call("POST", "/execute/sync", script=script, args=[])

    def wait_until(self, condition):
        """Wait until an expression is true in the page; AssertionError if it does not become so."""
        end = time.monotonic() + PATIENCE_S
        while not self.run(f"return Boolean({condition})"):
            assert time.monotonic() < end, condition
            time.sleep(0.2)

    def close(self):
        self._call("DELETE", "")

    def _call(self, method, path, **parameters):
        body = json.dumps(parameters).encode() if method == "POST" else None
        asked = urllib.request.Request(self._session + path, data=body, method=method)
        try:
            with urllib.request.urlopen(asked, timeout=PATIENCE_S) as told:
                return json.load(told)["value"]
        except urllib.error.HTTPError as error:
            with error:
                raise RuntimeError(error.read().decode()) from None


@contextmanager
def webkit():
    """A WebKitGTK that keeps what it is given only as long as it runs."""
    reading, writing = os.pipe()
    screen = subprocess.Popen(
        [SCREEN, "-displayfd", str(writing), "-screen", "0", "1280x1024x24"],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    with os.fdopen(reading) as told:
        number = told.readline().strip()
    port = free_port()
    driver = subprocess.Popen(
        [DRIVER, f"--port={port}"],
        env=os.environ | {"DISPLAY": f":{number}", "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        listening(port)
        running = WebKit(port)
        yield running
        running.close()
    finally:
        for process in (driver, screen):
            process.terminate()
            process.wait()


def free_port():
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


def listening(port):
    """Wait until something listens there."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        with socket.socket() as line:
            if line.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("WebKitWebDriver does not listen")
