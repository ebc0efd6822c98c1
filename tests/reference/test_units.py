"""Our exact factors and conversions against what is published about units and against an independent unit library."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.designs.drivers import DRIVERS
from webapp.costing.measures.written import QUANTITIES, format_quantity, parse_length, parse_quantity, round_to_step
from webapp.units import conversion_factor, counted, display_figure, measured_figure

INCH: Final = 25_400_000

#: Each of our units and quantities' base units, as the unit library names them.
LIBRARY_NAMES: Final = {
    "nm": "nm", "mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot", "m2": "m**2", "m²": "m**2",
    "cm²": "cm**2", "ft²": "ft**2", "in²": "inch**2", "L": "L", "mL": "mL", "m3": "m**3", "m³": "m**3", "gal": "gallon",
    "qt": "quart", "pt": "pint", "fl oz": "fluid_ounce", "BF": "board_foot", "kg": "kg", "g": "g", "lb": "lb",
    "oz": "ounce", "kg/m3": "kg/m**3", "kg/m³": "kg/m**3", "g/cm³": "g/cm**3", "lb/ft³": "lb/ft**3",
    "N/mm2": "N/mm**2", "N/mm²": "N/mm**2", "MPa": "MPa", "GPa": "GPa", "ksi": "ksi", "psi": "psi", "m2/L": "m**2/L",
    "m²/L": "m**2/L",
    "ft²/gal": "ft**2/gallon", "g/m2": "g/m**2", "g/m²": "g/m**2", "min": "minute", "h": "hour", "d": "day",
    "N/mm": "N/mm", "N/m": "N/m", "kN/m": "kN/m", "kg/m": "kg/m", "g/m": "g/m", "lb/ft": "lb/ft", "lb/in": "lb/inch",
    "km": "km", "mi": "mile", "%": "percent", "": "dimensionless",
}  # fmt: skip
FORCE_NAMES: Final = {"kg/m": "kilogram_force/m", "lb/ft": "force_pound/ft", "lb/in": "force_pound/inch"}


@pytest.mark.outside(source="Pint, default unit definitions, release 0.25 (2025)")
def test_every_factor_agrees_with_an_independent_library() -> None:
    off = []
    for name, quantity in QUANTITIES.items():
        names = LIBRARY_NAMES | (FORCE_NAMES if name == "load_per_length" else {})
        for unit in quantity.units:
            if unit.symbol == "lb/1000 ft²":  # the library knows no unit with a number in it; it has a check of its own
                continue
            factor = conversion_factor(names[unit.symbol], names[quantity.base])
            if abs(factor - unit.factor) > unit.factor / 10**24:
                off.append(f"{name}: {unit.symbol} is {unit.factor}, not {factor}")
    assert off == []


@pytest.mark.outside(source="International yard and pound agreement (1959)", kind="from memory")
def test_inch_foot_and_pound_are_exact() -> None:
    assert parse_length("1 in", "mm") == 25_400_000
    assert parse_length("1 ft", "mm") == 304_800_000
    assert parse_quantity("1 lb", "mass", "metric") == Fraction("0.45359237")


@pytest.mark.outside(source="NIST Handbook 44 (2010), appendix C: 231 cubic inches in a US gallon", kind="from memory")
def test_us_gallon_is_exact() -> None:
    assert parse_quantity("1 gal", "volume", "metric") == Fraction("3.785411784")


@pytest.mark.outside(source="Residential Structural Design Guide (2000), appendix B: a psi is 6,894.757 Pa")
def test_psi() -> None:
    pascals = parse_quantity("1 psi", "stiffness", "metric") * 10**6
    assert round(float(pascals), 3) == 6894.757


@pytest.mark.outside(source="Residential Structural Design Guide (2000), appendix B: a pound-force is 4.448222 N")
def test_pound_force() -> None:
    newtons = parse_quantity("1 lb/ft", "load_per_length", "metric") * Fraction("304.8")
    assert round(float(newtons), 6) == 4.448222


def test_board_foot() -> None:
    assert parse_quantity("1 BF", "board_volume", "metric") == Fraction("0.002359737216")
    sides = [parse_length(text, "mm") for text in ("1 in", "12 in", "12 in")]
    assert Fraction(sides[0] * sides[1] * sides[2], 10**27) == Fraction("0.002359737216")
    assert display_figure(Fraction(1), "m3", "inch") == ("423.78", "BF")


@pytest.mark.outside(source="US Army subcourse EN5155, Carpentry I, edition A (1995), p. 1-28: 37 1/3 board feet")
def test_board_feet_of_fourteen_pieces() -> None:
    thickness, width, length = (parse_length(text, "in") for text in ("1", "4", "8 ft"))
    cubic_metres = Fraction(14 * thickness * width * length, 10**27)
    assert cubic_metres == parse_quantity("37 1/3 BF", "board_volume", "metric")
    assert display_figure(cubic_metres, "m3", "inch") == ("37.33", "BF")


@pytest.mark.outside(source="Wood Handbook FPL-GTR-190 (2010), ch. 4, worked example: 448 kg/m3 is 27.968 lb/ft3")
def test_density_in_pounds_per_cubic_foot() -> None:
    assert abs(parse_quantity("27.968", "density", "inch") - 448) < Fraction(1, 50)
    assert format_quantity(Fraction(448), "density", "inch") == "28 lb/ft³"


@pytest.mark.outside(source="Wood Handbook FPL-GTR-190 (2010), table 12-1: stiffness in GPa and in 10^6 psi")
@pytest.mark.parametrize(
    ("gigapascals", "million_psi"),
    [("3.10", "0.45"), ("5.52", "0.80"), ("3.59", "0.52"), ("2.76", "0.40"), ("4.14", "0.60"), ("4.41", "0.64"),
     ("6.28", "0.91"), ("6.96", "1.01"), ("8.55", "1.24")],
)  # fmt: skip
def test_stiffness_of_panels_in_both_units(gigapascals: str, million_psi: str) -> None:
    metric = parse_quantity(f"{gigapascals} GPa", "stiffness", "inch")
    inch = parse_quantity(f"{Decimal(million_psi) * 10**6:f} psi", "stiffness", "metric")
    assert abs(metric - inch) < Fraction("0.006") * 6895  # what the table's two decimals of 10^6 psi leave open


@pytest.mark.outside(source="coatings: a US gallon is 1604.17 sq ft at 1 mil", kind="common practice")
def test_coverage_of_a_solid_film() -> None:
    # One litre covers 1000 m2 at a micrometre, so 1000/25.4 at a mil.
    assert format_quantity(Fraction(1000) / Fraction("25.4"), "coverage", "inch", 2) == "1604.17 ft²/gal"


@pytest.mark.outside(source="a coating's data sheet: 65 % solids are 208.52 sq ft/gal at 5 mil", kind="common practice")
def test_coverage_of_a_data_sheet() -> None:
    assert abs(parse_quantity("208.52 sq ft/gal", "coverage", "inch") - Fraction(650, 127)) < Fraction(1, 1000)
    assert display_figure(Fraction(650, 127), "m2/L", "inch") == ("209", "ft²/gal")


@pytest.mark.outside(source="Residential Structural Design Guide (2000), appendix B: a lb/sq ft is 4.8824 kg/m2")
def test_glue_spread() -> None:
    assert round(float(parse_quantity("1 lb/1000 ft2", "spread", "metric")), 3) == 4.882
    assert format_quantity(Fraction(200), "spread", "inch") == "41 lb/1000 ft²"


def test_weight_of_a_sheet() -> None:
    thickness, width, length = (parse_length(text, "in") for text in ("3/4", "4 ft", "8 ft"))
    kilograms = Fraction(thickness * width * length, 10**27) * 750
    assert format_quantity(kilograms, "mass", "metric", 1) == "42.5 kg"
    number, unit = display_figure(kilograms, "kg", "inch")
    assert (round(Decimal(number), 1), unit) == (Decimal("93.6"), "lb")


def test_millimetres_on_an_inch_rule() -> None:
    eighteen, nineteen = (Fraction(parse_length(text, "mm")) for text in ("18", "19"))
    assert round_to_step(eighteen, INCH // 32) == parse_length("23/32 in", "mm")
    assert round_to_step(eighteen, INCH // 16) == parse_length("11/16 in", "mm")
    assert round_to_step(nineteen, INCH // 32) == round_to_step(nineteen, INCH // 16) == parse_length("3/4 in", "mm")


def test_figures_are_shown_in_the_units_the_shop_reads() -> None:
    assert display_figure(Fraction(1_028_700_000), "nm", "inch") == ("40 1/2", "in")
    assert display_figure(Fraction(1_030_500_000), "nm", "metric") == ("1030.5", "mm")
    assert display_figure(Fraction(11, 50), "share", "inch") == ("22", "%")
    assert display_figure(Fraction(42), "kg", "metric") == ("42", "kg")
    assert display_figure(Fraction(60), "screws", "inch") == ("60", "screws")
    assert display_figure(Fraction(200), "g/m2", "inch") == ("41", "lb/1000 ft²")


@pytest.mark.outside(source="marks on scales, measuring cups, tapes and clocks of a shop", kind="common practice")
@pytest.mark.parametrize(
    ("value", "unit", "metric", "inch"),
    [
        ("0.0788", "L", ("80", "mL"), ("3", "fl oz")),
        ("0.998", "L", ("1", "L"), ("34", "fl oz")),
        ("1.2345", "L", ("1.23", "L"), ("42", "fl oz")),
        ("0.0005", "L", ("1", "mL"), ("0.02", "fl oz")),
        ("42.5377", "kg", ("42.5", "kg"), ("93.8", "lb")),
        ("0.1234", "kg", ("120", "g"), ("4", "oz")),
        ("123.456", "m", ("123", "m"), ("405", "ft")),
        ("1.8123", "m2", ("1.81", "m²"), ("19.5", "ft²")),
        ("33.28", "piece", ("33.3", "pieces"), ("33.3", "pieces")),
        ("1234", "piece", ("1234", "pieces"), ("1234", "pieces")),
        ("534", "min", ("8 h 54", "min"), ("8 h 54", "min")),
        ("54.4", "min", ("54", "min"), ("54", "min")),
        ("120", "min", ("2 h", ""), ("2 h", "")),
        ("0.44", "min", ("0.4", "min"), ("0.4", "min")),
        ("2.25", "", ("2.25", ""), ("2.25", "")),
    ],
)
def test_no_more_digits_are_said_than_a_shop_measures(
    value: str, unit: str, metric: tuple[str, str], inch: tuple[str, str]
) -> None:
    assert measured_figure(Fraction(value), unit, "metric") == metric
    assert measured_figure(Fraction(value), unit, "inch") == inch


@examples(50)
@given(st.fractions(min_value=0, max_value=10**6), st.sampled_from(["L", "kg", "m", "m2", "piece", "sheet", "BF"]))
def test_a_need_is_never_said_too_small_and_nothing_is_said_to_be_nought(value: Fraction, unit: str) -> None:
    for system in ("metric", "inch"):
        number, symbol = measured_figure(value, unit, system, up=True)
        least, _ = measured_figure(value, unit, system)
        in_one = {"mL": Fraction(1, 1000), "g": Fraction(1, 1000), "fl oz": Fraction(1, 128), "oz": Fraction(1, 16)}
        exact = Fraction(display_figure(value, unit, system)[0])
        # What the exact figure was itself rounded by is far less than any step.
        assert Fraction(number) * in_one.get(symbol, 1) >= exact * (1 - Fraction(1, 100)) - Fraction(1, 100)
        assert (Fraction(least) == 0) == (value == 0)
        if unit in ("piece", "sheet"):
            assert Fraction(number) == -(-value // 1)


def test_everything_that_is_counted_is_counted_in_the_plural() -> None:
    """2 item, 3 panel: every unit of a step of the work, but for those that are measured."""
    units = {unit for unit, _ in DRIVERS.values()} - {"m", "m2", "cm"}
    for unit in units:
        number, said = measured_figure(Fraction(2), unit, "metric")
        assert (number, said != unit) == ("2", True), unit
        assert measured_figure(Fraction(1), unit, "metric") == ("1", unit)
    assert [counted(1, "item"), counted(2, "item"), counted(0, "label")] == ["1 item", "2 items", "0 labels"]
