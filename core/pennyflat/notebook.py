"""A scenario shown live in a notebook. Needs Panel, which is loaded when called."""

from typing import TYPE_CHECKING

from pennyflat.scenario.records import Scenario, expect_scenario

if TYPE_CHECKING:
    from pennyflat_display.notebook.layout import View

EXTRA = ("bokeh", "pandas", "panel", "param")
"""What the extra `notebook` brings."""


def view(scenario: Scenario) -> "View":
    """
    A scenario with its prices to try out, its answer in words, tables and charts.

    It shows itself in a notebook after `panel.extension()`; `.servable()` shows it under `panel
    serve`. Its `tried` has a parameter for each price and each number of seedlings wanted; whatever
    is changed there, by hand or in code, the answer follows.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    pennyflat_display.notebook.layout.View

    Raises
    ------
    ImportError
        If what shows it is not installed: `pip install 'pennyflat[notebook]'`.
    TypeError
        If something else than a `Scenario` is given.

    Examples
    --------
    >>> from pennyflat.demo import DEMO
    >>> from pennyflat.scenario.document import read
    >>> shown = view(read(DEMO))
    >>> shown.tried.answer.to_pay
    31.3
    >>> shown.tried.wanted_tomato = 240
    >>> shown.tried.answer.to_pay
    53.8
    """
    expect_scenario(scenario, "view")
    try:
        from pennyflat_display.notebook.layout import View
    except ModuleNotFoundError as error:
        if error.name not in EXTRA:
            raise
        raise ImportError(
            f"view() needs {error.name}, which is not installed: pip install 'pennyflat[notebook]'",
            name=error.name,
        ) from error
    return View(scenario)
