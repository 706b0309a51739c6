"""`python -m pennyflat`: the command line where the command itself is not on the path."""

import sys

from pennyflat.cli.command import main

if __name__ == "__main__":
    sys.exit(main())
