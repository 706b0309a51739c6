"""Serves a folder like a compressing server on a slow line."""

import threading
import time
from pathlib import Path

from brotli import compress

from webapp.build import serve
from webapp.build.remembered import remembered

BYTES_PER_S = 200_000  # 1.6 Mbit/s
DELAY_S = 0.15  # before an answer begins
PIECE = 16_384


class Line:
    """Limits the bytes per second of all senders together."""

    def __init__(self):
        self._lock = threading.Lock()
        self._free_at = 0.0

    def wait(self, count):
        """Wait until this many bytes have passed."""
        with self._lock:
            self._free_at = max(self._free_at, time.monotonic()) + count / BYTES_PER_S
            until = self._free_at
        time.sleep(max(0.0, until - time.monotonic()))


class SlowHandler(serve.Handler):
    """Files with Brotli, one piece after another."""

    line = Line()

    def do_GET(self):
        time.sleep(DELAY_S)
        path = Path(self.translate_path(self.path))
        path = path / "index.html" if path.is_dir() else path
        if not path.is_file():
            self.send_error(404)
            return
        data = brotli(path.read_bytes())
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "br")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        for start in range(0, len(data), PIECE):
            piece = data[start : start + PIECE]
            self.line.wait(len(piece))
            self.wfile.write(piece)


def served(folder):
    """The address of a folder served on such a line, in the meantime."""
    return serve.served(folder, SlowHandler)


def brotli(data):
    """The bytes compressed at the best quality, cached."""
    return remembered("brotli", data, lambda: compress(data, quality=11, lgwin=24))
