"""Sines, tangents and roots against a table of them, against what they are by geometry, and against each other."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.trade.mitring import mitre_run
from webapp.costing.trade.triangles import cosine, root_to_figures, sine, tangent

F = Fraction
FINE = F(1, 10**25)

#: Degrees, and sine, cosine and tangent to five places.
TABLE = [
    ("15", "0.25882", "0.96593", "0.26795"),
    ("22.5", "0.38268", "0.92388", "0.41421"),
    ("36", "0.58779", "0.80902", "0.72654"),
    ("75", "0.96593", "0.25882", "3.73205"),
]


@pytest.mark.outside(
    source="Machinery's Handbook (2012), table of natural trigonometric functions", kind="from memory"
)
@pytest.mark.parametrize(("degrees", "sin", "cos", "tan"), TABLE)
def test_the_table_of_sines(degrees: str, sin: str, cos: str, tan: str) -> None:
    for function, told in ((sine, sin), (cosine, cos), (tangent, tan)):
        assert abs(function(F(degrees)) - F(told)) <= F(1, 2 * 10**5)


def test_what_geometry_says_exactly() -> None:
    """Half an equilateral triangle, half a square, and the pentagon whose 4 sin 18 + 1 is the root of 5."""
    assert [sine(F(30)), cosine(F(60)), tangent(F(45)), tangent(F(135))] == [F(1, 2), F(1, 2), F(1), F(-1)]
    assert [sine(F(each)) for each in (0, 90, 180, 270, 360, -90)] == [0, 1, 0, -1, 0, -1]
    assert [cosine(F(each)) for each in (0, 90, 180, 270, -360)] == [1, 0, -1, 0, 1]
    assert abs((4 * sine(F(18)) + 1) ** 2 - 5) < FINE
    assert abs(2 * sine(F(45)) ** 2 - 1) < FINE
    assert abs(tangent(F(60)) ** 2 - 3) < 4 * FINE
    # 15 degrees by halving 30: the tangent is 2 less the root of 3.
    assert abs((2 - tangent(F(15))) ** 2 - 3) < 4 * FINE


def test_the_tangent_of_a_right_angle_is_none() -> None:
    for degrees in (90, -90, 270):
        with pytest.raises(ZeroDivisionError):
            tangent(F(degrees))


@given(st.fractions(-720, 720, max_denominator=10_000))
@examples(200)
def test_sine_and_cosine_are_sides_of_one_triangle(degrees: Fraction) -> None:
    assert abs(sine(degrees) ** 2 + cosine(degrees) ** 2 - 1) < FINE
    assert float(sine(degrees)) == pytest.approx(math.sin(math.radians(degrees)), abs=1e-11)
    assert sine(-degrees) == -sine(degrees)
    assert cosine(degrees) == sine(90 - degrees)


@given(st.fractions(F(1, 10**12), 45))
@examples(100)
def test_small_angles_keep_their_figures(degrees: Fraction) -> None:
    """sin 2a is 2 sin a cos a, to twenty-five figures of its own size however small it is."""
    double = sine(2 * degrees)
    assert abs(2 * sine(degrees) * cosine(degrees) / double - 1) < FINE


@given(st.fractions(0, 10**24) | st.integers(0, 10**26).map(F))
@examples(200)
def test_a_root_squared_is_what_it_is_of(value: Fraction) -> None:
    found = root_to_figures(value)
    assert found >= 0
    assert abs(found**2 - value) <= 4 * FINE * value
    assert root_to_figures(value**2) == value


def test_a_root_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="root"):
        root_to_figures(F(-1))


@given(st.integers(1, 10**9), st.fractions(0, 80, max_denominator=100))
@examples(100)
def test_a_mitre_is_the_nearest_nanometre(across: int, degrees: Fraction) -> None:
    run = mitre_run(F(across), degrees)
    assert run.denominator == 1
    assert abs(run - across * tangent(degrees)) <= F(1, 2)
