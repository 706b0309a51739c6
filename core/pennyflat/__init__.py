"""What one transplant-ready seedling costs in each growing medium, and what to buy.

A scenario goes in, a report comes out:

>>> from pennyflat import DEMO, compare, read
>>> print(compare(read(DEMO))["recommendation"]["sentence"])
Buy 1 × Seed starter mix 16 qt_dry...

`load` reads a scenario from a file, `read` from a parsed document, `parse` from text, `decode_link`
from a link. `compare_table`, `shop_table` and `trials_table` give reports as pandas tables,
`view` shows a scenario live in a notebook.
"""

from pennyflat.buying.shopping import shop
from pennyflat.cli.files import load
from pennyflat.club.pool import PoolError, pool
from pennyflat.comparing.report import compare
from pennyflat.demo import DEMO
from pennyflat.notebook import view
from pennyflat.scenario.document import ScenarioError, check, parse, read, write
from pennyflat.scenario.link import LinkError
from pennyflat.scenario.link import decode as decode_link
from pennyflat.scenario.link import encode as encode_link
from pennyflat.scenario.records import Scenario
from pennyflat.tables import compare_table, shop_table, trials_table
from pennyflat.trials.report import trial_report

__version__ = "0.2.0"

__all__ = [
    "DEMO",
    "LinkError",
    "PoolError",
    "Scenario",
    "ScenarioError",
    "check",
    "compare",
    "compare_table",
    "decode_link",
    "encode_link",
    "load",
    "parse",
    "pool",
    "read",
    "shop",
    "shop_table",
    "trial_report",
    "trials_table",
    "view",
    "write",
]
