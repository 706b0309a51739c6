"""A scenario as a Panel layout: entries to try out, their answer in words, tables and charts.

`Tried` has the entries as parameters and the model's answer to them, without Panel.
"""

import re
from copy import deepcopy
from dataclasses import dataclass
from functools import reduce
from html import escape
from operator import getitem

import pandas as pd
import panel as pn
import param

from pennyflat.buying.highs import solve
from pennyflat.buying.plan import Planner, run
from pennyflat.buying.shopping import shopping_list
from pennyflat.buying.turns import turns_of
from pennyflat.cli.printout import recommendation_text
from pennyflat.comparing.assumptions import what_matters
from pennyflat.comparing.report import Report, compared, rows_of, with_plan
from pennyflat.comparing.till import curves
from pennyflat.growing.schedule import calendars
from pennyflat.scenario.document import ScenarioError, read, write
from pennyflat.scenario.records import Scenario
from pennyflat.tables import compare_table, shop_table
from pennyflat.trials.report import trial_report
from pennyflat_display import words
from pennyflat_display.charts import CALENDAR, MARKS, Charts
from pennyflat_display.figures import Figures
from pennyflat_display.money import amount, currency_of, each

ENTRIES_PX, ANSWER_PX = 290, 340
"""Width of the entries, and least width of the answer. [px]"""
TO_BUY = ("store", "item", "size", "unit", "count", "paid")
"""Columns of the shopping list that are shown."""


@dataclass(frozen=True, slots=True)
class Answer:
    """The model's answer to one scenario."""

    scenario: Scenario
    report: Report
    compared: pd.DataFrame
    """As from `pennyflat.compare_table`."""
    to_buy: pd.DataFrame
    """As from `pennyflat.shop_table`."""

    @property
    def to_pay(self):
        """[currency]"""
        return self.report["recommendation"]["to_pay"]

    @property
    def in_words(self):
        """What to do, its cost and what that leaves out, in lines of text."""
        return recommendation_text(self.report)

    def to_draw(self, row):
        """The arguments of `charts.Charts.shown` for the sowing in a row."""
        scenario, sowing = self.scenario, self.scenario.sowings[row]
        planned = tuple(found["medium"] for found in self.report["recommendation"]["plan"])
        medium, currency = planned[row], currency_of(scenario.currency)
        lines = curves(scenario, self.report, row, medium)
        found = {
            "sowing": (sowing.crop, rows_of(self.report, row), lines, currency),
            "plans": calendars(scenario, planned),
        }
        if medium is not None:
            found["matters"] = what_matters(scenario, sowing, scenario.medium(medium)), currency
        for crop in trial_report(scenario)["crops"] if scenario.trials else ():
            if crop["crop"] == sowing.crop:
                found["trial"] = crop, currency
        return found


class Tried(param.Parameterized):
    """
    The entries of a scenario that can be changed, and the answer to them.

    `tried` makes one. In addition to the parameters below it has `wanted_…` for each sowing and
    `price_…` for each package, packet and tray, named after it.
    """

    left_over_counts = param.Number(
        allow_None=True, label="Leftovers count to (0 to 1)", doc="Share of their worth. [1]"
    )
    row = param.Selector(label="Charts of", doc="Row of the sowing whose charts are shown.")
    answer = param.ClassSelector(class_=Answer, doc="None where the entries cannot be used.")
    problem = param.String(doc="Why they cannot, in the model's sentences; blank where they can.")

    def __init__(self, document, places, **params):
        super().__init__(**params)
        self._document, self._places = document, places
        self.param.watch(self._work_out, list(places))
        self._work_out()

    @property
    def document(self):
        """The scenario document with the current entries."""
        document = deepcopy(self._document)
        for name, (*owners, last) in self._places.items():
            reduce(getitem, owners, document)[last] = getattr(self, name)
        return document

    def _work_out(self, *_):
        try:
            self.param.update(answer=_answer(read(self.document)), problem="")
        except ScenarioError as error:
            self.param.update(answer=None, problem="\n".join(map(self._said, error.faults)))
        except Exception:
            self.param.update(answer=None, problem="This could not be worked out.")
            raise

    def _said(self, fault):
        """A fault with the label of its field instead of its path, if it is one of these."""
        for name, (first, *steps) in self._places.items():
            here = "".join(f"[{one}]" if isinstance(one, int) else f".{one}" for one in steps)
            if first + here == fault.path:
                return f"{self.param[name].label}: {fault.message}"
        return str(fault)


