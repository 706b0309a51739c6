"""The charts: what the page's Python says of them fits the figures that the build makes."""

import subprocess
import sys
from collections import defaultdict
from pathlib import Path

import pytest
from bokeh.models import ColumnDataSource, PlainText

from pennyflat.buying.highs import solve
from pennyflat.comparing.till import Curves, Step, Stretch
from pennyflat.demo import DEMO
from pennyflat_display import charts, words
from pennyflat_display.chart_parts import ticks_between
from pennyflat_display.figures import Figures
from pennyflat_display.figures.parts import DARK, LIGHT
from pennyflat_display.money import currency_of
from view import Charts
from webapp.build.parts import bundle
from work.state import Work

WEBAPP = Path(__file__).resolve().parents[1] / "webapp"


def asked(work):
    """A work in which every chart has something to show."""
    work.handle({"do": "type", "path": "last_frost", "text": "2027-05-15"})
    work.handle({"do": "open", "text": "calendar"})
    work.handle({"do": "trial-example"})
    work.handle({"do": "trial-show"})
    while work.more:
        work.handle({"do": "more"})
    work.handle({"do": "ask", "question": "matters", "text": "yes"})
    while work.more:
        work.handle({"do": "more"})
    return work


@pytest.fixture(scope="module")
def full():
    """Such a work."""
    return asked(Work())


def test_figures_and_charts_know_the_same_columns(full):
    """Bokeh itself refuses a mark that names a column which its source does not have."""
    figures = Figures()
    sources = {n: m for n, m in figures.models.items() if isinstance(m, ColumnDataSource)}
    told = {
        name: values["data"] for name, values in Charts().news(full).items() if "data" in values
    }

    assert told.keys() == sources.keys()
    for name, data in told.items():
        assert list(data) == sources[name].column_names, name
        assert len({len(column) for column in data.values()}) == 1, name


def test_what_stands_together_in_a_figure_differs_without_colour():
    for made in Figures().all:
        looks = [look_of(mark) for mark in made.renderers if look_of(mark)]

        assert len(looks) == len(set(looks)), made.name


def look_of(mark):
    """What tells a bar, line or sign from another of its kind on grey paper; None for the rest."""
    glyph, kind = mark.glyph, type(mark.glyph).__name__
    if kind in ("HBar", "HStrip", "Quad"):
        return kind, str(glyph.hatch_pattern)
    if kind in ("Line", "Step", "Segment"):
        return kind, str(glyph.line_dash)
    return (kind, str(glyph.marker)) if kind == "Scatter" else None


def test_whatever_is_said_of_a_figure_is_a_property_of_it(full):
    figures = Figures()

    for name, values in Charts().news(full).items():
        assert values.keys() <= figures.models[name].properties(), name
    figures.show(Charts().news(full))


def test_only_what_has_changed_is_said():
    work, charts = Work(solve=solve), Charts()
    work.handle({"do": "more"})
    charts.news(work)

    assert charts.news(work) == {}
    work.handle({"do": "type", "path": "media[0].packages[0].price", "text": "6.2"})
    charts.news(work)
    work.handle({"do": "more"})
    news = charts.news(work)

    assert news and all(name.startswith("chart-steps") for name in news)


def test_the_browser_needs_nothing_of_bokeh_for_them(tmp_path):
    for name, data in bundle.our_own().items():
        path = tmp_path / name.removeprefix(bundle.HOME)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    code = "import sys, bridge; bridge.prepare(); print({'bokeh', 'numpy'} & {*sys.modules})"
    found = subprocess.run(
        [sys.executable, "-c", code],
        env={"PYTHONPATH": f"{tmp_path / 'webapp'}:{tmp_path / 'core'}"},
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )

    assert found.stdout == "set()\n", found.stderr


def test_names_between_two_dollars_are_words_and_no_formula():
    name = "$$x^2$$"
    rows = [{**DEMO["sowings"][0], "crop": name}]
    work, figures = Work(), Figures()
    work.open(DEMO | {"sowings": rows})
    figures.show(Charts().news(work))

    texts = [
        figures.models["chart-cost title"].text,
        figures.models["chart-cost x axis"].axis_label,
        *figures.models["chart-cost x axis"].major_label_overrides.values(),
    ]
    assert all(type(text) is PlainText for text in texts)
    assert name in texts[0].text


@pytest.mark.parametrize("rate", [1e-6, 0.01, 1, 150, 16_000, 1e9])
def test_ticks_come_from_the_span(rate):
    for least, most in ((0.18, 0.231), (0.1, 0.1), (0, 3.7), (0.999, 1.001)):
        ticks = ticks_between(least * rate, most * rate)

        assert ticks[0] <= least * rate * 1.000001 and ticks[-1] >= most * rate * 0.999999
        assert 2 <= len(ticks) <= 7


def test_what_matters_is_drawn_in_a_weak_currency():
    work = Work()
    rich = dict(DEMO, currency="IDR")
    rich["media"] = [
        {**m, "packages": [{**p, "price": p["price"] * 16_000} for p in m["packages"]]}
        if "packages" in m
        else m
        for m in DEMO["media"]
    ]
    work.open(rich)
    shown = Charts().news(asked(work))

    assert len(shown["chart-swings x ticks"]["ticks"]) > 2
    assert shown["chart-swings"]["min_border_right"] > 30


def test_each_model_has_its_colours_in_both_schemes():
    for figure in Figures().all:
        for model in figure.references():
            for tag in model.tags:
                assert tag["light"].keys() == tag["dark"].keys() <= tag["paper"].keys()
                assert set(tag["light"].values()) <= set(LIGHT.values())
                assert set(tag["dark"].values()) <= set(DARK.values())
                assert {key: tag["paper"][key] for key in tag["light"]} == tag["light"]


def test_numbers_where_lines_cross_are_not_written_over_each_other():
    steps = {"A": (Step(1, 9.0), Step(48, 11.0)), "B": (Step(1, 10.0), Step(49, 12.0))}
    stretches = tuple(
        Stretch(first, 160, medium)
        for first, medium in ((1, "A"), (48, "B"), (49, "A"), (120, "B"))
    )
    found = charts.staircase(
        Curves(40, 160, steps, stretches), "leek", currency_of("USD"), words, defaultdict(float)
    )

    [crossings] = [columns["data"] for name, columns in found.items() if name.endswith("crossings")]
    assert crossings["x"] == [48, 49, 120]
    assert crossings["note"] == ["48", "", "120"]
