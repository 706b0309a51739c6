"""The build's messages to the person who runs it."""

import sys
import threading
import time
from contextlib import contextmanager


class Stop(SystemExit):
    """The build cannot continue; the text says why and what to do."""


def say(text):
    """Print one line immediately."""
    print(text, flush=True)


@contextmanager
def step(text):
    """Print what starts and how long it took; on a terminal, also the time so far."""
    begin = time.monotonic()
    over = threading.Event()

    def tick():
        while not over.wait(1):
            print(f"\r{text} … {time.monotonic() - begin:.0f} s", end="", flush=True)

    print(f"{text} … ", end="", flush=True)
    ticking = threading.Thread(target=tick, daemon=True)
    if sys.stdout.isatty():
        ticking.start()
    outcome = "stopped"
    try:
        yield
        outcome = f"{time.monotonic() - begin:.1f} s"
    finally:
        over.set()
        if ticking.ident:
            ticking.join()
            print(f"\r{text} … ", end="")
        say(outcome)
