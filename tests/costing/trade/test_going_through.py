"""What goes round a corner or aslant through an opening, against a plain search; holes, pegs and roots."""

from __future__ import annotations

from fractions import Fraction
from math import cos, pi, sin

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from webapp.costing.trade import holes
from webapp.costing.trade.holes import Between
from webapp.costing.trade.roots import power, root_to_places
from webapp.costing.trade.ways import corners, openings
from webapp.costing.trade.ways.boxes import Box, lies_within

F = Fraction
MM = 10**6


# ---- a rectangle in a rectangle -----------------------------------------------------------------------------------

sides = st.integers(1, 300)


def most_room(p: int, q: int, a: int, b: int) -> float:
    """How much larger the frame a x b is than a rectangle p x q turned in it, at the best angle of 9000, as a share."""
    ways = np.linspace(0, pi / 2, 9001)
    wide, tall = p * np.cos(ways) + q * np.sin(ways), p * np.sin(ways) + q * np.cos(ways)
    return float(np.minimum(a / wide, b / tall).max())


@given(sides, sides, sides, sides)
def test_a_rectangle_in_a_rectangle_against_every_angle(p: int, q: int, a: int, b: int) -> None:
    room = most_room(p, q, a, b)
    assume(abs(room - 1) > 1e-5)
    assert lies_within(F(p), F(q), F(a), F(b)) is (room > 1)


def test_what_lies_exactly_within_does() -> None:
    assert lies_within(F(100), F(50), F(50), F(100))
    assert not lies_within(F(100), F(50) + F(1, 10**9), F(50), F(100))


# ---- round a corner -----------------------------------------------------------------------------------------------

Field = npt.NDArray[np.bool_]


def free_places(long: float, short: float, one: float, other: float, cells: int, turns: int) -> tuple[Field, float]:
    """Where the middle of a rectangle may be, by place and turn, between two corridors that meet at a corner.

    The one lies along y from the corner, `one` wide, the other along x, `other` wide; the rectangle's outline is looked
    at in points.
    """
    reach = one + other + 1.2 * long
    step = reach / cells
    middles = (np.arange(cells) + 0.5) * step
    x, y = np.meshgrid(middles, middles, indexing="ij")
    along = np.linspace(-1, 1, 41)
    rim = [(a * long / 2, s * short / 2) for a in along for s in (-1, 1)]
    rim += [(s * long / 2, a * short / 2) for a in along for s in (-1, 1)]
    free = np.ones((turns, cells, cells), dtype=bool)
    for turn in range(turns):
        way = pi * turn / turns
        for u, v in rim:
            at_x, at_y = x + u * cos(way) - v * sin(way), y + u * sin(way) + v * cos(way)
            free[turn] &= (at_x >= 0) & (at_y >= 0) & ((at_x <= one) | (at_y <= other))
    return free, step


def found_by_search(long: float, short: float, one: float, other: float, cells: int = 90, turns: int = 120) -> bool:
    """Whether a rectangle gets from the end of the one corridor to the end of the other, a step at a time."""
    free, _ = free_places(long, short, one, other, cells, turns)
    far = cells - 1 - int(cells * 0.55 * long / (one + other + 1.2 * long))
    been = np.zeros_like(free)
    been[:, :, far] = free[:, :, far]
    if not been.any():
        return False
    count = 0
    while count != (count := int(been.sum())):
        for _ in range(8):
            wider = been.copy()
            wider[:, 1:, :] |= been[:, :-1, :]
            wider[:, :-1, :] |= been[:, 1:, :]
            wider[:, :, 1:] |= been[:, :, :-1]
            wider[:, :, :-1] |= been[:, :, 1:]
            wider |= np.roll(been, 1, axis=0) | np.roll(been, -1, axis=0)
            been = wider & free
    return bool(been[:, far, :].any())


#: Corridors, and what is carried: with enough to spare, or too much, that a search in steps can tell.
CORNERS = [
    ((1.0, 1.0), (2.0, 0.30)), ((1.0, 1.0), (2.0, 0.52)), ((1.0, 1.0), (0.93, 0.93)), ((1.2, 0.8), (1.9, 0.30)),
    ((1.2, 0.8), (1.9, 0.55)), ((1.0, 0.6), (0.95, 0.55)), ((1.0, 0.6), (1.3, 0.55)), ((1.5, 0.5), (1.6, 0.30)),
    ((1.5, 0.5), (2.4, 0.25)), ((1.0, 1.0), (1.25, 0.10)),
]  # fmt: skip


@pytest.mark.parametrize(("ways", "thing"), CORNERS)
def test_a_corner_against_a_search(ways: tuple[float, float], thing: tuple[float, float]) -> None:
    metre = 10**9
    box = Box(F(round(thing[0] * metre)), F(round(thing[1] * metre)), F(metre))
    one, other = (F(round(way * metre)) for way in ways)
    # The thing keeps its plan: on its side or end it would be a metre tall or more under a low ceiling.
    tall = corners.round_corner(Box(box.length, box.width, F(1)), one, other, F(2), F(0))
    assert tall.goes is found_by_search(*thing, *ways)


