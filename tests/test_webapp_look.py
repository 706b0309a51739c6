"""The style sheet's colours: contrast by WCAG 2.2, and the same palette in the charts."""

import re
from pathlib import Path

import pytest

import pennyflat_display.figures.parts as charts
from pennyflat_display.figures import HATCHES

WEBAPP = Path(__file__).parents[1] / "webapp"
CSS = (WEBAPP / "shell" / "style.css").read_text("utf-8")

TEXT_ON = [
    ("ink", "paper"), ("ink", "card"), ("ink", "field"), ("ink", "leaf-wash"), ("soft", "paper"),
    ("soft", "card"), ("soft", "field"), ("on-soil", "soil"), ("on-soil-soft", "soil"),
    ("on-leaf", "leaf"), ("leaf", "card"), ("leaf", "paper"), ("alarm", "paper"), ("alarm", "card"),
    ("alarm", "leaf-wash"), ("needed", "card"), ("needed", "needed-wash"), ("ink", "needed-wash"),
    ("ink", "alarm-wash"), ("card", "alarm"), ("soft", "needed-wash"),
]  # fmt: skip
SIGN_ON = [
    ("edge", "card"), ("edge", "field"), ("edge", "paper"), ("focus", "card"), ("focus", "paper"),
    ("line-first", "paper"), ("line-second", "paper"), ("alarm", "field"), ("needed", "field"),
    ("sprout", "cell"), ("part-mix", "field"),
]  # fmt: skip


def colours(scheme):
    """The colours of a scheme by name; each has both values in one line."""
    return dict(re.findall(rf"--([\w-]+):.*var\(--{scheme}, (#[0-9a-f]{{6}})\)", CSS))


def contrast(one, other):
    """Contrast ratio. [WCAG 2.2, definition of "contrast ratio"]"""
    bright, dim = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def luminance(colour):
    """Relative luminance. [WCAG 2.2, definition of "relative luminance"]"""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_contrast_is_measured_right():
    # WCAG 2.2: black on white is 21:1, equal colours 1:1
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), TEXT_ON)
def test_text_has_a_contrast_of_four_and_a_half(scheme, text, ground):
    found = colours(scheme)

    assert contrast(found[text], found[ground]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("sign", "ground"), SIGN_ON)
def test_edges_and_lines_have_a_contrast_of_three(scheme, sign, ground):
    found = colours(scheme)

    assert contrast(found[sign], found[ground]) >= 3


@pytest.mark.parametrize(("scheme", "chart"), [("light", charts.LIGHT), ("dark", charts.DARK)])
def test_the_charts_have_the_colours_of_the_style_sheet(scheme, chart):
    found = colours(scheme)
    names = {"ink": "ink", "soft": "soft", "line": "line", "medium": "part-mix",
             "first": "line-first", "second": "line-second"}  # fmt: skip
    names |= {part: f"part-{part}" for part in HATCHES if part != "medium"}

    assert {name: found[css] for name, css in names.items()} == {n: chart[n] for n in names}


def test_the_page_moves_nothing_for_those_who_ask_for_no_motion():
    asked_first = r"@media \(prefers-reduced-motion: no-preference\) \{.*?\n\}"
    moving = re.sub(asked_first, "", CSS, flags=re.S)

    assert "transition" not in moving and "animation" not in moving


def test_the_written_design_states_the_contrast_as_measured():
    written = (WEBAPP / "design.md").read_text("utf-8")
    rows = re.findall(r"^\| ([\w-]+) \| ([\w-]+) \| ([\d.]+) \| ([\d.]+) \|", written, re.M)

    assert len(rows) >= 12
    for text, ground, light, dark in rows:
        for scheme, stated in (("light", light), ("dark", dark)):
            found = colours(scheme)
            assert f"{contrast(found[text], found[ground]):.2f}" == stated, (text, ground, scheme)
