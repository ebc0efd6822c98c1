"""Lengths, quantities and amounts as people type them, and as they are printed."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

import pytest

from webapp.costing.errors import MeasureError
from webapp.costing.measures.written import (
    System,
    figure_text,
    format_length,
    format_money,
    format_quantity,
    on_grid,
    parse_amount,
    parse_length,
    parse_measure,
    parse_money,
    parse_quantity,
    round_to_step,
    write_quantity,
)

INCH = 25_400_000
MM = 1_000_000


@pytest.mark.parametrize(
    ("text", "sixty_fourths"),
    [
        ("3 ft 4-1/2 in", 2592), ('40 1/2"', 2592), ("40.5 in", 2592), ("40½", 2592), ("40 ½ in", 2592),
        ("40-1/2", 2592),
        ("3'4\"", 2560), ("3' 4 1/2\"", 2592), ("3'-4 1/2\"", 2592), ("3' - 4 1/2\"", 2592), ("3′ 4½″", 2592),
        ("3’ 4½”", 2592), ("3' 4 1/2''", 2592), ("3 ft. 4½ in.", 2592), ("3 feet 4.5 inches", 2592), ("3FT 4IN", 2560),
        ("3 ft 4", 2560), ("3 ft", 2304), ("1 foot", 768), ("1/2 ft", 384), ("3 1/2 ft", 2688), ("7/8", 56),
        ("7/8 in", 56),
        ("7⁄8 in", 56), ("7 / 8 in", 56), ("4\u202f½\u00a0in", 288), ("4\u20091/2 in", 288), ("4–1/2 in", 288),
        (".5", 32), ("0.015625 in", 1), ("1/64", 1), ("63/64 in", 63), ("0", 0), ("+5", 320), ("  5  in ", 320),
        ("5in", 320),
        ("7/4 in", 112), ("0 ft 3 in", 192), ("3 ft 0 in", 2304), ("3 ft 11 63/64 in", 3071),
    ],
)  # fmt: skip
def test_inches_and_feet_are_read_exactly(text: str, sixty_fourths: int) -> None:
    assert parse_length(text, "in") == sixty_fourths * 396_875


@pytest.mark.parametrize(
    ("sign", "over", "under"),
    [
        ("¼", 1, 4), ("½", 1, 2), ("¾", 3, 4), ("⅐", 1, 7), ("⅑", 1, 9), ("⅒", 1, 10), ("⅓", 1, 3), ("⅔", 2, 3),
        ("⅕", 1, 5), ("⅖", 2, 5), ("⅗", 3, 5), ("⅘", 4, 5), ("⅙", 1, 6), ("⅚", 5, 6), ("⅛", 1, 8), ("⅜", 3, 8),
        ("⅝", 5, 8), ("⅞", 7, 8),
    ],
)  # fmt: skip
def test_every_vulgar_fraction_is_read(sign: str, over: int, under: int) -> None:
    assert parse_quantity(f"2{sign}", "number", "inch") == 2 + Fraction(over, under)
    assert parse_quantity(sign, "number", "metric") == Fraction(over, under)


@pytest.mark.parametrize(
    ("text", "nm"),
    [
        ("1030 mm", 1030 * MM), ("1.03 m", 1030 * MM), ("103 cm", 1030 * MM), ("1030", 1030 * MM),
        ("1030,5 mm", 1_030_500_000),
        ("1030,5", 1_030_500_000), ("1,03 m", 1030 * MM), ("0,125 m", 125 * MM), ("1030,500 mm", 1_030_500_000),
        ("18mm", 18 * MM), ("18 MM", 18 * MM), ("17.8", 17_800_000), ("0.000001 mm", 1), ("1/2 mm", 500_000),
        ("1000 m", 10**12), ("3/4 in", 19_050_000), ("1 millimetre", MM), ("2 meters", 2000 * MM),
    ],
)  # fmt: skip
def test_metric_lengths_are_read_exactly(text: str, nm: int) -> None:
    assert parse_length(text, "mm") == nm


@pytest.mark.parametrize(
    ("text", "bare", "words"),
    [
        ("", "in", "Nothing is typed where a length is needed."),
        ("   ", "in", "Nothing is typed"),
        ("abc", "in", "“abc” can't be read as a length"),
        ("in", "in", "can't be read"),
        ("18 in by 2", "in", "“18 in by 2” can't be read"),
        ("18 in please", "in", "can't be read"),
        ("4 1/0 in", "in", "divides by zero"),
        ("1e9", "in", "can't be read"),
        ("9**9**9", "in", "can't be read"),
        ("2*3", "in", "can't be read"),
        ("1_000", "mm", "can't be read"),
        ("0x10", "mm", "can't be read"),
        ("nan", "mm", "can't be read"),
        ("inf", "mm", "can't be read"),
        ("٣ mm", "mm", "can't be read"),
        ("3²", "in", "can't be read"),
        ("3 4", "in", "can't be read"),
        ("1/2/3", "in", "can't be read"),
        ("½½", "in", "can't be read"),
        ("½4", "in", "can't be read"),
        ("4.5½", "in", "can't be read"),
        ("4 -1/2", "in", "can't be read"),
        ("3' -4\"", "in", "can't be read"),
        ("--5", "in", "can't be read"),
        ("3 ft 4 spans", "in", "can't be read"),
        ("3 ft 4 1/2 in 2", "in", "can't be read"),
        ("5 m 20", "mm", "can't be read"),
        ("1.2.3", "mm", "more than one decimal point"),
        ("3 ft 14 in", "in", "inches after feet must be less than 12"),
        ("3 ft 12 in", "in", "less than 12"),
        ("3.5 ft 2 in", "in", "feet must be whole where inches follow"),
        ("3 1/2 ft 2 in", "in", "feet must be whole"),
        ("4 5/3 in", "in", "5/3 after a whole number must be less than one"),
        ("4 3/3 in", "in", "less than one"),
        ("3 ft 20 mm", "in", "mixes inches and millimetres"),
        ("1 m 20 cm", "mm", "gives cm after m"),
        ("3 ft 4 ft", "in", "gives ft after ft"),
        ("3 ft 4 kg", "in", "gives a weight where a length is needed"),
        ("1,030 mm", "mm", "may mark thousands or decimals. Write 1030, or 1.030."),
        ("1,030", "mm", "comma may mark thousands or decimals"),
        ("1,03,0 mm", "mm", "is unclear: write decimals as in 1030.5"),
        ("40,5 in", "in", "has a comma"),
        ("40,5", "in", "has a comma"),
        ("-5 in", "in", "is below zero"),
        ("\u22125 in", "in", "is below zero"),
        ("1/128 in", "in", "can't be measured exactly"),
        ("1/3 in", "in", "can't be measured exactly"),
        ("0.0000001 mm", "mm", "can't be measured exactly"),
        ("3/4", "mm", "is a fraction without a unit"),
        ("40½", "mm", "is a fraction without a unit"),
        ("1000.1 m", "mm", "is longer than a kilometre"),
        ("99999999999999 mm", "mm", "is too large a number"),
        ("3 kg", "in", "“3 kg” gives a weight where a length is needed"),
        ("3 m2", "in", "gives an area where a length is needed"),
        ("1" * 61, "in", "is too long for a length"),
    ],
)  # fmt: skip
def test_what_is_no_clear_length_is_refused_in_a_sentence(text: str, bare: Literal["in", "mm"], words: str) -> None:
    with pytest.raises(MeasureError) as caught:
        parse_length(text, bare)
    sentence = str(caught.value)
    assert words in sentence
    assert sentence.endswith(".")
    assert caught.value.text == text
    assert caught.value.reason == sentence


def test_a_length_below_zero_is_read_where_it_is_allowed() -> None:
    assert parse_length("-3/4 in", "in", allow_negative=True) == -19_050_000
    assert parse_length("-3 ft 4 in", "in", allow_negative=True) == -40 * INCH
    assert parse_length("-0", "in") == 0


@pytest.mark.parametrize(
    "text",
    [
        "9" * 10**6,
        " " * 10**6,
        "1/" * 10**5,
        "3 ft " * 10**5,
        "(" * 10**5,
        "½" * 60,
        "\x00\n\u202e 5",
        "1 " * 29,
        "9" * 60,
    ],
)
def test_long_and_hostile_texts_are_refused_in_a_short_sentence(text: str) -> None:
    for quantity in ("length", "mass", "duration"):
        with pytest.raises(MeasureError) as caught:
            parse_quantity(text, quantity, "metric")
        assert len(str(caught.value)) < 250
        assert str(caught.value).isprintable()
    with pytest.raises(MeasureError):
        parse_amount(text)
    with pytest.raises(MeasureError):
        parse_money(text, "USD", 2)


@pytest.mark.parametrize(
    ("nm", "inch", "metric"),
    [
        (0, "0 in", "0 mm"),
        (1_028_700_000, "40 1/2 in", "1028.7 mm"),
        (396_875, "1/64 in", "0.4 mm"),
        (19_050_000, "3/4 in", "19.1 mm"),
        (914_400_000, "36 in", "914.4 mm"),
        (1_030_000_000, "40 35/64 in", "1030 mm"),
        (50_000, "0 in", "0.1 mm"),
        (49_999, "0 in", "0 mm"),
        (198_437, "0 in", "0.2 mm"),
        (198_438, "1/64 in", "0.2 mm"),
        (25_399_999, "1 in", "25.4 mm"),
        (-19_050_000, "-3/4 in", "-19.1 mm"),
        (-50_000, "0 in", "-0.1 mm"),
        (-49_999, "0 in", "0 mm"),
    ],
)
def test_lengths_are_printed_to_the_step_a_half_going_away_from_zero(nm: int, inch: str, metric: str) -> None:
    assert format_length(nm, "inch") == inch
    assert format_length(nm, "metric") == metric
    assert format_length(nm, "inch", with_unit=False) == inch.removesuffix(" in")
    assert format_length(nm, "metric", with_unit=False) == metric.removesuffix(" mm")


def test_whether_a_length_is_printed_exactly() -> None:
    assert on_grid(19_050_000, "inch")
    assert not on_grid(19_050_000, "metric")
    assert on_grid(19_000_000, "metric")
    assert not on_grid(19_000_000, "inch")


@pytest.mark.parametrize(
    ("nm", "rounded"),
    [("50000", 100_000), ("99999/2", 0), ("350000/3", 100_000), ("-50000", 0), ("0", 0), ("150000", 200_000)],
)
def test_a_size_is_rounded_to_the_nearest_step_a_half_going_up(nm: str, rounded: int) -> None:
    assert round_to_step(Fraction(nm), 100_000) == rounded


@pytest.mark.parametrize(
    ("text", "quantity", "system", "value"),
    [
        ("22", "percent", "metric", "0.22"), ("22 %", "percent", "inch", "0.22"),
        ("7,5 %", "percent", "metric", "0.075"),
        ("1.5", "number", "inch", "1.5"), ("1 1/2", "number", "inch", "1.5"), ("12", "mass", "metric", "12"),
        ("12", "mass", "inch", "5.44310844"), ("1 lb 8 oz", "mass", "inch", "0.680388555"),
        ("850 g", "mass", "inch", "0.85"),
        ("2 m²", "area", "metric", "2"), ("2 m^2", "area", "metric", "2"), ("10 sq. ft", "area", "metric", "0.9290304"),
        ("1 gal", "volume", "metric", "3.785411784"), ("128 fl oz", "volume", "inch", "3.785411784"),
        ("4 quarts", "volume", "inch", "3.785411784"), ("750 mL", "volume", "metric", "0.75"),
        ("9.3 GPa", "stiffness", "metric", "9300"), ("9300 MPa", "stiffness", "metric", "9300"),
        ("9300", "stiffness", "metric", "9300"), ("0.705 g/cm³", "density", "metric", "705"),
        ("45", "duration", "inch", "45"), ("1.5 h", "duration", "metric", "90"),
        ("1 h 30 min", "duration", "metric", "90"),
        ("2 days", "duration", "metric", "2880"), ("10 mi", "distance", "metric", "16.09344"),
        ("1 BF", "board_volume", "metric", "0.002359737216"), ("12.5", "board_feet", "metric", "12.5"),
        ("3", "board_volume", "metric", "3"), ("0.292 N/mm", "load_per_length", "inch", "0.292"),
        ("100 kg/m", "load_per_length", "metric", "0.980665"), ("2 kg/m", "mass_per_length", "metric", "2"),
        ("120 kg", "load", "metric", "120"), ("3/4", "length", "inch", "19050000"), ("200", "spread", "metric", "200"),
    ],
)  # fmt: skip
def test_other_quantities_are_read_into_their_base_unit(text: str, quantity: str, system: System, value: str) -> None:
    assert parse_quantity(text, quantity, system) == Fraction(value)


@pytest.mark.parametrize(
    ("text", "quantity", "words"),
    [
        ("12 in", "mass", "gives a length where a weight is needed"),
        ("5 %", "number", "gives a percentage where a number is needed"),
        ("-3", "number", "is below zero"),
        ("heavy", "mass", "can't be read as a weight: write a number with kg or lb"),
        ("1 h 75 min", "duration", "minutes after hours must be less than 60"),
        ("1,200", "number", "Write 1200"),
        ("12,5 lb", "mass", "has a comma"),
        ("1/3 in", "length", "can't be measured exactly"),
    ],
)
def test_other_quantities_are_refused_in_a_sentence(text: str, quantity: str, words: str) -> None:
    with pytest.raises(MeasureError, match=words.replace("(", r"\(")):
        parse_quantity(text, quantity, "metric")


def test_a_number_below_zero_is_read_where_it_is_allowed() -> None:
    assert parse_quantity("-2.5 %", "percent", "metric", allow_negative=True) == Fraction(-1, 40)


@pytest.mark.parametrize(
    ("text", "value", "quantity"),
    [
        ("18 mm", "18000000", "length"), ("3/4 in", "19050000", "length"), ("4 ft 2 in", "1270000000", "length"),
        ("30 kg", "30", "mass"), ("0.292 N/mm", "0.292", "load_per_length"), ("680 kg/m3", "680", "density"),
        ("11 m2/L", "11", "coverage"), ("200 g/m2", "200", "spread"), ("90 min", "90", "duration"),
        ("5 %", "0.05", "percent"),
        ("2 km", "2", "distance"), ("1 m3", "1000", "volume"), ("4 BF", "0.009438948864", "board_volume"),
    ],
)  # fmt: skip
def test_a_measure_is_known_by_its_unit(text: str, value: str, quantity: str) -> None:
    assert parse_measure(text) == (Fraction(value), quantity)


@pytest.mark.parametrize("text", ["18", "3/4", "-18 mm", "18 mm + 2 mm", "width", "18 parsecs", "1/128 in", ""])
def test_a_measure_without_a_clear_unit_is_refused(text: str) -> None:
    with pytest.raises(MeasureError):
        parse_measure(text)


@pytest.mark.parametrize(
    ("value", "quantity", "system", "printed"),
    [
        ("0.282", "percent", "metric", "28.2 %"), ("0.3", "percent", "inch", "30 %"),
        ("30", "mass", "inch", "66.14 lb"),
        ("0.00453", "mass", "metric", "0.00453 kg"), ("12.346", "mass", "metric", "12.35 kg"),
        ("0", "mass", "metric", "0 kg"),
        ("9300", "stiffness", "metric", "9300 N/mm²"), ("1270000000", "length", "inch", "50 in"),
        ("4", "number", "metric", "4"),
        ("0.0283168466", "board_volume", "inch", "12 BF"), ("-0.05", "percent", "metric", "-5 %"),
        ("11", "coverage", "metric", "11 m²/L"),
    ],
)  # fmt: skip
def test_quantities_are_printed_with_their_unit(value: str, quantity: str, system: System, printed: str) -> None:
    assert format_quantity(Fraction(value), quantity, system) == printed


def test_decimals_are_kept_where_they_are_asked_for() -> None:
    assert format_quantity(Fraction(12), "mass", "metric", 2) == "12.00 kg"
    assert format_quantity(Fraction(25, 2), "mass", "metric", 0) == "13 kg"
    assert format_quantity(Fraction(19_050_000), "length", "metric", 2) == "19.05 mm"
    assert figure_text(Fraction(2, 3), 2) == "0.667"
    assert figure_text(Fraction(-200, 3), 1) == "-66.7"


@pytest.mark.parametrize(
    ("value", "quantity", "system", "written"),
    [
        ("19050000", "length", "inch", "3/4 in"), ("18000000", "length", "inch", "18 mm"),
        ("19050000", "length", "metric", "19.05 mm"),
        ("0.45359237", "mass", "metric", "0.45359237 kg"), ("10", "mass", "inch", "10 kg"),
        ("1/3", "number", "metric", "1/3"),
        ("0.22", "percent", "metric", "22 %"),
    ],
)  # fmt: skip
def test_a_value_in_a_field_reads_back_as_itself(value: str, quantity: str, system: System, written: str) -> None:
    assert write_quantity(Fraction(value), quantity, system) == written
    assert parse_quantity(written, quantity, system) == Fraction(value)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("1,234.50", "1234.50"), ("12.5", "12.5"), (".99", "0.99"), ("1 234.50", "1234.50"), ("1\u202f234", "1234"),
        ("1,234,567", "1234567"), ("+5", "5"), ("0", "0"), ("12 USD", "12"), ("usd 12.50", "12.50"),
        ("12.50USD", "12.50"), ("12,50", "12.50"), ("1.234,50", "1234.50"), ("$12.50", "12.50"), ("12,50 $", "12.50"),
    ],
)  # fmt: skip
def test_amounts_are_read_exactly(text: str, amount: str) -> None:
    assert parse_money(text, "USD", 2) == Decimal(amount)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Nothing is typed where an amount is needed."),
        ("1,23,456", "is unclear"),
        ("0,123", "has more decimals than the currency"),
        ("12 EUR", "is in EUR, but this shop reckons in USD"),
        ("EUR 12", "is in EUR, but this shop reckons in USD"),
        ("£12", "has the sign £, but this shop reckons in USD"),
        ("12 €", "has the sign €"),
        ("-3", "is below zero"),
        ("\u22123", "is below zero"),
        ("12.505", "has more decimals than the currency: USD has 2"),
        ("1e3", "can't be read as an amount"),
        ("NaN", "can't be read as an amount"),
        ("12.", "can't be read as an amount"),
        ("1.2.3", "can't be read as an amount"),
        ("1 2", "can't be read as an amount"),
        ("ten", "can't be read as an amount"),
        ("12 USD each", "can't be read as an amount"),
        ("1000000001", "is too large"),
    ],
)
def test_what_is_no_clear_amount_is_refused_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(MeasureError) as caught:
        parse_money(text, "USD", 2)
    assert words in str(caught.value)
    assert str(caught.value).endswith(".")


def test_a_currency_without_decimals_or_with_three_is_read_by_its_own_rule() -> None:
    assert parse_money("1,234", "JPY", 0) == Decimal(1234)
    assert parse_money("1.234", "KWD", 3) == Decimal("1.234")
    assert parse_money("1,234.000", "KWD", 3) == Decimal("1234.000")
    with pytest.raises(MeasureError, match="JPY has none"):
        parse_money("12.5", "JPY", 0)
    with pytest.raises(MeasureError, match="thousands or the decimals of KWD"):
        parse_money("1,234", "KWD", 3)
    assert parse_amount("0.00345") == Decimal("0.00345")


def test_amounts_are_printed_half_up_with_their_currency() -> None:
    assert format_money(Decimal("1192.025"), "USD", 2) == "1,192.03\u00a0USD"
    assert format_money(Fraction(1, 200), "USD", 2) == "0.01\u00a0USD"
    assert format_money(Decimal("-12.5"), "USD", 2) == "-12.50\u00a0USD"
    assert format_money(Fraction(2999, 2), "JPY", 0) == "1,500\u00a0JPY"
