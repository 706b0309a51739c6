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
from contextlib import closing, contextmanager
from pathlib import Path

PATIENCE_S = 180
NO_NETWORK = {
    "network.proxy.type": 1,
    "network.proxy.http": "127.0.0.1",
    "network.proxy.http_port": 9,
    "network.proxy.ssl": "127.0.0.1",
    "network.proxy.ssl_port": 9,
}
"""A proxy that is not there."""


COMMANDS = {
    "open": "Navigate",
    "run": "ExecuteScript",
    "find": "FindElement",
    "click": "ElementClick",
    "type": "ElementSendKeys",
}
"""Its names for WebDriver's commands."""


class Driven:
    """A running browser."""

    def open(self, address):
        """Load a page and wait until it is parsed."""
        self._call("open", url=address)

    def reload(self):
        """
        The same with the page that is open.

        By the page itself: Marionette's own command passes by what a service worker keeps.
        """
        self.run("window.isOld = true; location.reload()")
        self.wait_until("!window.isOld && document.readyState === 'complete'")

    def run(self, script):
        """What a function with this body returns in the page."""
        return self._call("run", script=script, args=[])

    def click(self, selector):
        """Click in the middle of an element, as a pointer does, once nothing lies over it."""
        end = time.monotonic() + PATIENCE_S
        while True:
            try:
                return self._call("click", id=self._found(selector))
            except RuntimeError as error:
                if not re.search("intercepted|obscures", str(error)) or time.monotonic() > end:
                    raise
            time.sleep(0.2)

    def type(self, selector, text):
        """Press the keys of a text, or Return for a line's end, in a field."""
        self._call("type", id=self._found(selector), text=text)

    def wait_until(self, condition):
        """Wait until an expression is true in the page; AssertionError if it does not become so."""
        end = time.monotonic() + PATIENCE_S
        while not self.run(f"return Boolean({condition})"):
            assert time.monotonic() < end, condition
            time.sleep(0.2)

    def _found(self, selector):
        [number] = self._call("find", using="css selector", value=selector).values()
        return number

    def _call(self, command, **parameters):
        raise NotImplementedError


class Firefox(Driven):
    """A running Firefox."""

    def __init__(self, port):
        self._line = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S)
        self._in = self._line.makefile("rb")
        self._numbers = itertools.count(1)
        self._receive()  # it introduces itself
        self._call("NewSession", capabilities={})

    def close(self):
        self._in.close()
        self._line.close()

    def _call(self, command, **parameters):
        name = f"WebDriver:{COMMANDS.get(command, command)}"
        text = json.dumps([0, next(self._numbers), name, parameters]).encode()
        self._line.sendall(b"%d:%s" % (len(text), text))
        _, _, error, result = self._receive()
        if error:
            raise RuntimeError(error["message"])
        return result.get("value")

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
            with closing(Firefox(port_of(folder))) as running:
                yield running
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
