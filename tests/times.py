"""How many cases random tests try: PENNYFLAT_TIMES=20 has them try twenty times as many."""

import os

TIMES = int(os.environ.get("PENNYFLAT_TIMES", "1"))
