"""Serve site/ on this machine only."""

import sys
import threading
import time
import webbrowser
from contextlib import contextmanager, suppress
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

from webapp.build.environment import Stop, say

PORT = 8017


class Handler(SimpleHTTPRequestHandler):
    """Files with their correct types; the browser checks each time whether one has changed."""

    protocol_version = "HTTP/1.1"
    extensions_map = SimpleHTTPRequestHandler.extensions_map | {
        ".css": "text/css",
        ".js": "text/javascript",
        ".svg": "image/svg+xml",
        ".wasm": "application/wasm",
        ".webmanifest": "application/manifest+json",
    }

    def end_headers(self):
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, *_):
        """Nothing: a line for each file would bury the address."""


class Server(ThreadingHTTPServer):
    """Ignores browsers that disconnect."""

    def handle_error(self, request, client_address):
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)


@contextmanager
def served(folder, handler=Handler, port=0):
    """The address of a folder, served on this machine in the meantime; port 0 takes a free one."""
    with Server(("127.0.0.1", port), partial(handler, directory=folder)) as running:
        thread = threading.Thread(target=running.serve_forever, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{running.server_port}/"
        finally:
            running.shutdown()
            thread.join()


def serve(folder, *, port=0, open_browser=True):
    """Serve until interrupted: on this port, or on the usual one or else any."""
    for number in [port] if port else [PORT, 0]:
        with suppress(OSError), served(folder, port=number) as address:
            say(f"The page is at {address}  (stop with Ctrl-C)")
            if open_browser:
                webbrowser.open(address)
            while True:
                time.sleep(1)
    raise Stop(f"Port {port} is taken; leave --port out to take a free one.")
