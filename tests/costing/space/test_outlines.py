"""Outlines laid out: the places round them add up to the area and the length that are reckoned from the radii."""

from __future__ import annotations

from cmath import rect
from itertools import pairwise
from math import dist, pi
from random import Random

import pytest

from webapp.costing.space.outlines import Corner, OutlineError, convex_parts, is_within, lay_out
from webapp.costing.space.stretches import Flat

HOUSE = (Corner((0, 0)), Corner((600, 0)), Corner((600, 100), 50), Corner((100, 100), 20), Corner((100, 400)),
         Corner((0, 400)))  # fmt: skip


def doubled(ring: list[Flat]) -> float:
    return sum(ax * by - ay * bx for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))


def test_rounded_corners_by_hand_in_either_sense() -> None:
    for corners in (HOUSE, tuple(reversed(HOUSE))):
        laid = lay_out(corners)
        assert laid.area == pytest.approx(90000 - (1 - pi / 4) * (50**2 - 20**2), abs=1e-9)
        assert laid.length == pytest.approx(2000 - (2 - pi / 2) * 70, abs=1e-9)
        # The short sides of an arc stray by a quarter of a millimetre at most.
        assert abs(doubled(list(laid.ring)) / 2 - laid.area) < 0.25 * pi / 2 * 70
        ring = [*laid.ring, laid.ring[0]]
        assert sum(dist(one, other) for one, other in pairwise(ring)) == pytest.approx(
            laid.length, rel=2e-3
        )


def test_the_first_sides_that_cross_are_named_whatever_lies_between() -> None:
    """A comb, and a side that runs back through all of its teeth: the first of these is named."""
    teeth = [(x, y) for tooth in range(59) for x, y in ((10.0 * tooth, 50.0), (10.0 * tooth + 5, 5.0))]
    lay_out([Corner((-5, 0)), Corner((590, 0)), *(Corner(at) for at in reversed(teeth))])
    with pytest.raises(OutlineError, match="crosses itself: its side from 585 mm along and 5 mm across"):
        lay_out([Corner((-5, 0)), Corner((590, 0)), *(Corner(at) for at in reversed(teeth[1:])), Corner((588, 30))])


def test_bows_are_segments_of_circles() -> None:
    places: list[Flat] = [(0, 0), (40, 0), (40, 40), (0, 40)]
    whole = lay_out([Corner(place, bow=20) for place in places])
    # A square of 40 with a half circle of 20 outside each of its sides.
    assert whole.area == pytest.approx(1600 + 2 * pi * 400, abs=1e-9)
    assert whole.length == pytest.approx(4 * pi * 20, abs=1e-9)


def test_convex_parts_fill_the_outline_and_do_not_overlap() -> None:
    chance = Random(12)
    for _ in range(60):
        number = chance.randint(5, 24)
        spokes = sorted(chance.uniform(0, 2 * pi) for _ in range(number))
        if any(after - before > 3 or after - before < 0.02 for before, after in pairwise(spokes)):
            continue
        places = [rect(chance.uniform(60, 300), spoke) for spoke in spokes]
        try:
            laid = lay_out([Corner((place.real, place.imag)) for place in places])
        except OutlineError:
            continue
        parts = [[laid.ring[at] for at in part] for part in convex_parts(laid.ring)]
        assert sum(doubled(part) for part in parts) / 2 == pytest.approx(laid.area, rel=1e-9)
        for part in parts:
            turns = [doubled([part[at - 2], part[at - 1], part[at]]) for at in range(len(part))]
            assert min(turns) > -1e-5
        for _ in range(40):
            at = (chance.uniform(-300, 300), chance.uniform(-300, 300))
            assert sum(is_within(part, at) for part in parts) == is_within(laid.ring, at)


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ([(0, 0), (100, 100), (100, 0), (0, 100)], "crosses itself"),
        ([(0, 0), (100, 0), (50, 0), (50, 50)], "turns back on itself"),
        ([(0, 0), (100, 0), (100, 50), (50, 0), (0, 50)], "crosses itself"),
        ([(0, 0), (50, 0)], "fewer than three corners"),
    ],
)
def test_what_is_no_outline_is_said(places: list[Flat], said: str) -> None:
    with pytest.raises(OutlineError, match=said):
        lay_out([Corner(place) for place in places])
