"""A scenario as a Panel layout: entries to try out, their answer in words, tables and charts."""

from html import escape

import pandas as pd
import panel as pn

from pennyflat.comparing.report import rows_of
from pennyflat_display import words
from pennyflat_display.charts import Charts
from pennyflat_display.figures import Figures
from pennyflat_display.money import amount, currency_of, each
from pennyflat_display.notebook.tried import tried
from pennyflat_display.plan_charts import CALENDAR, MARKS

ENTRIES_PX, ANSWER_PX = 290, 340
"""Width of the entries, and least width of the answer. [px]"""
TO_BUY = ("store", "item", "size", "unit", "count", "paid")
"""Columns of the shopping list that are shown."""


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
