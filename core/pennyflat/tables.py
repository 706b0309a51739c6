"""Reports as pandas tables for notebooks. pandas is loaded on use.

Each table begins with the columns `scenario`, the number of the scenario, `title` and `currency`;
the others are named like the report's keys, nested ones with a dot between. What does not exist or
was not seen is NaN or None. Without pandas an ImportError says how to install it; anything but a
`Scenario` is a TypeError.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from pennyflat.buying.shopping import ShoppingList, shop
from pennyflat.comparing.comparison import Report
from pennyflat.comparing.report import compare
from pennyflat.scenario.records import Scenario
from pennyflat.trials.report import trial_report

if TYPE_CHECKING:
    import pandas


def compare_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    The comparison of one or many scenarios: a row per scenario, sowing and medium.

    >>> from pennyflat import DEMO, read
    >>> table = compare_table(read(DEMO))
    >>> table.loc[table["crop"] == "tomato", ["medium", "as_used.total"]].round(3)
                 medium  as_used.total
    0  Seed starter mix          0.193
    1  Bulk potting mix          0.168
    2        Home blend          0.188
    """
    return comparisons_table((scenario, compare(scenario)) for scenario in _listed(scenarios))


def comparisons_table(reports: Iterable[tuple[Scenario, Report]]) -> "pandas.DataFrame":
    """The table of `compare_table` for scenarios with their reports, as from `compare`."""
    return _table(
        _named(number, scenario) | row
        for number, (scenario, report) in enumerate(reports)
        for row in report["comparisons"]
    )


def shop_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    The shopping lists of one or many scenarios: a row per scenario, store and package to buy.

    Its columns are `store`, `item`, `size`, `unit`, `count` and `paid` [currency], without trips.

    >>> from pennyflat import DEMO, read
    >>> shop_table(read(DEMO))[["item", "count", "paid"]].head(2)
                        item  count  paid
    0       Seed starter mix      1   9.8
    1  Soluble feed 20-20-20      1   6.4
    """
    return bills_table((scenario, shop(scenario)) for scenario in _listed(scenarios))


def bills_table(reports: Iterable[tuple[Scenario, ShoppingList]]) -> "pandas.DataFrame":
    """The table of `shop_table` for scenarios with their shopping lists, as from `shop`."""
    return _table(
        _named(number, scenario) | {"store": bill["store"]} | item
        for number, (scenario, report) in enumerate(reports)
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
        _named(number, scenario) | {"crop": tried["crop"]} | mix
        for number, scenario in enumerate(_listed(scenarios))
        for tried in trial_report(scenario)["crops"]
        for mix in tried["mixes"]
    )


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


def _listed(scenarios: Scenario | Iterable[Scenario]) -> Iterable[Scenario]:
    one = isinstance(scenarios, Scenario | dict)  # the caller rejects a dict with its own message
    return [scenarios] if one else scenarios  # type: ignore[return-value, list-item]


def _named(number: int, scenario: Scenario) -> dict[str, Any]:
    return {"scenario": number, "title": scenario.title, "currency": scenario.currency}