@given(st.integers(500, 3000), st.integers(600, 2000), st.integers(600, 2000))
def test_the_widest_that_turns_against_every_angle(length: int, one: int, other: int) -> None:
    ways = np.linspace(0, pi / 2, 100_001)
    left = one * np.sin(ways) + other * np.cos(ways) - length * np.sin(ways) * np.cos(ways)
    found = corners.widest_that_turns(F(length * MM), F(one * MM), F(other * MM))
    assert float(found) / MM == pytest.approx(float(left.min()), abs=1e-3)


def test_a_thing_falls_short_by_what_is_told() -> None:
    """2000 x 600 between corridors of 1000 and 1000: 1414 - 1000 = 414 are left, so it is 186 too wide; 414 goes."""
    corridor, low = F(1000 * MM), F(400 * MM)
    stuck = corners.round_corner(Box(F(2000 * MM), F(600 * MM), F(400 * MM)), corridor, corridor, low, F(0))
    assert not stuck.goes
    assert float(stuck.short_by) / MM == pytest.approx(600 - 414.2136, abs=1e-3)
    slim = Box(F(2000 * MM), F(414 * MM), F(400 * MM))
    assert corners.round_corner(slim, corridor, corridor, low, F(0)).goes


def test_through_an_opening_the_way_that_is_nearest_to_it_is_told() -> None:
    found = openings.through_opening(Box(F(900), F(800), F(2000)), F(700), F(2100), F(0))
    assert (found.goes, found.how, found.short_by) == (False, "standing", F(100))


# ---- holes and pegs -----------------------------------------------------------------------------------------------


def test_what_is_left_between_holes() -> None:
    """By the triangle of 3, 4 and 5; the larger diameter is wanted between them (common practice)."""
    assert holes.left_between((F(0), F(0)), F(10), (F(30), F(40)), F(20)) == 35
    assert holes.left_between((F(0), F(0)), F(20), (F(15), F(0)), F(20)) == -5
    assert float(holes.left_between((F(0), F(0)), F(2), (F(10), F(10)), F(2))) == pytest.approx(12.14213562, abs=1e-8)
    assert holes.wanted_between(F(10), F(20)) == 20
    assert holes.wanted_to_edge(F(20)) == 20


def test_what_a_row_of_holes_leaves() -> None:
    """20 mm holes every 100 leave four fifths along the row; five of them across 900 mm leave eight ninths."""
    assert holes.share_of_row(F(100), F(20)) == F(4, 5)
    assert holes.net_section(F(900), [F(20)] * 5) == F(8, 9)
    assert holes.share_of_row(F(10), F(20)) == holes.net_section(F(10), [F(20)]) == 0


@given(st.lists(st.integers(1900, 2100), min_size=1), st.lists(st.integers(1900, 2100), min_size=1), st.integers(0, 10))
def test_pegs_in_holes_against_every_pair(cut: list[int], turned: list[int], step: int) -> None:
    """Whatever a hole and a peg really are within what was read, the gap is within what is told."""
    hole, peg = (holes.of_test_cuts(map(F, readings), F(step)) for readings in (cut, turned))
    found = holes.clearance(hole, peg)
    gaps = [F(one - other) + part * step for one in cut for other in turned for part in (-1, 0, 1)]
    assert (found.least, found.most) == (min(gaps), max(gaps))
    wanted = Between(F(10), F(40))
    fits = [wanted.least <= gap <= wanted.most for gap in gaps]
    told = holes.fits(hole, peg, wanted)
    assert told != "always" or all(fits)
    assert told != "never" or not any(fits)
    assert not all(fits) or told == "always"


def test_without_a_test_cut_nothing_is_known() -> None:
    with pytest.raises(ValueError, match="test cut"):
        holes.of_test_cuts([], F(1))


# ---- roots --------------------------------------------------------------------------------------------------------


@given(st.fractions(0, 10**6), st.integers(1, 5))
def test_a_root_is_the_nearest_of_twelve_places(value: Fraction, degree: int) -> None:
    found = root_to_places(value, degree)
    if found**degree != value:
        half = F(1, 2 * 10**12)
        assert (found * 10**12).denominator == 1
        assert max(found - half, F(0)) ** degree <= value < (found + half) ** degree


@given(st.fractions(0, 10**4, max_denominator=10**4), st.integers(1, 5))
def test_the_root_of_a_power_is_exact(value: Fraction, degree: int) -> None:
    assert root_to_places(value**degree, degree) == value


def test_powers_and_what_has_no_root() -> None:
    assert power(F(4), F(5, 2)) == 32
    assert power(F(16), F(3, 4)) == 8
    with pytest.raises(ValueError, match="no root"):
        root_to_places(F(-1))
