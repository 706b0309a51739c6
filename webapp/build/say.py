"""What the build tells the person who runs it."""

import sys
import time
from contextlib import contextmanager


class Stop(SystemExit):
    """The build cannot go on; the text says why and what to do."""


def say(text):
    """One line, at once."""
    print(text, flush=True)


@contextmanager
def step(text):
    """Say what starts, then how long it took; on a terminal on one line."""
    sys.stdout.write(text + " … ")
    sys.stdout.flush()
    begin = time.monotonic()
    try:
        yield
    except BaseException:
        say("stopped")
        raise
    say(f"{time.monotonic() - begin:.1f} s")
