"""What a shop writes, it reads again; its signs and days are those that are published for where it is."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from babel.dates import format_date
from babel.localedata import locale_identifiers
from babel.numbers import format_decimal, get_currency_symbol
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.errors import MeasureError
from webapp.costing.measures.currencies import CURRENCIES, SIGNS
from webapp.costing.measures.manner import (
    DAY_ORDERS,
    DECIMAL_SIGNS,
    PLAIN,
    THOUSANDS_SIGNS,
    Manner,
    grouped,
    manner,
    whole_number,
    writing_as,
)
from webapp.costing.measures.written import (
    QUANTITIES,
    System,
    as_kept,
    as_kept_money,
    as_shown,
    day_in_words,
    evident_decimal,
    figure_text,
    format_amount,
    format_length,
    format_money,
    format_quantity,
    on_grid,
    parse_amount,
    parse_length,
    parse_money,
    parse_quantity,
    plain_figure,
    write_quantity,
)

MANNERS = [
    Manner(decimal, thousands) for decimal, thousands in product(DECIMAL_SIGNS, THOUSANDS_SIGNS) if decimal != thousands
]
COMMA = Manner(",", ".", currency="EUR")
SPACED, SWISS, BARE = Manner(",", " "), Manner(".", "'"), Manner(".", "")
CLDR = "Unicode Common Locale Data Repository, as Babel 2.18 carries it (2026)"


def each_manner() -> st.SearchStrategy[Manner]:
    return st.sampled_from(MANNERS)


def _one_space(text: str) -> str:
    return text.replace("\u202f", "\u00a0")


@pytest.mark.outside(source=CLDR)
@pytest.mark.parametrize(
    ("locale", "how"),
    [
        ("en_US", Manner(".", ",")), ("en_GB", Manner(".", ",")), ("de", Manner(",", ".")), ("it", Manner(",", ".")),
        ("nl", Manner(",", ".")), ("da", Manner(",", ".")), ("fr", Manner(",", " ")), ("sv", Manner(",", " ")),
        ("pl", Manner(",", " ")), ("en_ZA", Manner(",", " ")), ("de_CH", Manner(".", "'")),
    ],
)  # fmt: skip
def test_numbers_are_written_as_is_published_for_the_place(locale: str, how: Manner) -> None:
    with writing_as(how):
        for number in ("1234567.89", "-1234567.5", "0.25", "999", "1000000"):
            assert grouped(number) == _one_space(format_decimal(Decimal(number), locale=locale)).replace("-", "-")


@pytest.mark.outside(source=CLDR)
@pytest.mark.parametrize(("locale", "order"), [("en_GB", "day month year"), ("en_US", "month day year")])
def test_days_are_written_as_is_published_for_the_place(locale: str, order: str) -> None:
    how = next(Manner(day=one) for one in DAY_ORDERS if one == order)
    with writing_as(how):
        for month in range(1, 13):
            day = date(2026, month, month + 7)
            assert day_in_words(day) == format_date(day, "long", locale=locale)


def test_within_a_manner_text_is_written_so_and_beneath_it_as_before() -> None:
    assert manner() == PLAIN
    with writing_as(Manner(",", " ", "year month day")):
        assert format_money(Fraction("1192.025"), "EUR", 2) == "1\u00a0192,03\u00a0EUR"
        assert format_length(1_030_500_000, "metric") == "1030,5 mm"
        assert format_length(1_028_700_000, "inch") == "40 1/2 in"
        assert figure_text(Fraction(1, 300), 2) == "0,00333"
        assert format_quantity(Fraction("12.35"), "mass", "metric", 2) == "12,35 kg"
        assert day_in_words(date(2026, 11, 2)) == "2026 November 2"
        assert whole_number(12_345) == "12\u00a0345"
    with writing_as(Manner(".", "")):
        assert format_amount(Fraction(1_234_567), 2) == "1234567.00"
    assert format_money(Fraction("1192.025"), "EUR", 2) == "1,192.03\u00a0EUR"


def test_one_sign_never_marks_both() -> None:
    with pytest.raises(ValueError, match="both decimals and thousands"):
        Manner(",", ",")


@given(each_manner(), st.decimals(0, 10**8, places=2))
def test_an_amount_that_is_written_is_read_as_itself(how: Manner, amount: Decimal) -> None:
    with writing_as(how):
        assert parse_amount(as_kept_money(format_amount(amount, 2))) == amount
        assert parse_money(as_kept_money(format_money(amount, "USD", 2), "USD"), "USD", 2) == amount
        assert parse_amount(as_kept(as_shown(str(amount)))) == amount


@given(
    each_manner(), st.sampled_from(sorted(QUANTITIES)), st.sampled_from(["inch", "metric"]),
    st.fractions(0, 10**6, max_denominator=1000),
)  # fmt: skip
def test_a_value_in_a_field_is_typed_again_as_itself(
    how: Manner, quantity: str, system: System, value: Fraction
) -> None:
    if quantity == "length":
        value = Fraction(int(value * 100_000))
    plain = write_quantity(value, quantity, system)
    with writing_as(how):
        assert write_quantity(value, quantity, system) == plain, "what is kept is written alike everywhere"
        assert as_kept(as_shown(plain)) == plain
        assert parse_quantity(as_kept(as_shown(plain)), quantity, system) == parse_quantity(plain, quantity, system)


@given(each_manner(), st.integers(0, 10**6), st.sampled_from(["inch", "metric"]))
def test_a_length_that_is_printed_is_typed_again_as_itself(how: Manner, steps: int, system: System) -> None:
    nm = steps * (396_875 if system == "inch" else 100_000)
    assert on_grid(nm, system)
    with writing_as(how):
        assert parse_length(as_kept(format_length(nm, system)), "mm") == nm


@given(each_manner(), st.text(st.sampled_from(list("0123456789.,' -/€$mink")), max_size=20))
def test_whatever_is_typed_is_kept_in_a_form_that_stays(how: Manner, text: str) -> None:
    with writing_as(how):
        kept = as_kept(text)
        assert as_kept(as_shown(kept)) == kept or parse_anything(as_kept(as_shown(kept))) is not None


def parse_anything(text: str) -> Fraction | None:
    try:
        return parse_quantity(text, "number", "metric")
    except MeasureError:
        return Fraction(-1)


@pytest.mark.parametrize(
    ("how", "typed", "kept"),
    [
        (COMMA, "12,50", "12.50"), (COMMA, "1.234,50", "1234.50"), (COMMA, "1.030 mm", "1030 mm"),
        (COMMA, "1,030 m", "1.030 m"), (COMMA, "12.50", "12.50"), (COMMA, "1,234.50", "1234.50"),
        (COMMA, ",5", ".5"), (COMMA, "40 1/2 in", "40 1/2 in"), (COMMA, "1 h 30 min", "1 h 30 min"),
        (COMMA, "1.234.567", "1234567"), (COMMA, "3 ft 4,5 in", "3 ft 4.5 in"),
        (PLAIN, "1,030 mm", "1030 mm"), (PLAIN, "12,50", "12.50"), (PLAIN, "1.234,50", "1234.50"),
        (PLAIN, "1.030", "1.030"), (PLAIN, "1,234.50", "1234.50"),
        (Manner(".", ""), "1,030", "1,030"), (SPACED, "1.030", "1,030"), (SPACED, "1 030,5", "1030.5"),
        (SWISS, "1'030.5", "1030.5"), (SWISS, "1’030.5", "1030.5"), (SWISS, "3'4\"", "3'4\""),
        (SPACED, "3 100/128", "3 100/128"), (SPACED, "12 345 mm", "12345 mm"),
    ],
)  # fmt: skip
def test_what_is_typed_has_the_meaning_of_the_shops_own_signs(how: Manner, typed: str, kept: str) -> None:
    with writing_as(how):
        assert as_kept(typed) == kept


@pytest.mark.parametrize(
    ("how", "typed", "sentence"),
    [
        (BARE, "1,030", "“1,030” is unclear: its comma may mark thousands or decimals. Write 1030, or 1.030."),
        (SPACED, "1.030", "“1.030” is unclear: its point may mark thousands or decimals. Write 1030, or 1,030."),
    ],
)
def test_what_has_two_readings_is_refused_with_both(how: Manner, typed: str, sentence: str) -> None:
    with writing_as(how), pytest.raises(MeasureError) as caught:
        parse_length(as_kept(typed), "mm")
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("$12.50", "12.50"), ("12.50 $", "12.50"), ("US$", None), ("USD 12,50", "12.50"), ("12,50 usd", "12.50"),
        ("$ 1,234.50", "1234.50"), ("€12.50", None), ("12.50 €", None), ("£1", None), ("EUR 5", None), ("₽5", None),
    ],
)
def test_money_is_typed_with_the_shops_own_sign_and_no_other(typed: str, amount: str | None) -> None:
    if amount is not None:
        assert parse_money(as_kept_money(typed, "USD"), "USD", 2) == Decimal(amount)
        return
    with pytest.raises(MeasureError) as caught:
        parse_money(as_kept_money(typed, "USD"), "USD", 2)
    assert str(caught.value).endswith(".")
    assert typed in str(caught.value)


@pytest.mark.outside(source=CLDR)
def test_every_sign_is_one_that_its_currency_has_somewhere() -> None:
    local = {code: set[str]() for code in CURRENCIES}
    for locale in locale_identifiers():
        for code in CURRENCIES:
            local[code].add(get_currency_symbol(code, locale=locale))
    wrong = [(sign, code) for sign, codes in SIGNS.items() for code in codes.split() if sign not in local[code]]
    assert not wrong


def test_the_sign_that_a_table_shows_holds_for_all_of_it() -> None:
    assert evident_decimal(["12,50", "1.250", "3"]) == ","
    assert evident_decimal(["12.50", "1,250"]) == "."
    assert evident_decimal(["1.234,5"]) == ","
    assert evident_decimal(["1,250", "3", "oak"]) is None
    assert evident_decimal(["1,5", "1.5"]) is None


def test_what_a_program_reads_is_written_alike_in_every_manner() -> None:
    for how in MANNERS:
        with writing_as(how):
            assert plain_figure(Fraction(1, 300), 2) == "0.00333"
            assert write_quantity(Fraction("1234.5"), "number", "metric") == "1234.5"
