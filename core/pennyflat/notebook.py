"""A scenario shown live in a notebook. Panel is loaded on use."""

from typing import TYPE_CHECKING

from pennyflat.scenario.records import Scenario, expect_scenario

if TYPE_CHECKING:
    from pennyflat_display.notebook.layout import View

EXTRA = ("bokeh", "pandas", "panel", "param")
"""Packages of the extra `notebook`."""


def view(scenario: Scenario) -> "View":
    """
    A scenario with prices to try out, and its answer in words, tables and charts.

    A notebook shows it after `panel.extension()`, and `panel serve` with `.servable()`. Its `tried`
    has a parameter for each price and each number of seedlings wanted; the answer follows every
    change, by hand or in code. ImportError if the packages for it are not installed, TypeError if
    given anything but a `Scenario`.

    >>> from pennyflat import DEMO, read
    >>> shown = view(read(DEMO))
    >>> shown.tried.wanted_tomato = 240
    >>> shown.tried.answer.to_pay
    66.8
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
