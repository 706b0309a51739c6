"""Reports as tables for people who work in notebooks. Needs pandas, which is loaded when called."""

from pennyflat.comparing.report import compare
from pennyflat.scenario.records import Scenario


def compare_table(scenarios):
    """
    The comparison of one or many scenarios as a table.

    Parameters
    ----------
    scenarios : Scenario, or iterable of Scenario

    Returns
    -------
    pandas.DataFrame
        One row per scenario, sowing and medium. Columns as the report's keys, those of `as_used`
        and `at_the_till` with that name and a dot before them; `scenario` is the number of the
        scenario and `title` its title. Costs that do not exist are NaN.

    Raises
    ------
    ImportError
        If pandas is not installed: `pip install pennyflat[notebook]`.

    Examples
    --------
    >>> from pennyflat.scenario.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> table = compare_table(read(DEMO))
    >>> table.loc[table["crop"] == "tomato", ["medium", "as_used.total"]].round(3)
                 medium  as_used.total
    0  Seed starter mix          0.193
    1  Bulk potting mix          0.168
    2        Home blend          0.188
    """
    import pandas

    if isinstance(scenarios, Scenario):
        scenarios = [scenarios]
    rows = [
        {"scenario": number, "title": scenario.title, "currency": scenario.currency} | row
        for number, scenario in enumerate(scenarios)
        for row in compare(scenario)["comparisons"]
    ]
    return pandas.json_normalize(rows).drop(columns=["as_used", "at_the_till"], errors="ignore")
