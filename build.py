"""Make the page, show it, or test it.

    python3 build.py          make site/, a folder any web server can hand out
    python3 build.py serve    make it if anything changed, and open it in the browser
    python3 build.py release  make it, and one archive of it in release/, with its SHA-256 sum
    python3 build.py test     run the tests, also in a real browser
    python3 build.py catalogues     update webapp/catalogues/ from the texts in the code
    python3 build.py bench    measure it against the stock route, and write the table into README.md
    python3 build.py places   update data/places.csv, the formats of numbers and days

Needs Python 3.11 or newer and, the first time, the network. It installs only into .venv/ and
.cache/.
"""

import os
import sys

WORKERS = min(4, (os.cpu_count() or 1) + 1)
"""One more than cores, since a test waits now and then; a browser each, memory permitting."""

SIDE_BY_SIDE = ["-n", str(WORKERS), "--dist", "loadfile", "--no-loadscope-reorder"]
"""Test files come in the order of `tests/conftest.py`."""

COMMANDS = ["site", "serve", "release", "test", "catalogues", "bench", "places"]


def main():
    import argparse  # here, so that interrupting an import shows no traceback

    from webapp.build import environment

    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("command", nargs="?", default="site", choices=COMMANDS)
    parser.add_argument("--port", type=int, default=0, help="serve: the port to use")
    parser.add_argument("--no-open", action="store_true", help="serve: do not open a browser")
    parser.add_argument("--runs", type=int, default=5, help="bench: how often each side is opened")
    options, rest = parser.parse_known_args()
    command = options.command
    if rest and command != "test":
        parser.error(f"unknown: {' '.join(rest)} (only test passes more on, to pytest)")

    environment.enter(tests=command in ("test", "bench"))  # with a browser driver
    from webapp.build import assemble, serve  # needs the environment's packages
    from webapp.build.texts import catalogues, cldr

    if command in ("places", "catalogues"):
        cldr.write_table() if command == "places" else catalogues.update()
        return
    assemble.make_site()
    if command == "serve":
        serve.serve(assemble.SITE, port=options.port, open_browser=not options.no_open)
    elif command == "release":
        assemble.release()
    elif command == "bench":
        from webapp.build.measure import bench

        bench.run(options.runs)
    elif command == "test":
        # else each of the many processes would compile all modules again
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        environment.become("-m", "pytest", *(rest or SIDE_BY_SIDE))


if __name__ == "__main__":
    try:
        main()
    except KeyboardInterrupt:
        print()
        sys.exit(130)