def tried(scenario):
    """
    A scenario's entries to try out; ValueError if it has no crop or no mix.

    >>> from pennyflat import DEMO
    >>> entries = tried(read(DEMO))
    >>> entries.price_seed_starter_mix_8_qt_dry
    5.9
    >>> entries.wanted_lettuce = 2.5
    >>> print(entries.answer, entries.problem)
    None lettuce: 2.5 is not a whole number; write ...
    """
    if not scenario.sowings or not scenario.media:
        raise ValueError("There is nothing to compare: a scenario needs a crop and a mix.")
    document = write(scenario) | {"left_over_counts": scenario.left_over_counts}
    parameters, places = {}, {"left_over_counts": ("left_over_counts",)}
    for what, named, label, place in _numbers(document):
        name = re.sub(r"\W+", "_", f"{what} {named}".casefold()).strip("_")
        numbered = (f"{name}_{number}" for number in range(2, len(places) + 3))
        name = next(one for one in (name, *numbered) if one not in places)
        value = reduce(getitem, place, document)
        parameters[name] = param.Number(value, allow_None=True, label=label)
        places[name] = place
    crops = [sowing.crop for sowing in scenario.sowings]
    rows = {
        crop if crops.count(crop) == 1 else f"{crop} ({row + 1})": row
        for row, crop in enumerate(crops)
    }
    parameters["row"] = param.Selector(objects=rows, label="Charts of")
    made = param.parameterized_class("Tried", parameters, Tried)
    return made(document, places, left_over_counts=scenario.left_over_counts)


def _numbers(document):
    """The entries to try out: (what it is, of what, label, place in the document)."""
    sowings, feed = document["sowings"], document.get("feed")
    for i, sowing in enumerate(sowings):
        yield "wanted", sowing["crop"], sowing["crop"], ("sowings", i, "wanted")
    sold = [
        ((table, i, "packages"), row)
        for table in ("media", "ingredients")
        for i, row in enumerate(document[table])
    ]
    sold += [(("feed", "packages"), feed)] if feed else []
    sold += [(("sowings", i, "seed_packets"), row) for i, row in enumerate(sowings)]
    for place, row in sold:
        for i, package in enumerate(row.get(place[-1], ())):
            named = f"{row.get('name') or row['crop']}, {_size(package)}"
            yield "price", named, f"{named}, {package['store']}", (*place, i, "price")
    for i, tray in enumerate(document.get("trays", ())):
        yield "price", tray["name"], tray["name"], ("trays", i, "price")


def _size(package):
    """A package's size as on its label, or the contents of a packet of seed."""
    if "unit" in package:
        return f"{package['size']:g} {package['unit']}"
    if "seeds" in package:
        return f"{package['seeds']} seeds"
    return f"{package['grams']:g} g of seed"


def _answer(scenario):
    """The answer to a scenario; one plan serves all reports."""
    planner = Planner(scenario)
    best = run(planner.best(), solve)
    turns = run(turns_of(planner, best), solve)
    report = with_plan(compared(scenario), scenario, best, turns)
    bill = shopping_list(scenario, best, turns)
    tables = compare_table(scenario, [report]), shop_table(scenario, [bill])
    return Answer(scenario, report, *tables)


class View(pn.viewable.Viewer):
    """A scenario to try out; it makes new figures each time it is shown."""

    def __init__(self, scenario, **params):
        super().__init__(**params)
        self.tried = tried(scenario)

    def __panel__(self):
        return pn.FlexBox(
            _entries(self.tried), Answered(self.tried).layout, flex_wrap="wrap", gap="1rem"
        )


