"""Turns: exactly turns whatever the angle, as near to it as no saw can tell, and refused where no part has them."""

from __future__ import annotations

from fractions import Fraction
from math import atan2, cos, degrees, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.space.turns import (
    TiltError,
    Turn,
    Vector,
    cross,
    dot,
    length_along,
    quarter_turn,
    tilted,
    towards,
    turn_about,
    turn_of_rise,
    unit,
)

F = Fraction
AXES = st.integers(0, 2)
#: Degrees as they are typed, to a thousandth.
ANGLES = st.integers(-360_000, 360_000).map(lambda value: F(value, 1000))
TILTS = st.integers(-89_900, 89_900).map(lambda value: F(value, 1000))
STRAIGHT = quarter_turn(0, 0)


def is_exactly_a_turn(turn: Turn) -> bool:
    """Times its transpose it is exactly one, and it keeps the hand."""
    first, second, third = turn.rows
    return turn.then(turn.undone()) == STRAIGHT and cross(first, second) == third


@given(axis=AXES, degrees_=ANGLES)
@examples(300)
def test_a_turn_by_degrees_is_exact_and_by_that_angle(axis: int, degrees_: Fraction) -> None:
    turn = turn_about(axis, degrees_)
    assert is_exactly_a_turn(turn)
    assert turn.apply(unit(axis)) == unit(axis)
    x, y = turn.apply(unit((axis + 1) % 3))[(axis + 1) % 3], turn.apply(unit((axis + 1) % 3))[(axis + 2) % 3]
    assert float(x) == pytest.approx(cos(radians(degrees_)), abs=2e-12)
    assert float(y) == pytest.approx(sin(radians(degrees_)), abs=2e-12)


@given(one=st.tuples(AXES, ANGLES), other=st.tuples(AXES, ANGLES), tilts=st.tuples(TILTS, TILTS))
@examples(150)
def test_turns_one_after_the_other_are_exact_too(
    one: tuple[int, Fraction], other: tuple[int, Fraction], tilts: tuple[Fraction, Fraction]
) -> None:
    turn = tilted(*tilts).then(turn_about(*one)).then(turn_about(*other))
    assert is_exactly_a_turn(turn)
    place = (F(1), F(20), F(-300))
    assert turn.apply(place) == turn_about(*other).apply(turn_about(*one).apply(tilted(*tilts).apply(place)))
    assert dot(turn.apply(place), turn.apply(place)) == dot(place, place)


@pytest.mark.parametrize("quarters", range(-4, 5))
def test_quarters_are_whole(quarters: int) -> None:
    for axis in range(3):
        assert turn_about(axis, F(90 * quarters)) == quarter_turn(axis, quarters)
        assert {part for row in quarter_turn(axis, quarters).rows for part in row} <= {F(-1), F(0), F(1)}
    assert quarter_turn(2).apply(unit(0)) == unit(1)
    assert quarter_turn(0).apply(unit(1)) == unit(2)
    assert quarter_turn(1).apply(unit(2)) == unit(0)


@pytest.mark.parametrize(
    ("rise", "run", "cosine", "sine"),
    [(3, 4, F(4, 5), F(3, 5)), (5, 12, F(12, 13), F(5, 13)), (-8, 15, F(15, 17), F(-8, 17)), (0, 7, F(1), F(0))],
)
def test_whole_right_triangles_turn_exactly(rise: int, run: int, cosine: Fraction, sine: Fraction) -> None:
    turn = turn_of_rise(2, F(rise), F(run))
    assert turn.rows == ((cosine, -sine, F(0)), (sine, cosine, F(0)), (F(0), F(0), F(1)))


@given(rise=st.integers(-3000, 3000), run=st.integers(1, 3000))
@examples(200)
def test_any_rise_in_a_run_is_exactly_a_turn_by_its_slope(rise: int, run: int) -> None:
    turn = turn_of_rise(1, F(rise), F(run))
    assert is_exactly_a_turn(turn)
    x, _, z = turn.apply(unit(2))
    assert atan2(x, z) == pytest.approx(atan2(rise, run), abs=1e-12)


@given(front=TILTS, side=TILTS)
@examples(300)
def test_two_tilts_look_as_they_are_typed_from_the_front_and_from_the_side(front: Fraction, side: Fraction) -> None:
    turn = tilted(front, side)
    assert is_exactly_a_turn(turn)
    x, y, z = turn.apply(unit(2))
    assert degrees(atan2(x, z)) == pytest.approx(float(front), abs=1e-9)
    assert degrees(atan2(y, z)) == pytest.approx(float(side), abs=1e-9)
    # No twist: the axis of the turn lies level, so that the cross-section turns neither way about the length.
    assert turn.rows[0][1] == turn.rows[1][0]


def test_one_tilt_is_a_turn_about_one_axis() -> None:
    assert tilted(F(8), F(0)) == turn_about(1, F(8))
    assert tilted(F(0), F(5)) == turn_about(0, F(-5))


@given(direction=st.tuples(*[st.integers(-(10**9), 10**9)] * 3).filter(any))
@examples(300)
def test_a_turn_towards_a_direction_points_there(direction: tuple[int, int, int]) -> None:
    x, y, z = direction
    way: Vector = (F(x), F(y), F(z))
    turn = towards(way)
    assert is_exactly_a_turn(turn)
    off = cross(turn.apply(unit(2)), way)
    assert float(dot(off, off)) <= float(dot(way, way)) * (2e-12) ** 2
    assert dot(turn.apply(unit(2)), way) > 0


def test_typed_degrees_are_met_within_a_thousandth_of_a_nanometre_in_three_metres() -> None:
    """The tangents stand in any table: tan 8° = 0.140540834702391, tan 5° = 0.087488663525924."""
    x, y, z = tilted(F(8), F(5)).apply(unit(2))
    assert float(x / z) == pytest.approx(0.140540834702391, abs=1e-14)
    assert float(y / z) == pytest.approx(0.087488663525924, abs=1e-14)


@pytest.mark.parametrize("tilt", [F(90), F(-90), F(91), F(180)])
def test_a_tilt_of_a_right_angle_or_more_is_refused_in_a_sentence(tilt: Fraction) -> None:
    with pytest.raises(TiltError, match="as seen from the front lays a part flat") as refused:
        tilted(tilt, F(5))
    assert refused.value.degrees == tilt
    with pytest.raises(TiltError, match="as seen from the side"):
        tilted(F(0), tilt)


def test_a_rise_over_no_run_and_a_way_to_nowhere_are_refused() -> None:
    with pytest.raises(TiltError, match="tilt of 90°"):
        turn_of_rise(0, F(100), F(0))
    with pytest.raises(TiltError, match="two places apart"):
        towards((F(0), F(0), F(0)))


def test_a_length_along_is_one_root_rounded_once() -> None:
    assert length_along(F(3), F(4)) == 5
    assert length_along(F(3, 2), F(2)) == 3, "2.5: a half goes up"
    assert length_along(F(1), F(1)) == 1
    assert length_along(F(2), F(2)) == 3
    assert length_along(F(700_000_000)) == 700_000_000
    # root 2 = 1.41421356237309504880
    assert length_along(F(10**18), F(10**18)) == 1_414_213_562_373_095_049
