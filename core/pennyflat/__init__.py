"""What one transplant-ready seedling costs in each growing medium, and what to buy.

A scenario document goes in, a report comes out:

>>> from pennyflat import DEMO, compare, read
>>> print(compare(read(DEMO))["recommendation"]["sentence"])
Buy 1 x Seed starter mix 16 qt_dry...
"""

from pennyflat.buying.shopping import shop
from pennyflat.club.pool import pool
from pennyflat.comparing.report import compare
from pennyflat.scenario.demo import DEMO
from pennyflat.scenario.document import ScenarioError, check, parse, read, write
from pennyflat.scenario.records import Scenario
from pennyflat.tables import compare_table

__version__ = "0.2.0"

__all__ = [
    "DEMO",
    "Scenario",
    "ScenarioError",
    "check",
    "compare",
    "compare_table",
    "parse",
    "pool",
    "read",
    "shop",
    "write",
]
