"""`pennyflat.view`: the page's charts and tables in a notebook, live, without a browser."""

import io
import sys

import panel as pn
import pytest
from bokeh.document import Document
from bokeh.models import ColumnDataSource
from bokeh.plotting import figure

import pennyflat
import pennyflat_display.charts
from pennyflat.buying.highs import solve
from pennyflat.demo import DEMO
from pennyflat_display import words
from pennyflat_display.figures import Figures
from pennyflat_display.notebook import layout as trying
from pennyflat_display.notebook.layout import Answered
from view import Charts
from work.state import Work

DATED = DEMO | {"last_frost": "2027-05-15"}


@pytest.fixture
def shown():
    """The demo with days, as it is shown."""
    return Answered(trying.tried(pennyflat.read(DATED)))


@pytest.fixture
def entries(shown):
    return shown._entries


def data_of(figures):
    """What each source of some figures holds."""
    return {
        name: {column: list(held) for column, held in model.data.items()}
        for name, model in sorted(figures.models.items())
        if isinstance(model, ColumnDataSource)
    }


def words_of(pane):
    return pane.object if isinstance(pane.object, str) else pane.object.to_string()


def test_charts_are_those_of_the_page_for_the_same_scenario():
    work = Work(solve=solve)
    work.handle({"do": "type", "path": "last_frost", "text": "2027-05-15"})
    work.handle({"do": "trial-example"})
    work.handle({"do": "trial-show"})
    work.handle({"do": "show", "row": "0"})
    work.handle({"do": "more"})
    work.handle({"do": "ask", "question": "matters", "text": "yes"})
    while work.more:
        work.handle({"do": "more"})
    news, page = Charts().news(work), Figures()
    page.show(news)
    entries = trying.tried(work.scenario)
    here = pennyflat_display.charts.Charts(words).shown(**entries.answer.to_draw(0))

    assert here == news
    assert {name for name, held in data_of(page).items() if any(held.values())} >= {
        "chart-cost bars", "chart-steps first", "chart-calendar bars", "chart-swings low",
        "chart-emergence 0", "chart-stakes bars",
    }  # fmt: skip
    assert repr(data_of(Answered(entries).figures)) == repr(data_of(page))


def test_each_price_and_each_number_wanted_is_a_parameter(entries):
    prices = {name: place for name, place in entries._places.items() if name.startswith("price_")}
    in_the_demo = str(DEMO).count("'price': ")

    assert len(prices) == in_the_demo
    assert (entries.wanted_tomato, entries.price_perlite_8_qt_dry) == (60, 5.4)


def test_two_entries_of_one_name_are_told_apart():
    document = DEMO | {"sowings": [DEMO["sowings"][0], DEMO["sowings"][0] | {"wanted": 5}]}
    entries = trying.tried(pennyflat.read(document))

    assert (entries.wanted_tomato, entries.wanted_tomato_2) == (60, 5)
    assert list(entries.param.row.names) == ["tomato (1)", "tomato (2)"]


def test_a_changed_price_changes_words_tables_and_charts(shown, entries):
    def now():
        panes = (shown.advice, shown.compared, shown.to_buy)
        return [*map(words_of, panes), data_of(shown.figures)["chart-cost bars"]["total"]]

    before = now()
    entries.price_bulk_potting_mix_2_cu_ft = 4.0
    after = now()

    assert all(one != other for one, other in zip(before, after, strict=True))
    document = entries.document
    assert document["media"][1]["packages"][0]["price"] == 4.0
    assert entries.answer.report == pennyflat.compare(pennyflat.read(document))
    assert entries.answer.compared.equals(pennyflat.compare_table(pennyflat.read(document)))
    assert entries.answer.to_buy.equals(pennyflat.shop_table(pennyflat.read(document)))


def test_leftovers_and_numbers_wanted_count(entries):
    said = entries.answer.in_words
    entries.left_over_counts = 1
    assert entries.answer.in_words != said
    entries.param.update(left_over_counts=0, wanted_tomato=240)
    assert entries.answer.report["recommendation"]["plan"][0]["wanted"] == 240


def test_what_is_not_counted_is_named(shown):
    assert "Not counted: time" in shown.advice.object


def test_another_crop_has_its_own_charts(shown, entries):
    before = data_of(shown.figures)["chart-cost bars"]["total"]
    entries.row = 1

    assert data_of(shown.figures)["chart-cost bars"]["total"] != before
    assert "lettuce" in shown.figures.models["chart-cost title"].text.text


def test_a_chart_with_nothing_to_show_is_hidden():
    shown = Answered(trying.tried(pennyflat.read(DEMO)))

    hidden = {name for name, pane in shown.charts.items() if not pane.visible}
    assert hidden == {"chart-calendar", "chart-emergence", "chart-stakes"}


def test_what_cannot_be_used_is_said_in_place_of_the_answer(shown, entries):
    entries.param.update(wanted_lettuce=2.5, price_perlite_8_qt_dry=None)

    assert entries.answer is None
    assert not shown.results.visible and shown.problem.visible
    assert "lettuce: 2.5 is not a whole number" in shown.problem.object
    assert "Perlite, 8 qt_dry, Corner shop: " in shown.problem.object
    entries.param.update(wanted_lettuce=50, price_perlite_8_qt_dry=5.4)
    assert shown.results.visible and not shown.problem.visible
    assert "lettuce" in shown.advice.object


def test_after_a_failure_no_old_answer_stands(shown, entries, monkeypatch):
    def fail(scenario):
        raise RuntimeError("no solver")

    monkeypatch.setattr(trying, "_answer", fail)
    with pytest.raises(RuntimeError, match="no solver"):
        entries.wanted_tomato = 61

    assert entries.answer is None and not shown.results.visible
    assert shown.problem.object == "This could not be worked out."


def test_names_are_words_and_no_markup():
    rows = [{**DEMO["sowings"][0], "crop": "<b>kale</b> $$x$$"}]
    shown = Answered(trying.tried(pennyflat.read(DEMO | {"sowings": rows})))

    assert "&lt;b&gt;kale&lt;/b&gt; $$x$$" in shown.advice.object
    assert shown.figures.models["chart-cost title"].text.text.count("<b>") == 1


def test_nothing_to_compare_is_refused():
    with pytest.raises(ValueError, match="a scenario needs a crop and a mix"):
        pennyflat.view(pennyflat.read(DEMO | {"sowings": []}))


def test_it_is_shown_as_often_as_wanted_and_saved():
    view = pennyflat.view(pennyflat.read(DATED))
    roots = [view._create_view().get_root(Document()) for _ in range(2)]
    figures = [[m for m in root.references() if isinstance(m, figure)] for root in roots]
    page = io.StringIO()
    pn.panel(view).save(page, resources="cdn")

    named = [{made.name for made in found} for found in figures]
    assert named[0] == named[1] >= {"chart-cost", "chart-steps", "chart-calendar"}
    assert not set(figures[0]) & set(figures[1])
    assert "Seed starter mix" in page.getvalue()


@pytest.mark.parametrize("missing", ["panel", "pandas"])
def test_without_its_packages_it_says_what_to_install(missing, monkeypatch):
    for name in list(sys.modules):
        if name.startswith(("pennyflat_display.notebook", "pennyflat_display.figures")):
            monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, missing, None)

    with pytest.raises(ImportError, match=rf"{missing}.*pip install 'pennyflat\[notebook\]'"):
        pennyflat.view(pennyflat.read(DEMO))
