"""Numbers, money and days in every locale of the table, against Babel, which the page is without.

Babel leaves two things of the CLDR out, so they are taken out of both sides here and checked by
themselves: letters of a symbol stand apart from the number [UTS #35, currencySpacing], and Spanish
sets thousands apart from five digits on [CLDR, minimumGroupingDigits].
"""

import re
from datetime import date, datetime, timedelta

import pytest
from babel import Locale
from babel.dates import format_date, format_datetime, format_skeleton
from babel.numbers import format_currency, format_decimal, format_percent, parse_pattern
from hypothesis import given
from hypothesis import strategies as st

from pennyflat.trade import facts as tables
from pennyflat_display import places
from pennyflat_display.money import amount, currency_of, each, number, percent, short
from pennyflat_display.places import DECIMALS
from tests.visits import Visit
from webapp.build.texts.cldr import NOT_IN_BABEL, PLACES
from work.entry import FIELDS, read_text, write_text

LOCALES = sorted({*PLACES, *(region for regions in PLACES.values() for region in regions)})
NUMBERS = [0, 0.0123, 0.57, 1, 5.2, 12.345, 99.995, 999.9, 1234.56, 12345.678, 1234567.891]
NUMBERS += [-number for number in NUMBERS[2:]]


pytestmark = pytest.mark.usefixtures("plain_again")


@pytest.fixture(params=LOCALES)
def babel(request):
    """A locale as Babel knows it, in which the page writes meanwhile."""
    places.settle(request.param.replace("_", "-"))
    return Locale.parse(request.param)


def like_babel(text):
    """Our text without what Babel leaves out."""
    is_ours = places.present().money.startswith("¤#")
    return re.sub(r"(?<=[^\W\d])\u00a0(?=\d)", "", text) if is_ours else text


def from_babel(text, babel, money=False):
    """Babel's text with the marks that it lacks or has otherwise."""
    place = places.present()
    own = babel.number_symbols["latn"]
    group, decimal = (
        (place.money_group, place.money_decimal) if money else (place.group, place.decimal)
    )
    swapped = {own["group"]: group, own["decimal"]: decimal}
    text = re.sub(
        rf"(?<=\d)[{re.escape(own['group'] + own['decimal'])}](?=\d)",
        lambda mark: swapped[mark[0]],
        text,
    )
    if place.grouped_from > 1000:
        text = re.sub(rf"(?<!\d)(\d)\{group}(\d{{3}})(?!\{group}?\d)", r"\1\2", text)
    return text


@pytest.mark.parametrize("decimals", range(4))
def test_numbers_are_written_as_by_babel(babel, decimals):
    pattern = "#,##0" + (f".{'0' * decimals}" if decimals else "")
    euro = currency_of("EUR")

    for value in NUMBERS:
        if float(f"{value:.{decimals}f}") or not value:  # Babel writes a minus before nothing
            expected = format_decimal(value_as_python_rounds(value, decimals), pattern, babel)
            assert number(value, euro, decimals) == from_babel(expected, babel), value
            assert places.write(value, f",.{decimals}f") == from_babel(expected, babel)


def value_as_python_rounds(value, decimals):
    """The text of a number rounded in binary, since Babel rounds its decimal text."""
    return f"{value:.{decimals}f}"


@pytest.mark.parametrize("code", sorted(DECIMALS))
def test_money_is_written_as_by_babel(babel, code):
    currency = currency_of(code)

    for value in NUMBERS:
        rounded = value_as_python_rounds(value, currency.decimals)
        if float(rounded) or not value:
            expected = from_babel(format_currency(rounded, code, locale=babel), babel, money=True)
            assert like_babel(amount(value, currency)) == expected, value
        if float(f"{value:.3f}"):
            pattern = parse_pattern(babel.currency_formats["standard"].pattern)
            pattern.frac_prec = (3, 3)
            finer = pattern.apply(f"{value:.3f}", babel, currency=code, currency_digits=False)
            expected = from_babel(finer, babel, money=True)
            assert like_babel(amount(value, currency, 3)) == expected, value


def test_percentages_are_written_as_by_babel(babel):
    for share in (0, 0.005, 0.12, 0.785, 1, 1.5, 12.5):
        pattern = babel.percent_formats[None].pattern.replace("#,##0", "#,##0.##")
        expected = from_babel(format_percent(f"{share:.4f}", pattern, babel), babel)
        assert percent(share, currency_of("EUR"), 4) == expected


