"""Reports as pandas tables for notebooks. pandas is loaded on use.

Each table begins with the columns `scenario`, the number of the scenario, `title` and `currency`;
the others are named like the report's keys, nested ones with a dot between. What does not exist or
was not seen is NaN or None. Without pandas an ImportError says how to install it; anything but a
`Scenario` is a TypeError.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from pennyflat.buying.shopping import ShoppingList, shop
from pennyflat.comparing.report import Report, compare
from pennyflat.scenario.records import Scenario
from pennyflat.trials.report import trial_report

if TYPE_CHECKING:
    import pandas


def compare_table(
    scenarios: Scenario | Iterable[Scenario], reports: Iterable[Report] | None = None
) -> "pandas.DataFrame":
    """
    The comparison of one or many scenarios: a row per scenario, sowing and medium.

    `reports` are theirs, as from `compare`, where they are already made.

    >>> from pennyflat import DEMO, read
    >>> table = compare_table(read(DEMO))
    >>> table.loc[table["crop"] == "tomato", ["medium", "as_used.total"]].round(3)
                 medium  as_used.total
    0  Seed starter mix          0.193
    1  Bulk potting mix          0.168
    2        Home blend          0.188
    """
    reported = _reported(compare, scenarios, reports)
    return _table(head | row for head, report in reported for row in report["comparisons"])


def shop_table(
    scenarios: Scenario | Iterable[Scenario], reports: Iterable[ShoppingList] | None = None
) -> "pandas.DataFrame":
    """
    The shopping lists of one or many scenarios: a row per scenario, store and package to buy.

    Its columns are `store`, `item`, `size`, `unit`, `count` and `paid` [currency], without trips.
    `reports` are the scenarios', as from `shop`, where they are already made.

    >>> from pennyflat import DEMO, read
    >>> shop_table(read(DEMO))[["item", "count", "paid"]].head(2)
                        item  count  paid
    0       Seed starter mix      1   9.8
    1  Soluble feed 20-20-20      1   6.4
    """
    return _table(
        head | {"store": bill["store"]} | item
        for head, report in _reported(shop, scenarios, reports)
        for bill in report["stores"]
        for item in bill["items"]
    )


def trials_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    What side-by-side trials show: a row per scenario, crop tried and mix, without the `curve`.

    >>> from pennyflat import DEMO, read
    >>> pot = {"crop": "leek", "sown": 5, "counts": [{"day": 9, "emerged": 4}]}
    >>> demo = read(DEMO | {"trials": [pot | {"medium": "Fine mix"}]})
    >>> trials_table(demo)[["crop", "medium", "normal", "sown", "share"]]
       crop    medium  normal  sown  share
    0  leek  Fine mix       4     5    0.8
    """
    return _table(
        head | {"crop": tried["crop"]} | mix
        for head, report in _reported(trial_report, scenarios)
        for tried in report["crops"]
        for mix in tried["mixes"]
    )


def _reported(make, scenarios, reports=None):
    """The first columns and the report of each scenario."""
    one = isinstance(scenarios, Scenario | dict)  # `make` rejects a dict with its own message
    scenarios = [scenarios] if one else list(scenarios)
    reports = map(make, scenarios) if reports is None else reports
    for number, (scenario, report) in enumerate(zip(scenarios, reports, strict=True)):
        head = {"scenario": number, "title": scenario.title, "currency": scenario.currency}
        yield head, report


_NESTED = ["as_used", "at_the_till", "curve", "half_days", "charge", "lesson"]
"""Columns that are left where a row has None instead of a nested object, and the curve."""


def _table(rows: Iterable[Any]) -> "pandas.DataFrame":
    try:
        import pandas
    except ModuleNotFoundError as error:
        if error.name != "pandas":
            raise
        raise ImportError(
            "Tables need pandas, which is not installed: pip install pennyflat[notebook]",
            name="pandas",
        ) from error
    return pandas.json_normalize(list(rows)).drop(columns=_NESTED, errors="ignore")
