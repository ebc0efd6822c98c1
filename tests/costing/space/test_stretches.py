"""Stretches, straight or along circles, by hand and against places tried all along them."""

from __future__ import annotations

from math import dist, hypot, pi
from random import Random

import pytest

from webapp.costing.space.outlines import Corner, lay_out
from webapp.costing.space.stretches import (
    Flat,
    Stretch,
    apart,
    box_of,
    boxes_apart,
    clipped,
    far_from,
    fine_ring,
    runs_within,
)

#: A square of 40 with a half circle of 20 outside its right side.
BOWED = lay_out([Corner((0, 0)), Corner((40, 0)), Corner((40, 40), bow=20), Corner((0, 40))])
TRIED = 400


def arc(middle: Flat, radius: float, start: float, turn: float) -> Stretch:
    whole = Stretch((middle[0] + radius, middle[1]), middle, middle, 1.0)
    return Stretch(whole.at(start), whole.at(start + turn), middle, turn)


def places(one: Stretch) -> list[Flat]:
    return [one.at(step / TRIED) for step in range(TRIED + 1)]


def test_the_box_about_arcs_reaches_to_their_outermost_places() -> None:
    assert box_of(BOWED.stretches) == ((0, 0), (60, 40))
    # From 45 to 315 degrees about 10, 10, radius 10: all but the right.
    low, high = box_of([arc((10, 10), 10, pi / 4, 3 * pi / 2)])
    assert (*low, *high) == pytest.approx((0, 0, 10 + 10 / 2**0.5, 20))


def test_distances_by_hand() -> None:
    across = Stretch((-10, 30), (10, 30))
    below = arc((0, 0), 20, pi / 6, 2 * pi / 3)
    assert apart([across], [below]) == apart([below], [across]) == pytest.approx(10)
    # Turned away from it, only its ends are near: they stand at 17.32 along and 10 across.
    away = arc((0, 0), 20, pi - pi / 6, pi + pi / 3)
    assert apart([across], [away]) == pytest.approx(hypot(20 * 3**0.5 / 2 - 10, 20))
    assert apart([below], [arc((0, 50), 20, pi, pi)]) == pytest.approx(10)
    assert apart([below], [arc((0, 0), 25, 0, pi)]) == pytest.approx(5)
    assert apart([across], [Stretch((0, 0), (0, 60))]) == pytest.approx(0, abs=1e-9)
    assert apart([below], [Stretch((0, 0), (0, 60))]) == pytest.approx(0, abs=1e-9)
    assert apart([below], [arc((0, 30), 20, pi, pi)]) == pytest.approx(0, abs=1e-9)
    assert far_from([below, across], (0, 24)) == pytest.approx(4)
    assert boxes_apart(((0, 0), (1, 1)), ((4, 5), (9, 9))) == 5


def test_nothing_that_is_tried_along_two_stretches_is_nearer() -> None:
    chance = Random("stretches")

    def one() -> Stretch:
        at = (chance.uniform(-50, 50), chance.uniform(-50, 50))
        if chance.random() < 0.4:
            return Stretch(at, (chance.uniform(-50, 50), chance.uniform(-50, 50)))
        return arc(at, chance.uniform(2, 40), chance.uniform(0, 6), chance.choice((1, -1)) * chance.uniform(0.1, 6.2))

    for _ in range(40):
        first, second = one(), one()
        found = apart([first], [second])
        least = min(dist(a, b) for a in places(first)[::4] for b in places(second)[::4])
        assert found <= least + 1e-9
        assert least - found < 4 * (first.long + second.long) / TRIED
        low, high = (-20.0, -15.0), (25.0, 30.0)
        inside = sum(low[0] < x < high[0] and low[1] < y < high[1] for x, y in places(first)) / (TRIED + 1)
        assert sum(runs_within([first], low, high)) / first.long == pytest.approx(inside, abs=0.02)


def test_what_lies_in_a_rectangle() -> None:
    # The lower half of the half circle: a quarter of its circle.
    assert runs_within(BOWED.stretches, (40, 0), (90, 20)) == [pytest.approx(20 * pi / 2)]
    # The edges of the square lie along those of the rectangle on three sides; the half circle is one run.
    assert runs_within(BOWED.stretches, (0, 0), (90, 40)) == [pytest.approx(20 * pi)]
    # A square with one corner rounded by 10: from the middle of a side round the corner to the middle of the next it is
    # one run, and the other corners part them.
    rounded = lay_out([Corner((0, 0)), Corner((40, 0)), Corner((40, 40), 10), Corner((0, 40))])
    assert runs_within(rounded.stretches, (20, 20), (90, 90)) == [pytest.approx(2 * 10 + 10 * pi / 2)]
    assert sorted(runs_within(rounded.stretches, (-9, -9), (90, 90))) == pytest.approx([40, 40, 2 * 30 + 5 * pi])
    ring = clipped(fine_ring(BOWED.stretches), (30, -5), (90, 20))
    doubled = sum(ax * by - ay * bx for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))
    assert doubled / 2 == pytest.approx(10 * 20 + 400 * pi / 4, rel=1e-4)
    assert clipped(ring, (200, 0), (300, 50)) == []


def test_an_outline_elsewhere_and_with_its_ways_swapped() -> None:
    laid = BOWED.moved((100, 7))
    assert (laid.area, laid.length) == (BOWED.area, BOWED.length)
    assert box_of(laid.stretches) == ((100, 7), (160, 47))
    swapped = [one.swapped() for one in BOWED.stretches]
    assert box_of(swapped) == ((0, 0), (40, 60))
    assert far_from(swapped, (20, 70)) == pytest.approx(10)
