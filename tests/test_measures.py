"""Amounts in US units on the page: what is shown, what is typed, and that nothing else changes."""

import copy
import json
from gettext import NullTranslations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyflat.sentences import UNITS, Amount, say
from pennyflat.units import CUSTOMARY, from_customary, to_customary
from pennyflat_display import places
from pennyflat_display.money import currency_of
from reader import languages, words
from reader.measures import goods, line_said, measured, price_per, unit
from tests.visits import Visit
from view import Page
from work.entry import FIELDS, exact_text, read_text, stocked, write_text

MEASURED = {spot: field for spot, field in FIELDS.items() if field.quantity}
QUANTITIES = sorted({stocked(field, "g").quantity for field in MEASURED.values()})
TYPED = st.decimals("0.001", 99999, places=3).map(lambda value: f"{value.normalize():f}")


pytestmark = pytest.mark.usefixtures("plain_again")


def in_units(units):
    places.measure_in(units)
    return currency_of("USD")


def field_of(quantity):
    return next(
        stocked(field, "g")
        for field in MEASURED.values()
        if stocked(field, "g").quantity == quantity
    )


def test_every_quantity_has_a_unit_of_both_kinds():
    for quantity in CUSTOMARY:
        assert unit(quantity, in_units(places.US)) and unit(quantity, in_units(places.METRIC))


@pytest.mark.parametrize(
    ("quantity", "model", "customary"),
    [
        # NIST Special Publication 811, Appendix B.8, to the digits printed there
        ("cell", 16.38706, 1),  # cubic inch to mL
        ("mix", 1.101221, 1),  # dry quart to L
        ("solution", 3.785412, 1),  # gallon (US) to L
        ("liquid", 29.57353, 1),  # fluid ounce (US) to mL
        ("weight", 28.34952, 1),  # ounce (avoirdupois) to g
        ("length", 2.54, 1),  # inch to cm
        ("height", 25.4, 1),
        ("amendment", 0.5932764, 1),  # pound per cubic yard to g/L
        ("dry_dose", 7.489152, 100),  # ounce per gallon (US) to g/L
        ("liquid_dose", 7.8125, 1),  # 1/128, from the definitions
        ("temperature", 0, 32),
        ("temperature", 100, 212),
        ("warming", 5, 9),
    ],
)
def test_factors_are_those_published(quantity, model, customary):
    assert from_customary(customary, quantity) == pytest.approx(model, rel=1e-6)
    assert to_customary(model, quantity) == pytest.approx(customary, rel=1e-6)


@pytest.mark.parametrize(
    ("typed", "litres", "metric", "us"),
    [("30 L", 30, "30", "27.2425"), ("7 cu ft", 198.218, "198.218", "179.998"), ("5 kg",) * 4],
)
def test_a_volume_of_mix_takes_its_unit_too(typed, litres, metric, us):
    field = FIELDS["packages[].yields_l"]
    for units, shown in ((places.METRIC, metric), (places.US, us)):
        value = read_text(typed, field, currency := in_units(units))
        assert value == (typed if litres == typed else pytest.approx(litres, rel=1e-5))
        assert write_text(value, field, currency) == shown


def test_an_amount_is_said_with_its_unit():
    us = in_units(places.US)
    assert goods(8.80976754, "L", us) == "8 dry qt"
    assert measured(21, "temperature", us) == "69.8 °F"
    assert goods(100, "g", us) == "3.53 oz"
    assert price_per(0.67, "L", us) == "$0.738 a dry quart"
    assert price_per(0.01, "g", us) == "$4.536 a pound"
    metric = in_units(places.METRIC)
    assert goods(8.80976754, "L", metric) == "8.81 L"
    assert goods(0.7, "seeds", metric) == "1 seed"
    line = {"count": 1, "item": "Mix", "size": 20, "unit": "L"}
    assert line_said(line, metric) == "1 × Mix, 20\N{NO-BREAK SPACE}L"
    assert price_per(0.67, "L", metric) == "$0.670 a litre"


def test_cubic_inches_typed_are_millilitres_in_the_scenario():
    field = FIELDS["sowings[].cell_ml"]
    us = in_units(places.US)
    value = read_text("18.7", field, us)

    assert value == 306.4380968  # 18.7 x 16.387064, exact
    assert write_text(value, field, us) == "18.7"
    assert write_text(value, field, in_units(places.METRIC)) == "306.4"
    assert write_text(60, field, us) == "3.661"
    assert write_text(60, field, in_units(places.METRIC)) == "60"


@pytest.mark.parametrize("locale", ["en", "de-CH", "fr", "es-ES"])
@pytest.mark.parametrize("quantity", QUANTITIES)
@settings(max_examples=60)
@given(typed=TYPED, units=st.sampled_from([places.METRIC, places.US]))
def test_what_was_typed_is_shown_again_as_typed(locale, quantity, typed, units):
    places.settle(locale)
    currency, field = in_units(units), field_of(quantity)
    typed = typed.replace(".", currency.place.decimal)

    assert write_text(read_text(typed, field, currency), field, currency) == typed


@pytest.mark.parametrize("quantity", QUANTITIES)
@settings(max_examples=60)
@given(value=st.floats(0.01, 5000), units=st.sampled_from([places.METRIC, places.US]))
def test_what_is_shown_and_typed_again_is_shown_again(quantity, value, units):
    currency, field = in_units(units), field_of(quantity)
    value = float(f"{value:.12g}")
    shown = write_text(value, field, currency)

    assert write_text(read_text(shown, field, currency), field, currency) == shown