class Answered:
    """The answer to the entries, which follows their changes."""

    def __init__(self, entries):
        self._entries = entries
        self._charts, self.figures = Charts(words), Figures()
        self.figures.put_on_paper()
        self.charts = {
            figure.name: pn.pane.Bokeh(figure, sizing_mode="stretch_width")
            for figure in self.figures.all
        }
        self.problem = pn.pane.HTML(styles={"color": "#8a1f11", "font-weight": "bold"})
        self.advice = pn.pane.HTML()
        self.compared, self.to_buy = pn.pane.DataFrame(index=True), pn.pane.DataFrame(index=False)
        signs = (f"{sign.replace('_', ' ')}: {what}" for what, sign in MARKS.items())
        self.charts[CALENDAR] = pn.Column(self.charts[CALENDAR], pn.pane.HTML("; ".join(signs)))
        self.results = pn.Column(
            self.advice,
            pn.pane.HTML("<h3>One ready seedling in each mix, as used and at the till</h3>"),
            self.compared,
            pn.pane.HTML("<h3>Shopping list</h3>"),
            self.to_buy,
            pn.Param(entries, parameters=["row"], show_name=False),
            *self.charts.values(),
            sizing_mode="stretch_width",
        )
        self.layout = pn.Column(
            self.problem, self.results, min_width=ANSWER_PX, styles={"flex": "1 1 0"}
        )
        entries.param.watch(self._follow, ["answer", "problem", "row"])
        self._follow()

    def _follow(self, *_):
        answer = self._entries.answer
        self.problem.object = _lines(self._entries.problem.splitlines())
        self.problem.visible, self.results.visible = answer is None, answer is not None
        if answer is None:
            return
        first, *more = answer.in_words.splitlines()
        self.advice.object = f"<b>{escape(first)}</b><br>{_lines(more)}"
        self.compared.object = crossed(answer)
        self.to_buy.object = to_buy(answer)
        shown = self._charts.shown(**answer.to_draw(self._entries.row))
        self.figures.show(self._charts.news(shown))
        for name, pane in self.charts.items():
            pane.visible = name in shown
        pn.io.push_notebook(*self.charts.values())


def crossed(answer):
    """
    Crops by mixes: cost of a ready seedling as used and at the till.

    >>> from pennyflat import DEMO, read
    >>> print(crossed(tried(read(DEMO)).answer)["Bulk potting mix"].to_string())
    tomato      $0.168, $0.382
    lettuce     $0.075, $0.186
    marigold    $0.134, $0.537
    """
    currency = currency_of(answer.scenario.currency)
    media = [medium.name for medium in answer.scenario.media]
    crops = [sowing.crop for sowing in answer.scenario.sowings]
    rows = [
        [_cell(row, currency) for row in rows_of(answer.report, place)]
        for place in range(len(crops))
    ]
    return pd.DataFrame(rows, columns=media, index=crops)


def to_buy(answer):
    """The shopping list with money as text."""
    currency = currency_of(answer.scenario.currency)
    found = answer.to_buy.reindex(columns=TO_BUY)
    return found.assign(
        size=[f"{size:g}" for size in found["size"]],
        paid=[amount(paid, currency) for paid in found["paid"]],
    )


def _cell(row, currency):
    if not row["ready"]:
        return words.text("answer.not_ready")
    till = row["at_the_till"]
    at_the_till = each(till["per_seedling"], currency) if till else "not to be had"
    said = f"{each(row['as_used']['total'], currency)}, {at_the_till}"
    return f"{said} (in the plan)" if row["in_plan"] else said


def _entries(entries):
    """The fields: number of seedlings, prices, leftovers."""
    symbol = currency_of(entries.answer.scenario.currency).symbol
    groups = {"Seedlings wanted": "wanted_", f"Prices, {symbol}": "price_", "Leftovers": "left_"}
    fields = {"type": pn.widgets.FloatInput, "width": ENTRIES_PX - 30}
    column = pn.Column(width=ENTRIES_PX)
    for title, start in groups.items():
        names = [name for name in entries.param if name.startswith(start)]
        widgets = dict.fromkeys(names, fields)
        column.append(pn.Param(entries, parameters=names, name=title, widgets=widgets))
    return column


def _lines(lines):
    return "<br>".join(map(escape, lines))
