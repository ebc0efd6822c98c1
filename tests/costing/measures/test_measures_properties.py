"""What is printed reads back as itself, in every spelling; and nothing that is typed does more than be refused."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.errors import MeasureError
from webapp.costing.measures.written import (
    QUANTITIES,
    STEP_NM,
    System,
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

SIXTY_FOURTHS = st.integers(0, 64 * 39_370)
SYSTEMS = st.sampled_from(["inch", "metric"])
VULGAR = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(1, 8): "⅛", Fraction(7, 8): "⅞"}
SPACES = st.sampled_from([" ", "  ", "\u00a0", "\u202f", "\u2009"])

# What a person, a careless paste or an attacker could type: mostly signs that the readers know.
KNOWN_SIGNS = st.text(st.sampled_from(list("0123456789.,/-+ '\"½¾⅛⁄′″²%minftkglbozhdLBFNePaEUSD*()e_")), max_size=70)
JUNK = st.one_of(KNOWN_SIGNS, st.text(max_size=70))


@given(SIXTY_FOURTHS, st.booleans())
def test_lengths_on_the_inch_grid_read_back_as_themselves(steps: int, negative: bool) -> None:
    nm = steps * STEP_NM["inch"] * (-1 if negative else 1)
    assert parse_length(format_length(nm, "inch"), "mm", allow_negative=True) == nm
    assert parse_length(format_length(nm, "inch", with_unit=False), "in", allow_negative=True) == nm


@given(st.integers(0, 10_000_000), st.booleans())
def test_lengths_on_the_metric_grid_read_back_as_themselves(tenths: int, negative: bool) -> None:
    nm = tenths * STEP_NM["metric"] * (-1 if negative else 1)
    assert parse_length(format_length(nm, "metric"), "in", allow_negative=True) == nm
    assert parse_length(format_length(nm, "metric", with_unit=False), "mm", allow_negative=True) == nm


@given(SIXTY_FOURTHS, st.data())
def test_every_spelling_of_a_length_in_inches_reads_alike(steps: int, data: st.DataObject) -> None:
    space, feet_mark, inch_mark = (
        data.draw(SPACES),
        data.draw(st.sampled_from(["'", "′", " ft", " feet", "ft.", " FT"])),
        data.draw(st.sampled_from(['"', "″", " in", " inches", "in.", " IN"])),
    )
    inches, rest = divmod(Fraction(steps, 64), 1)
    spellings = [f"{inches}{space}{rest}" if rest else f"{inches}", f"{inches}-{rest}" if rest else f"{inches}"]
    spellings.append(str(Decimal(steps) / 64))
    if rest in VULGAR:
        spellings += [f"{inches}{VULGAR[rest]}", f"{inches}{space}{VULGAR[rest]}"]
    amount = data.draw(st.sampled_from(spellings))
    assert parse_length(f"{amount}{inch_mark}", "mm") == steps * STEP_NM["inch"]
    feet, over = divmod(inches, 12)
    tail = f"{over}{space}{rest}" if rest else f"{over}"
    assert parse_length(f"{feet}{feet_mark}{space}{tail}{inch_mark}", "mm") == steps * STEP_NM["inch"]


@given(st.integers(0, 10**12))
def test_every_spelling_of_a_metric_length_reads_alike(nm: int) -> None:
    mm, cm, m = (f"{Decimal(nm).scaleb(-places):f}" for places in (6, 7, 9))
    assert parse_length(f"{mm} mm", "in") == parse_length(f"{cm}cm", "in") == parse_length(f"{m} m", "in") == nm
    assert parse_length(mm, "mm") == nm


@given(st.fractions(min_value=-(10**9), max_value=10**9, max_denominator=1000), st.sampled_from(list(STEP_NM.values())))
def test_rounding_to_a_step_is_never_more_than_half_a_step_off(nm: Fraction, step: int) -> None:
    rounded = round_to_step(nm, step)
    assert rounded % step == 0
    assert -Fraction(step, 2) < rounded - nm <= Fraction(step, 2)


@given(st.integers(-(10**12), 10**12), SYSTEMS)
def test_what_is_printed_is_the_nearest_step(nm: int, system: System) -> None:
    read = parse_length(format_length(nm, system), "mm", allow_negative=True)
    assert abs(read - nm) * 2 <= STEP_NM[system]
    assert (read == nm) == on_grid(nm, system)


@given(st.sampled_from(sorted(QUANTITIES)), SYSTEMS, st.decimals(0, 10**6, places=4))
def test_a_field_reads_back_as_the_value_it_was_written_from(name: str, system: System, number: Decimal) -> None:
    for unit in QUANTITIES[name].units:
        value = Fraction(number) * unit.factor
        if name == "length" and (value.denominator != 1 or value > 10**12):
            continue
        assert parse_quantity(write_quantity(value, name, system), name, system) == value


@given(st.sampled_from(sorted(QUANTITIES.keys() - {"length"})), SYSTEMS, st.fractions(0, 10**6, max_denominator=10**6))
def test_what_is_printed_reads_back_near_the_value(name: str, system: System, number: Fraction) -> None:
    unit = QUANTITIES[name].shown_in(system)
    read = parse_quantity(format_quantity(number * unit.factor, name, system), name, system) / unit.factor
    assert abs(read - number) * 2 <= Fraction(1, 10**unit.decimals)


@given(st.decimals(0, 10**9, places=2), st.booleans())
def test_amounts_read_back_as_themselves(amount: Decimal, with_code: bool) -> None:
    printed = format_money(amount, "USD", 2)
    text = printed if with_code else printed.removesuffix("\u00a0USD")
    assert parse_money(text, "USD", 2) == amount
    assert parse_amount(printed.removesuffix("\u00a0USD")) == amount


@given(JUNK, st.sampled_from(sorted(QUANTITIES)), SYSTEMS)
def test_junk_is_read_or_refused_in_a_sentence_and_nothing_else(text: str, name: str, system: System) -> None:
    readers = (
        lambda: parse_length(text, "in" if system == "inch" else "mm"),
        lambda: parse_quantity(text, name, system),
        lambda: parse_measure(text)[0],
        lambda: parse_amount(text),
        lambda: parse_money(text, "USD", 2),
    )
    for read in readers:
        refused, value = None, Fraction(0)
        try:
            value = Fraction(read())
        except MeasureError as error:
            refused = error
        assert value >= 0
        if refused is not None:
            assert refused.text == text
            assert str(refused).endswith(".")
            assert str(refused).isprintable()
