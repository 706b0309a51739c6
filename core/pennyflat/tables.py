"""Reports as pandas tables for notebooks. pandas is loaded on use."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from pennyflat.buying.shopping import ShoppingList, shop
from pennyflat.comparing.report import Report, compare
from pennyflat.scenario.records import Scenario
from pennyflat.trials.report import trial_report

if TYPE_CHECKING:
    import pandas


def compare_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    The comparison of one or many scenarios as a table.

    Parameters
    ----------
    scenarios : Scenario, or iterable of Scenario

    Returns
    -------
    pandas.DataFrame
        One row per scenario, sowing and medium. Columns are named like the report's keys, those of
        `as_used` and `at_the_till` with that name and a dot before them; `scenario` is the number
        of the scenario and `title` its title. Costs that do not exist are NaN.

    Raises
    ------
    ImportError
        If pandas is not installed: `pip install pennyflat[notebook]`.
    TypeError
        If given anything but a `Scenario`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> table = compare_table(read(DEMO))
    >>> table.loc[table["crop"] == "tomato", ["medium", "as_used.total"]].round(3)
                 medium  as_used.total
    0  Seed starter mix          0.193
    1  Bulk potting mix          0.168
    2        Home blend          0.188
    """
    return comparisons_table((scenario, compare(scenario)) for scenario in _listed(scenarios))


def comparisons_table(reports: Iterable[tuple[Scenario, Report]]) -> "pandas.DataFrame":
    """
    The table of `compare_table` for scenarios with their reports, as from `compare`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> comparisons_table([(demo, compare(demo))]).equals(compare_table(demo))
    True
    """
    return _table(
        _named(number, scenario) | row
        for number, (scenario, report) in enumerate(reports)
        for row in report["comparisons"]
    ).drop(columns=["as_used", "at_the_till"], errors="ignore")


def shop_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    The shopping lists of one or many scenarios as a table.

    Parameters
    ----------
    scenarios : Scenario, or iterable of Scenario

    Returns
    -------
    pandas.DataFrame
        One row per scenario, store and package to buy: `scenario`, `title`, `currency`, `store`,
        `item`, `size`, `unit`, `count` and `paid` [currency]. Trips are left out.

    Raises
    ------
    ImportError
        If pandas is not installed: `pip install pennyflat[notebook]`.
    TypeError
        If given anything but a `Scenario`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> shop_table(read(DEMO))[["item", "count", "paid"]].head(2)
                        item  count  paid
    0       Seed starter mix      1   9.8
    1  Soluble feed 20-20-20      1   6.4
    """
    return bills_table((scenario, shop(scenario)) for scenario in _listed(scenarios))


def bills_table(reports: Iterable[tuple[Scenario, ShoppingList]]) -> "pandas.DataFrame":
    """
    The table of `shop_table` for scenarios with their shopping lists, as from `shop`.

    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> demo = read(DEMO)
    >>> bills_table([(demo, shop(demo))]).equals(shop_table(demo))
    True
    """
    return _table(
        _named(number, scenario) | {"store": bill["store"]} | item
        for number, (scenario, report) in enumerate(reports)
        for bill in report["stores"]
        for item in bill["items"]
    )


def trials_table(scenarios: Scenario | Iterable[Scenario]) -> "pandas.DataFrame":
    """
    What side-by-side trials show, as a table.

    Parameters
    ----------
    scenarios : Scenario, or iterable of Scenario

    Returns
    -------
    pandas.DataFrame
        One row per scenario, crop tried and mix. Columns are named like the keys of the report's
        `mixes`, with dots for nested ones; `curve` is left out. What was not seen is NaN or None.

    Raises
    ------
    ImportError
        If pandas is not installed: `pip install pennyflat[notebook]`.
    TypeError
        If given anything but a `Scenario`.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
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
    ).drop(columns=["curve", "half_days", "charge", "lesson"], errors="ignore")


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
    return pandas.json_normalize(list(rows))


def _listed(scenarios: Scenario | Iterable[Scenario]) -> Iterable[Scenario]:
    one = isinstance(scenarios, Scenario | dict)  # the caller rejects a dict with its own message
    return [scenarios] if one else scenarios  # type: ignore[return-value, list-item]


def _named(number: int, scenario: Scenario) -> dict[str, Any]:
    return {"scenario": number, "title": scenario.title, "currency": scenario.currency}