def test_days_and_times_are_written_as_by_babel(babel):
    for weeks in range(0, 60):
        on = date(2027, 1, 1) + timedelta(days=8 * weeks)
        at = datetime(on.year, on.month, on.day, weeks % 24, weeks % 60)
        time = format_datetime(at, babel.time_formats["short"].pattern, locale=babel)

        assert places.day(on) == format_skeleton("yMMMEd", on, locale=babel)
        assert places.short_day(on) == format_skeleton("MMMd", on, locale=babel)
        assert places.moment(at).startswith(places.short_day(on))
        assert places.moment(at).endswith(time)
        assert format_date(on, "MMM", locale=babel) in places.short_day(on)


def test_letters_of_a_symbol_stand_apart_from_the_number():
    for locale, code, expected in (
        ("en", "CHF", "CHF\u00a01,234.50"),  # as Intl.NumberFormat of Node 20 writes these
        ("en-AU", "EUR", "EUR\u00a01,234.50"),
        ("en", "CAD", "CA$1,234.50"),
        ("de-CH", "CHF", "CHF\u00a01’234.50"),
        ("fr-CH", "CHF", "1\u202f234.50\u00a0CHF"),
        ("de-AT", "EUR", "€\u00a01.234,50"),
    ):
        places.settle(locale)
        assert amount(1234.5, currency_of(code)) == expected


def test_spanish_sets_thousands_apart_from_five_digits_on():
    for locale, expected in (
        ("es-ES", ("1234,5", "12.345,5", "1.234.567,5")),
        ("es-MX", ("1,234.5", "12,345.5", "1,234,567.5")),
    ):
        places.settle(locale)
        euro = currency_of("EUR")
        found = tuple(number(value, euro, 1) for value in (1234.5, 12345.5, 1234567.5))
        assert found == expected


def test_the_table_is_what_the_build_writes():
    from webapp.build.texts import cldr

    expected = list(cldr.rows_of_all())
    found = [
        (row["locale"].replace("-", "_"), row["thing"], row["of"], row["text"])
        for row in tables.rows("places")
    ]

    assert found == expected
    assert {key for key in NOT_IN_BABEL if key[0] not in LOCALES} == set()


@given(
    value=st.decimals(0, 10**7, places=3).map(float),
    locale=st.sampled_from(LOCALES),
    kind=st.sampled_from(["packages[].size", "packages[].price", "tax"]),
    code=st.sampled_from(sorted(DECIMALS)),
)
def test_what_a_field_shows_is_read_back(value, locale, kind, code):
    places.settle(locale.replace("_", "-"))
    currency, field = currency_of(code), FIELDS[kind]
    value = round(value / 10**7, 7) if kind == "tax" else value

    assert read_text(write_text(value, field, currency), field, currency) == value


@given(
    value=st.decimals(0, 10**7, places=2).map(float),
    locale=st.sampled_from(LOCALES),
    code=st.sampled_from(sorted(DECIMALS)),
)
def test_numbers_and_money_as_shown_can_be_typed(value, locale, code):
    places.settle(locale.replace("_", "-"))
    currency = currency_of(code)

    plain = read_text(number(value, currency, 2), FIELDS["packages[].size"], currency)
    paid = read_text(amount(value, currency, 2), FIELDS["packages[].price"], currency)
    whole = read_text(number(int(value), currency, 0), FIELDS["packages[].size"], currency)
    assert (plain, paid, whole) == (value, value, int(value))


@pytest.mark.parametrize("locale", LOCALES)
def test_both_decimal_marks_are_understood_everywhere(locale):
    places.settle(locale.replace("_", "-"))
    euro = currency_of("EUR")

    for typed in ("5,20", "5.20", "€5.20", "5,20 €", " 5,2"):
        assert read_text(typed, FIELDS["packages[].price"], euro) == 5.2


def test_a_locale_that_is_not_in_the_table_is_its_language_or_plain():
    assert places.place_of("es-AR") is places.place_of("es")
    assert places.place_of("en-US") is places.place_of("en")
    assert places.place_of("pl-PL") is places.place_of("en")


def test_the_same_currency_in_another_place_is_another_ingredient():
    """What is shown anew when the place changes is told by its ingredients alone."""
    here = currency_of("EUR")
    places.settle("fr")
    assert currency_of("EUR") != here
    assert short(0.5, currency_of("EUR")) == "0,5"
    assert each(0.5, currency_of("EUR")) == "0,500\u00a0€"
    places.settle(places.PLAIN)
    assert currency_of("EUR") is here


def test_a_first_plan_is_in_the_currency_of_the_readers_region():
    for languages, was, now in (
        (["en-GB"], "USD", "GBP"),
        (["fr-CA", "fr"], "USD", "CAD"),
        (["en"], "USD", "USD"),
        (["en-GB"], "EUR", "EUR"),  # of one's own plan
    ):
        visit = Visit()
        visit.handle({"do": "hello", "languages": languages})
        if was != "USD":
            visit.handle({"do": "type", "path": "currency", "text": was})
        visit.handle({"do": "empty"})
        assert visit.document["currency"] == now