@pytest.mark.parametrize("quantity", QUANTITIES)
@settings(max_examples=60)
@given(value=st.decimals("0.01", 5000, places=3).map(float))
def test_a_value_put_back_by_a_button_is_put_back_exactly(quantity, value):
    us, field = in_units(places.US), field_of(quantity)

    assert read_text(exact_text(value, field, us), field, us) == pytest.approx(value, rel=1e-15)


def full():
    """The example with a feed, a blend, a calendar and a trial, every card open."""
    work = Visit()
    work.handle({"do": "more"})
    for card in ("calendar", "sights", "salts", "reckoner", "age", "two", "label"):
        work.handle({"do": "open", "text": card})
    for question in ("bags", "bags", "beat", "matters", "remedies", "week"):
        work.handle({"do": "ask", "question": question, "text": "yes"})
    work.handle({"do": "add", "path": "trials"})
    return work


def test_changing_the_units_and_back_leaves_the_scenario_as_it_was():
    work, page = full(), Page()
    before, document = page.all(work), json.dumps(work.document)
    report = copy.deepcopy(work.report)

    work.handle({"do": "units", "text": "US"})
    us = page.changed(work)
    assert json.dumps(work.document) == document
    assert work.report == report
    changed = {"sowing-0", "mix-0", "table-0", "bay-0", "tray", "feed", "ask-bags"}
    assert changed <= us.keys()
    assert "verdicts" not in us  # money is the same
    work.handle({"do": "units", "text": "metric"})
    assert page.changed(work).keys() == us.keys()
    assert page.all(work) == before


def test_each_part_of_the_page_says_the_units_chosen():
    work = full()
    work.handle({"do": "units", "text": "US"})
    shown = Page().all(work)

    assert "Cell size (cu in)" in shown["sowing-0"] and 'value="3.6"' in shown["sowing-0"]
    assert "3.6 cu in a cell" in shown["sowing-0"]
    assert "At home already (dry qt)" in shown["mix-0"]
    assert "lb/yd³ of blend" in shown["mix-2"]
    assert "$0.738 a dry quart" in shown["mix-0-packages"]
    assert "fl oz/gal" in shown["feed"] and "oz/100 gal" in shown["feed"]
    assert "Solution per cell and feeding (fl oz)" in shown["feed"]
    assert "Mix (dry qt)" in shown["table-0"] and "Feed solution (gal)" in shown["table-0"]
    assert "4 in</text>" in shown["tray"] and "a cube of 3.6 cu in." in shown["tray"]
    assert "8 dry qt bought" in shown["bay-0"]
    assert "(°F)" in shown["dates"]
    assert "A dry quart" in shown["ask-bags"]
    assert "dry qt" in shown["errand-sums"]


def test_what_will_not_do_is_named_as_it_was_typed_and_with_bounds_in_its_units():
    work = Visit()
    work.handle({"do": "open", "text": "calendar"})
    work.handle({"do": "type", "path": "sowings[0].germinate_at_c", "text": "200"})
    assert (
        "200 is too large; write a number of at least -20 and at most 60."
        in (Page().all(work)["dates"])
    )
    work.handle({"do": "units", "text": "US"})
    work.handle({"do": "type", "path": "sowings[0].germinate_at_c", "text": "200"})
    assert (
        "200 is too large; write a number of at least -4 and at most 140."
        in (Page().all(work)["dates"])
    )
    places.settle("de")
    work.handle({"do": "type", "path": "sowings[0].germinate_at_c", "text": "150,5"})
    assert "150,5 is too large" in Page().all(work)["dates"]


def test_a_stock_is_asked_for_in_the_measure_of_the_goods():
    work = Visit()
    row = next(i for i, r in enumerate(work.document["ingredients"]) if "ertili" in r["name"])
    work.handle({"do": "units", "text": "US"})
    work.handle({"do": "type", "path": f"ingredients[{row}].stock", "text": "2"})

    assert work.document["ingredients"][row]["stock"] == pytest.approx(2 * 28.349523125)
    assert "At home already (oz)" in Page().all(work)[f"ingredient-{row}"]


def test_the_browser_settles_units_until_somebody_chooses():
    work = Visit()
    work.handle({"do": "hello", "languages": ["en-US", "en"]})
    assert places.units() == places.US
    work.handle({"do": "hello", "languages": ["en-US", "en"], "units": "metric"})
    assert places.units() == places.METRIC
    work.handle({"do": "units", "text": "US"})
    assert work.desk.told()["keep"] == {"units": "US"}


def test_numbers_follow_the_language_chosen_and_the_region_of_the_browser(monkeypatch):
    monkeypatch.setattr(languages, "catalogue", lambda language: NullTranslations())
    monkeypatch.setattr(languages, "_spoken", languages.ENGLISH)
    work = Visit()
    work.handle({"do": "hello", "languages": ["de-CH", "fr"], "language": "de"})
    assert places.present() is places.place_of("de-CH")
    work.handle({"do": "speak", "text": "es"})
    assert places.present() is places.place_of("es")
    work.handle({"do": "speak", "text": "en"})
    assert places.present() is places.place_of("en")


@pytest.mark.parametrize("quantity", UNITS)
def test_a_sentence_of_the_model_is_said_in_the_units_shown(quantity):
    sentence = say("It takes {amount:.3g} in all.", amount=Amount(12.5, quantity))

    us = in_units(places.US)
    assert words.said(sentence) == f"It takes {measured(12.5, quantity, us)} in all."
    metric = in_units(places.METRIC)
    assert (
        words.said(sentence) == sentence == f"It takes {measured(12.5, quantity, metric)} in all."
    )
