"""Types of a comparison's report; core/FORMATS.md explains the keys."""

from typing import TypedDict

from pennyflat.buying.basket import LeftOver
from pennyflat.buying.shopping import Item, Recommendation
from pennyflat.comparing.verdict import Verdict
from pennyflat.growing.lean_mixes import Rescue


class EachAsUsed(TypedDict):
    """Cost of a transplant-ready seedling by what it pays for. [currency]"""

    medium: float
    feed: float
    seed: float
    container: float
    energy: float
    labour: float
    total: float


class PackageBought(Item):
    """A number of packages of one kind, and where."""

    store: str


class Till(TypedDict):
    """Money paid for one sowing alone."""

    paid: float
    per_seedling: float
    trips: float
    left_over_litres: float
    left_over: list[LeftOver]
    packages: list[PackageBought]


class Comparison(TypedDict):
    """One sowing in one medium."""

    crop: str
    medium: str
    ready: bool
    why_not: str | None
    stalls_in_week: float | None
    price_per_litre: float
    litres_per_cell: float
    ready_share: float
    cells: int
    seeds: int
    medium_litres: float
    hungry_weeks: float
    feedings: int
    solution_litres: float
    feed_amount: float
    expected_ready: float
    as_used: EachAsUsed | None
    at_the_till: Till | None
    in_plan: bool
    not_counted: list[str]


class Report(TypedDict):
    """The report of `compare`."""

    format: str
    currency: str
    comparisons: list[Comparison]
    """Sowings outermost, in scenario order."""
    verdicts: list[Verdict]
    rescues: list[Rescue]
    recommendation: Recommendation | None
    """None until there is a plan."""
