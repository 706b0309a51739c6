"""Types of a club's report; the docstring of `pool` explains the keys."""

from typing import TypedDict

from pennyflat.buying.shopping import Bill, PlanRow, Totals


class MembersRow(PlanRow):
    """What to do about one sowing of a member."""

    member: str


class SharedBill(Bill):
    """What is bought at one store, and who goes there."""

    goes: list[str]


class ItemShare(TypedDict):
    """What one member takes of one item. [measure]"""

    item: str
    measure: str
    needed: float
    taken: float
    left_over: float
    short_by: float


class MemberRow(TypedDict):
    """What one member pays and takes. [currency]"""

    name: str
    alone: float | None
    besides: float
    goods: float
    trips: float
    saving: float | None
    pays: float
    over_budget_by: float
    items: list[ItemShare]


class SplitRule(TypedDict):
    """How the cost was divided."""

    rule: str
    error: float
    proven: bool
    sentence: str


class Insists(TypedDict):
    """What it costs that a member insists on their own choice of mixes."""

    member: str
    crops: list[str]
    media: list[str]
    costs: float
    sentence: str


class BetterAlone(TypedDict):
    """Members who would do better alone."""

    members: list[str]
    saves: float
    sentence: str


class Order(Totals):
    """The report of `pool`."""

    plan: list[MembersRow]
    stores: list[SharedBill]
    members: list[MemberRow]
    alone: float | None
    saving: float | None
    split: SplitRule
    insists: list[Insists]
    better_alone: list[BetterAlone]
    none_worse_off: bool
    why_not: str | None
    notices: list[str]
