"""Just enough of Firefox's own remote control to open a page and run scripts in it.

Playwright cannot drive an installed Firefox. Messages are JSON with their length before them:
[0, id, command, parameters] there, [1, id, error, result] back. Source: Mozilla's Marionette
protocol, version 3, firefox-source-docs.mozilla.org/testing/marionette/Protocol.html.
"""

import itertools
import json
import re
import socket
import subprocess
import time
from contextlib import contextmanager
from pathlib import Path

PATIENCE_S = 60
NO_NETWORK = {
    "network.proxy.type": 1,
    "network.proxy.http": "127.0.0.1",
    "network.proxy.http_port": 9,
    "network.proxy.ssl": "127.0.0.1",
    "network.proxy.ssl_port": 9,
}
"""A proxy that is not there."""


class Firefox:
    """A running Firefox."""

    def __init__(self, port):
        self._line = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S)
        self._in = self._line.makefile("rb")
        self._numbers = itertools.count(1)
        self._receive()  # it introduces itself
        self._call("WebDriver:NewSession", capabilities={})

    def open(self, address):
        """Load a page and wait until it is parsed."""
        self._call("WebDriver:Navigate", url=address)

    def run(self, script):
        """What a function with this body returns in the page."""
        return self._call("WebDriver:ExecuteScript", script=script, args=[])["value"]

    def wait_until(self, condition):
        """Wait until an expression is true in the page; AssertionError if it does not become so."""
        end = time.monotonic() + PATIENCE_S
        while not self.run(f"return Boolean({condition})"):
            assert time.monotonic() < end, condition
            time.sleep(0.2)

    def close(self):
        self._in.close()
        self._line.close()

    def _call(self, command, **parameters):
        text = json.dumps([0, next(self._numbers), command, parameters]).encode()
        self._line.sendall(b"%d:%s" % (len(text), text))
        _, _, error, result = self._receive()
        if error:
            raise RuntimeError(error["message"])
        return result

    def _receive(self):
        length = b"".join(iter(lambda: self._in.read(1), b":"))
        return json.loads(self._in.read(int(length)))


@contextmanager
def firefox(program, folder):
    """A Firefox with its own profile in a folder, and a proxy that does not exist."""
    settings = NO_NETWORK | {"marionette.port": 0}
    lines = [f"user_pref({json.dumps(k)}, {json.dumps(v)});" for k, v in settings.items()]
    Path(folder, "user.js").write_text("\n".join(lines))
    command = [program, "--headless", "--marionette", "--no-remote", "--profile", str(folder)]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL) as process:
        try:
            running = Firefox(port_of(folder))
            yield running
            running.close()
        finally:
            process.terminate()


def port_of(profile):
    """The port that Firefox has taken: it writes it into its profile."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        written = Path(profile, "MarionetteActivePort")
        if written.exists() and re.fullmatch(r"\d+", written.read_text()):
            return int(written.read_text())
        time.sleep(0.2)
    raise RuntimeError("Firefox does not listen")
